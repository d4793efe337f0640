// The long section: the ground seen from its side, cut open along a row or a
// drawn line, with the water of the moment in it.
import * as u from "./units.js";
import { lineLength, rem } from "./mapview.js";

const most = 1200; // samples
const daysAfter = [1, 2, 4, 8]; // after the rain, whose water is drawn as lines

// How many times larger heights may be drawn than lengths: plain numbers, so
// that the scale can be said exactly.
const enlarged = [0.1, 0.2, 0.5, 1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120, 150, 200, 250, 300, 400, 500];

// Samples ground and water along a line.
export function sample(ground, water, line, time, table) {
  const long = lineLength(line), n = Math.min(most, Math.max(2, Math.ceil(long / ground.cell) + 1));
  const out = { long, along: new Float64Array(n), z: new Float64Array(n), now: new Float64Array(n), peak: new Float64Array(n), table: table ? new Float64Array(n) : null };
  const levels = (t) => water.levels(new Float64Array(ground.most + 1), t), now = levels(time), peak = levels("peak");
  const { ends, last } = water.storm;
  out.later = daysAfter.filter((d) => ends + 24 * d <= last + 0.5).map((days) => ({ days, of: levels(ends + 24 * days), level: new Float64Array(n) }));
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
    for (const l of out.later) l.level[i] = label && l.of[label] > z ? l.of[label] : NaN;
    if (table) out.table[i] = k < 0 ? NaN : z - table[k];
  }
  return out;
}

const esc = (s) => String(s).replace(/[&<>"']/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" })[c]);
const f = (v) => v.toFixed(1);

