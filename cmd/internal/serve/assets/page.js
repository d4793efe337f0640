// The page: it holds the plan, asks what becomes of it and shows the answer.
import { Follower, get, labels, levels, picture, post, Refused } from "./ask.js";
import { Ground, Water } from "./water.js";
import { MapView } from "./mapview.js";
import { CrossCut, LINE } from "./crosscut.js";
import { Plan } from "./plan.js";
import { Hand } from "./hand.js";
import { drawLegend } from "./legend.js";
import { TreeList, grabTree, tellTree } from "./trees.js";
import { Advisor } from "./advice.js";
import { Keep } from "./keep.js";
import { RowForm, grabRow, paintHandles } from "./rows.js";
import { Works } from "./works.js";
import { carry } from "./carry.js";
import * as u from "./units.js";

const $ = (id) => document.getElementById(id);
const page = { time: 0, selected: "", row: "" };
window.wetfeet = page; // for tests to look at

const rainHours = [0.5, 1, 2, 3, 6, 12, 18, 24, 36, 48, 72, 96, 120, 168];

function notice(words, kind = "") {
  const p = $("notice");
  p.hidden = !words;
  p.textContent = words || "";
  p.className = `notice ${kind}`;
}

async function open() {
  const d = await get("/api/site");
  page.site = d;
  u.useFeet(d.units === "feet");
  document.title = `${d.name} – wetfeet`;
  $("name").textContent = d.name;
  $("where").textContent = [d.invented ? "an invented place" : "", d.file].filter(Boolean).join(", ");
  $("units").value = page.units = d.units;
  const at = (name) => `/layer/${d.ground.id}/${name}`;
  const [z, soft, label, contours, flow, shade, table] = await Promise.all([
    levels(at("ground")), levels(at("soft")), labels(at("hollows")), get(at("contours")), get(at("flow")), picture(at("shade.png")),
    d.ground.table ? levels(at("table")) : null,
  ]);
  page.ground = new Ground(d.ground, z, soft, label);
  page.table = table;
  page.plan = new Plan(d.document);
  const view = page.view = new MapView($("map"), d.looks);
  view.setGround(page.ground);
  view.setLines(contours, flow, d.looks.flows.metric.map((f) => f.width));
  view.pictures.shade = shade;
  view.shots = pairs(d.shots || []);
  view.shown.shots = view.shots.length > 0;
  view.extent = knownExtent(page.ground);
  view.setDepths(d.looks.depths[d.units]);
  page.later = { brim: at("brim.png"), wetness: at("wetness.png") };
  $("wait").hidden = true;
  $("main").hidden = false;
  view.painted = () => readScale(view);
  view.covered = () => $("legend").open && view.w > 640 ? $("legend").offsetWidth + 8 : 0;
  view.resize();

  page.follower = new Follower(judge);
  page.follower.last = () => page.plan.now;
  page.follower.sure = d.odds;
  page.keep = new Keep(d, page.plan, { say: notice });
  page.advisor = new Advisor($("advice"), page);
  page.plan.changed = () => { document.body.dataset.answered = "asked"; planned(); page.keep.changed(); page.advisor.changed(); page.follower.follow(page.plan.now); };
  page.hand = new Hand($("map"), view, page, { choose, grab });
  page.cut = new CrossCut(page, page.hand, { box: $("cut-picture"), key: $("cut-key"), scale: $("cut-scale"), choose, changed: () => { $("cut-row").value = LINE; } });
  page.rowForm = new RowForm($("row-body"), page, { choose: chooseRow });
  view.over.push((ctx) => paintHandles(ctx, view, page));
  page.laid = { id: d.ground.id, ground: page.ground, contours, flow, shade };
  grounds.set(`${d.ground.id}/${d.ground.id}`, page.laid);
  page.works = new Works(page, view, { before });
  carry(page);
  page.list = new TreeList($("trees"), { choose, site: d });
  wire();
  for (const text of d.cautions) $("cautions").append(item(text));
  page.time = d.reply.storm.ends;
  show(d.reply, d.document);
  planned();
  view.whole();
  requestAnimationFrame(() => setTimeout(() => { page.opened = performance.now(); }));
  if (d.odds) page.follower.settle(50, ["sure"]);
  if (d.writable) notice(d.writable, "quietly");
  page.keep.offer();
  setInterval(watch, 4000);
}

