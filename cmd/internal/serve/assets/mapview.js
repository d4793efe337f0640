// The map: what is drawn on the canvas, and the way from a place on it to a
// place on the ground. Places are metres east and south of the north-west
// corner of the ground.

const TAU = 2 * Math.PI;

export class MapView {
  constructor(canvas, looks) {
    this.canvas = canvas;
    this.ctx = canvas.getContext("2d");
    this.looks = looks;
    this.colour = looks.colours;
    this.scale = 1; // CSS px a metre
    this.x = 0; // of the middle, m
    this.y = 0;
    this.shown = { shade: true, water: true, brim: false, wetness: false, odds: false, contours: true, flow: true, rows: true, trees: true, shots: false };
    this.pictures = {};
    this.trees = [];
    this.rows = [];
    this.shots = [];
    this.selected = "";
    this.row = "";
    this.over = []; // extra painters: (ctx, view) => void
    this.stills = {};
    this.symbols = Object.fromEntries(looks.risks.map((s) => [s.name, { ...s, body: new Path2D(s.body), marks: s.marks ? new Path2D(s.marks) : null }]));
    this.frame = 0;
    this.painted = null;
    new ResizeObserver(() => this.resize()).observe(canvas);
  }

  setGround(ground) {
    this.ground = ground;
    this.depth = null;
    this.waterCanvas = document.createElement("canvas");
  }

  setLines(contours, flow, flowWidths) {
    this.contours = contours;
    this.contourThin = new Path2D();
    this.contourThick = new Path2D();
    for (const l of contours.lines) (l.index ? this.contourThick : this.contourThin).addPath(trace(l.at, l.closed));
    this.flows = flowWidths.map((width) => ({ width, path: new Path2D() }));
    for (const l of flow.lines) this.flows[l.class || 0].path.addPath(trace(l.at));
    this.flowLines = flow.lines;
  }

  resize() {
    const box = this.canvas.getBoundingClientRect();
    const dpr = Math.min(window.devicePixelRatio || 1, 3);
    this.w = Math.max(1, box.width);
    this.h = Math.max(1, box.height);
    this.dpr = dpr;
    this.canvas.width = Math.round(this.w * dpr);
    this.canvas.height = Math.round(this.h * dpr);
    if (this.wanted || this.fitted) this.whole(); else this.draw();
  }

  // Shows all of the known ground.
  whole() {
    if (!this.ground || !this.w) { this.wanted = true; return; }
    this.wanted = false;
    const g = this.ground, b = this.extent || { x0: 0, y0: 0, x1: g.cols * g.cell, y1: g.rows * g.cell };
    const pad = 24, left = pad + (this.covered?.() || 0), right = pad + 44;
    const room = (px) => Math.max(px, 1); // a window may be smaller than what lies over the map
    this.scale = Math.min(room(this.w - left - right) / (b.x1 - b.x0), room(this.h - 2 * pad) / (b.y1 - b.y0));
    this.least = this.scale / 3;
    this.x = (b.x0 + b.x1) / 2 + (right - left) / 2 / this.scale;
    this.y = (b.y0 + b.y1) / 2;
    this.fitted = true;
    this.draw();
  }

  toScreen(x, y) { return [(x - this.x) * this.scale + this.w / 2, (y - this.y) * this.scale + this.h / 2]; }
  toGround(px, py) { return [(px - this.w / 2) / this.scale + this.x, (py - this.h / 2) / this.scale + this.y]; }

  zoom(times, px = this.w / 2, py = this.h / 2) {
    const [gx, gy] = this.toGround(px, py);
    const most = 400 / this.ground.cell;
    this.scale = Math.min(Math.max(this.scale * times, this.least || 0.01), Math.min(most, 400));
    this.x = gx - (px - this.w / 2) / this.scale;
    this.y = gy - (py - this.h / 2) / this.scale;
    this.fitted = false;
    this.keepIn();
    this.draw();
  }

