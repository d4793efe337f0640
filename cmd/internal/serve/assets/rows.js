// The form of a row: its spacing, pattern, gaps and ends.
import * as u from "./units.js";
import { lineLength } from "./mapview.js";

const make = (tag, props = {}, ...children) => {
  const e = Object.assign(document.createElement(tag), props);
  e.append(...children);
  return e;
};

export class RowForm {
  constructor(box, page, { choose }) {
    this.box = box;
    this.page = page;
    this.choose = choose;
    const planned = page.site.species.filter((s) => s.planned), others = page.site.species.filter((s) => !s.planned);
    const byName = (a, b) => a.common.localeCompare(b.common);
    this.options = [["Planned here", planned.sort(byName)], ["All others", others.sort(byName)]];
  }

  edit(kind, change) {
    const name = this.page.row;
    this.page.plan.change(kind, (d) => { const row = d.rows.find((r) => r.name === name); if (row) change(row, d); });
  }

  show() {
    const row = this.page.plan.now.rows.find((r) => r.name === this.page.row);
    this.box.parentElement.hidden = !row;
    if (!row) return;
    const key = JSON.stringify([row, u.isFeet()]);
    if (this.key === key) return;
    const focus = document.activeElement?.closest?.("#row-body") ? document.activeElement.dataset.field : "";
    this.key = key;
    const unit = u.lengthUnit();
    const number = (field, value, set, { step = "any", min } = {}) => {
      const i = make("input", { type: "number", step, value, inputMode: "decimal" });
      if (min !== undefined) i.min = min;
      i.dataset.field = field;
      i.addEventListener("change", () => { const v = parseFloat(i.value); if (Number.isFinite(v)) set(v); else i.value = value; });
      return i;
    };
    const button = (words, label, act) => {
      const b = make("button", { type: "button", textContent: words });
      if (label) b.setAttribute("aria-label", label);
      b.dataset.field = label || words;
      b.addEventListener("click", act);
      return b;
    };
    const spacing = make("label", {}, `Spacing (${unit}) `, number("spacing", u.toField(row.spacing), (v) => this.edit("spacing", (r) => { r.spacing = u.fromField(v); }), { step: 0.1, min: 0.1 }));
    const pattern = make("ol", { className: "pattern" });
    row.pattern.forEach((name, i) => {
      const select = this.species(name);
      select.setAttribute("aria-label", `Plant ${i + 1} of the pattern`);
      select.dataset.field = `plant ${i}`;
      select.addEventListener("change", () => this.edit("", (r) => { r.pattern[i] = select.value; }));
      pattern.append(make("li", {}, select, button("Remove", `Remove plant ${i + 1} of the pattern`, () => this.edit("", (r) => { if (r.pattern.length > 1) r.pattern.splice(i, 1); }))));
    });
    const gaps = make("ul", { className: "gaps" });
    row.gaps.forEach(([a, b], i) => {
      const set = (end) => (v) => this.edit("", (r) => { r.gaps[i][end] = u.fromField(v); });
      gaps.append(make("li", {},
        make("label", {}, "from ", number(`gap ${i} from`, u.toField(a), set(0), { step: 0.5, min: 0 })),
        make("label", {}, "to ", number(`gap ${i} to`, u.toField(b), set(1), { step: 0.5, min: 0 })),
        button("Remove", `Remove gap ${i + 1}`, () => this.edit("", (r) => { r.gaps.splice(i, 1); }))));
    });
    const end = (words, k) => {
      const i = k < 0 ? row.line.length - 1 : 0;
      const [e, n] = row.line[i];
      return make("span", { className: "end" }, `${words} `,
        make("label", {}, "E ", number(`${words} E`, +e.toFixed(2), (v) => this.edit("", (r) => { r.line[i][0] = v; }), { step: 0.1 })),
        make("label", {}, "N ", number(`${words} N`, +n.toFixed(2), (v) => this.edit("", (r) => { r.line[i][1] = v; }), { step: 0.1 })));
    };
    const long = lineLength(row.line);
    this.box.parentElement.querySelector("h2").textContent = `Row ${row.name}`;
    this.box.replaceChildren(
      make("p", { className: "quiet", textContent: `${u.distance(long)} long, ${this.page.reply.trees.filter((t) => t.row === row.name).length} plants` }),
      spacing,
      make("div", {}, make("h3", { textContent: "Pattern along the row" }), pattern, button("Add a plant", "", () => this.edit("", (r) => { r.pattern.push(r.pattern[r.pattern.length - 1] || "-"); }))),
      make("div", {}, make("h3", { textContent: `Gaps (${unit} along the row)` }), gaps, button("Add a gap", "", () => this.edit("", (r) => { const at = Math.max(0, Math.min(long - 4, (r.gaps.at(-1)?.[1] ?? long / 2) + 2)); r.gaps.push([+at.toFixed(1), +(at + 4).toFixed(1)]); }))),
      make("details", {}, make("summary", { textContent: "Its ends" }), end("Start", 0), end("End", -1)),
      make("div", { className: "buttons" },
        button("New row beside it", "", () => this.add(row)),
        button("Remove the row", `Remove row ${row.name}`, () => this.remove(row))),
    );
    if (focus) this.box.querySelector(`[data-field="${CSS.escape(focus)}"]`)?.focus();
  }

