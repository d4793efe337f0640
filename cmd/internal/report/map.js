// The map: what is drawn, and the way from a place on the screen to one on the
// ground. Places are metres east and south of the north-west corner.

// Lines are written as whole units, each point a step from the one before.
function unfold(d, unit) {
  const out = new Float64Array(d.length);
  let x = 0, y = 0;
  for (let i = 0; i < d.length; i += 2) {
    x += d[i];
    y += d[i + 1];
    out[i] = x * unit;
    out[i + 1] = y * unit;
  }
  return out;
}

function trace(path, at, closed) {
  for (let i = 0; i < at.length; i += 2) { i === 0 ? path.moveTo(at[0], at[1]) : path.lineTo(at[i], at[i + 1]); }
  if (closed) { path.closePath(); }
}

function rem() { return parseFloat(getComputedStyle(document.documentElement).fontSize) || 16; }

class SiteMap {
  constructor(view, data) {
    this.view = view;
    this.canvas = view.querySelector("canvas");
    this.pen = this.canvas.getContext("2d");
    this.data = data;
    this.colour = data.looks.colours;
    this.shown = { shade: true, odds: false, storm: true, contours: true, flow: true, hollows: true, links: true, rows: true, trees: true };
    this.chosen = null;
    this.cross = false; // a cross in the middle, for the keyboard
    this.watchers = [];
    this.scale = 0; // px a metre
    this.x = this.y = 0; // of the middle
    this.unpack();
    this.load();
    const [x0, y0, x1, y1] = data.extent;
    view.style.aspectRatio = Math.min(Math.max((x1 - x0) / (y1 - y0), 0.8), 2);
    new ResizeObserver(() => this.fit()).observe(view);
  }

  unpack() {
    const { data } = this, unit = data.unit;
    this.thin = new Path2D();
    this.thick = new Path2D();
    this.named = [];
    for (const l of data.contours) {
      const at = unfold(l.d, unit);
      trace(l.i ? this.thick : this.thin, at, l.c);
      if (l.i) { this.named.push({ at, level: l.z || 0 }); }
    }
    this.flows = data.looks.flows.metric.map((c) => ({ width: c.width, path: new Path2D() }));
    this.runs = data.flow.map((l) => {
      const at = unfold(l.d, unit);
      trace(this.flows[l.k || 0].path, at);
      return at;
    });
    this.shores = new Path2D();
    for (const l of data.shores || []) { trace(this.shores, unfold(l.d, unit), l.c); }
    this.hollows = (data.hollows || []).map((h) => ({ ...h, x: h.x * unit, y: h.y * unit }));
    this.links = (data.links || []).map((l) => ({ ...l, at: unfold(l.d, unit) }));
    this.rows = (data.rows || []).map((r) => ({ ...r, at: unfold(r.d || [], unit) }));
    const order = ["low", "unknown", "moderate", "high", "severe"];
    this.trees = data.trees.map((t, index) => ({ ...t, index, x: t.x * unit, y: t.y * unit }));
    this.worstLast = [...this.trees].sort((a, b) => order.indexOf(a.risk) - order.indexOf(b.risk) || a.index - b.index);
    this.symbols = {};
    for (const s of data.looks.risks) { this.symbols[s.name] = { ...s, body: new Path2D(s.body), marks: s.marks ? new Path2D(s.marks) : null }; }
    this.spacing = Math.min(...this.rows.map((r) => r.spacing).filter((v) => v > 0), 4);
    const bytes = Uint8Array.from(atob(data.levels.cells), (c) => c.charCodeAt(0));
    this.levels = new DataView(bytes.buffer);
  }

  load() {
    this.pictures = {};
    for (const name of ["shade", "odds", "storm"]) {
      if (!this.data[name]) { continue; }
      const picture = new Image();
      picture.addEventListener("load", () => { this.pictures[name] = picture; this.draw(); });
      picture.src = this.data[name];
    }
  }

