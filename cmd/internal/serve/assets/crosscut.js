// The long section below the map: of a row, or of a line the grower draws on
// the map. Places are metres east and south of the corner of the ground.
import * as u from "./units.js";
import { drawSection, sample } from "./section.js";
import { lineLength, rem, words } from "./mapview.js";

export const LINE = "\tline"; // no row has this name
const seldom = 100; // ms from one picture to the next while a hand slides
const reach = 16; // px from a point of the line that takes hold of it

// Where a line comes nearest to a place: metres along it and off it.
export function project(line, [x, y]) {
  let along = 0, best = { along: 0, off: Infinity };
  for (let i = 1; i < line.length; i++) {
    const [x0, y0] = line[i - 1], dx = line[i][0] - x0, dy = line[i][1] - y0, long = Math.hypot(dx, dy);
    const t = long > 0 ? Math.min(1, Math.max(0, ((x - x0) * dx + (y - y0) * dy) / (long * long))) : 0;
    const off = Math.hypot(x - x0 - t * dx, y - y0 - t * dy);
    if (off < best.off) best = { along: along + t * long, off };
    along += long;
  }
  return best;
}

// The place so far along a line.
export function placeAt(line, along) {
  for (let i = 1; i < line.length; i++) {
    const [x0, y0] = line[i - 1], dx = line[i][0] - x0, dy = line[i][1] - y0, long = Math.hypot(dx, dy);
    if (along <= long || i === line.length - 1) { const t = long > 0 ? along / long : 0; return [x0 + t * dx, y0 + t * dy]; }
    along -= long;
  }
  return line[0];
}

// The trees within half a spacing of a line, in their order along it. A tree
// of no row keeps the least spacing there is, or 4 m where there are no rows.
export function treesBeside(line, trees, rows) {
  const spacing = new Map(rows.map((r) => [r.name, r.spacing]));
  const least = rows.length ? Math.min(...spacing.values()) : 4;
  const out = [];
  for (const t of trees) {
    const p = project(line, [t.gx, t.gy]);
    if (p.off <= (spacing.get(t.row) || least) / 2) out.push({ ...t, ...p });
  }
  return out.sort((a, b) => a.along - b.along);
}

export class CrossCut {
  constructor(page, hand, { box, key, scale, choose, changed }) {
    Object.assign(this, { page, hand, box, keyBox: key, scaleBox: scale, choose, changed });
    this.line = null; // of the hand, at least one point
    this.open = false; // the next point goes to its end
    this.drawn = false; // the line is what is shown
    hand.tools.cut = this;
    page.view.over.push((ctx) => this.paint(ctx));
    box.addEventListener("pointermove", (e) => this.point(e));
    box.addEventListener("pointerleave", () => this.point(null));
  }

  get whole() { return this.line?.length > 1 && lineLength(this.line) > 0; }

  // Whether a tree is seen in the section of the drawn line.
  holds(id) { return this.drawn && this.seen?.some((t) => t.id === id); }

  // Shows the section of the row again.
  row() { this.drawn = false; }

  // Shows the section of the drawn line, or asks for one.
  chooseLine() {
    this.drawn = true;
    if (!this.whole) document.querySelector("input[name=hand][value=cut]").click();
    this.show();
    this.page.view.draw();
  }

  // What the hand does, see Hand.
  takeUp() { this.end(); }

  down(at) {
    const view = this.page.view, place = view.toGround(...at).map(cm);
    let k = this.line ? this.line.findIndex(([x, y]) => { const [px, py] = view.toScreen(x, y); return Math.hypot(px - at[0], py - at[1]) < reach; }) : -1;
    if (k >= 0 && this.open && k === this.line.length - 1) { this.end(); return { to: () => {} }; }
    const moves = k >= 0;
    if (!moves) {
      if (this.open) this.line.push(place);
      else { this.line = [place]; this.open = true; }
      k = this.line.length - 1;
    }
    this.now();
    let pulled = false;
    return {
      to: (p) => {
        if (!moves && !pulled && this.line.length === 1) { this.line.push(place); k = 1; }
        pulled = true;
        this.next = null;
        this.line[k] = p.map(cm);
        this.now();
      },
      let: () => { if (pulled && !moves && this.line.length === 2) this.end(); this.now(); },
    };
  }