const pairs = (flat) => Array.from({ length: flat.length / 2 }, (_, i) => [flat[2 * i] - page.ground.west, page.ground.north - flat[2 * i + 1]]);
const item = (text) => { const li = document.createElement("li"); li.textContent = text; return li; };

function knownExtent(g) {
  let x0 = g.cols, x1 = 0, y0 = g.rows, y1 = 0;
  for (let r = 0, i = 0; r < g.rows; r++) {
    for (let c = 0; c < g.cols; c++, i++) {
      if (g.z[i] !== g.z[i]) continue;
      if (c < x0) x0 = c;
      if (c > x1) x1 = c;
      if (r < y0) y0 = r;
      y1 = r;
    }
  }
  return x1 < x0 ? null : { x0: x0 * g.cell, x1: (x1 + 1) * g.cell, y0: y0 * g.cell, y1: (y1 + 1) * g.cell };
}

// Brings a ground and its hollows onto the page, from the server where it has
// not been here of late.
const grounds = new Map();
async function groundOf(ground, hollows) {
  const key = `${ground}/${hollows}`, at = (name) => `/layer/${ground}/${name}`;
  if (grounds.has(key)) return grounds.get(key);
  const base = [...grounds.values()].find((g) => g.id === ground);
  const label = await labels(`/layer/${hollows}/hollows`);
  let made;
  if (base) made = { ...base, ground: new Ground(page.site.ground, base.ground.z, base.ground.soft, label) };
  else {
    const [z, soft, contours, flow, shade] = await Promise.all([levels(at("ground")), levels(at("soft")), get(at("contours")), get(at("flow")), picture(at("shade.png"))]);
    made = { id: ground, ground: new Ground(page.site.ground, z, soft, label), contours, flow, shade };
  }
  grounds.set(key, made);
  if (grounds.size > 5) grounds.delete([...grounds.keys()][1]);
  return made;
}

// Shows another ground on the map.
function lay(made) {
  if (page.laid === made) return;
  page.laid = made;
  page.ground = page.view.ground = made.ground;
  page.view.setLines(made.contours, made.flow, page.site.looks.flows.metric.map((f) => f.width));
  page.view.pictures.shade = made.shade;
  page.later = Object.fromEntries(["brim", "wetness"].map((name) => [name, `/layer/${made.id}/${name}.png`]));
  for (const name of ["brim", "wetness"]) {
    delete page.view.pictures[name];
    if (page.view.shown[name]) toggle(name, true);
  }
}

// The water before anything was built, or that of now.
async function before(b) {
  const of = b || page.reply, made = await groundOf(of.ground, of.hollows);
  if (page.works.held !== b) return; // let go of meanwhile
  lay(made);
  page.water = new Water(made.ground, of.storm);
  pour();
}

// Asks what becomes of the plan: what can be told soon, or all of it.
async function judge(plan, effort, signal) {
  const began = performance.now();
  try {
    const reply = await post("/api/judge", { document: plan, units: page.units, effort }, signal);
    page.took = performance.now() - began;
    if ($("notice").classList.contains("bad")) notice("");
    if (page.plan.now !== plan && effort !== "soon") return;
    const made = await groundOf(reply.ground, reply.hollows);
    if (page.plan.now !== plan && effort !== "soon") return;
    lay(made);
    show(reply, plan);
  } catch (error) {
    if (error.name === "AbortError") return;
    if (page.plan.now === plan) page.works.refused();
    if (error instanceof Refused) notice(capital(error.message.replace(/^the page: /gm, "")), "bad");
    else notice("The page cannot reach wetfeet any more. Your changes are still here: start wetfeet again on the same port and go on, or copy them before you close the page.", "bad");
  }
}

