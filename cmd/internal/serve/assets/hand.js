// What pointer and keys do on the map.
import * as u from "./units.js";
import { rem, words } from "./mapview.js";

export class Hand {
  constructor(canvas, view, page, act) {
    Object.assign(this, { canvas, view, page, act });
    this.pointers = new Map();
    this.tape = null; // points of a measurement
    this.tools = {}; // what other tools do: takeUp, down, hover, key
    canvas.addEventListener("pointerdown", (e) => this.down(e));
    canvas.addEventListener("pointermove", (e) => this.move(e));
    for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (e) => this.up(e));
    canvas.addEventListener("pointerleave", () => { this.under(null); });
    canvas.addEventListener("wheel", (e) => {
      e.preventDefault();
      const [px, py] = this.at(e);
      view.zoom(Math.exp(-(e.deltaMode === 1 ? 30 : 1) * e.deltaY / 400), px, py);
    }, { passive: false });
    canvas.addEventListener("keydown", (e) => this.key(e));
    view.over.push((ctx) => this.paintTape(ctx));
    for (const r of document.querySelectorAll("input[name=hand]")) r.addEventListener("change", () => this.takeUp(r.value));
  }

  get tool() { return document.querySelector("input[name=hand]:checked").value; }

  takeUp(tool) {
    this.tape = null;
    this.canvas.dataset.tool = tool;
    for (const t of Object.values(this.tools)) t.takeUp?.(tool);
    this.page.works?.takenUp(tool);
    this.view.draw();
  }

  at(e) {
    const b = this.canvas.getBoundingClientRect();
    return [e.clientX - b.left, e.clientY - b.top];
  }

  down(e) {
    this.canvas.setPointerCapture(e.pointerId);
    this.pointers.set(e.pointerId, this.at(e));
    this.travelled = 0;
    this.from = this.at(e);
    if (this.pointers.size === 1 && this.tool === "measure") {
      const p = this.view.toGround(...this.from);
      if (!this.tape || this.tape.done) this.tape = { points: [p] };
      else this.tape.points.push(p);
    }
    if (this.pointers.size === 1 && this.tool === "draw") this.held = this.page.works.grab(this.from);
    if (this.pointers.size === 1 && this.tool === "move") this.held = this.act.grab?.(this.from) || null;
    if (this.pointers.size === 1 && this.tools[this.tool]) this.held = this.tools[this.tool].down(this.from);
  }

  move(e) {
    const p = this.at(e), before = this.pointers.get(e.pointerId);
    if (!before) { this.under(p); this.tools[this.tool]?.hover?.(this.view.toGround(...p)); return; }
    this.pointers.set(e.pointerId, p);
    this.travelled += Math.hypot(p[0] - before[0], p[1] - before[1]);
    if (this.pointers.size === 2) {
      const [a, b] = [...this.pointers.values()], other = a === p ? b : a;
      const was = Math.hypot(before[0] - other[0], before[1] - other[1]), is = Math.hypot(p[0] - other[0], p[1] - other[1]);
      this.view.pan((p[0] - before[0]) / 2, (p[1] - before[1]) / 2);
      if (was > 0) this.view.zoom(is / was, (p[0] + other[0]) / 2, (p[1] + other[1]) / 2);
      return;
    }
    if (this.held) { if (this.travelled > 3) this.held.to(this.view.toGround(...p)); return; }
    if (this.tool === "measure" && this.tape) { this.tape.next = this.view.toGround(...p); this.view.draw(); this.under(p); return; }
    this.view.pan(p[0] - before[0], p[1] - before[1]);
  }

  up(e) {
    const p = this.at(e);
    this.pointers.delete(e.pointerId);
    if (this.held) { this.held.let?.(); this.held = null; if (this.travelled > 3 || this.tools[this.tool]) return; }
    if (e.type === "pointercancel") return;
    if (this.tool === "draw" && this.page.works.drawing) {
      if (this.travelled < 8) this.page.works.set(this.view.toGround(...p));
      return;
    }
    if (this.tool === "measure") {
      if (this.tape && this.travelled > 6) { this.tape.points.push(this.view.toGround(...p)); this.tape.done = true; }
      this.sayTape();
      this.view.draw();
      return;
    }
    if (this.travelled < 6) {
      const t = this.view.treeAt(...p, e.pointerType === "touch" ? 24 : 14);
      this.act.choose(t ? t.id : "");
    }
  }

  // Says where the pointer is, and how high the ground.
  under(p) {
    const out = document.getElementById("under");
    if (!p) { out.textContent = ""; return; }
    const g = this.page.ground, [x, y] = this.view.toGround(...p), z = g.level(x, y);
    let s = `E ${(g.west + x).toFixed(1)}  N ${(g.north - y).toFixed(1)}`;
    s += z === z ? `  ground ${u.level(z)}` : "  no elevation";
    const i = g.at(x, y);
    if (i >= 0 && this.view.depth && this.view.depth[i] > 0) s += `  water ${u.depth(this.view.depth[i])}`;
    if (this.tool === "measure" && this.tape && !this.tape.done) { this.tape.next = [x, y]; this.view.draw(); }
    out.textContent = s;
  }

  tapeLength() {
    const pts = this.tape.done || !this.tape.next ? this.tape.points : [...this.tape.points, this.tape.next];
    let s = 0;
    for (let i = 1; i < pts.length; i++) s += Math.hypot(pts[i][0] - pts[i - 1][0], pts[i][1] - pts[i - 1][1]);
    return [pts, s];
  }

  sayTape() {
    if (!this.tape) return;
    const [pts, s] = this.tapeLength();
    if (pts.length > 1) document.getElementById("under").textContent = this.tapeWords(pts, s);
  }

  tapeWords(pts, s) {
    const g = this.page.ground, a = g.level(...pts[0]), b = g.level(...pts[pts.length - 1]);
    let text = u.distance(s);
    if (a === a && b === b) text += `, ${b >= a ? "up" : "down"} ${u.depth(Math.abs(b - a))}`;
    return text;
  }

  paintTape(ctx) {
    if (!this.tape) return;
    const [pts, s] = this.tapeLength();
    const at = pts.map(([x, y]) => this.view.toScreen(x, y)), c = this.view.colour;
    for (const [colour, width] of [[c.paper, 5], [c.ink, 2]]) {
      ctx.beginPath();
      at.forEach(([x, y], i) => i ? ctx.lineTo(x, y) : ctx.moveTo(x, y));
      ctx.strokeStyle = colour;
      ctx.lineWidth = width;
      ctx.stroke();
    }
    for (const [x, y] of at) {
      ctx.beginPath();
      ctx.arc(x, y, 4, 0, 2 * Math.PI);
      ctx.fillStyle = c.paper;
      ctx.fill();
      ctx.strokeStyle = c.ink;
      ctx.lineWidth = 1.6;
      ctx.stroke();
    }
    if (pts.length > 1) {
      ctx.font = `600 ${0.9 * rem()}px system-ui, sans-serif`;
      const [x, y] = at[at.length - 1];
      words(ctx, this.tapeWords(pts, s), Math.min(x + 10, this.view.w - 150), Math.max(16, y - 14), c.ink, c.paper);
    }
  }

  key(e) {
    const v = this.view, far = e.shiftKey ? 200 : 60;
    const pan = { ArrowLeft: [far, 0], ArrowRight: [-far, 0], ArrowUp: [0, far], ArrowDown: [0, -far] }[e.key];
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    if (this.tools[this.tool]?.key?.(e)) { e.preventDefault(); return; }
    if (this.page.works?.key(e)) { e.preventDefault(); return; }
    if (pan && this.tool === "move" && this.act.nudge?.(e.key, e.shiftKey)) { e.preventDefault(); return; }
    if (pan) v.pan(...pan);
    else if (e.key === "+" || e.key === "=") v.zoom(1.4);
    else if (e.key === "-") v.zoom(1 / 1.4);
    else if (e.key === "0") v.whole();
    else if (e.key === "n" || e.key === "p") this.step(e.key === "n" ? 1 : -1);
    else if (e.key === "Enter" && this.page.selected) this.act.choose(this.page.selected, { focus: true });
    else if (e.key === "Escape") { this.tape = null; this.act.choose(""); v.draw(); }
    else return;
    e.preventDefault();
  }

  step(by) {
    const trees = this.page.reply.trees;
    if (trees.length === 0) return;
    const i = trees.findIndex((t) => t.id === this.page.selected);
    this.act.choose(trees[i < 0 ? (by > 0 ? 0 : trees.length - 1) : (i + by + trees.length) % trees.length].id);
  }
}