  hover(place) {
    if (!this.open) return;
    this.next = place;
    this.page.view.draw();
  }

  // Without a pointer: Enter puts a point at the middle of the map.
  key(e) {
    if (e.key === "Enter") {
      const p = [this.page.view.x, this.page.view.y].map(cm);
      if (!this.open) { this.line = [p]; this.open = true; } else this.line.push(p);
    } else if (e.key === "Backspace" && this.line) {
      this.line.pop();
      if (this.line.length === 0) { this.line = null; this.open = false; }
    } else if (e.key === "Escape" && this.open) this.end();
    else return false;
    this.now();
    return true;
  }

  end() {
    this.open = false;
    this.next = null;
    if (this.line && !this.whole) this.line = null;
    this.page.view.draw();
  }

  now() {
    this.drawn = true;
    this.changed();
    this.show();
    this.page.view.draw();
  }

  // Draws the section once the map is painted, however often it is asked for.
  soon() {
    this.waiting ||= setTimeout(() => requestAnimationFrame(() => setTimeout(() => {
      this.waiting = 0;
      this.shown = performance.now();
      this.show();
    })), Math.max(0, (this.shown || -1e9) + seldom - performance.now()));
  }

  // Draws the section.
  show() {
    const { page } = this;
    if (!page.reply) return;
    let line, trees, gaps = [], name;
    if (this.drawn) {
      if (!this.whole) {
        this.box.innerHTML = `<p class="quiet hint">Pull a line across the map, or tap its points one after the other. By keys: Enter puts a point at the middle of the map, Escape ends the line.</p>`;
        this.keyBox.replaceChildren();
        this.scaleBox.textContent = "";
        this.seen = [];
        return;
      }
      line = this.line;
      trees = treesBeside(line, page.reply.trees, page.plan.now.rows);
      name = "the line drawn on the map";
    } else {
      const row = page.view.rows.find((r) => r.name === page.row);
      if (!row || row.line.length < 2 || !(lineLength(row.line) > 0)) return;
      ({ line, gaps } = row);
      trees = page.reply.trees.filter((t) => t.row === row.name);
      name = `row ${row.name}`;
    }
    this.seen = trees;
    this.of = line;
    const s = sample(page.ground, page.water, line, page.time, page.table), when = document.getElementById("when-out").textContent;
    const flagged = trees.filter((t) => t.flagged).length;
    this.drawing = drawSection(this.box, s, {
      looks: page.site.looks, trees, gaps, selected: page.selected, onTree: (id) => this.choose(id), ends: this.drawn ? ["A", "B"] : [],
      title: `Long section of ${name}, ${u.distance(s.long)} long: ${trees.length} trees, ${flagged} flagged, the water ${when}.`,
    });
    const { times, key } = this.drawing;
    this.scaleBox.textContent = times > 0 ? `${u.distance(s.long)}; heights drawn exactly ${times === 1 ? "as large as" : `${times} times larger than`} lengths` : "";
    this.legend(key.map(([mark, dash, width, text]) => [mark, dash, width, mark === "pool" ? `water ${when}` : text]));
  }

  legend(key) {
    const text = JSON.stringify(key), c = this.page.site.looks.colours;
    if (this.keyBox.dataset.key === text) return;
    this.keyBox.dataset.key = text;
    const swatch = (mark, dash, width) => ({
      pool: `<rect x="1" y="3" width="28" height="10" fill="#7fb5dd"/>`,
      line: `<path d="M1 8H29" stroke="${c.shore}" stroke-width="${width}" stroke-dasharray="${dash}"/>`,
      dots: `<path d="M2 8H29" stroke="${c.flow}" stroke-width="${width}" stroke-dasharray="${dash}" stroke-linecap="round"/>`,
      mound: `<path d="M2 13C9 13 9 4 13 4H17C21 4 21 13 28 13Z" fill="${c.soil}" stroke="${c.soilLine}" stroke-width="1.2"/>`,
      crown: `<path d="M15 0V11" stroke="${c.row}" stroke-width="1.3"/><circle cx="15" cy="11" r="2.6" fill="${c.paper}" stroke="${c.row}" stroke-width="1.4"/>`,
      rungs: `<path d="M4 13L10 3M11 13L17 3M18 13L24 3" stroke="${c.quiet}" stroke-width="1.2" opacity="0.6"/>`,
    })[mark];
    this.keyBox.innerHTML = key.map(([mark, dash, width, words]) => `<li><svg viewBox="0 0 30 16" aria-hidden="true">${swatch(mark, dash, width)}</svg>${words}</li>`).join("");
  }

