// The list of trees, and what is told of one.
import * as u from "./units.js";
import { symbol } from "./legend.js";

const rank = { severe: 0, high: 1, moderate: 2, unknown: 3, low: 4 };
const atOnce = 150;

export class TreeList {
  constructor(table, { choose, site }) {
    this.table = table;
    this.body = table.tBodies[0];
    this.choose = choose;
    this.looks = site.looks;
    this.limit = atOnce;
    this.chosen = "";
    this.body.addEventListener("click", (e) => {
      const tr = e.target.closest("tr");
      if (tr) { this.choose(tr.dataset.tree, { focus: e.detail === 0 }); }
    });
    this.body.addEventListener("keydown", (e) => this.key(e));
  }

  // Arrow keys go through the list; it is one stop of the tab key.
  key(e) {
    const by = { ArrowDown: 1, ArrowUp: -1, PageDown: 10, PageUp: -10, Home: -1e9, End: 1e9 }[e.key];
    if (!by) return;
    e.preventDefault();
    const rows = [...this.body.rows], i = rows.indexOf(e.target.closest("tr"));
    const to = rows[Math.min(Math.max(i + by, 0), rows.length - 1)];
    to.querySelector("button").focus();
    this.choose(to.dataset.tree);
  }

  show(trees) {
    this.trees = trees;
    const only = document.getElementById("only").checked, find = document.getElementById("find").value.trim().toLowerCase();
    const list = trees.filter((t) => (!only || t.flagged || t.risk === "unknown") && (!find || `${t.id} ${t.common} ${t.species}`.toLowerCase().includes(find)));
    list.sort((a, b) => rank[a.risk] - rank[b.risk]);
    const flagged = trees.filter((t) => t.flagged).length;
    document.getElementById("trees-count").textContent = `${flagged} of ${trees.length} flagged; ${list.length} in this list`;
    document.getElementById("more").hidden = list.length <= this.limit;
    const had = document.activeElement?.closest?.("#trees tbody tr")?.dataset.tree;
    this.body.replaceChildren(...list.slice(0, this.limit).map((t) => this.line(t)));
    this.mark(this.chosen);
    if (had) [...this.body.rows].find((r) => r.dataset.tree === had)?.querySelector("button").focus();
  }

  more() {
    this.limit += 10 * atOnce;
    this.show(this.trees);
  }

  line(t) {
    const tr = document.createElement("tr");
    tr.dataset.tree = t.id;
    const risk = document.createElement("td");
    risk.append(symbol(this.looks, t.risk), t.risk === "unknown" ? "not known" : t.risk);
    const id = document.createElement("th");
    id.scope = "row";
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = t.id;
    button.tabIndex = -1;
    id.append(button);
    const cell = (text, kind = "") => { const td = document.createElement("td"); td.textContent = text; td.className = kind; return td; };
    const wet = Math.max(t.hours, 24 * (t.year || 0));
    tr.append(risk, id, cell(t.common || t.species), cell(t.depth > 0 ? u.depth(t.depth) : "–", "n"), cell(t.known ? u.spell(wet) : "–"));
    return tr;
  }

  mark(id) {
    this.chosen = id;
    let stop = null;
    for (const tr of this.body.rows) {
      const is = tr.dataset.tree === id;
      tr.classList.toggle("chosen", is);
      if (is) tr.setAttribute("aria-current", "true"); else tr.removeAttribute("aria-current");
      const b = tr.querySelector("button");
      b.tabIndex = -1;
      if (is) stop = b;
    }
    (stop || this.body.querySelector("button"))?.setAttribute("tabindex", "0");
  }
}

const make = (tag, props = {}, ...children) => {
  const e = Object.assign(document.createElement(tag), props);
  e.append(...children);
  return e;
};
const percent = (p) => p < 0.005 ? "under 1 in 100" : p > 0.995 ? "over 99 in 100" : `${Math.round(100 * p)} in 100`;

