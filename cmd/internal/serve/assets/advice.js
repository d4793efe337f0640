// What to do: the advice of the program for the plan as it is, and how it gets
// into the plan. It is asked for once the odds are there, and given up as soon
// as the plan changes. Until then, and where there are no odds, it is what the
// likeliest answer says of each tree.
import * as u from "./units.js";
import { post, Refused } from "./ask.js";

const make = (tag, props = {}, ...children) => {
  const e = Object.assign(document.createElement(tag), props);
  e.append(...children);
  return e;
};
const list = (sentences) => make("ul", {}, ...sentences.map((s) => make("li", { textContent: s })));
const count = (n, one, many) => n === 1 ? `1 ${one}` : `${n} ${many}`;

const kinds = {
  places: { title: "Change places", only: (n) => `Change the places of ${count(n, "plant", "plants")}` },
  raise: { title: "Raise", only: (n) => `Raise ${count(n, "tree", "trees")}` },
  swap: { title: "Buy instead", only: (n) => `Swap ${count(n, "plant", "plants")}` },
};

export class Advisor {
  constructor(section, page) {
    Object.assign(this, { section, page, asking: null, advice: null, of: null });
    this.body = section.querySelector("#advice-body");
    this.first = section.querySelector("#first");
    this.accept = section.querySelector("#accept");
    this.accept.addEventListener("click", () => this.take(simple(page.reply.trees)));
    this.none = !page.site.odds; // no advice by odds is to be had
    if (!this.none) this.say("What saves most follows once the odds are worked out …");
  }

  // One thing at a time puts all of it into the plan.
  frame(trees) {
    const n = this.none && !this.advice ? simple(trees).length : 0;
    this.accept.hidden = n === 0;
    this.accept.textContent = `Put the advice for ${n === 1 ? "the one tree" : `all ${n} trees`} into the plan`;
    this.first.hidden = !!this.advice;
  }

  say(words) {
    this.body.replaceChildren(make("p", { className: "quiet", textContent: words, role: "status" }));
  }

  // The plan has changed: what was asked is asked no more.
  changed() {
    this.asking?.abort();
    this.asking = null;
    this.of = null;
    for (const b of this.body.querySelectorAll("button")) b.disabled = true;
    this.section.classList.toggle("old", !!this.advice);
  }

  // An answer has come; advice is made from one with odds.
  async answered(reply) {
    this.frame(reply.trees);
    const plan = this.page.plan.now, about = `${this.page.units} ${JSON.stringify(plan)}`;
    if (reply.effort !== "sure" || this.of === about) return;
    if (!reply.draws) { this.instead(""); return; }
    this.asking?.abort();
    const mine = this.asking = new AbortController();
    this.of = about;
    if (!this.advice) this.say("Working out what saves most …");
    try {
      const advice = await post("/api/advice", { document: plan, units: this.page.units }, mine.signal);
      if (mine.signal.aborted) return;
      this.advice = advice;
      this.none = false;
      this.show();
      this.frame(this.page.reply.trees);
    } catch (error) {
      if (error.name === "AbortError" || mine.signal.aborted) return;
      this.instead(error instanceof Refused ? error.message[0].toUpperCase() + error.message.slice(1) + "." : "The advice could not be had: the page cannot reach wetfeet.");
      this.of = null;
    }
  }

  // Where there is no advice by odds, that for each tree stands.
  instead(words) {
    this.advice = null;
    this.none = true;
    this.section.classList.remove("old");
    if (words) this.say(words); else this.body.replaceChildren();
    this.frame(this.page.reply.trees);
  }

  // Puts changes of trees into the plan, as one step that can be undone.
  take(changes) {
    this.page.plan.change("", (d) => {
      for (const c of changes) {
        const told = this.page.told(d, c.id);
        if (c.species) told.species = c.species;
        if (c.mound) told.mound = c.mound;
      }
    });
  }

  button(words, changes, kind = "") {
    const b = make("button", { type: "button", textContent: words, className: kind });
    b.addEventListener("click", () => this.take(changes));
    return b;
  }

  // Ditches and pipes that are advised, and how they get into the plan.
  drain({ say, dig }) {
    const buttons = dig.map(({ what, work }) => {
      const b = make("button", { type: "button", textContent: `Put ${what} into the plan` });
      b.dataset.kind = "drain";
      b.addEventListener("click", () => this.page.works.add(work));
      return b;
    });
    return make("li", {}, say, make("div", { className: "buttons" }, ...buttons));
  }

  show() {
    const a = this.advice, parts = [];
    this.section.classList.remove("old");
    parts.push(make("p", { textContent: a.lead }), this.bars());
    if (a.all.length) parts.push(make("div", { className: "buttons" }, this.button("Put all of it into the plan", a.all, "main")));
    for (const p of a.parts) {
      const k = kinds[p.kind], block = make("div", { className: "part" }, make("h3", { textContent: k.title }), ...(p.say.length ? [list(p.say)] : []));
      if (p.warn) block.append(...p.warn.map((w) => make("p", { className: "warn", textContent: w })));
      if (p.change.length) {
        const b = this.button(`${k.only(p.change.length)}, nothing else`, p.change);
        b.dataset.kind = p.kind;
        block.append(make("div", { className: "buttons" }, b), make("p", { className: "quiet", textContent: `Alone it saves ${p.saved.words} (${p.saved.span}): ${p.then.words} lost (${p.then.span}).` }));
      }
      parts.push(block);
    }
    if (a.drain?.length) {
      parts.push(make("div", { className: "part" }, make("h3", { textContent: "Drains, if you may dig there" }), make("ul", {}, ...a.drain.map((d) => this.drain(d))),
        make("p", { className: "warn", textContent: "Water sent on is somebody's: ask the neighbour below and the authority before digging, and have buried lines marked." })));
    }
    if (a.next?.length) parts.push(make("div", { className: "part" }, make("h3", { textContent: "Find out next" }), list(a.next)));
    this.body.replaceChildren(...parts);
    document.body.dataset.advised = a.all.length;
  }

  // Trees expected to be lost before and after, each with its interval.
  bars() {
    const a = this.advice, most = Math.max(a.now.high, a.then.high, 1) * 1.06;
    const bar = (words, l, kind) => {
      const at = (v) => (100 * Math.max(0, v) / most).toFixed(2);
      const row = make("div", { className: `bar ${kind}` }, make("span", { textContent: words }), make("div", {}), make("b", { textContent: `${l.words} (${l.span})` }));
      row.children[1].innerHTML = `<svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true"><rect width="${at(l.mean)}" height="10"/><path d="M${at(l.low)} 5H${at(l.high)}M${at(l.low)} 2V8M${at(l.high)} 2V8" vector-effect="non-scaling-stroke"/></svg>`;
      return row;
    };
    return make("div", { className: "bars" }, make("p", { className: "quiet", textContent: `Expected to be lost, of ${a.trees} trees; the lines span eight cases of ten` }), bar("As planned", a.now, "now"), bar("With all of it", a.then, "then"));
  }
}

// What the answer says of each flagged tree, as changes of the plan.
function simple(trees) {
  const out = [];
  for (const t of trees) {
    if (!t.flagged) continue;
    if (t.advice === "raise" && t.mound) out.push({ id: t.id, mound: Math.max(t.built || 0, u.builtMound(t.mound)) });
    else if (t.advice === "swap" && t.swaps?.length) out.push({ id: t.id, species: t.swaps[0].species });
  }
  return out;
}