  // Ground level at a place, straight between the cells carried; NaN where it
  // is not known.
  level(x, y) {
    const { rows, cols, cell, lowest, step } = this.data.levels;
    const u = x / cell - 0.5, v = y / cell - 0.5, c = Math.floor(u), r = Math.floor(v), s = u - c, t = v - r;
    if (u < -0.5 || v < -0.5 || u > cols - 0.5 || v > rows - 0.5) { return NaN; }
    const at = (row, col) => {
      const i = Math.min(Math.max(row, 0), rows - 1) * cols + Math.min(Math.max(col, 0), cols - 1);
      const n = this.levels.getUint16(2 * i, true);
      return n === 65535 ? NaN : lowest + n * step;
    };
    const above = at(r, c) + s * (at(r, c + 1) - at(r, c)), below = at(r + 1, c) + s * (at(r + 1, c + 1) - at(r + 1, c));
    const between = above + t * (below - above);
    return between === between ? between : at(Math.floor(y / cell), Math.floor(x / cell));
  }

  fit() {
    const box = this.view.getBoundingClientRect(), old = this.w;
    this.w = box.width;
    this.h = box.height;
    if (!(this.w > 0 && this.h > 0)) { return; }
    this.dots = Math.min(window.devicePixelRatio || 1, 3);
    this.canvas.width = Math.round(this.w * this.dots);
    this.canvas.height = Math.round(this.h * this.dots);
    if (!old || !this.scale || this.fitted) { this.whole(); } else { this.draw(); }
  }

  // Shows all of the known ground.
  whole() {
    const [x0, y0, x1, y1] = this.data.extent, edge = 14, foot = 34;
    this.scale = Math.min((this.w - 2 * edge) / (x1 - x0), (this.h - edge - foot) / (y1 - y0));
    this.least = this.scale / 2;
    this.x = (x0 + x1) / 2;
    this.y = (y0 + y1) / 2 + (foot - edge) / 2 / this.scale;
    this.fitted = true;
    this.draw();
  }

  toScreen(x, y) { return [(x - this.x) * this.scale + this.w / 2, (y - this.y) * this.scale + this.h / 2]; }
  toGround(px, py) { return [(px - this.w / 2) / this.scale + this.x, (py - this.h / 2) / this.scale + this.y]; }

  // Times closer, about a place on the screen.
  closer(times, px = this.w / 2, py = this.h / 2) {
    const [gx, gy] = this.toGround(px, py);
    this.scale = Math.min(Math.max(this.scale * times, this.least), Math.max(300, this.least));
    this.x = gx - (px - this.w / 2) / this.scale;
    this.y = gy - (py - this.h / 2) / this.scale;
    this.moved();
  }

  pan(dx, dy) {
    this.x -= dx / this.scale;
    this.y -= dy / this.scale;
    this.moved();
  }

  moved() {
    const [x0, y0, x1, y1] = this.data.extent;
    this.x = Math.min(Math.max(this.x, x0), x1);
    this.y = Math.min(Math.max(this.y, y0), y1);
    this.fitted = false;
    this.draw();
  }

  // Brings a place into sight, no farther than it must.
  show(x, y) {
    const [px, py] = this.toScreen(x, y), edge = Math.min(60, this.w / 4, this.h / 4);
    if (px < edge || py < edge || px > this.w - edge || py > this.h - edge) {
      this.x = x;
      this.y = y;
      this.moved();
    }
    this.draw();
  }

  // The tree nearest to a place on the screen, if it is near.
  treeAt(px, py) {
    let best = null, near = Math.max(16, this.radius() + 5);
    for (const t of this.trees) {
      const [x, y] = this.toScreen(t.x, t.y), d = Math.hypot(x - px, y - py);
      if (d < near) { near = d; best = t; }
    }
    return best;
  }

  // Half the width of a mark.
  radius() { return Math.min(Math.max(this.spacing * this.scale * 0.42, 3), 0.7 * rem()); }

