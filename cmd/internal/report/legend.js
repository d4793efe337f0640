// The legend: what can be shown, and what each mark that is shown means.
const SVG = "http://www.w3.org/2000/svg";

function drawn(tag, attributes) {
  const e = document.createElementNS(SVG, tag);
  for (const [k, v] of Object.entries(attributes)) { e.setAttribute(k, v); }
  return e;
}

function sample(...shapes) {
  const s = drawn("svg", { viewBox: "0 0 24 14", class: "swatch", "aria-hidden": "true" });
  s.append(...shapes);
  return s;
}

function swatch(fill, line) { return sample(drawn("rect", { x: 0.5, y: 0.5, width: 23, height: 13, fill, stroke: line, "stroke-width": 1 })); }

function stroke(colour, width, dash) { return sample(drawn("path", { d: "M1 7H23", fill: "none", stroke: colour, "stroke-width": width, "stroke-dasharray": dash || "none" })); }

function banks(line, between) {
  const two = drawn("g", { fill: "none" });
  two.append(drawn("path", { d: "M1 7H23", stroke: line, "stroke-width": 6 }), drawn("path", { d: "M1 7H23", stroke: between, "stroke-width": 3 }));
  return sample(two);
}

function markOf(name) {
  const s = drawn("svg", { viewBox: "-11 -11 22 22", class: "mark", "aria-hidden": "true" });
  s.append(drawn("use", { href: "#mark-" + name }));
  return s;
}

function drawLegend(box, map) {
  const { data, colour, shown } = map, looks = data.looks, units = measure.feet ? "feet" : "metric";
  const used = new Set(data.flow.map((l) => l.k || 0));
  const numbered = (text) => { const b = document.createElement("b"); b.textContent = text; return b; };
  const layers = [
    ["trees", "Trees by risk", looks.risks.map((r) => [markOf(r.name), r.name + ": " + r.shape])],
    ["rows", "Rows", [[stroke(colour.row, 1.5), "a row, broken at gaps"]]],
    ["storm", "Depth of water when the rain ends", (looks.depths[units] || []).map((t) => [swatch(t.fill, colour.quiet), t.label]), data.storm, "no water stands anywhere"],
    ["odds", "Odds that water stands", looks.odds.map((t) => [swatch(t.fill, colour.quiet), t.label]), data.odds, "under 5 in 100 everywhere"],
    ["hollows", "Hollows", [[stroke(colour.shore, 1.5, "5 3"), "as far as they can fill"], [numbered("1"), "number, as in the table of hollows"]], map.hollows.length > 0],
    ["links", "Ditches and pipes of the plan", [["ditch", banks(colour.shore, colour.paper)], ["pipe", stroke(colour.shore, 4, "7 4")]].flatMap(([kind, mark]) => map.links.some((l) => Boolean(l.ditch) === (kind === "ditch")) ? [[mark, kind]] : []), map.links.length > 0],
    ["flow", "Where water runs", looks.flows[units].flatMap((t, k) => used.has(k) ? [[stroke(colour.flow, 1.1 * t.width), "from " + t.label]] : []), data.flow.length > 0],
    ["contours", "Contours", [[stroke(colour.contour, 1), "every " + measure.interval(data.every)]], data.contours.length > 0],
    ["shade", "Shaded ground", []],
  ];
  const focused = document.activeElement && document.activeElement.dataset.layer;
  box.querySelectorAll(".layer").forEach((e) => e.remove());
  for (const [name, title, marks, there = true, none] of layers) {
    if (!there) { continue; }
    const layer = document.createElement("div"), label = document.createElement("label"), tick = document.createElement("input");
    layer.className = "layer";
    label.className = "tick";
    tick.type = "checkbox";
    tick.checked = shown[name];
    tick.dataset.layer = name;
    tick.addEventListener("change", () => { shown[name] = tick.checked; map.draw(); drawLegend(box, map); });
    label.append(tick, title);
    layer.append(label);
    if (shown[name] && (marks.length || none)) {
      const list = document.createElement("ul");
      for (const [mark, words] of marks.length ? marks : [["", none]]) {
        const item = document.createElement("li");
        item.append(mark, words);
        list.append(item);
      }
      layer.append(list);
    }
    box.append(layer);
    if (name === focused) { tick.focus(); }
  }
}

// The scale bar, about so many px long.
function drawScale(bar, map) {
  const metres = measure.tidy(Math.min(150, map.w / 4) / map.scale), long = metres * map.scale, text = measure.distance(metres);
  bar.setAttribute("width", long + 4.5 * rem());
  bar.setAttribute("aria-label", "Scale bar: " + text);
  const words = drawn("text", { x: long + 8, y: 15 });
  words.textContent = text;
  bar.replaceChildren(drawn("path", { d: `M2 8V16H${long + 2}V8`, fill: "none", stroke: "currentColor", "stroke-width": 2 }), words);
}
