// A site that is begun: files dropped on the page, then four questions.
import { Refused, get, post } from "./ask.js";
import * as u from "./units.js";

const $ = (id) => document.getElementById(id);
const make = (tag, props = {}, ...children) => {
  const e = Object.assign(document.createElement(tag), props);
  e.append(...children);
  return e;
};
const SVG = "http://www.w3.org/2000/svg";
const draw = (tag, props, ...children) => {
  const e = document.createElementNS(SVG, tag);
  for (const [k, v] of Object.entries(props)) e.setAttribute(k, v);
  e.append(...children);
  return e;
};
const ground = new Set(["elevation raster", "spot heights", "field book"]);

export async function begin(notice) {
  const o = await get("/api/opening");
  const files = new Map(), plants = [];
  let timer = 0, asked = 0, busy = false;
  document.title = `A new site – wetfeet`;
  $("name").textContent = "A new site";
  $("where").textContent = `in ${o.parent}`;
  for (const id of ["undo", "redo", "save"]) $(id).hidden = true;
  $("wait").hidden = true;
  $("beginning").hidden = false;
  if (o.writable) notice(o.writable, "bad");
  if (o.folder) { $("b-folder").value = o.folder; $("b-folder").disabled = true; }
  $("b-name").value = (o.folder || "My site").replace(/[-_]+/g, " ").replace(/^./, (c) => c.toUpperCase());
  const byName = make("optgroup", { label: "By name" }), byHand = make("optgroup", { label: "By a moist handful" });
  for (const t of o.textures) byName.append(new Option(t, t));
  for (const h of o.handfuls) byHand.append(new Option(`${h.Words} (${h.Texture})`, h.Words));
  $("b-texture").append(byHand, byName);
  for (const s of [...o.species].sort((a, b) => a.common.localeCompare(b.common))) $("b-plants").append(new Option(`${s.common} (${s.species})`, s.species));
  const common = new Map(o.species.map((s) => [s.species, s.common]));

  const fields = () => {
    const feet = u.isFeet();
    for (const e of document.querySelectorAll("#begin .unit")) e.textContent = feet ? "ft" : "m";
    $("b-rain-unit").textContent = feet ? "in" : "mm";
    $("b-rain").placeholder = feet ? `${o.rain.feet / 25.4} if empty` : `${o.rain.metric} if empty`;
    $("b-hours").placeholder = `${o.hours} if empty`;
  };
  // A length typed in one unit is the same length in the other.
  let typed = u.isFeet();
  let chosen = false; // by hand, which outranks what the files are kept in
  $("units").addEventListener("change", (e) => {
    chosen ||= e.isTrusted;
    const feet = $("units").value === "feet";
    u.useFeet(feet);
    if (feet !== typed) {
      for (const [id, per] of [["b-spacing", 0.3048], ["b-apart", 0.3048], ["b-rain", 25.4]]) {
        const v = parseFloat($(id).value);
        if (!isNaN(v)) $(id).value = +(feet ? v / per : v * per).toFixed(2);
      }
      typed = feet;
    }
    fields();
    look();
  });

  const num = (id) => $(id).value.trim() === "" ? null : parseFloat($(id).value);
  const answers = () => {
    const feet = u.isFeet();
    return {
      folder: $("b-folder").value, name: $("b-name").value, units: $("units").value,
      lon: num("b-lon"), lat: num("b-lat"), crs: $("b-crs").value.trim(),
      soil: $("b-texture").value, rain: (num("b-rain") || 0) * (feet ? 25.4 : 1), hours: num("b-hours") || 0,
      plants: plants.map((p) => p.species), spacing: u.fromField(num("b-spacing") || 0), apart: u.fromField(num("b-apart") || 0), rows: num("b-rows-number") || 0,
    };
  };

  const list = () => {
    const all = [...files.values()];
    $("b-files").replaceChildren(...all.map((f) => {
      const b = make("button", { type: "button", textContent: "Remove" });
      b.setAttribute("aria-label", `Remove ${f.name}`);
      b.addEventListener("click", async () => {
        try { await post("/api/forget", { name: f.name }); } catch (error) { notice(error.message, "bad"); return; }
        files.delete(f.name);
        for (let i = plants.length - 1; i >= 0; i--) if (plants[i].from === f.name) plants.splice(i, 1);
        notice("");
        list();
      });
      return make("li", {}, make("strong", { textContent: f.name }), ` is ${f.words}${f.system && ground.has(f.kind) ? `, in ${f.system}` : ""}. `, b);
    }));
    const lands = all.filter((f) => ground.has(f.kind)), given = all.find((f) => f.kind === "positions");
    const unplaced = lands.length > 0 && lands.every((f) => !f.placed);
    $("b-place").hidden = !unplaced;
    $("b-place-known").hidden = unplaced || lands.length === 0;
    $("b-rows").hidden = !!given;
    $("b-given").hidden = !given;
    if (given) $("b-given").textContent = `The ${given.words} of ${given.name} are taken.`;
    $("b-chosen").replaceChildren(...plants.map((p, i) => {
      const b = make("button", { type: "button", textContent: "Remove" });
      b.setAttribute("aria-label", `Remove ${common.get(p.species) || p.species}`);
      b.addEventListener("click", () => { plants.splice(i, 1); list(); });
      return make("li", {}, `${common.get(p.species) || p.species} `, make("em", { textContent: p.species }), " ", b);
    }));
    const missing = [];
    if (!lands.length) missing.push("an elevation raster, spot heights or a level book");
    if (!given && !plants.length) missing.push("species, or planned positions");
    $("b-have").textContent = missing.length ? `Still needed: ${missing.join("; ")}.` : "";
    $("b-go").disabled = missing.length > 0 || busy;
    look();
  };

  // What would come of it, a moment after the last change.
  const look = () => {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      const mine = ++asked;
      if ($("b-go").disabled || busy) { $("b-seen").hidden = true; return; }
      $("b-state").textContent = "Laying it out …";
      try {
        const p = await post("/api/preview", answers());
        if (mine !== asked) return;
        show(p);
        $("b-state").textContent = "";
      } catch (error) {
        if (mine !== asked) return;
        $("b-seen").hidden = true;
        $("b-state").textContent = error.message;
      }
    }, 400);
  };
  const show = (p) => {
    $("b-seen").hidden = false;
    $("b-spacing").placeholder = p.spacing ? `${u.toField(p.spacing)} if empty` : "";
    $("b-apart").placeholder = p.apart ? `${u.toField(p.apart)} if empty` : "";
    const rows = p.rows.length ? `${p.rows.length} ${p.rows.length === 1 ? "row" : "rows"} with ` : "";
    $("b-sum").textContent = `${rows}${p.trees} ${p.trees === 1 ? "tree" : "trees"}${p.shots.length ? `, ${p.shots.length} spot heights` : ""}.`;
    $("b-told").replaceChildren(...p.told.map((t) => make("li", { textContent: t })));
    $("b-text").textContent = p.text;
    const w = Math.max(...p.outline.map((q) => q[0])), h = Math.max(...p.outline.map((q) => q[1])), pad = 0.04 * Math.max(w, h), unit = Math.max(w, h) / 100;
    const at = (q) => `${(q[0]).toFixed(1)},${(h - q[1]).toFixed(1)}`;
    const svg = draw("svg", { viewBox: `${-pad} ${-pad} ${w + 2 * pad} ${h + 2 * pad}`, role: "img", "aria-label": `Plan, north up: ${$("b-sum").textContent}` },
      draw("polygon", { points: p.outline.map(at).join(" "), class: "ground", "stroke-width": 0.4 * unit }),
      ...p.shots.map((q) => draw("circle", { cx: q[0], cy: h - q[1], r: 0.45 * unit, class: "shot" })),
      ...p.rows.map((r) => draw("polyline", { points: r.map(at).join(" "), class: "row", "stroke-width": 0.7 * unit })),
      ...p.single.map((q) => draw("circle", { cx: q[0], cy: h - q[1], r: 0.9 * unit, class: "tree" })));
    $("b-plan").replaceChildren(svg);
  };

  const took = (f) => {
    files.set(f.name, f);
    if (f.feet && !chosen && !u.isFeet()) {
      $("units").value = "feet";
      $("units").dispatchEvent(new Event("change"));
    }
    if (f.kind === "list of species" || f.kind === "own species" && !plants.length) for (const p of f.plants || []) plants.push({ species: p, from: f.name });
    list();
  };
  fields();
  o.files.forEach(took);
  list();

  const send = async (file) => {
    const li = make("li", { textContent: `${file.name}: reading …` });
    $("b-files").append(li);
    if (file.size > o.most) {
      li.remove();
      notice(`${file.name} has ${Math.round(file.size / 2 ** 20)} MB; up to ${Math.round(o.most / 2 ** 20)} MB are taken. Cut it to the site first.`, "bad");
      return false;
    }
    try {
      const response = await fetch(`/api/upload?name=${encodeURIComponent(file.name)}`, { method: "POST", body: file, headers: { "Content-Type": "application/octet-stream" } });
      const body = await response.json();
      if (!response.ok) throw new Refused(response.status, body);
      took(body);
      return true;
    } catch (error) {
      li.remove();
      notice(error instanceof Refused ? error.message : `${file.name} could not be sent: is it still there, and is wetfeet still running?`, "bad");
      return false;
    }
  };
  const sendAll = async (all) => {
    let good = true;
    for (const f of all) good = await send(f) && good;
    if (good) notice("");
  };
  $("b-file").addEventListener("change", async (e) => { const all = [...e.target.files]; e.target.value = ""; await sendAll(all); });
  const page = document.body;
  page.addEventListener("dragover", (e) => { e.preventDefault(); $("b-drop").classList.add("over"); });
  page.addEventListener("dragleave", (e) => { if (!e.relatedTarget) $("b-drop").classList.remove("over"); });
  page.addEventListener("drop", async (e) => { e.preventDefault(); $("b-drop").classList.remove("over"); await sendAll([...e.dataTransfer.files]); });
  $("b-add").addEventListener("click", () => { const p = $("b-plants").value; if (p) { plants.push({ species: p, from: "" }); list(); } });
  $("begin").addEventListener("input", (e) => { if (e.target.type !== "file") look(); });

  $("begin").addEventListener("submit", async (e) => {
    e.preventDefault();
    clearTimeout(timer);
    asked++;
    busy = true;
    $("b-go").disabled = true;
    $("b-state").textContent = "Working it out …";
    try {
      await post("/api/begin", answers());
      location.reload();
    } catch (error) {
      notice(error.message, "bad");
      $("b-state").textContent = "";
      busy = false;
      $("b-go").disabled = false;
      $("notice").scrollIntoView({ block: "nearest" });
    }
  });
}