  draw() {
    this.waiting ??= requestAnimationFrame(() => { this.waiting = null; this.paint(); });
  }

  paint() {
    if (!(this.scale > 0)) { return; }
    const { pen, data, shown } = this;
    pen.setTransform(this.dots, 0, 0, this.dots, 0, 0);
    pen.fillStyle = this.colour.unknown;
    pen.fillRect(0, 0, this.w, this.h);
    const [left, top] = this.toScreen(0, 0);
    const picture = (name, alpha) => {
      if (!shown[name] || !this.pictures[name]) { return; }
      pen.globalAlpha = alpha;
      pen.drawImage(this.pictures[name], left, top, data.wide * this.scale, data.high * this.scale);
      pen.globalAlpha = 1;
    };
    picture("shade", 1);
    picture("odds", 0.85);
    picture("storm", 0.9);
    this.taken = [];
    if (shown.contours) { this.paintContours(); }
    if (shown.hollows) { this.paintShores(); }
    if (shown.flow) { this.paintFlow(); }
    if (shown.links) { this.links.forEach((l) => this.paintLink(l)); }
    if (shown.rows) { this.rows.forEach((r) => this.paintRow(r)); }
    if (shown.trees) { this.paintTrees(); }
    if (shown.hollows) { this.paintNumbers(); }
    if (shown.rows) { this.rows.forEach((r) => this.nameRow(r)); }
    if (shown.links) { this.links.forEach((l) => this.nameLink(l)); }
    if (shown.contours) { this.named.forEach((l) => this.nameContour(l)); }
    this.paintChosen();
    if (this.cross) { this.paintCross(); }
    this.watchers.forEach((f) => f());
  }

  // Drawing in metres, lines keeping their width on the screen.
  inMetres(draw) {
    const { pen } = this, s = this.scale * this.dots;
    pen.save();
    pen.setTransform(s, 0, 0, s, (this.w / 2 - this.x * this.scale) * this.dots, (this.h / 2 - this.y * this.scale) * this.dots);
    pen.lineJoin = pen.lineCap = "round";
    draw((px) => px / this.scale);
    pen.restore();
  }

  paintContours() {
    const { pen } = this;
    this.inMetres((px) => {
      pen.strokeStyle = this.colour.contour;
      pen.lineWidth = px(0.7);
      pen.stroke(this.thin);
      pen.lineWidth = px(1.5);
      pen.stroke(this.thick);
    });
  }

  paintShores() {
    const { pen } = this;
    this.inMetres((px) => {
      pen.setLineDash([px(7), px(4)]);
      pen.lineCap = "butt";
      pen.strokeStyle = this.colour.shore;
      pen.lineWidth = px(1.5);
      pen.stroke(this.shores);
    });
  }

  paintFlow() {
    const { pen } = this;
    this.inMetres((px) => {
      pen.strokeStyle = this.colour.paper;
      for (const f of this.flows) { pen.lineWidth = px(1.1 * f.width + 1.6); pen.stroke(f.path); }
      pen.strokeStyle = this.colour.flow;
      for (const f of this.flows) { pen.lineWidth = px(1.1 * f.width); pen.stroke(f.path); }
    });
    this.runs.forEach((at) => this.arrows(at));
  }

  // Wedges along a line, the way the water runs.
  arrows(at) {
    const { pen } = this, every = 100;
    let along = every / 2;
    pen.fillStyle = this.colour.flow;
    for (let i = 2; i < at.length; i += 2) {
      const dx = at[i] - at[i - 2], dy = at[i + 1] - at[i - 1];
      along += Math.hypot(dx, dy) * this.scale;
      if (along < every) { continue; }
      along = 0;
      const [x, y] = this.toScreen((at[i] + at[i - 2]) / 2, (at[i + 1] + at[i - 1]) / 2);
      if (x < 0 || y < 0 || x > this.w || y > this.h) { continue; }
      pen.save();
      pen.translate(x, y);
      pen.rotate(Math.atan2(dy, dx));
      pen.beginPath();
      pen.moveTo(6, 0);
      pen.lineTo(-4, 4.5);
      pen.lineTo(-4, -4.5);
      pen.closePath();
      pen.fill();
      pen.restore();
    }
  }

