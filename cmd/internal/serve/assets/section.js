// The long section: the ground seen from its side, cut open along a row or a
// drawn line, with the water of the moment in it.
import * as u from "./units.js";
import { lineLength, rem } from "./mapview.js";

const most = 1200; // samples

// Samples ground and water along a line.
export function sample(ground, water, line, time, table) {
  const long = lineLength(line), n = Math.min(most, Math.max(2, Math.ceil(long / ground.cell) + 1));
  const out = { long, along: new Float64Array(n), z: new Float64Array(n), now: new Float64Array(n), peak: new Float64Array(n), table: table ? new Float64Array(n) : null };
  const now = water.levels(new Float64Array(ground.most + 1), time), peak = water.levels(new Float64Array(ground.most + 1), "peak");
  let seg = 0, start = 0, step = line.length > 1 ? Math.hypot(line[1][0] - line[0][0], line[1][1] - line[0][1]) : 0;
  for (let i = 0; i < n; i++) {
    const s = long * i / (n - 1);
    while (seg < line.length - 2 && s > start + step) {
      start += step;
      seg++;
      step = Math.hypot(line[seg + 1][0] - line[seg][0], line[seg + 1][1] - line[seg][1]);
    }
    const t = step > 0 ? Math.min(1, (s - start) / step) : 0;
    const x = line[seg][0] + t * (line[seg + 1][0] - line[seg][0]), y = line[seg][1] + t * (line[seg + 1][1] - line[seg][1]);
    const k = ground.at(x, y), z = ground.between(ground.soft, x, y), label = k < 0 ? 0 : ground.label[k];
    out.along[i] = s;
    out.z[i] = z;
    out.now[i] = label && now[label] > z ? now[label] : NaN;
    out.peak[i] = label && peak[label] > z ? peak[label] : NaN;
    if (table) out.table[i] = k < 0 ? NaN : z - table[k];
  }
  return out;
}

const esc = (s) => String(s).replace(/[&<>"']/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" })[c]);
const f = (v) => v.toFixed(1);