// Draws a section into a box, and returns how many times heights are drawn
// larger than lengths, what the lines mean, and the way from a place in the
// box to one along the line.
export function drawSection(box, s, { looks, trees = [], gaps = [], ends = [], selected = "", title = "", onTree }) {
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
    return { times: 0, key: [], along: () => NaN };
  }
  for (const t of trees) if (t.known) { lo = Math.min(lo, t.drawn); hi = Math.max(hi, t.drawn + (t.built || 0)); }
  const left = 4.4 * em, right = 0.8 * em, top = 2.9 * em, foot = 1.9 * em, sole = 0.5 * em;
  const plotW = W - left - right, plotH = H - top - foot - sole;
  const fit = plotH / Math.max(0.25, (hi - lo) * 1.15) / (plotW / s.long);
  const times = enlarged.findLast((k) => k <= fit) || enlarged[0];
  const relief = plotH / (times * plotW / s.long), base = lo - (relief - (hi - lo)) * 0.55;
  const X = (a) => left + plotW * a / s.long, Y = (z) => top + plotH * (1 - (z - base) / relief);
  const bottom = H - foot;
  const out = [];
  out.push(`<svg viewBox="0 0 ${W} ${H}" width="${W}" height="${H}" role="img" aria-label="${esc(title)}" font-family="system-ui, sans-serif" font-size="${f(0.78 * em)}">`);
  out.push(`<defs><linearGradient id="soil" x1="0" x2="0" y1="0" y2="1"><stop offset="0" stop-color="${c.soil}"/><stop offset="1" stop-color="#cdbd9d"/></linearGradient>
<linearGradient id="pool" x1="0" x2="0" y1="0" y2="1"><stop offset="0" stop-color="#a9d0ec"/><stop offset="1" stop-color="#5d9fd2"/></linearGradient>
<pattern id="rungs" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V8" stroke="${c.quiet}" stroke-width="1.2" opacity="0.35"/></pattern></defs>`);
  // Levels.
  const step = u.tidy(relief / 5);
  const digits = Math.max(0, -Math.floor(Math.log10(step / (u.isFeet() ? 0.3048 : 1)) + 1e-9));
  for (let k = Math.ceil(base / step); k * step <= base + relief * 1.04; k++) {
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
  const marks = [{ level: s.peak, dash: "", width: 1.9, words: "highest", short: "highest" },
    ...s.later.map((l, k) => ({ level: l.level, dash: looks.dashes[k + 1] || "", width: 1.5, words: l.days === 1 ? "a day after the rain" : `${l.days} days after`, short: `${l.days} d` }))];
  for (const m of marks) {
    m.path = surface(m.level);
    if (m.path) out.push(`<path d="${m.path}" fill="none" stroke="${c.shore}" stroke-width="${m.width}" stroke-dasharray="${m.dash}"/>`);
  }
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
  for (let i = 0; i < s.z.length; i++) { // ground nobody knows
    if (s.z[i] === s.z[i]) continue;
    let j = i;
    while (j + 1 < s.z.length && s.z[j + 1] !== s.z[j + 1]) j++;
    const x0 = X(s.along[Math.max(0, i - 1)]), x1 = X(s.along[Math.min(s.z.length - 1, j + 1)]);
    out.push(`<rect x="${f(x0)}" y="${f(top)}" width="${f(x1 - x0)}" height="${f(bottom - top)}" fill="${c.unknown}"/>`);
    if (x1 - x0 > 6 * em) out.push(`<text x="${f((x0 + x1) / 2)}" y="${f((top + bottom) / 2)}" text-anchor="middle" fill="${c.quiet}">no ground known</text>`);
    i = j;
  }
  out.push(`<path d="${soil}" fill="url(#soil)"/>`);
  for (const t of trees) { // mounds
    if (!(t.built > 0) || !t.known) continue;
    const x = X(t.along), y = Y(t.drawn) + 2, yy = Y(t.drawn + t.built), flat = Math.max(2.5, plotW * 0.35 / s.long), foot = Math.max(6, plotW * 1.1 / s.long);
    out.push(`<path d="M${f(x - foot)} ${f(y)}C${f(x - flat * 1.4)} ${f(y)} ${f(x - flat * 1.6)} ${f(yy)} ${f(x - flat)} ${f(yy)}H${f(x + flat)}C${f(x + flat * 1.6)} ${f(yy)} ${f(x + flat * 1.4)} ${f(y)} ${f(x + foot)} ${f(y)}" fill="${c.soil}" stroke="${c.soilLine}" stroke-width="1.2" stroke-linejoin="round"/>`);
  }
  if (s.table) {
    let d = "", on = false;
    for (let i = 0; i < s.z.length; i++) {
      const t = s.table[i];
      if (t !== t || Y(t) > bottom) { on = false; continue; }
      d += `${on ? "L" : "M"}${f(X(s.along[i]))} ${f(Y(t))}`;
      on = true;
    }
    out.push(`<path d="${d}" fill="none" stroke="${c.flow}" stroke-width="2.2" stroke-linecap="round" stroke-dasharray="0.1 5"/>`);
  }
  out.push(`<path d="${line}" fill="none" stroke="${c.soilLine}" stroke-width="2" stroke-linejoin="round"/>`);
  // Which line is which, written where it ends, as far as there is room.
  const taken = [];
  for (const m of marks) {
    const [from, to] = widest(m.level);
    if (to < 0) continue;
    const x = X(s.along[to]) + 5, y = Y(m.level[from]) + 0.26 * em, wide = m.short.length * 0.46 * em;
    if (x + wide > W || taken.some(([a, b, w]) => Math.abs(b - y) < 0.74 * em && x < a + w && a < x + wide)) continue;
    taken.push([x, y, wide]);
    out.push(`<text x="${f(x)}" y="${f(y)}" font-size="${f(0.72 * em)}" fill="${c.shore}" stroke="${c.paper}" stroke-width="3" paint-order="stroke">${m.short}</text>`);
  }
  // Trees.
  const nearest = trees.map((t) => t.along).sort((a, b) => a - b).reduce((least, a, i, all) => i ? Math.min(least, Math.max(a - all[i - 1], 0.5)) : least, Infinity);
  const radius = Math.min(8, Math.max(2.8, 0.42 * plotW * (nearest < Infinity ? nearest : 4) / s.long));
  const bySymbol = Object.fromEntries(looks.risks.map((r) => [r.name, r]));
  let labelled = -1e9;
  for (const t of trees) {
    if (!t.known) continue;
    const x = X(t.along), ground = Y(t.drawn + (t.built || 0)), y = Math.max(radius + 2, ground - 1.5 * em), m = bySymbol[t.risk] || bySymbol.unknown, k = radius / 10;
    const chosen = t.id === selected;
    out.push(`<g class="tree" data-tree="${esc(t.id)}"><path d="M${f(x)} ${f(ground)}V${f(y)}" stroke="${c.row}" stroke-width="${chosen ? 2.4 : 1.2}"/><circle cx="${f(x)}" cy="${f(ground)}" r="${f(Math.min(2.6, 0.5 * radius))}" fill="${c.paper}" stroke="${c.row}" stroke-width="1.4"/>`);
    if (chosen) out.push(`<circle cx="${f(x)}" cy="${f(y)}" r="${f(radius + 4)}" fill="${c.paper}" stroke="${c.ink}" stroke-width="2"/>`);
    out.push(`<g transform="translate(${f(x)} ${f(y)}) scale(${k.toFixed(3)})"><path d="${m.body}" fill="${m.fill}" stroke="${m.ink}" stroke-width="${f(Math.max(2, 0.9 / k))}" stroke-linejoin="round"/>${m.marks ? `<path d="${m.marks}" fill="${m.mark}"/>` : ""}</g>`);
    if (chosen || (t.flagged && x - labelled > 2.6 * em)) {
      labelled = x;
      out.push(`<text x="${f(x)}" y="${f(y - radius - 6)}" text-anchor="middle" fill="${c.ink}" stroke="${c.paper}" stroke-width="3" paint-order="stroke" font-weight="${chosen ? 700 : 400}">${esc(t.id)}</text>`);
    }
    out.push(`<title>${esc(t.id)}, ${esc(t.common)}: ${esc(t.risk)}${t.off > 0.005 ? `, ${u.distance(t.off)} off the line` : ""}</title></g>`);
  }
  // Distances, and the names of the ends.
  out.push(`<path d="M${f(left)} ${f(bottom)}H${f(W - right)}" stroke="${c.quiet}"/>`);
  const along = u.tidy(s.long / Math.max(2, plotW / (7 * em)));
  for (let a = 0; a <= s.long + 1e-6; a += along) {
    out.push(`<path d="M${f(X(a))} ${f(bottom)}v5" stroke="${c.quiet}"/><text x="${f(X(a))}" y="${f(bottom + 1.25 * em)}" text-anchor="${a === 0 ? "start" : X(a) > W - 3 * em ? "end" : "middle"}" fill="${c.quiet}">${u.distance(a)}</text>`);
  }
  ends.forEach((name, i) => out.push(`<text x="${f(i ? W - right : left)}" y="${f(0.95 * em)}" text-anchor="${i ? "end" : "start"}" font-weight="700" font-size="${f(0.95 * em)}" fill="${c.ink}">${esc(name)}</text>`));
  out.push(`<path class="at" stroke="${c.ink}" stroke-width="1.2" stroke-dasharray="3 3"/></svg>`);
  box.innerHTML = out.join("");
  if (onTree) for (const g of box.querySelectorAll(".tree")) g.addEventListener("click", () => onTree(g.dataset.tree));
  const key = [["pool", "", 0, "the water"]];
  for (const m of marks) key.push(["line", m.dash, m.width, m.path ? m.words : `${m.words}: dry`]);
  if (s.table) key.push(["dots", "0.1 5", 2.2, "water table"]);
  if (trees.some((t) => t.built > 0)) key.push(["mound", "", 0, "mounds"]);
  if (trees.length) key.push(["crown", "", 0, "root crown"]);
  if (gaps.length) key.push(["rungs", "", 0, "gap"]);
  return { times, key, X, top: 0.4 * em, bottom, along: (x) => (x - left) / plotW * s.long };
}

// The first and last sample of the longest stretch that has water.
function widest(level) {
  let best = [0, -1];
  for (let i = 0; i < level.length; i++) {
    if (level[i] !== level[i]) continue;
    let j = i;
    while (j + 1 < level.length && Math.abs(level[j + 1] - level[i]) < 0.02) j++;
    if (j - i > best[1] - best[0] || best[1] < 0) best = [i, j];
    i = j;
  }
  return best;
}