  // Shows on the map which place of the section the pointer is at, and says
  // how high ground and water are there.
  point(e) {
    const d = this.drawing, svg = this.box.querySelector("svg"), out = document.getElementById("under");
    this.spot = null;
    const rule = svg?.querySelector(".at");
    if (e && rule) {
      const box = svg.getBoundingClientRect(), a = d.along(e.clientX - box.left);
      if (a >= 0 && a <= lineLength(this.of)) {
        const [x, y] = this.spot = placeAt(this.of, a), g = this.page.ground, z = g.between(g.soft, x, y), i = g.at(x, y);
        rule.setAttribute("d", `M${d.X(a).toFixed(1)} ${d.top}V${d.bottom}`);
        const deep = i >= 0 && g.label[i] ? this.page.water.level[g.label[i]] - z : 0;
        out.textContent = `${u.distance(a)} along  ${z === z ? `ground ${u.level(z)}` : "no elevation"}${deep > 0 ? `  water ${u.depth(deep)}` : ""}`;
      }
    }
    if (!this.spot) { rule?.removeAttribute("d"); out.textContent = ""; }
    this.page.view.draw();
  }

  paint(ctx) {
    const { view } = this.page, c = view.colour;
    const dot = (x, y, r, fill) => { ctx.beginPath(); ctx.arc(x, y, r, 0, 2 * Math.PI); ctx.fillStyle = fill; ctx.fill(); ctx.strokeStyle = c.ink; ctx.lineWidth = 2; ctx.stroke(); };
    const tool = this.hand.tool === "cut";
    if (this.line && (this.drawn || tool)) {
      const points = [...this.line, ...(this.open && this.next ? [this.next] : [])].map(([x, y]) => view.toScreen(x, y));
      for (const [colour, width] of [[c.paper, 6], [c.ink, 2.4]]) {
        ctx.beginPath();
        points.forEach(([x, y], i) => i ? ctx.lineTo(x, y) : ctx.moveTo(x, y));
        ctx.strokeStyle = colour;
        ctx.lineWidth = width;
        ctx.lineJoin = "round";
        ctx.stroke();
      }
      if (tool) for (const [x, y] of points) dot(x, y, 5, c.paper);
      ctx.font = `700 ${rem()}px system-ui, sans-serif`;
      const [x0, y0] = points[0], [x1, y1] = points[points.length - 1], long = Math.hypot(x1 - x0, y1 - y0) || 1, far = 0.95 * rem();
      words(ctx, "A", x0 - far * (x1 - x0) / long, y0 - far * (y1 - y0) / long - (long === 1 ? far : 0), c.ink, c.paper, "center");
      if (points.length > 1) words(ctx, "B", x1 + far * (x1 - x0) / long, y1 + far * (y1 - y0) / long, c.ink, c.paper, "center");
    }
    if (this.spot) dot(...view.toScreen(...this.spot), 5.5, "#ffd84d");
    if (tool && document.activeElement === view.canvas && view.canvas.matches(":focus-visible")) {
      const x = view.w / 2, y = view.h / 2;
      for (const [colour, width] of [[c.paper, 4], [c.ink, 1.6]]) {
        ctx.beginPath();
        ctx.moveTo(x - 12, y); ctx.lineTo(x + 12, y); ctx.moveTo(x, y - 12); ctx.lineTo(x, y + 12);
        ctx.strokeStyle = colour;
        ctx.lineWidth = width;
        ctx.stroke();
      }
    }
  }
}

const cm = (v) => Math.round(100 * v) / 100;