  species(name) {
    const select = make("select");
    select.append(new Option("– empty –", "-"));
    let found = name === "-" || name === "";
    for (const [title, list] of this.options) {
      const group = make("optgroup", { label: title });
      for (const s of list) {
        const is = s.species === name || s.common === name;
        found ||= is;
        group.append(new Option(`${s.common} (${s.species})`, is ? name : s.species, false, is));
      }
      select.append(group);
    }
    if (!found) select.append(new Option(name, name, true, true));
    select.value = found && (name === "" || name === "-") ? "-" : name;
    return select;
  }

  // A new row goes beside the chosen one, as far off as its nearest neighbour.
  add(row) {
    const rows = this.page.plan.now.rows, [a, b] = [row.line[0], row.line.at(-1)];
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1, nx = (b[1] - a[1]) / long, ny = -(b[0] - a[0]) / long;
    let apart = Infinity;
    for (const r of rows) {
      if (r === row) continue;
      const d = Math.abs((r.line[0][0] - a[0]) * nx + (r.line[0][1] - a[1]) * ny);
      if (d > 0.5) apart = Math.min(apart, d);
    }
    if (!Number.isFinite(apart)) apart = 6;
    const names = new Set(rows.map((r) => r.name));
    let name = "", k = 0;
    do { name = letters(k++); } while (names.has(name));
    this.page.plan.change("", (d) => {
      d.rows.push({ ...row, name, line: row.line.map(([x, y]) => [+(x + nx * apart / 2).toFixed(3), +(y + ny * apart / 2).toFixed(3)]) });
    });
    this.choose(name);
  }

  remove(row) {
    this.page.plan.change("", (d) => { d.rows = d.rows.filter((r) => r.name !== row.name); });
  }
}

function letters(i) {
  let name = "";
  for (i++; i > 0; i = Math.floor((i - 1) / 26)) name = String.fromCharCode(65 + (i - 1) % 26) + name;
  return name;
}

// Handles on the rows, to drag: their points, and the rows themselves.
export function grabRow(page, [px, py]) {
  const view = page.view, g = page.ground;
  let best = null, near = 16;
  page.plan.now.rows.forEach((row) => row.line.forEach(([e, n], i) => {
    const [x, y] = view.toScreen(e - g.west, g.north - n), d = Math.hypot(x - px, y - py);
    if (d < near) { near = d; best = { row: row.name, point: i }; }
  }));
  if (!best) {
    near = 9;
    for (const row of page.plan.now.rows) {
      for (let i = 1; i < row.line.length; i++) {
        const [x0, y0] = view.toScreen(row.line[i - 1][0] - g.west, g.north - row.line[i - 1][1]), [x1, y1] = view.toScreen(row.line[i][0] - g.west, g.north - row.line[i][1]);
        const long = (x1 - x0) ** 2 + (y1 - y0) ** 2 || 1, t = Math.min(1, Math.max(0, ((px - x0) * (x1 - x0) + (py - y0) * (y1 - y0)) / long));
        const d = Math.hypot(px - x0 - t * (x1 - x0), py - y0 - t * (y1 - y0));
        if (d < near) { near = d; best = { row: row.name, point: -1 }; }
      }
    }
  }
  if (!best) return null;
  const begin = view.toGround(px, py), was = structuredClone(page.plan.now.rows.find((r) => r.name === best.row).line);
  page.held = best;
  return {
    row: best.row,
    to([x, y]) {
      const dx = x - begin[0], dy = begin[1] - y;
      page.plan.change("drag", (d) => {
        const row = d.rows.find((r) => r.name === best.row);
        if (row) row.line = was.map(([e, n], i) => best.point < 0 || best.point === i ? [+(e + dx).toFixed(2), +(n + dy).toFixed(2)] : [e, n]);
      });
    },
    let() { page.held = null; page.plan.rest(); },
  };
}

export function paintHandles(ctx, view, page) {
  if (document.getElementById("map").dataset.tool !== "move") return;
  const g = page.ground;
  for (const row of page.plan.now.rows) {
    row.line.forEach(([e, n], i) => {
      const [x, y] = view.toScreen(e - g.west, g.north - n), held = page.held?.row === row.name && (page.held.point === i || page.held.point < 0);
      const r = held ? 8 : 6;
      ctx.fillStyle = held ? view.colour.shore : view.colour.paper;
      ctx.strokeStyle = view.colour.shore;
      ctx.lineWidth = 2.5;
      ctx.fillRect(x - r, y - r, 2 * r, 2 * r);
      ctx.strokeRect(x - r, y - r, 2 * r, 2 * r);
    });
  }
}