// Shows an answer.
function show(reply, plan) {
  page.works.answered(reply.works, plan);
  reply.works ??= page.reply?.works;
  if (reply.effort === "soon") { reply.first = page.reply.first; reply.assumptions = page.reply.assumptions; }
  page.reply = reply;
  const g = page.ground;
  for (const t of reply.trees) { t.gx = t.x - g.west; t.gy = g.north - t.y; t.drawn = g.between(g.soft, t.gx, t.gy); }
  page.byID = new Map(reply.trees.map((t) => [t.id, t]));
  page.water = new Water(g, reply.storm, page.water);
  lines();
  page.view.setTrees(reply.trees);
  page.time = Math.min(page.time, reply.storm.last);
  page.view.depth = page.water.stand(page.time);
  page.view.water = page.water;
  page.view.draw();
  // While a hand moves, the map comes first and words follow it.
  if (reply.effort !== "soon" || document.hidden) { write(reply); return; }
  document.body.dataset.answered = "soon";
  requestAnimationFrame(() => setTimeout(() => { if (page.reply === reply) write(reply); }));
}

// Writes what an answer says beside the map.
function write(reply) {
  $("lead").textContent = reply.lead;
  $("storm-words").textContent = reply.storm.words;
  $("first").replaceChildren(...(reply.first || []).map(item));
  $("assumed").replaceChildren(...(reply.assumptions || []).map(item));
  sayWhen();
  cut();
  surely(reply);
  clearTimeout(page.writing);
  if (reply.effort === "soon") page.writing = setTimeout(() => details(reply), 150);
  else { details(reply); document.body.dataset.answered = reply.effort; }
  page.advisor.answered(reply);
}

// Writes what takes a browser long to lay out, once the hand rests.
function details(reply) {
  page.list.show(reply.trees);
  rowsOf();
  legend();
  if (page.selected) tell();
}

const lines = () => { const g = page.ground; page.view.rows = page.plan.now.rows.map((r) => ({ ...r, line: r.line.map(([x, y]) => [x - g.west, g.north - y]) })); };

// Says how sure the answer is, and shows the odds of standing water.
async function surely(reply) {
  const say = $("sure");
  if (reply.draws) say.textContent = `By ${reply.draws} equally likely sites: ground, soil and trees are known only so well.`;
  else if (reply.effort === "sure" || !page.site.odds) say.textContent = "The likeliest answer; odds were not worked out.";
  else say.textContent = "The likeliest answer. How sure it is follows …";
  if (!reply.odds || page.oddsShown === reply.odds) return;
  page.oddsShown = reply.odds;
  try {
    page.view.pictures.odds = await picture(`/odds/${reply.odds}`);
    page.view.hasOdds = true;
    page.view.draw();
    legend();
  } catch { /* a newer answer has taken its place */ }
}

// Lets the water of the moment stand.
function pour() {
  page.view.depth = page.water.stand(page.time);
  page.view.water = page.water;
  page.view.draw();
  sayWhen();
  cut();
  legend();
}

function legend() {
  drawLegend($("legend-body"), page.site.looks, page.view, { units: page.units, contour: page.view.contours.every, toggle });
}

async function toggle(name, on) {
  if (on && page.later[name] && !page.view.pictures[name]) page.view.pictures[name] = await picture(page.later[name]);
  page.view.shown[name] = on;
  page.view.draw();
  legend();
}

// Times after the rain lie closer together at the beginning.
const whenToTime = (v) => { const { ends, last } = page.reply.storm, s = v / 1000; return s <= 0.3 ? ends * s / 0.3 : ends + (Math.min(last, ends + 24 * 12) - ends) * ((s - 0.3) / 0.7) ** 1.5; };
const timeToWhen = (t) => { const { ends, last } = page.reply.storm; return t <= ends ? 300 * t / ends : 300 + 700 * ((t - ends) / (Math.min(last, ends + 24 * 12) - ends)) ** (1 / 1.5); };

