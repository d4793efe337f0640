// What is built and dug: mounds, beds, walls, ditches and pipes, drawn on the
// map, and what they do to the water.
import * as u from "./units.js";
import { rem, words, lineLength } from "./mapview.js";

const make = (tag, props = {}, ...children) => {
  const e = Object.assign(document.createElement(tag), props);
  e.append(...children);
  return e;
};
const $ = (id) => document.getElementById(id);
const kinds = {
  mound: { name: "Mound", height: 0.4, width: 1, ends: 1 },
  bed: { name: "Bed", height: 0.3, width: 1.5 },
  wall: { name: "Wall", height: 0.5, width: 0.3 },
  ditch: { name: "Ditch", depth: 0.3 },
  pipe: { name: "Pipe", depth: 0.3 },
};
const sending = "Sending the water over it …";
const earth = (w) => w.height !== undefined;

export class Works {
  constructor(page, view, { before }) {
    Object.assign(this, { page, view, before, chosen: "", point: -1, drawing: null, cursor: null, moved: null, held: null, timer: 0 });
    view.over.push((ctx) => this.paint(ctx));
    for (const b of document.querySelectorAll("#work-kinds button[data-kind]")) b.addEventListener("click", () => this.begin(b.dataset.kind));
    $("work-end").addEventListener("click", () => this.end());
    const hold = $("work-before"), show = (on) => (e) => { if (e.type !== "pointerdown") e.preventDefault(); this.showBefore(on); };
    hold.addEventListener("pointerdown", show(true));
    hold.addEventListener("contextmenu", (e) => e.preventDefault()); // a finger that holds
    for (const name of ["pointerup", "pointerleave", "pointercancel", "blur"]) hold.addEventListener(name, show(false));
    hold.addEventListener("keydown", (e) => { if (e.key === " " || e.key === "Enter") show(true)(e); });
    hold.addEventListener("keyup", (e) => { if (e.key === " " || e.key === "Enter") show(false)(e); });
    for (const text of page.site.cautions) $("work-cautions").append(make("li", { textContent: text }));
  }

  get on() { return $("map").dataset.tool === "draw"; }
  get list() { return this.page.plan.now.works; }
  get busy() { return JSON.stringify(this.list) !== this.of; }

  takenUp(tool) {
    this.settle();
    this.point = -1;
    if (tool !== "draw") { this.drawing = null; this.cursor = null; }
    this.mark();
  }

  begin(kind) {
    this.settle();
    this.drawing = { kind, line: [] };
    this.chosen = "";
    this.point = -1;
    this.cursor = null;
    this.show();
    this.view.canvas.focus({ preventScroll: true });
  }

  // Says what the hand does now, and has the tools for it.
  mark() {
    const { drawing, told } = this, b = told?.before, p = $("work-say");
    for (const button of document.querySelectorAll("#work-kinds button[data-kind]")) button.setAttribute("aria-pressed", String(button.dataset.kind === drawing?.kind));
    $("work-tools").hidden = !this.on && !b;
    $("work-kinds").hidden = !this.on;
    $("work-before").hidden = !b && !this.on;
    $("work-before").disabled = !b;
    $("work-end").hidden = !drawing?.line.length;
    const at = this.on && this.point >= 0 && this.list.find((w) => w.name === this.chosen);
    let words = "Choose what to draw.", more = false;
    if (drawing) words = guide(drawing);
    else if (this.busy) words = sending;
    else if (b) { words = `Stands when the rain ends: ${u.volume(told.after.ponded)}, before ${u.volume(b.ponded)}. `; more = true; }
    else if (this.list.length) words = "Choose what to draw, or drag a point of what is drawn.";
    if (at) words = `${at.name}, point ${this.point + 1} of ${at.line.length}: arrow keys move it. ${words}`;
    if (p.dataset.words !== words) {
      p.dataset.words = words;
      p.textContent = words;
      if (more) {
        const link = make("a", { href: "#work-title", textContent: "What it does" });
        link.addEventListener("click", (e) => { e.preventDefault(); $("work").scrollIntoView(); $("work-title").focus(); });
        p.append(link);
      }
    }
    this.view.draw();
  }