  pan(dx, dy) {
    this.x -= dx / this.scale;
    this.y -= dy / this.scale;
    this.fitted = false;
    this.keepIn();
    this.draw();
  }

  keepIn() {
    const g = this.ground;
    this.x = Math.min(Math.max(this.x, 0), g.cols * g.cell);
    this.y = Math.min(Math.max(this.y, 0), g.rows * g.cell);
  }

  // Brings a place into view, no farther than it must.
  show(x, y) {
    const [px, py] = this.toScreen(x, y), m = Math.min(60, this.w / 4, this.h / 4);
    if (px > m && py > m && px < this.w - m && py < this.h - m) { this.draw(); return; }
    this.x = x;
    this.y = y;
    this.fitted = false;
    this.draw();
  }

  draw() {
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => { this.frame = 0; this.paint(); });
  }

  paint() {
    const { ctx, ground, shown } = this;
    if (!ground || !this.w) return;
    ctx.setTransform(this.dpr, 0, 0, this.dpr, 0, 0);
    const at = [this.x, this.y, this.scale, this.canvas.width, this.canvas.height, this.dpr];
    const pictures = [["shade", 1], ["wetness", 0.75], ["brim", 0.6], ["odds", 0.85]].filter(([name]) => shown[name] && this.pictures[name]);
    this.still("ground", [...at, ...pictures.map(([name]) => this.pictures[name])], () => this.paintGround(pictures));
    if (shown.water && this.depth) this.paintWater();
    this.still("lines", [...at, rem(), shown.contours && this.contours, shown.flow && this.flows, shown.shots && this.shots], () => {
      if (shown.contours && this.contours) this.paintContours();
      if (shown.flow && this.flows) this.paintFlow();
      if (shown.shots) this.paintShots();
    });
    if (shown.rows) this.paintRows();
    if (shown.trees) this.paintTrees();
    for (const paint of this.over) paint(ctx, this);
    this.painted?.();
  }

  // Paints what does not change with the water. Once it is painted a second
  // time for the same things, it is kept as a picture.
  still(name, of, paint) {
    const s = this.stills[name] ??= { canvas: document.createElement("canvas"), of: [], kept: false };
    if (s.of.length !== of.length || s.of.some((v, i) => v !== of[i])) {
      Object.assign(s, { of, kept: false });
      paint();
      return;
    }
    const { ctx } = this;
    if (!s.kept) {
      s.canvas.width = this.canvas.width;
      s.canvas.height = this.canvas.height;
      this.ctx = s.canvas.getContext("2d");
      this.ctx.setTransform(this.dpr, 0, 0, this.dpr, 0, 0);
      paint();
      this.ctx = ctx;
      s.kept = true;
    }
    ctx.save();
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    ctx.drawImage(s.canvas, 0, 0);
    ctx.restore();
  }

  paintGround(pictures) {
    const { ctx, ground } = this;
    ctx.fillStyle = this.colour.unknown;
    ctx.fillRect(0, 0, this.w, this.h);
    const [left, top] = this.toScreen(0, 0), wide = ground.cols * ground.cell * this.scale, high = ground.rows * ground.cell * this.scale;
    ctx.imageSmoothingEnabled = true;
    for (const [name, alpha] of pictures) {
      ctx.globalAlpha = alpha;
      ctx.drawImage(this.pictures[name], left, top, wide, high);
      ctx.globalAlpha = 1;
    }
  }

  // Drawing in metres: lines keep their width on the screen.
  inMetres(draw) {
    const { ctx } = this, s = this.scale * this.dpr;
    ctx.save();
    ctx.setTransform(s, 0, 0, s, (this.w / 2 - this.x * this.scale) * this.dpr, (this.h / 2 - this.y * this.scale) * this.dpr);
    ctx.lineJoin = "round";
    draw((px) => px / this.scale);
    ctx.restore();
  }

  // Water, at the detail of the screen, so that its edge is sharp.
  paintWater() {
    const g = this.ground, s = this.scale;
    let res = this.dpr;
    while (this.w * this.h * res * res > 2.5e6) res *= 0.75;
    const w = Math.max(1, Math.round(this.w * res)), h = Math.max(1, Math.round(this.h * res));
    const canvas = this.waterCanvas;
    if (canvas.width !== w || canvas.height !== h) {
      canvas.width = w;
      canvas.height = h;
      this.waterImage = null;
    }
    const ctx = canvas.getContext("2d");
    this.waterImage ??= ctx.createImageData(w, h);
    const pixels = new Uint32Array(this.waterImage.data.buffer);
    pixels.fill(0);
    const stepX = this.w / w / s / g.cell, stepY = this.h / h / s / g.cell;
    const startX = (this.x - this.w / 2 / s) / g.cell - 0.5, startY = (this.y - this.h / 2 / s) / g.cell - 0.5;
    const { depth } = this, fills = this.fills, limits = this.limits, shore = this.shore, n = limits.length;
    const { cols, rows } = g, { from: first, to: last } = this.water;
    let top = h, bottom = -1, near = w, far = -1; // of the pixels that are wet
    for (let py = 0; py < h; py++) {
      const v = startY + (py + 0.5) * stepY, r = Math.floor(v);
      if (r < -1 || r >= rows) continue;
      const r0 = Math.max(r, 0), r1 = Math.min(r + 1, rows - 1), t = v - r;
      const from = Math.min(first[r0], first[r1]) - 1, to = Math.max(last[r0], last[r1]) + 1;
      if (to < from) continue;
      let px = Math.max(0, Math.ceil((from - startX) / stepX - 0.5));
      const end = Math.min(w - 1, Math.floor((to - startX) / stepX - 0.5));
      const row0 = r0 * cols, row1 = r1 * cols, out = py * w;
      for (; px <= end; px++) {
        const u = startX + (px + 0.5) * stepX, c = Math.floor(u);
        const c0 = c < 0 ? 0 : c, c1 = c + 1 >= cols ? cols - 1 : c + 1;
        if (c0 >= cols) break;
        const f = u - c;
        const a = depth[row0 + c0] * (1 - f) + depth[row0 + c1] * f;
        const b = depth[row1 + c0] * (1 - f) + depth[row1 + c1] * f;
        const d = a + t * (b - a);
        if (!(d > 0)) continue;
        let k = n - 1;
        while (k > 0 && d <= limits[k]) k--;
        pixels[out + px] = fills[k];
        if (top > py) top = py;
        bottom = py;
        if (near > px) near = px;
        if (far < px) far = px;
      }
    }
    // Its edge, a line of the shore's colour.
    const thick = Math.max(1, Math.round(res));
    for (let py = top; py <= bottom; py++) {
      const o = py * w;
      for (let px = near; px <= far; px++) {
        const i = o + px;
        if (pixels[i] === 0 || pixels[i] === shore) continue;
        if ((px >= thick && pixels[i - thick] === 0) || (px + thick < w && pixels[i + thick] === 0) ||
            (py >= thick && pixels[i - thick * w] === 0) || (py + thick < h && pixels[i + thick * w] === 0)) pixels[i] = shore;
      }
    }
    if (bottom < top) return;
    near = Math.max(near - 1, 0);
    top = Math.max(top - 1, 0);
    const wide = Math.min(far + 2, w) - near, high = Math.min(bottom + 2, h) - top, cssX = this.w / w, cssY = this.h / h;
    ctx.putImageData(this.waterImage, 0, 0, near, top, wide, high);
    this.ctx.imageSmoothingEnabled = true;
    this.ctx.drawImage(canvas, near, top, wide, high, near * cssX, top * cssY, wide * cssX, high * cssY);
  }

  setDepths(tints) {
    this.limits = tints.map((t) => t.from);
    this.fills = tints.map((t) => abgr(t.fill, 235));
    this.shore = abgr(this.colour.shore, 255);
  }

  paintContours() {
    const { ctx } = this;
    this.inMetres((px) => {
      ctx.strokeStyle = this.colour.contour;
      ctx.globalAlpha = 0.75;
      ctx.lineWidth = px(0.8);
      ctx.stroke(this.contourThin);
      ctx.globalAlpha = 1;
      ctx.lineWidth = px(1.6);
      ctx.stroke(this.contourThick);
    });
    ctx.font = "0.72rem system-ui, sans-serif".replace("0.72rem", `${0.72 * rem()}px`);
    const taken = [];
    for (const l of this.contours.lines) {
      if (!l.index) continue;
      this.labelLine(l, taken);
    }
  }

  // An elevation on a contour, where the line is straight enough and nothing
  // else stands.
  labelLine(l, taken) {
    const { ctx } = this, at = l.at, n = at.length / 2;
    if (n * this.scale < 4) return;
    for (const share of [0.5, 0.3, 0.7, 0.15, 0.85]) {
      const i = Math.min(Math.max(1, Math.round(share * n)), n - 2);
      const [x, y] = this.toScreen(at[2 * i], at[2 * i + 1]);
      if (x < 30 || y < 20 || x > this.w - 30 || y > this.h - 20) continue;
      const [x0, y0] = this.toScreen(at[2 * i - 2], at[2 * i - 1]), [x1, y1] = this.toScreen(at[2 * i + 2], at[2 * i + 3]);
      if (taken.some(([a, b]) => Math.hypot(a - x, b - y) < 110)) continue;
      taken.push([x, y]);
      let turn = Math.atan2(y1 - y0, x1 - x0);
      if (turn > Math.PI / 2) turn -= Math.PI; else if (turn < -Math.PI / 2) turn += Math.PI;
      ctx.save();
      ctx.translate(x, y);
      ctx.rotate(turn);
      words(ctx, l.label, 0, 0, this.colour.contourText, this.colour.paper, "center");
      ctx.restore();
      return;
    }
  }

  paintFlow() {
    const { ctx } = this;
    this.inMetres((px) => {
      ctx.lineCap = "round";
      ctx.strokeStyle = this.colour.paper;
      for (const f of this.flows) { ctx.lineWidth = px(1.1 * f.width + 1.6); ctx.stroke(f.path); }
      ctx.strokeStyle = this.colour.flow;
      for (const f of this.flows) { ctx.lineWidth = px(1.1 * f.width); ctx.stroke(f.path); }
    });
    ctx.fillStyle = this.colour.flow;
    ctx.strokeStyle = this.colour.paper;
    ctx.lineWidth = 1;
    for (const l of this.flowLines) this.arrows(l);
  }

  arrows(l) {
    const { ctx } = this, every = 90;
    let along = every / 2;
    for (let i = 2; i < l.at.length; i += 2) {
      const [x0, y0] = this.toScreen(l.at[i - 2], l.at[i - 1]), [x1, y1] = this.toScreen(l.at[i], l.at[i + 1]);
      const step = Math.hypot(x1 - x0, y1 - y0);
      along += step;
      if (along < every || step === 0) continue;
      along = 0;
      if (x1 < 0 || y1 < 0 || x1 > this.w || y1 > this.h) continue;
      ctx.save();
      ctx.translate((x0 + x1) / 2, (y0 + y1) / 2);
      ctx.rotate(Math.atan2(y1 - y0, x1 - x0));
      ctx.beginPath();
      ctx.moveTo(5.5, 0);
      ctx.lineTo(-4, 4);
      ctx.lineTo(-4, -4);
      ctx.closePath();
      ctx.stroke();
      ctx.fill();
      ctx.restore();
    }
  }

  paintShots() {
    const { ctx } = this;
    ctx.strokeStyle = this.colour.shot;
    ctx.lineWidth = 1.4;
    ctx.beginPath();
    for (const [gx, gy] of this.shots) {
      const [x, y] = this.toScreen(gx, gy);
      ctx.moveTo(x - 3.5, y - 3.5); ctx.lineTo(x + 3.5, y + 3.5);
      ctx.moveTo(x + 3.5, y - 3.5); ctx.lineTo(x - 3.5, y + 3.5);
    }
    ctx.stroke();
  }

  paintRows() {
    const { ctx } = this;
    for (const row of this.rows) {
      const points = row.line.map(([x, y]) => this.toScreen(x, y));
      ctx.strokeStyle = this.colour.row;
      ctx.lineWidth = row.name === this.row ? 2.6 : 1.1;
      for (const [a, b] of keptParts(row)) {
        ctx.beginPath();
        cutLine(points, a * this.scale, b * this.scale, (x, y, first) => first ? ctx.moveTo(x, y) : ctx.lineTo(x, y));
        ctx.stroke();
      }
      if (points.length === 0) continue;
      const [x, y] = points[0], [x2, y2] = points[points.length - 1];
      const long = Math.hypot(x2 - x, y2 - y) || 1;
      ctx.font = `600 ${0.85 * rem()}px system-ui, sans-serif`;
      words(ctx, row.name, x - 14 * (x2 - x) / long, y - 14 * (y2 - y) / long, this.colour.ink, this.colour.paper, "center");
    }
  }

  // Half the width of a tree's mark, px.
  radius() {
    let spacing = Infinity;
    for (const r of this.rows) spacing = Math.min(spacing, r.spacing);
    return Math.min(Math.max((Number.isFinite(spacing) ? spacing : 4) * this.scale * 0.42, 2.6), 10);
  }

  paintTrees() {
    const { ctx } = this, radius = this.radius(), s = radius / 10;
    const order = { low: 0, unknown: 1, moderate: 2, high: 3, severe: 4 };
    const list = this.sorted ??= [...this.trees].sort((a, b) => order[a.risk] - order[b.risk]);
    const named = radius > 8.5 ? [] : null;
    for (const t of list) {
      const [x, y] = this.toScreen(t.gx, t.gy);
      if (x < -20 || y < -20 || x > this.w + 20 || y > this.h + 20) continue;
      this.mark(t.risk, x, y, s);
      if (t.mound > 0 || t.built > 0) ring(ctx, x, y, radius + 2.5, this.colour.soilLine);
      named?.push([t.id, x, y + radius + 9]);
    }
    if (named) this.name(named.reverse());
    const chosen = this.trees.find((t) => t.id === this.selected);
    if (chosen) {
      const [x, y] = this.toScreen(chosen.gx, chosen.gy);
      ring(ctx, x, y, radius + 6, this.colour.paper, 5);
      ring(ctx, x, y, radius + 6, this.colour.ink, 2.4);
      this.mark(chosen.risk, x, y, Math.max(s, 0.7));
      ctx.font = `600 ${0.85 * rem()}px system-ui, sans-serif`;
      words(ctx, chosen.id, x, y - radius - 16, this.colour.ink, this.colour.paper, "center");
    }
  }

  // Writes names at places, the first first; one that would lie on another is
  // left out until the map is closer.
  name(places) {
    const { ctx } = this, high = 0.72 * rem(), taken = new Map();
    ctx.font = `${high}px system-ui, sans-serif`;
    for (const [id, x, y] of places) {
      const half = ctx.measureText(id).width / 2 + 2, band = Math.round(y / high);
      const near = [-1, 0, 1].flatMap((d) => taken.get(band + d) || []);
      if (near.some((n) => Math.abs(n.x - x) < n.half + half && Math.abs(n.y - y) < high)) continue;
      taken.has(band) ? taken.get(band).push({ x, y, half }) : taken.set(band, [{ x, y, half }]);
      words(ctx, id, x, y, this.colour.ink, this.colour.paper, "center");
    }
  }

  mark(risk, x, y, s) {
    const { ctx } = this, m = this.symbols[risk] || this.symbols.unknown;
    ctx.save();
    ctx.translate(x, y);
    ctx.scale(s, s);
    ctx.lineJoin = "round";
    if (s > 0.35) { ctx.strokeStyle = this.colour.paper; ctx.lineWidth = 6; ctx.stroke(m.body); }
    ctx.fillStyle = m.fill;
    ctx.fill(m.body);
    ctx.strokeStyle = m.ink;
    ctx.lineWidth = Math.max(2, 0.9 / s);
    ctx.stroke(m.body);
    if (m.marks) { ctx.fillStyle = m.mark; ctx.fill(m.marks); }
    ctx.restore();
  }

  setTrees(trees) {
    this.trees = trees;
    this.sorted = null;
    this.draw();
  }

  // The tree nearest to a place on the screen, if it is near.
  treeAt(px, py, reach = 14) {
    let best = null, near = Math.max(reach, this.radius() + 4);
    for (const t of this.trees) {
      const [x, y] = this.toScreen(t.gx, t.gy), d = Math.hypot(x - px, y - py);
      if (d < near) { near = d; best = t; }
    }
    return best;
  }
}

