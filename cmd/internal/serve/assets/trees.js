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

// Tells of one tree.
export function tellTree(title, body, t, looks) {
  title.replaceChildren(symbol(looks, t.risk, "1.5rem"), ` ${t.id}, ${t.common || t.species}`);
  const p = (text, kind) => { const e = document.createElement("p"); e.textContent = text; if (kind) e.className = kind; return e; };
  const facts = document.createElement("dl");
  const fact = (k, v) => { const dt = document.createElement("dt"), dd = document.createElement("dd"); dt.textContent = k; dd.textContent = v; facts.append(dt, dd); };
  fact("Risk", t.risk === "unknown" ? "not known" : t.risk);
  if (t.row) fact("Along row " + t.row, u.distance(t.along));
  if (t.known) {
    fact("Ground", u.level(t.ground));
    fact("Deepest water", t.depth > 0 ? u.depth(t.depth) : "none");
    fact("Roots wet", u.spell(t.hours));
    if (t.year !== undefined) fact("Usual year", t.year > 0 ? `wet ${u.spell(24 * t.year)} on end` : "never wet");
    if (t.ponding !== undefined) fact("Odds of standing water", `${Math.round(100 * t.ponding)} in 100`);
  }
  body.replaceChildren(p(t.species, "sci"), p(t.why), facts);
  return body;
}