  // A point is set, so far east and south of the corner.
  set([x, y]) {
    const d = this.drawing, g = this.page.ground, p = [+(g.west + x).toFixed(2), +(g.north - y).toFixed(2)];
    const last = d.line.at(-1);
    if (last && Math.hypot(p[0] - last[0], p[1] - last[1]) * this.view.scale < 8) { this.end(); return; }
    d.line.push(p);
    if (kinds[d.kind].ends === d.line.length) this.end(); else this.mark();
  }

  // Ends the drawing and keeps it, if it is anything.
  end() {
    const d = this.drawing;
    this.drawing = null;
    if (d && d.line.length >= (kinds[d.kind].ends || 2)) {
      const w = { kind: d.kind, line: d.line };
      for (const key of ["height", "width", "depth"]) if (kinds[d.kind][key]) w[key] = kinds[d.kind][key];
      this.add(w);
    }
    this.show();
  }

  // Puts a work into the plan, under a name that none has.
  add(w) {
    const taken = new Set(this.list.map((v) => v.name)), { name } = kinds[w.kind];
    let i = 1;
    while (taken.has(`${name} ${i}`)) i++;
    this.chosen = `${name} ${i}`;
    this.page.plan.change("", (p) => { p.works.push({ ...w, name: `${name} ${i}` }); });
  }

  // Takes hold of a point, or chooses the work there.
  grab(at) {
    if (this.drawing) return null;
    const g = this.page.ground;
    let best = null, near = 18;
    for (const w of this.list) {
      w.line.forEach(([e, n], i) => {
        const [x, y] = this.view.toScreen(e - g.west, g.north - n), d = Math.hypot(x - at[0], y - at[1]) - (w.name === this.chosen ? 2 : 0);
        if (d < near) { near = d; best = { name: w.name, i }; }
      });
    }
    if (!best) return null;
    this.settle();
    this.chosen = best.name;
    this.point = best.i;
    this.show();
    return {
      to: ([x, y]) => { this.moved = { ...best, at: [+(g.west + x).toFixed(2), +(g.north - y).toFixed(2)] }; this.view.draw(); },
      let: () => this.settle(),
    };
  }

  // Puts a point that was moved into the plan.
  settle() {
    clearTimeout(this.timer);
    const m = this.moved;
    this.moved = null;
    if (m) this.edit(m.name, (w) => { w.line[m.i] = m.at; });
    this.view.draw();
  }

  edit(name, change) {
    this.page.plan.change("", (d) => { const w = d.works.find((v) => v.name === name); if (w) change(w); });
    this.show();
  }

  remove(name) {
    this.chosen = "";
    this.point = -1;
    this.moved = null;
    this.page.plan.change("", (d) => { d.works = d.works.filter((w) => w.name !== name); });
    this.show();
    if (!$("work").hidden) $("work-title").focus();
  }

  // Goes to the next point of all that is drawn, or the one before.
  step(by) {
    this.settle();
    const all = this.list.flatMap((w) => w.line.map((_, i) => ({ w, i })));
    const k = all.findIndex(({ w, i }) => w.name === this.chosen && i === Math.max(this.point, 0));
    const { w, i } = all[k < 0 ? 0 : this.point < 0 ? k : (k + by + all.length) % all.length];
    this.chosen = w.name;
    this.point = i;
    this.show();
    this.view.show(w.line[i][0] - this.page.ground.west, this.page.ground.north - w.line[i][1]);
  }