  // A ditch as its two banks, a pipe as dashes.
  paintLink(link) {
    const { pen, colour } = this, path = new Path2D();
    for (let i = 0; i < link.at.length; i += 2) { path.lineTo(link.at[i], link.at[i + 1]); }
    this.inMetres((px) => {
      const line = (width, ink, dash = []) => {
        pen.lineWidth = px(width);
        pen.strokeStyle = ink;
        pen.lineCap = "butt";
        pen.setLineDash(dash.map(px));
        pen.stroke(path);
      };
      line(8, colour.paper);
      if (link.ditch) {
        line(6, colour.shore);
        line(3, colour.paper);
      } else {
        line(4, colour.shore, [9, 6]);
      }
    });
    this.arrows(link.at);
  }

  // A row, broken at its gaps.
  paintRow(row) {
    const { pen } = this, gaps = row.gaps || [];
    this.inMetres((px) => {
      pen.strokeStyle = this.colour.row;
      pen.lineWidth = px(1.1);
      let along = 0;
      for (let i = 2; i < row.at.length; i += 2) {
        const x = row.at[i - 2], y = row.at[i - 1], dx = row.at[i] - x, dy = row.at[i + 1] - y, long = Math.hypot(dx, dy);
        let from = 0;
        const stretch = (a, b) => {
          if (b <= a) { return; }
          pen.beginPath();
          pen.moveTo(x + dx * a / long, y + dy * a / long);
          pen.lineTo(x + dx * b / long, y + dy * b / long);
          pen.stroke();
        };
        for (const [a, b] of gaps) {
          stretch(from, Math.min(a - along, long));
          from = Math.max(from, b - along);
        }
        stretch(from, long);
        along += long;
      }
    });
  }

  nameRow(row) {
    if (row.at.length < 4) { return; }
    const n = row.at.length, [x, y] = this.toScreen(row.at[0], row.at[1]), [x1, y1] = this.toScreen(row.at[n - 2], row.at[n - 1]);
    const long = Math.hypot(x1 - x, y1 - y) || 1, away = this.radius() + 0.7 * rem();
    this.words(row.name, x - away * (x1 - x) / long, y - away * (y1 - y) / long, this.colour.ink, 600);
  }

  nameLink(link) {
    if (link.at.length < 4) { return; }
    const [x, y] = this.toScreen(link.at[0], link.at[1]), [x1, y1] = this.toScreen(link.at[2], link.at[3]);
    const long = Math.hypot(x1 - x, y1 - y) || 1, away = 0.9 * rem();
    this.words(link.name, x - away * (x1 - x) / long, y - away * (y1 - y) / long, this.colour.shore, 600);
  }

  nameContour(l) {
    const n = l.at.length / 2, text = measure.level(l.level), { pen } = this;
    for (const share of [0.5, 0.25, 0.75]) {
      const i = Math.min(Math.max(1, Math.round(share * n)), n - 2);
      if (i < 1) { return; }
      const [x, y] = this.toScreen(l.at[2 * i], l.at[2 * i + 1]);
      if (!this.room(text, x, y, 40)) { continue; }
      let turn = Math.atan2(l.at[2 * i + 3] - l.at[2 * i - 1], l.at[2 * i + 2] - l.at[2 * i - 2]);
      if (turn > Math.PI / 2) { turn -= Math.PI; } else if (turn < -Math.PI / 2) { turn += Math.PI; }
      pen.save();
      pen.translate(x, y);
      pen.rotate(turn);
      this.write(text, 0, 0, this.colour.contourText, 400, 0.78);
      pen.restore();
      return;
    }
  }