function sayWhen() {
  const { ends } = page.reply.storm, t = page.time;
  let s;
  if (Math.abs(t - ends) < 0.05) s = "when the rain ends";
  else if (t < ends) s = `${u.hours(Math.max(t, 0))} into the rain`;
  else { const d = (t - ends) / 24; s = d < 1 ? `${u.hours(t - ends)} after the rain` : `${d.toFixed(1)} days after the rain`; }
  $("when-out").textContent = s;
  $("when").setAttribute("aria-valuetext", s);
}

// The plan has changed on the page.
function planned() {
  const p = page.plan, d = p.now;
  lines();
  page.view.draw();
  $("undo").disabled = p.past.length === 0;
  $("redo").disabled = p.future.length === 0;
  page.works.show();
  $("save").disabled = !p.dirty || !!page.site.writable;
  $("rain").value = d.storm.rain;
  $("rain-out").textContent = u.rain(d.storm.rain);
  $("rain").setAttribute("aria-valuetext", u.rain(d.storm.rain));
  let k = 0;
  for (let i = 0; i < rainHours.length; i++) if (Math.abs(rainHours[i] - d.storm.hours) < Math.abs(rainHours[k] - d.storm.hours)) k = i;
  $("hours").max = rainHours.length - 1;
  $("hours").value = k;
  $("hours-out").textContent = u.hours(d.storm.hours);
  $("hours").setAttribute("aria-valuetext", u.hours(d.storm.hours));
}

function wire() {
  $("rain").addEventListener("input", (e) => {
    page.plan.change("rain", (d) => { d.storm.rain = +e.target.value; });
  });
  $("hours").addEventListener("input", (e) => {
    const { ends } = page.reply.storm, atEnd = Math.abs(page.time - ends) < 0.05, h = rainHours[+e.target.value];
    page.plan.change("hours", (d) => { d.storm.hours = h; });
    if (atEnd) page.time = h;
  });
  for (const id of ["rain", "hours"]) $(id).addEventListener("change", () => page.plan.rest());
  $("when").addEventListener("input", (e) => { page.time = whenToTime(+e.target.value); if (Math.abs(e.target.value - 300) < 12) page.time = page.reply.storm.ends; pour(); });
  $("when").value = 300;
  $("undo").addEventListener("click", () => page.plan.undo());
  $("redo").addEventListener("click", () => page.plan.redo());
  $("save").addEventListener("click", save);
  $("units").addEventListener("change", (e) => {
    u.useFeet(e.target.value === "feet");
    page.view.setDepths(page.site.looks.depths[e.target.value]);
    page.units = e.target.value;
    page.follower.follow(page.plan.now);
    planned();
    pour();
    page.list.show(page.reply.trees);
    page.rowForm.show();
    if (page.selected) tell();
  });
  $("closer").addEventListener("click", () => page.view.zoom(1.4));
  $("farther").addEventListener("click", () => page.view.zoom(1 / 1.4));
  $("whole").addEventListener("click", () => page.view.whole());
  $("cut-row").addEventListener("change", (e) => { chooseRow(e.target.value); });
  $("only").addEventListener("change", () => page.list.show(page.reply.trees));
  $("find").addEventListener("input", () => page.list.show(page.reply.trees));
  $("more").addEventListener("click", () => page.list.more());
  document.addEventListener("keydown", (e) => {
    if (!(e.ctrlKey || e.metaKey) || e.target.matches("input[type=search], input[type=text], textarea")) return;
    if (e.key === "z" && !e.shiftKey) { e.preventDefault(); page.plan.undo(); }
    else if (e.key === "y" || (e.key === "z" && e.shiftKey) || e.key === "Z") { e.preventDefault(); page.plan.redo(); }
    else if (e.key === "s") { e.preventDefault(); if (!$("save").disabled) $("save").click(); }
  });
  new ResizeObserver(() => cut()).observe($("cut-picture"));
  addEventListener("beforeunload", (e) => { if (page.plan.dirty) e.preventDefault(); });
  if (page.view.w < 700) $("legend").open = false;
}

