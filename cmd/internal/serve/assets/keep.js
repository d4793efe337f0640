// Work that is not saved, kept by the browser, so that a crash or a page
// loaded again loses none of it.
//
// Every page keeps its own under a name of its own and holds a lock of that
// name while it lives. What nobody holds was left behind, and is offered to
// the next page on the site; it is never put into the plan unasked.
import * as u from "./units.js";

const wait = 250; // ms until a change is written

export class Keep {
  constructor(site, plan, { say, taken }) {
    this.begins = `wetfeet unsaved ${site.path} `;
    this.name = this.begins + Array.from(crypto.getRandomValues(new Uint32Array(3)), (n) => n.toString(36)).join("");
    Object.assign(this, { site, plan, say, taken, timer: 0, wrote: "" });
    navigator.locks?.request(this.name, () => new Promise(() => {}));
    addEventListener("pagehide", () => this.write());
    document.addEventListener("visibilitychange", () => { if (document.hidden) this.write(); });
  }

  // The plan has changed, or was saved.
  changed() {
    clearTimeout(this.timer);
    if (this.plan.dirty) this.timer = setTimeout(() => this.write(), wait);
    else this.write();
  }

  write() {
    clearTimeout(this.timer);
    try {
      if (!this.plan.dirty) {
        if (this.wrote) localStorage.removeItem(this.name);
        this.wrote = "";
        return;
      }
      const text = JSON.stringify(this.plan.now);
      if (text === this.wrote) return;
      localStorage.setItem(this.name, JSON.stringify({ at: Date.now(), hash: this.site.hash, document: this.plan.now }));
      this.wrote = text;
    } catch {
      if (!this.told) this.say("This browser has no room to keep unsaved work, so a crash would lose it: save from time to time.", "quietly");
      this.told = true;
    }
  }

  // What pages that are no longer there left behind, the newest first.
  async left() {
    const found = [];
    try {
      const held = new Set(((await navigator.locks?.query())?.held || []).map((l) => l.name));
      for (const name of Object.keys(localStorage)) {
        if (!name.startsWith(this.begins) || name === this.name || held.has(name)) continue;
        const kept = read(localStorage.getItem(name));
        if (!kept || JSON.stringify(kept.document) === this.plan.saved) localStorage.removeItem(name);
        else found.push({ name, ...kept });
      }
    } catch { /* a browser that keeps nothing */ }
    return found.sort((a, b) => b.at - a.at);
  }

  // Offers what was left behind.
  async offer() {
    document.getElementById("kept")?.remove();
    const [kept] = await this.left();
    if (!kept) return;
    const box = document.createElement("section");
    box.id = "kept";
    box.className = "notice quietly kept";
    box.setAttribute("aria-label", "Unsaved work");
    const words = document.createElement("p");
    words.setAttribute("role", "status");
    const meanwhile = kept.hash !== this.site.hash ? " The site file has changed since." : "";
    words.textContent = `Changes of ${when(kept.at)} to this site were never saved: ${differences(JSON.parse(this.plan.saved), kept.document)}.${meanwhile} They are still here.`;
    const button = (text, act, kind = "") => {
      const b = document.createElement("button");
      b.type = "button";
      b.textContent = text;
      b.className = kind;
      b.addEventListener("click", () => { act(); localStorage.removeItem(kept.name); this.offer(); });
      return b;
    };
    box.append(words,
      button("Take them up again", () => {
        this.plan.change("", (d) => { for (const k of Object.keys(d)) delete d[k]; Object.assign(d, kept.document); });
        this.write();
        this.taken?.();
      }, "main"),
      button("Throw them away", () => {}));
    document.getElementById("notice").after(box);
  }
}

function read(text) {
  try {
    const kept = JSON.parse(text), d = kept.document;
    return Number.isFinite(kept.at) && d.storm && Array.isArray(d.rows) && Array.isArray(d.trees) ? kept : null;
  } catch { return null; }
}

function when(at) {
  const day = new Date(at), time = day.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  return day.toDateString() === new Date().toDateString() ? `${time} today` : `${day.toLocaleDateString()}, ${time}`;
}

// What two plans do not have in common, in a few words.
export function differences(was, is) {
  const out = [], differ = (a, b) => JSON.stringify(a) !== JSON.stringify(b);
  if (differ(was.storm, is.storm)) out.push(`the storm (${u.rain(is.storm.rain)} in ${u.hours(is.storm.hours)})`);
  const count = (name, key) => {
    const a = new Map(was[name].map((x) => [x[key], x])), b = new Map(is[name].map((x) => [x[key], x]));
    let n = 0;
    for (const k of new Set([...a.keys(), ...b.keys()])) if (differ(a.get(k), b.get(k))) n++;
    return n;
  };
  const rows = count("rows", "name"), trees = count("trees", "id");
  if (rows) out.push(rows === 1 ? "1 row" : `${rows} rows`);
  if (trees) out.push(trees === 1 ? "1 tree" : `${trees} trees`);
  const others = Object.keys(is).filter((k) => !["storm", "rows", "trees"].includes(k) && differ(was[k], is[k]));
  if (others.length) out.push(...others);
  return out.length ? out.join(", ") : "their order";
}