  // Moves the chosen point by so many pixels. It is put into the plan when the
  // keys rest.
  nudge([dx, dy]) {
    const w = this.list.find((v) => v.name === this.chosen);
    if (!w?.line[this.point]) return false;
    const { view, page } = this, g = page.ground, [e, n] = this.moved?.at || w.line[this.point];
    const at = [+(e + dx / view.scale).toFixed(2), +(n - dy / view.scale).toFixed(2)];
    this.moved = { name: w.name, i: this.point, at };
    view.show(at[0] - g.west, g.north - at[1]);
    page.hand.under(view.toScreen(at[0] - g.west, g.north - at[1]));
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.settle(), 500);
    view.draw();
    return true;
  }

  // A key on the map. The cross moves a step of the screen, so that it is as
  // fine as the eye.
  key(e) {
    if (!this.on) return false;
    const { view } = this, step = e.shiftKey ? 40 : 8, move = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[e.key];
    if (e.key === "Escape" && this.drawing) { this.end(); return true; }
    if (!this.drawing) {
      if (this.list.length === 0) return false;
      if (e.key === "n" || e.key === "p") this.step(e.key === "n" ? 1 : -1);
      else if (e.key === "Delete" && this.chosen) this.remove(this.chosen);
      else if (e.key === "Escape" && this.chosen) { this.settle(); this.chosen = ""; this.point = -1; this.show(); }
      else if (move && this.point >= 0) return this.nudge(move.map((v) => v / 2));
      else return false;
      view.draw();
      return true;
    }
    this.cursor ??= [view.x, view.y];
    if (move) {
      this.cursor = [this.cursor[0] + move[0] / view.scale, this.cursor[1] + move[1] / view.scale];
      view.show(...this.cursor);
      this.page.hand.under(view.toScreen(...this.cursor));
    } else if (e.key === "Enter") this.set(this.cursor);
    else return false;
    view.draw();
    return true;
  }

  line(w) { return this.moved?.name === w.name ? w.line.map((p, i) => i === this.moved.i ? this.moved.at : p) : w.line; }

  paint(ctx) {
    const { view, page } = this, g = page.ground, c = view.colour;
    const all = [...this.list.map((w) => ({ ...w, line: this.line(w) }))];
    if (this.drawing) all.push({ ...this.drawing, name: "", width: kinds[this.drawing.kind].width, height: kinds[this.drawing.kind].height });
    for (const w of all) {
      const at = w.line.map(([e, n]) => view.toScreen(e - g.west, g.north - n)), chosen = w.name === this.chosen;
      if (at.length === 0) continue;
      const path = () => { ctx.beginPath(); at.forEach(([x, y], i) => i ? ctx.lineTo(x, y) : ctx.moveTo(x, y)); };
      ctx.lineJoin = ctx.lineCap = "round";
      ctx.setLineDash([]);
      if (earth(w)) {
        const side = w.kind === "wall" ? 0.1 : 2, foot = (w.width + 2 * side * w.height) * view.scale, top = w.width * view.scale;
        if (w.kind === "mound") at.push([at[0][0] + 0.01, at[0][1]]);
        for (const [width, colour, alpha] of [[Math.max(foot, 7) + 3, c.paper, 0.9], [Math.max(foot, 7), c.soil, 0.9], [Math.max(top, 3), c.soilLine, 0.85]]) {
          path();
          ctx.globalAlpha = alpha;
          ctx.strokeStyle = colour;
          ctx.lineWidth = width;
          ctx.stroke();
        }
        ctx.globalAlpha = 1;
        if (w.kind === "mound") at.pop();
      } else {
        for (const [width, colour] of [[7, c.paper], [4, c.shore]]) {
          path();
          if (w.kind === "pipe" && width < 7) ctx.setLineDash([2, 8]);
          ctx.strokeStyle = colour;
          ctx.lineWidth = width;
          ctx.stroke();
        }
        ctx.setLineDash([]);
        arrow(ctx, at, c);
      }
      if (w.name) {
        ctx.font = `${chosen ? 700 : 600} ${0.8 * rem()}px system-ui, sans-serif`;
        words(ctx, w.name, at[0][0], at[0][1] - 14, c.ink, c.paper, "center");
      }
      if (this.on) for (const [i, [x, y]] of at.entries()) {
        const r = chosen && i === this.point ? 10 : chosen || !w.name ? 7 : 5;
        ctx.beginPath();
        ctx.moveTo(x - r, y); ctx.lineTo(x, y - r); ctx.lineTo(x + r, y); ctx.lineTo(x, y + r);
        ctx.closePath();
        ctx.fillStyle = chosen ? c.soilLine : c.paper;
        ctx.strokeStyle = c.ink;
        ctx.lineWidth = 2;
        ctx.fill();
        ctx.stroke();
      }
    }
    if (this.drawing && this.cursor) {
      const [x, y] = view.toScreen(...this.cursor);
      for (const [width, colour] of [[5, c.paper], [2, c.ink]]) {
        ctx.beginPath();
        ctx.moveTo(x - 14, y); ctx.lineTo(x + 14, y); ctx.moveTo(x, y - 14); ctx.lineTo(x, y + 14);
        ctx.strokeStyle = colour;
        ctx.lineWidth = width;
        ctx.stroke();
      }
    }
  }

  // An answer has come: what stands and leaves, before and after.
  answered(works, plan) {
    if (works) {
      this.told = works;
      this.of = JSON.stringify(plan.works);
    }
    this.held = null; // the water of now is shown
    $("work-before").setAttribute("aria-pressed", "false");
    this.show();
  }

  // None comes to what is drawn now.
  refused() {
    this.told = null;
    this.of = JSON.stringify(this.list);
    this.show();
  }

  showBefore(on) {
    const b = on ? this.told?.before || null : null;
    if (this.held === b) return;
    this.held = b;
    $("work-before").setAttribute("aria-pressed", String(!!b));
    this.before(b);
  }

  show() {
    const list = this.list, told = this.told, b = told?.before;
    this.mark();
    $("work-result").setAttribute("aria-busy", String(this.busy));
    $("work-state").textContent = this.busy ? sending : "";
    $("work").hidden = list.length === 0 && !b;
    if ($("work").hidden) return;
    const focus = document.activeElement?.closest?.("#work-list") ? document.activeElement.dataset.field : "";
    const key = JSON.stringify([list, this.chosen, told?.each, u.isFeet()]);
    if (key !== this.listed) {
      this.listed = key;
      $("work-list").replaceChildren(...list.map((w) => this.entry(w, told?.each.find((v) => v.name === w.name && v.kind === w.kind))));
      if (focus) $("work-list").querySelector(`[data-field="${CSS.escape(focus)}"]`)?.focus();
    }
    if (this.written === told && this.writtenFeet === u.isFeet()) return;
    this.written = told;
    this.writtenFeet = u.isFeet();
    const row = (name, was, is) => make("tr", {}, make("th", { scope: "row", textContent: name }), ...(b ? [make("td", { className: "n", textContent: was })] : []), make("td", { className: "n", textContent: is }));
    const rate = (l) => u.isFeet() ? `${(l * 15.850323).toFixed(0)} gal/min` : `${l.toFixed(1)} l/s`;
    const head = make("tr", {}, make("th", { scope: "col", textContent: "Water" }), ...(b ? [make("th", { scope: "col", className: "n", textContent: "before" })] : []), make("th", { scope: "col", className: "n", textContent: b ? "after" : "now" }));
    $("work-water").hidden = !told || told.each.length === 0 && !b;
    if (told) $("work-water").replaceChildren(make("thead", {}, head), make("tbody", {},
      row("Stands when the rain ends", b && u.volume(b.ponded), u.volume(told.after.ponded)),
      row("Over the boundary, to a day after", b && u.volume(b.left), u.volume(told.after.left)),
      row("Most that crosses it at once", b && rate(b.peak), rate(told.after.peak))));
    const soil = [];
    if (told?.fill > 0) soil.push(`Fill: ${u.volume(told.fill)} settled, ${u.volume(told.loose)} to bring loose.`);
    if (told?.cut > 0) soil.push(`Cut: ${u.volume(told.cut)} as it lies now.`);
    if (b) soil.push(changes(told.changed || []));
    if (b && b.left + 0.5 < told.after.left) soil.push("More water leaves the site than before: it goes onto somebody's ground.");
    $("work-sums").replaceChildren(...soil.map((s) => make("li", { textContent: s })));
  }

  entry(w, told) {
    const unit = u.lengthUnit(), chosen = w.name === this.chosen;
    const number = (label, key, { least = 0.05, step = 0.05 } = {}) => {
      const i = make("input", { type: "number", step, min: least, value: u.toField(w[key]), inputMode: "decimal" });
      i.dataset.field = `${w.name} ${key}`;
      i.addEventListener("change", () => { const v = u.fromField(parseFloat(i.value)); if (v > 0) this.edit(w.name, (d) => { d[key] = v; }); else i.value = u.toField(w[key]); });
      return make("label", {}, `${label} (${unit}) `, i);
    };
    const level = (label, key) => {
      const i = make("input", { type: "number", step: "any", value: u.toField(w[key]), inputMode: "decimal" });
      i.dataset.field = `${w.name} ${key}`;
      i.addEventListener("change", () => { const v = u.fromField(parseFloat(i.value)); if (Number.isFinite(v)) this.edit(w.name, (d) => { d[key] = v; }); else i.value = u.toField(w[key]); });
      return make("label", {}, `${label} (${unit}) `, i);
    };
    const title = make("button", { type: "button", className: "plain", textContent: w.name });
    title.dataset.field = w.name;
    title.setAttribute("aria-expanded", String(chosen));
    title.addEventListener("click", () => { this.chosen = chosen ? "" : w.name; this.show(); this.view.draw(); });
    const bits = [];
    if (w.line.length > 1) bits.push(u.distance(lineLength(w.line)));
    if (told) bits.push(`${u.volume(told.volume)} ${earth(w) ? "of fill" : "to dig"}`);
    const li = make("li", { className: chosen ? "chosen" : "" }, make("div", { className: "head" }, title, make("span", { className: "quiet", textContent: bits.join(", ") })));
    if (told?.dry) li.append(make("p", { className: "warn", textContent: `It ${w.kind === "ditch" ? "crosses" : "begins at"} no hollow that water stands in, so it drains nothing.` }));
    if (told?.idle) li.append(make("p", { className: "warn", textContent: "It lets nothing out: it ends where it begins or no lower, or its bottom lies too high. Lead it on to lower ground, or make it deeper." }));
    if (told?.buried) li.append(make("p", { className: "warn", textContent: `Its lower end lies ${u.depth(told.buried)} under the ground. Lead it on to lower ground: as drawn no water can leave it, though it is counted as if it could.` }));
    if (chosen) {
      const fields = make("div", { className: "fields" });
      if (earth(w)) fields.append(number("Height", "height"), number("Width on top", "width"));
      else if (w.invert === undefined) fields.append(number("Depth below the hollow's brim", "depth"));
      else fields.append(level("Level of its bottom at the upper end", "invert"), ...(w.outlet === undefined ? [] : [level("and at the lower end", "outlet")]));
      if (w.kind === "pipe") {
        const i = make("input", { type: "number", step: "any", min: 0, value: w.capacity ? +(1000 * w.capacity).toFixed(2) : "", inputMode: "decimal" });
        i.dataset.field = `${w.name} capacity`;
        i.addEventListener("change", () => this.edit(w.name, (d) => { const v = parseFloat(i.value); if (v > 0) d.capacity = v / 1000; else delete d.capacity; }));
        fields.append(make("label", {}, "Carries (l/s; empty: all that comes) ", i));
      }
      const remove = make("button", { type: "button", textContent: "Remove" });
      remove.dataset.field = `${w.name} remove`;
      remove.setAttribute("aria-label", `Remove ${w.name}`);
      remove.addEventListener("click", () => this.remove(w.name));
      li.append(fields, make("div", { className: "buttons" }, remove));
    }
    return li;
  }
}