// Draws a section into a box and returns how many times heights are drawn
// larger than lengths.
export function drawSection(box, s, { looks, trees = [], gaps = [], selected = "", title = "", invented = 0, onTree }) {
  const c = looks.colours, em = rem();
  const W = Math.max(280, box.clientWidth || 800), H = Math.max(9.5 * em, Math.min(15 * em, box.clientHeight || 190));
  let lo = Infinity, hi = -Infinity;
  for (let i = 0; i < s.z.length; i++) {
    const z = s.z[i];
    if (z === z) { lo = Math.min(lo, z); hi = Math.max(hi, z); }
    for (const w of [s.now[i], s.peak[i]]) if (w === w) hi = Math.max(hi, w);
    const t = s.table ? s.table[i] : NaN;
    if (t === t && t > z - 1.5) lo = Math.min(lo, t);
  }
  if (!(hi >= lo)) {
    box.innerHTML = `<p class="quiet">No part of this line lies on the known ground.</p>`;
    return 0;
  }
  for (const t of trees) if (t.built > 0 && t.known) hi = Math.max(hi, t.drawn + t.built);
  const relief = Math.max(0.25, (hi - lo) * 1.2), middle = (hi + lo) / 2, base = middle - relief / 2 - relief * 0.06;
  const left = 4.4 * em, right = 0.8 * em, top = 2.9 * em, foot = 1.9 * em, sole = 0.5 * em;
  const plotW = W - left - right, plotH = H - top - foot - sole;
  const X = (a) => left + plotW * a / s.long, Y = (z) => top + plotH * (1 - (z - base) / (relief * 1.06));
  const bottom = H - foot;
  const out = [];
  out.push(`<svg viewBox="0 0 ${W} ${H}" width="${W}" height="${H}" role="img" aria-label="${esc(title)}" font-family="system-ui, sans-serif" font-size="${f(0.78 * em)}">`);
  out.push(`<defs><linearGradient id="soil" x1="0" x2="0" y1="0" y2="1"><stop offset="0" stop-color="${c.soil}"/><stop offset="1" stop-color="#cdbd9d"/></linearGradient>
<linearGradient id="pool" x1="0" x2="0" y1="0" y2="1"><stop offset="0" stop-color="#8fc0e4"/><stop offset="1" stop-color="#2f76b2"/></linearGradient>
<pattern id="rungs" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V8" stroke="${c.quiet}" stroke-width="1.2" opacity="0.35"/></pattern></defs>`);
  // Levels.
  const step = u.tidy(relief / 4);
  const digits = Math.max(0, -Math.floor(Math.log10(step / (u.isFeet() ? 0.3048 : 1)) + 1e-9));
  for (let k = Math.ceil(base / step); k * step <= hi + relief * 0.12; k++) {
    const y = Y(k * step);
    out.push(`<path d="M${f(left)} ${f(y)}H${f(W - right)}" stroke="${c.grid}" stroke-width="0.7" opacity="0.6"/><text x="${f(left - 6)}" y="${f(y + 0.27 * em)}" text-anchor="end" fill="${c.quiet}">${u.level(k * step, digits)}</text>`);
  }
  // Gaps.
  for (const [a, b] of gaps) {
    const x0 = X(Math.max(0, a)), x1 = X(Math.min(s.long, b));
    if (x1 > x0) out.push(`<rect x="${f(x0)}" y="${f(top - 0.2 * em)}" width="${f(x1 - x0)}" height="${f(bottom - top + 0.2 * em)}" fill="url(#rungs)"/>`);
  }
  // Water, then the soil over it.
  const pools = (level) => {
    let d = "";
    for (let i = 0; i < level.length; i++) {
      if (level[i] !== level[i]) continue;
      let j = i;
      while (j + 1 < level.length && level[j + 1] === level[j + 1] && Math.abs(level[j + 1] - level[j]) < 0.02) j++;
      const pad = s.long / (level.length - 1);
      d += `M${f(X(Math.max(0, s.along[i] - pad)))} ${f(Y(level[i]))}H${f(X(Math.min(s.long, s.along[j] + pad)))}V${f(bottom)}H${f(X(Math.max(0, s.along[i] - pad)))}Z`;
      i = j;
    }
    return d;
  };
  const surface = (level) => pools(level).replace(/V[^H]*H[^Z]*Z/g, "");
  out.push(`<path d="${pools(s.now)}" fill="url(#pool)"/>`);
  out.push(`<path d="${surface(s.peak)}" fill="none" stroke="${c.shore}" stroke-width="1.3" stroke-dasharray="6 4"/>`);
  out.push(`<path d="${surface(s.now)}" fill="none" stroke="${c.shore}" stroke-width="1.8"/>`);
  let soil = "", line = "", open = false;
  for (let i = 0; i < s.z.length; i++) {
    const z = s.z[i];
    if (z !== z) {
      if (open) soil += `V${f(bottom)}Z`;
      open = false;
      continue;
    }
    const x = f(X(s.along[i])), y = f(Y(z));
    soil += open ? `L${x} ${y}` : `M${x} ${f(bottom)}V${y}`;
    line += open ? `L${x} ${y}` : `M${x} ${y}`;
    open = true;
  }
  if (open) soil += `V${f(bottom)}Z`;
  out.push(`<path d="${soil}" fill="url(#soil)"/>`);
  for (const t of trees) { // mounds
    if (!(t.built > 0) || !t.known) continue;
    const x = X(t.along), y = Y(t.drawn) + 2, yy = Y(t.drawn + t.built), flat = Math.max(2.5, plotW * 0.35 / s.long), foot = Math.max(6, plotW * 1.1 / s.long);
    out.push(`<path d="M${f(x - foot)} ${f(y)}C${f(x - flat * 1.4)} ${f(y)} ${f(x - flat * 1.6)} ${f(yy)} ${f(x - flat)} ${f(yy)}H${f(x + flat)}C${f(x + flat * 1.6)} ${f(yy)} ${f(x + flat * 1.4)} ${f(y)} ${f(x + foot)} ${f(y)}Z" fill="${c.soil}" stroke="${c.soilLine}" stroke-width="1.2" stroke-linejoin="round"/>`);
  }
  if (s.table) {
    let d = "", on = false;
    for (let i = 0; i < s.z.length; i++) {
      const t = s.table[i];
      if (t !== t || Y(t) > bottom) { on = false; continue; }
      d += `${on ? "L" : "M"}${f(X(s.along[i]))} ${f(Y(t))}`;
      on = true;
    }
    out.push(`<path d="${d}" fill="none" stroke="${c.flow}" stroke-width="1.6" stroke-dasharray="10 3 2 3"/>`);
  }
  out.push(`<path d="${line}" fill="none" stroke="${c.soilLine}" stroke-width="2" stroke-linejoin="round"/>`);
  // Trees.
  const radius = Math.min(8, Math.max(2.8, 0.42 * plotW * (trees.length > 1 ? Math.max(trees[1].along - trees[0].along, 0.5) : 4) / s.long));
  const bySymbol = Object.fromEntries(looks.risks.map((r) => [r.name, r]));
  let labelled = -1e9;
  for (const t of trees) {
    if (!t.known) continue;
    const x = X(t.along), ground = Y(t.drawn + (t.built || 0)), y = Math.max(radius + 2, ground - 1.5 * em), m = bySymbol[t.risk] || bySymbol.unknown, k = radius / 10;
    const chosen = t.id === selected;
    out.push(`<g class="tree" data-tree="${esc(t.id)}"><path d="M${f(x)} ${f(ground)}V${f(y)}" stroke="${c.row}" stroke-width="${chosen ? 2.4 : 1.2}"/><circle cx="${f(x)}" cy="${f(ground)}" r="1.7" fill="${c.row}"/>`);
    if (chosen) out.push(`<circle cx="${f(x)}" cy="${f(y)}" r="${f(radius + 4)}" fill="${c.paper}" stroke="${c.ink}" stroke-width="2"/>`);
    out.push(`<g transform="translate(${f(x)} ${f(y)}) scale(${k.toFixed(3)})"><path d="${m.body}" fill="${m.fill}" stroke="${m.ink}" stroke-width="${f(Math.max(2, 0.9 / k))}" stroke-linejoin="round"/>${m.marks ? `<path d="${m.marks}" fill="${m.mark}"/>` : ""}</g>`);
    if (chosen || (t.flagged && x - labelled > 2.6 * em)) {
      labelled = x;
      out.push(`<text x="${f(x)}" y="${f(y - radius - 6)}" text-anchor="middle" fill="${c.ink}" stroke="${c.paper}" stroke-width="3" paint-order="stroke" font-weight="${chosen ? 700 : 400}">${esc(t.id)}</text>`);
    }
    out.push(`<title>${esc(t.id)}, ${esc(t.common)}: ${esc(t.risk)}</title></g>`);
  }
  // Distances.
  out.push(`<path d="M${f(left)} ${f(bottom)}H${f(W - right)}" stroke="${c.quiet}"/>`);
  const along = u.tidy(s.long / Math.max(3, plotW / (7 * em)));
  for (let a = 0; a <= s.long + 1e-6; a += along) {
    out.push(`<path d="M${f(X(a))} ${f(bottom)}v5" stroke="${c.quiet}"/><text x="${f(X(a))}" y="${f(bottom + 1.25 * em)}" text-anchor="${a === 0 ? "start" : X(a) > W - 3 * em ? "end" : "middle"}" fill="${c.quiet}">${u.distance(a)}</text>`);
  }
  out.push(`</svg>`);
  box.innerHTML = out.join("");
  if (onTree) for (const g of box.querySelectorAll(".tree")) g.addEventListener("click", () => onTree(g.dataset.tree));
  return (plotH / (relief * 1.06)) / (plotW / s.long);
}
