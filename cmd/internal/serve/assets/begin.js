// A site that is begun: files dropped on the page, then four questions.
import { Refused, get, post } from "./ask.js";
import * as u from "./units.js";

const $ = (id) => document.getElementById(id);
const make = (tag, props = {}, ...children) => {
  const e = Object.assign(document.createElement(tag), props);
  e.append(...children);
  return e;
};
const names = { ground: "elevations", heights: "spot heights", positions: "planned trees", species: "species" };

export async function begin(notice) {
  const o = await get("/api/opening");
  const files = new Map(), plants = [];
  document.title = `A new site – wetfeet`;
  $("name").textContent = "A new site";
  $("where").textContent = o.folder;
  for (const id of ["undo", "redo", "save"]) $(id).hidden = true;
  $("units").addEventListener("change", () => { u.useFeet($("units").value === "feet"); fields(); });
  $("wait").hidden = true;
  $("beginning").hidden = false;
  if (o.unread.length) notice(o.unread.join("\n"), "bad");
  if (o.writable) notice(o.writable, "bad");
  $("b-name").value = o.folder.replace(/[-_]+/g, " ").replace(/^./, (c) => c.toUpperCase());
  for (const t of o.textures) $("b-texture").append(new Option(t, t));
  const options = [...o.species].sort((a, b) => a.common.localeCompare(b.common));
  for (const s of options) $("b-plants").append(new Option(`${s.common} (${s.species})`, s.species));
  const common = new Map(o.species.map((s) => [s.species, s.common]));

  const fields = () => {
    const feet = u.isFeet();
    for (const e of document.querySelectorAll("#begin .unit")) e.textContent = feet ? "ft" : "m";
    $("b-rain-unit").textContent = feet ? "in" : "mm";
    if (!fields.touched) {
      $("b-spacing").value = feet ? 13 : 4;
      $("b-apart").value = feet ? 26 : 8;
      $("b-rain").value = feet ? 4 : 100;
    }
  };
  fields();
  for (const id of ["b-spacing", "b-apart", "b-rain"]) $(id).addEventListener("input", () => { fields.touched = true; });

  const newest = (kind) => [...files.values()].filter((f) => f.kind === kind).at(-1);
  const list = () => {
    $("b-files").replaceChildren(...[...files.values()].map((f) => make("li", {}, make("strong", { textContent: f.name }), `: ${f.words}`)));
    const place = [newest("heights"), newest("positions")].some((f) => f?.place) && !newest("ground");
    $("b-place").hidden = !place;
    $("b-place-known").hidden = place || files.size === 0;
    const given = newest("positions");
    $("b-rows").hidden = !!given;
    $("b-given").hidden = !given;
    if (given) $("b-given").textContent = `The ${given.words} of ${given.name} are taken.`;
    $("b-go").disabled = !(newest("ground") || newest("heights"));
    $("b-chosen").replaceChildren(...plants.map((p, i) => {
      const b = make("button", { type: "button", textContent: "Remove" });
      b.setAttribute("aria-label", `Remove ${common.get(p) || p}`);
      b.addEventListener("click", () => { plants.splice(i, 1); list(); });
      return make("li", {}, `${common.get(p) || p} `, make("em", { textContent: p }), " ", b);
    }));
    const have = new Set([...files.values()].map((f) => f.kind));
    $("b-have").textContent = files.size ? `Given: ${[...have].map((k) => names[k]).join(", ")}.` : "";
  };
  const took = (f) => {
    files.set(f.name, f);
    for (const p of f.plants || []) if (!plants.includes(p)) plants.push(p);
    list();
  };
  o.files.forEach(took);
  list();

  const send = async (file) => {
    const li = make("li", { textContent: `${file.name}: reading …` });
    $("b-files").append(li);
    if (file.size > 512 * 2 ** 20) {
      li.remove();
      notice(`${file.name} has ${Math.round(file.size / 2 ** 20)} MB; up to 512 MB are taken. Cut it to the site first.`, "bad");
      return;
    }
    try {
      const response = await fetch(`/api/upload?name=${encodeURIComponent(file.name)}`, { method: "POST", body: file, headers: { "Content-Type": "application/octet-stream" } });
      const body = await response.json();
      if (!response.ok) throw new Refused(response.status, body);
      notice("");
      took(body);
    } catch (error) {
      li.remove();
      notice(error instanceof Refused ? error.message : `${file.name} could not be sent: is wetfeet still running?`, "bad");
    }
  };
  $("b-file").addEventListener("change", async (e) => { for (const f of e.target.files) await send(f); e.target.value = ""; });
  const drop = document.body;
  drop.addEventListener("dragover", (e) => { e.preventDefault(); $("b-drop").classList.add("over"); });
  drop.addEventListener("dragleave", (e) => { if (!e.relatedTarget) $("b-drop").classList.remove("over"); });
  drop.addEventListener("drop", async (e) => { e.preventDefault(); $("b-drop").classList.remove("over"); for (const f of e.dataTransfer.files) await send(f); });
  $("b-add").addEventListener("click", () => { const p = $("b-plants").value; if (p && !plants.includes(p)) { plants.push(p); list(); } });

  $("begin").addEventListener("submit", async (e) => {
    e.preventDefault();
    $("b-go").disabled = true;
    $("b-state").textContent = "Working it out …";
    const feet = u.isFeet(), num = (id) => $(id).value.trim() === "" ? null : parseFloat($(id).value);
    const lon = num("b-lon"), lat = num("b-lat");
    try {
      await post("/api/begin", {
        name: $("b-name").value, units: $("units").value,
        ground: newest("ground")?.name || "", heights: newest("heights")?.name || "", positions: newest("positions")?.name || "",
        species: [...files.values()].filter((f) => f.own).at(-1)?.name || "",
        lon: lon !== null && lat !== null ? lon : null, lat: lon !== null && lat !== null ? lat : null, crs: $("b-crs").value.trim(),
        texture: $("b-texture").value, rain: (num("b-rain") || 0) * (feet ? 25.4 : 1), hours: num("b-hours") || 24,
        plants, spacing: u.fromField(num("b-spacing") || 0), apart: u.fromField(num("b-apart") || 0),
      });
      location.reload();
    } catch (error) {
      notice(error.message, "bad");
      $("b-state").textContent = "";
      $("b-go").disabled = false;
      $("notice").scrollIntoView({ block: "nearest" });
    }
  });
}
