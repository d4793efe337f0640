// The legend: what is shown, and what can be shown.
import * as u from "./units.js";

const NS = "http://www.w3.org/2000/svg";

export function symbol(looks, risk, size = "1.3em") {
  const m = looks.risks.find((r) => r.name === risk) || looks.risks[looks.risks.length - 1];
  const svg = document.createElementNS(NS, "svg");
  svg.setAttribute("viewBox", "-11 -11 22 22");
  svg.setAttribute("width", size);
  svg.setAttribute("height", size);
  svg.setAttribute("aria-hidden", "true");
  svg.classList.add("mark");
  const path = (d, fill, stroke) => {
    const p = document.createElementNS(NS, "path");
    p.setAttribute("d", d);
    p.setAttribute("fill", fill);
    if (stroke) { p.setAttribute("stroke", stroke); p.setAttribute("stroke-width", "2"); p.setAttribute("stroke-linejoin", "round"); }
    svg.append(p);
  };
  path(m.body, m.fill, m.ink);
  if (m.marks) path(m.marks, m.mark);
  return svg;
}

function swatch(fill) {
  const i = document.createElementNS(NS, "svg");
  i.setAttribute("viewBox", "0 0 22 14");
  i.classList.add("swatch");
  i.setAttribute("aria-hidden", "true");
  const r = document.createElementNS(NS, "rect");
  for (const [k, v] of Object.entries({ x: 0.5, y: 0.5, width: 21, height: 13, fill, stroke: "#55544e", "stroke-width": 0.7 })) r.setAttribute(k, v);
  i.append(r);
  return i;
}

function stroke(colour, width, dash = "") {
  const i = document.createElementNS(NS, "svg");
  i.setAttribute("viewBox", "0 0 22 14");
  i.classList.add("swatch");
  i.setAttribute("aria-hidden", "true");
  const p = document.createElementNS(NS, "path");
  for (const [k, v] of Object.entries({ d: "M1 7H21", stroke: colour, "stroke-width": width, "stroke-dasharray": dash })) p.setAttribute(k, v);
  i.append(p);
  return i;
}

export function drawLegend(box, looks, view, { units, contour, toggle }) {
  const c = looks.colours;
  const seen = new Set(view.trees.map((t) => t.risk));
  const groups = [
    ["trees", "Trees by risk", looks.risks.filter((r) => seen.has(r.name)).map((r) => [symbol(looks, r.name), r.name === "unknown" ? "not known" : r.name])],
    ["water", "Water of the storm", looks.depths[units].map((t) => [swatch(t.fill), t.label])],
    ["brim", "Hollows, full to the brim", looks.depths[units].map((t) => [swatch(t.fill), t.label])],
    ["odds", "Odds of standing water", (looks.odds || []).map((t) => [swatch(t.fill), t.label]), !view.hasOdds],
    ["wetness", "Wetness by the lie of the land", looks.wet.map((t) => [swatch(t.fill), t.label])],
    ["contours", "Contours", [[stroke(c.contour, 1.6), `every ${u.interval(contour)}`]]],
    ["flow", "Where water runs", looks.flows[units].map((t) => [stroke(c.flow, 1.1 * t.width), `${t.label} above it`])],
    ["rows", "Rows", [[stroke(c.row, 2), "broken at gaps"]]],
    ["shots", "Spot heights", [[stroke(c.shot, 2), "crosses"]], view.shots.length === 0],
    ["shade", "Shaded ground", []],
  ];
  const key = JSON.stringify([units, contour, [...seen].sort(), view.shown, view.hasOdds]);
  if (box.dataset.key === key) return;
  const focus = document.activeElement?.dataset?.layer;
  box.dataset.key = key;
  box.replaceChildren(...groups.filter((g) => !g[3]).map(([name, title, entries]) => {
    const set = document.createElement("div");
    set.className = "layer";
    const label = document.createElement("label");
    const check = document.createElement("input");
    check.type = "checkbox";
    check.checked = view.shown[name];
    check.dataset.layer = name;
    check.addEventListener("change", () => toggle(name, check.checked));
    label.append(check, title);
    set.append(label);
    if (view.shown[name] && entries.length) {
      const list = document.createElement("ul");
      for (const [mark, words] of entries) {
        const li = document.createElement("li");
        li.append(mark, words);
        list.append(li);
      }
      set.append(list);
    }
    return set;
  }));
  if (focus) box.querySelector(`[data-layer="${focus}"]`)?.focus();
}
