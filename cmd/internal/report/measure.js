// Lengths as the reader's units write them; all numbers inside are metres. What
// the page says in one family of units and carries in the other changes places.
const FOOT = 0.3048;

const measure = {
  feet: false,

  level(m) { return (this.feet ? (m / FOOT).toFixed(2) + " ft" : m.toFixed(2) + " m").replace("-", "\u2212"); },

  depth(m) {
    if (this.feet) { return +(m / 0.0254).toFixed(1) + " in"; }
    return m < 1 ? +(100 * m).toFixed(1) + " cm" : m.toFixed(2) + " m";
  },

  // A height from one contour to the next, round in feet where it was chosen so.
  interval(m) {
    const feet = +(m / FOOT).toFixed(4);
    return this.feet && Number.isInteger(+(20 * feet).toFixed(2)) ? feet + " ft" : this.depth(m);
  },

  distance(m) { return this.feet ? +(m / FOOT).toPrecision(3) + " ft" : +m.toPrecision(3) + " m"; },

  // The greatest of 1, 2 or 5 times a power of ten that is at most so much.
  tidy(most) {
    const unit = this.feet ? FOOT : 1, v = most / unit, p = 10 ** Math.floor(Math.log10(v));
    return [5, 2, 1].map((k) => k * p).find((k) => k <= v * 1.000001) * unit;
  },

  use(feet) {
    if (feet === this.feet) { return; }
    this.feet = feet;
    for (const e of document.querySelectorAll("[data-other]")) {
      const now = e.textContent;
      e.textContent = e.getAttribute("data-other");
      e.setAttribute("data-other", now);
    }
  },
};