// What the hand does while a work is drawn.
function guide({ kind, line }) {
  const n = line.length;
  if (kind === "mound") return "Click its middle. With keys: arrows move the cross, Enter sets it.";
  if (n === 0) return `Click along the ${kind}, ${kind === "ditch" || kind === "pipe" ? "from the water downhill" : "from end to end"}. With keys: arrows move the cross, Enter sets a point, Escape ends.`;
  return `${n} ${n === 1 ? "point" : "points"} set. ${n > 1 ? "Done, Escape or a click on the last point ends it." : "Set the next."}`;
}

const order = ["low", "moderate", "high", "severe"];

function changes(list) {
  if (list.length === 0) return "No tree changes its class of risk.";
  const side = (ids) => ids.slice(0, 8).join(", ") + (ids.length > 8 ? ` and ${ids.length - 8} more` : "");
  const better = list.filter((c) => order.indexOf(c.now) < order.indexOf(c.was)).map((c) => c.id);
  const worse = list.filter((c) => order.indexOf(c.now) > order.indexOf(c.was)).map((c) => c.id);
  return [better.length && `Less at risk: ${side(better)}.`, worse.length && `More at risk: ${side(worse)}.`].filter(Boolean).join(" ");
}

// The way the water goes, at the lower end.
function arrow(ctx, at, c) {
  if (at.length < 2) return;
  const [x0, y0] = at.at(-2), [x1, y1] = at.at(-1);
  ctx.save();
  ctx.translate(x1, y1);
  ctx.rotate(Math.atan2(y1 - y0, x1 - x0));
  ctx.beginPath();
  ctx.moveTo(16, 0); ctx.lineTo(3, 8); ctx.lineTo(3, -8);
  ctx.closePath();
  ctx.fillStyle = c.shore;
  ctx.strokeStyle = c.paper;
  ctx.lineWidth = 1.5;
  ctx.fill();
  ctx.stroke();
  ctx.restore();
}