// The size of the page's letters, px. Asking for it makes a browser lay out the
// page, so it is asked for once a second.
let asked = -1e9, letters = 16;
export function rem() {
  if (performance.now() - asked > 1000) {
    letters = parseFloat(getComputedStyle(document.documentElement).fontSize) || 16;
    asked = performance.now();
  }
  return letters;
}

function trace(at, closed) {
  const p = new Path2D();
  for (let i = 0; i < at.length; i += 2) i === 0 ? p.moveTo(at[0], at[1]) : p.lineTo(at[i], at[i + 1]);
  if (closed) p.closePath();
  return p;
}

function ring(ctx, x, y, r, colour, width = 1.4) {
  ctx.beginPath();
  ctx.arc(x, y, r, 0, TAU);
  ctx.strokeStyle = colour;
  ctx.lineWidth = width;
  ctx.stroke();
}

export function words(ctx, text, x, y, ink, paper, align = "left") {
  ctx.textAlign = align;
  ctx.textBaseline = "middle";
  ctx.lineJoin = "round";
  ctx.strokeStyle = paper;
  ctx.lineWidth = 3.5;
  ctx.strokeText(text, x, y);
  ctx.fillStyle = ink;
  ctx.fillText(text, x, y);
}

function abgr(hex, alpha) {
  const v = parseInt(hex.slice(1), 16);
  return ((alpha << 24) | ((v & 0xff) << 16) | (v & 0xff00) | (v >> 16)) >>> 0;
}

export function lineLength(line) {
  let s = 0;
  for (let i = 1; i < line.length; i++) s += Math.hypot(line[i][0] - line[i - 1][0], line[i][1] - line[i - 1][1]);
  return s;
}

// The parts of a row between its gaps, m along it.
function keptParts(row) {
  const long = lineLength(row.line), parts = [];
  let from = 0;
  for (const [a, b] of [...row.gaps].sort((p, q) => p[0] - q[0])) {
    if (a > from) parts.push([from, Math.min(a, long)]);
    from = Math.max(from, b);
  }
  if (from < long) parts.push([from, long]);
  return parts;
}

function cutLine(points, from, to, use) {
  let along = 0, begun = false;
  for (let i = 1; i < points.length; i++) {
    const [x0, y0] = points[i - 1], [x1, y1] = points[i], step = Math.hypot(x1 - x0, y1 - y0);
    if (step > 0 && along + step >= from && along <= to) {
      const a = Math.max(0, (from - along) / step), b = Math.min(1, (to - along) / step);
      if (!begun) { use(x0 + a * (x1 - x0), y0 + a * (y1 - y0), true); begun = true; }
      use(x0 + b * (x1 - x0), y0 + b * (y1 - y0), false);
    }
    along += step;
  }
}