function rowsOf() {
  const select = $("cut-row"), names = page.plan.now.rows.map((r) => r.name);
  if (select.dataset.names !== names.join("\n")) {
    select.replaceChildren(...names.map((n) => new Option(`row ${n}`, n)), new Option("a line on the map", LINE));
    select.dataset.names = names.join("\n");
  }
  if (!names.includes(page.row)) {
    // The row with most flagged trees tells most.
    const count = new Map(names.map((n) => [n, 0]));
    for (const t of page.reply.trees) if (t.flagged && count.has(t.row)) count.set(t.row, count.get(t.row) + 1);
    page.row = [...count].sort((a, b) => b[1] - a[1])[0]?.[0] || "";
    page.view.row = page.row;
  }
  select.value = page.cut.drawn ? LINE : page.row;
  page.rowForm.show();
}

function chooseRow(name) {
  if (name === LINE) { page.cut.chooseLine(); return; }
  page.cut.row();
  page.row = name;
  page.view.row = name;
  $("cut-row").value = name;
  page.view.draw();
  page.rowForm.show();
  cut();
}

const cut = () => page.cut?.soon();

// Chooses a tree: tells of it and shows it on the map and in its section.
function choose(id, { focus = false } = {}) {
  const t = page.byID.get(id);
  page.selected = t ? id : "";
  page.view.selected = page.selected;
  if (t) {
    page.view.show(t.gx, t.gy);
    if (t.row && !page.cut.holds(t.id)) chooseRow(t.row); else cut();
    tell();
    if (focus) $("one-title").focus();
  } else {
    $("one").hidden = true;
    page.view.draw();
  }
  page.list.mark(page.selected);
}

function tell() {
  const t = page.byID.get(page.selected);
  $("one").hidden = !t;
  if (t) tellTree($("one-title"), $("one-body"), t, page);
}

// What a plan says of one tree, begun where it said nothing.
page.told = (d, id) => {
  let told = d.trees.find((t) => t.id === id);
  if (!told) d.trees.push(told = { id });
  return told;
};

// Takes hold of what lies under the pointer.
function grab(at) {
  const tree = page.view.treeAt(...at, 9);
  if (tree && tree.id === page.selected) return grabTree(page, tree, at);
  const held = grabRow(page, at);
  if (held) chooseRow(held.row);
  return held;
}

async function save() {
  $("save").disabled = true;
  const plan = page.plan, sent = plan.now;
  notice("Saving …", "quietly");
  try {
    const done = await post("/api/save", { document: sent, hash: page.site.hash });
    page.site.hash = done.hash;
    plan.savedAs(sent);
    page.keep.changed();
    notice(`Saved to ${page.site.file}.`, "good");
    setTimeout(() => { if ($("notice").classList.contains("good")) notice(""); }, 4000);
  } catch (error) {
    notice(error instanceof Refused ? capital(error.message) + "." : "The page cannot reach wetfeet, so nothing was saved. Your changes are still here.", "bad");
  }
  planned();
}

const capital = (s) => s ? s[0].toUpperCase() + s.slice(1) : s;

function readScale(view) {
  const want = Math.min(140, view.w / 4) / view.scale;
  let long = u.tidy(want);
  if (long > want * 1.01) long = u.tidy(want / 2.5);
  $("scale").firstElementChild.textContent = u.distance(long).replace(".0", "");
  $("scale").style.width = `${long * view.scale}px`;
}

// Looks whether the site file was changed by another hand.
async function watch() {
  if (document.hidden) return;
  try {
    const s = await get("/api/status");
    if (s.broken) notice(`The site file cannot be read any more: ${s.broken}. Your plan on this page is safe; mend the file before you save.`, "bad");
    else if (s.changed && s.hash === page.site.hash) notice("The site file was changed meanwhile, in an editor or on another page. Load this page again to see that; saving here will not overwrite it.", "bad");
  } catch { notice("The page cannot reach wetfeet any more. Start it again to go on; nothing saved is lost.", "bad"); }
}

open().catch(async (error) => {
  if (error.status === 404) {
    try { await (await import("./begin.js")).begin(notice); document.body.dataset.answered = "begin"; return; } catch (e) { error = e; }
  }
 $("wait").hidden = true; notice(error.message, "bad"); });