  paintNumbers() {
    const away = this.radius() + 0.8 * rem();
    for (const h of this.hollows) {
      const [x, y] = this.toScreen(h.x, h.y), text = String(h.id);
      const free = [[0, 0], [0, -1], [0, 1], [1, 0], [-1, 0], [1, -1], [-1, -1], [1, 1], [-1, 1], [0, -2], [0, 2]]
        .map(([dx, dy]) => [x + dx * away, y + dy * away]).find(([px, py]) => this.room(text, px, py, 0));
      if (free) { this.write(text, ...free, this.colour.shore, 700, 0.95); }
    }
  }

  paintTrees() {
    const r = this.radius(), names = this.spacing * this.scale > 3.2 * rem();
    for (const t of this.worstLast) {
      const [x, y] = this.toScreen(t.x, t.y);
      if (x < -20 || y < -20 || x > this.w + 20 || y > this.h + 20) { continue; }
      this.mark(t.risk, x, y, r / 10);
      this.taken.push([x, y, r, r]);
      if (names) { this.words(t.id, x, y + r + 0.6 * rem(), this.colour.ink, 400); }
    }
  }

  mark(risk, x, y, s) {
    const { pen } = this, m = this.symbols[risk];
    pen.save();
    pen.translate(x, y);
    pen.scale(s, s);
    pen.lineJoin = "round";
    pen.strokeStyle = this.colour.paper;
    pen.lineWidth = 6;
    pen.stroke(m.body);
    pen.fillStyle = m.fill;
    pen.fill(m.body);
    pen.strokeStyle = m.ink;
    pen.lineWidth = Math.max(2, 0.9 / s);
    pen.stroke(m.body);
    if (m.marks) { pen.fillStyle = m.mark; pen.fill(m.marks); }
    pen.restore();
  }

  paintChosen() {
    const t = this.chosen;
    if (!t) { return; }
    const { pen } = this, r = Math.max(this.radius(), 7), [x, y] = this.toScreen(t.x, t.y);
    for (const [colour, width] of [[this.colour.paper, 6], [this.colour.ink, 2.5]]) {
      pen.beginPath();
      pen.arc(x, y, r + 6, 0, 2 * Math.PI);
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.stroke();
    }
    this.mark(t.risk, x, y, r / 10);
    const up = y > 3 * rem();
    this.write(t.id, Math.min(Math.max(x, 2 * rem()), this.w - 2 * rem()), up ? y - r - 0.6 * rem() - 10 : y + r + 0.6 * rem() + 10, this.colour.ink, 700, 1);
  }

  paintCross() {
    const { pen } = this, x = this.w / 2, y = this.h / 2;
    for (const [colour, width] of [[this.colour.paper, 4], [this.colour.ink, 1.5]]) {
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.beginPath();
      pen.moveTo(x - 10, y); pen.lineTo(x + 10, y);
      pen.moveTo(x, y - 10); pen.lineTo(x, y + 10);
      pen.stroke();
    }
  }

  // Words where no others stand.
  words(text, x, y, ink, weight) {
    if (this.room(text, x, y, 2)) { this.write(text, x, y, ink, weight, 0.85); }
  }

  room(text, x, y, apart) {
    const half = (0.3 * text.length + 0.2) * rem(), high = 0.65 * rem();
    if (x - half < 2 || y - high < 2 || x + half > this.w - 2 || y + high > this.h - 2) { return false; }
    if (this.taken.some(([a, b, c, d]) => Math.abs(a - x) < c + half + apart && Math.abs(b - y) < d + high + apart / 3)) { return false; }
    this.taken.push([x, y, half, high]);
    return true;
  }

  write(text, x, y, ink, weight, size) {
    const { pen } = this;
    pen.font = `${weight} ${size * rem()}px system-ui, sans-serif`;
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    pen.lineJoin = "round";
    pen.strokeStyle = this.colour.paper;
    pen.lineWidth = 3.5;
    pen.strokeText(text, x, y);
    pen.fillStyle = ink;
    pen.fillText(text, x, y);
  }
}