// Tells of one tree, and lets it be changed.
export function tellTree(title, body, t, page) {
  const looks = page.site.looks, told = page.plan.now.trees.find((x) => x.id === t.id) || {};
  title.replaceChildren(symbol(looks, t.risk, "1.5rem"), ` ${t.id}, ${t.common || t.species}`);
  const p = (text, kind) => make("p", { textContent: text, className: kind || "" });
  const facts = make("dl");
  const fact = (k, v) => facts.append(make("dt", { textContent: k }), make("dd", { textContent: v }));
  const range = (v, write) => v && v[2] > 0 ? `, ${write(v[0])} to ${write(v[2])} in 8 of 10 cases` : "";
  fact("Risk", (t.risk === "unknown" ? "not known" : t.risk) + (t.trial ? ", on trial" : ""));
  if (t.loss !== undefined) fact("Odds of losing it", percent(t.loss));
  if (t.ponding !== undefined) fact("Odds of water here", percent(t.ponding));
  if (t.known) {
    fact("Deepest water", (t.depth > 0 ? u.depth(t.depth) : "none") + range(t.depths, u.depth));
    fact("Roots wet", u.spell(t.hours) + range(t.spells, u.spell));
    if (t.year !== undefined) fact("Usual year", t.year > 0 ? `wet ${u.spell(24 * t.year)} on end` : "never wet");
    fact("Ground", u.level(t.ground) + (t.built > 0 ? `, on a mound of ${u.depth(t.built)}` : ""));
  }
  if (t.row) fact("Along row " + t.row, u.distance(t.along));

  const key = document.activeElement?.closest?.("#one-body")?.contains(document.activeElement) ? document.activeElement.dataset.field : "";
  const change = (edit, kind = "") => page.plan.change(kind, (d) => edit(page.told(d, t.id)));
  const button = (words, act) => {
    const b = make("button", { type: "button", textContent: words });
    b.dataset.field = words;
    b.addEventListener("click", act);
    return b;
  };
  const advice = make("div", { className: "buttons" });
  if (t.mound && t.flagged) advice.append(button(`Raise on a mound of ${u.mound(t.mound)}${t.raised !== undefined ? ` (odds of loss ${percent(t.raised)})` : ""}`, () => change((x) => { x.mound = u.builtMound(t.mound); })));
  (t.flagged ? t.swaps || [] : []).forEach((s, i) => advice.append(button(`Plant ${s.common} instead${i === 0 && t.swapped !== undefined ? ` (odds of loss ${percent(t.swapped)})` : ""}`, () => change((x) => { x.species = s.species; }))));

  const species = page.rowForm.species(told.species || t.species);
  species.dataset.field = "species";
  species.querySelector("option[value='-']")?.remove();
  species.addEventListener("change", () => change((x) => { x.species = species.value; }));
  const field = (name, value, set, step) => {
    const i = make("input", { type: "number", step, value });
    i.dataset.field = name;
    i.addEventListener("change", () => { const v = parseFloat(i.value); if (Number.isFinite(v)) change((x) => set(x, v)); });
    return i;
  };
  const check = (words, name) => {
    const i = make("input", { type: "checkbox", checked: !!told[name] });
    i.dataset.field = name;
    i.addEventListener("change", () => change((x) => { if (i.checked) x[name] = true; else delete x[name]; }));
    return make("label", {}, i, ` ${words}`);
  };
  const small = u.isFeet() ? 0.0254 : 0.01, unit = u.isFeet() ? "in" : "cm";
  const form = make("details", { open: page.treeForm || false }, make("summary", { textContent: "Change this tree" }),
    make("label", { className: "stack" }, "Plant ", species),
    make("label", {}, `Mound (${unit}) `, field("mound", +((told.mound || 0) / small).toFixed(1), (x, v) => { if (v > 0) x.mound = +(v * small).toFixed(4); else delete x.mound; }, 1)),
    make("span", { className: "end" }, "Place ",
      make("label", {}, "E ", field("E", t.x, (x, v) => { x.at = [v, t.y]; }, 0.1)),
      make("label", {}, "N ", field("N", t.y, (x, v) => { x.at = [t.x, v]; }, 0.1))),
    check("on trial: it is tried out here knowingly", "trial"),
    check("it stays where it is", "fixed"),
    button("As the row has it", () => page.plan.change("", (d) => { d.trees = d.trees.filter((x) => x.id !== t.id); })));
  form.addEventListener("toggle", () => { page.treeForm = form.open; });
  body.replaceChildren(p(t.species, "sci"), p(t.why), facts, advice, form);
  if (key) body.querySelector(`[data-field="${CSS.escape(key)}"]`)?.focus();
}

// Takes hold of a chosen tree, to plant it elsewhere.
export function grabTree(page, t, [px, py]) {
  const [x0, y0] = page.view.toGround(px, py), was = [t.x, t.y];
  return {
    to([x, y]) {
      page.plan.change("drag tree", (d) => { page.told(d, t.id).at = [+(was[0] + x - x0).toFixed(2), +(was[1] + y0 - y).toFixed(2)]; });
    },
    let() { page.plan.rest(); },
  };
}
