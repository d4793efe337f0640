// Lengths, depths and times as the reader's units write them. All numbers
// inside are metres, millimetres of rain and hours.
const FOOT = 0.3048;
const minus = (s) => s.replace("-", "−");

let feet = false;
export const useFeet = (yes) => { feet = yes; };
export const isFeet = () => feet;

export const distance = (m) => feet ? `${(m / FOOT).toFixed(1)} ft` : `${m.toFixed(1)} m`;
export const level = (m, digits = 2) => minus(feet ? `${(m / FOOT).toFixed(digits)} ft` : `${m.toFixed(digits)} m`);
export const rain = (mm) => feet ? `${(mm / 25.4).toFixed(1)} in` : `${Math.round(mm)} mm`;
export const volume = (m3) => feet ? `${(m3 / 0.764554857984).toFixed(m3 < 7 ? 1 : 0)} yd³` : `${m3.toFixed(m3 < 10 ? 1 : 0)} m³`;

export function depth(m) {
  if (feet) {
    const inches = m / 0.0254;
    return inches >= 48 ? `${(m / FOOT).toFixed(2)} ft` : `${inches.toFixed(1)} in`;
  }
  if (m >= 1) return `${m.toFixed(2)} m`;
  const cm = 100 * m;
  return `${cm.toFixed(cm < 9.95 ? 1 : 0)} cm`;
}

// The height that a mound of so many metres is built to, m: whole inches or
// centimetres, rounded up, as the sheets say it.
export const builtMound = (m) => feet ? 0.0254 * Math.ceil(m / 0.0254 - 1e-6) : Math.ceil(100 * m - 1e-6) / 100;

export function mound(m) {
  const h = builtMound(m);
  if (feet && h < 4 * FOOT) return `${Math.round(h / 0.0254)} in`;
  return !feet && h < 1 ? `${Math.round(100 * h)} cm` : depth(h);
}

// A height from one contour to the next, round in feet where it was chosen so.
export function interval(m) {
  const inFeet = +(m / FOOT).toFixed(4);
  return feet && Number.isInteger(+(20 * inFeet).toFixed(2)) ? `${inFeet} ft` : depth(m);
}

export function hours(h) {
  if (h < 1) return `${Math.round(60 * h)} min`;
  return `${+h.toPrecision(3)} h`;
}

export function spell(h) {
  if (!(h > 0)) return "never";
  if (h < 1) return "under 1 h";
  if (h < 36) return `${Math.round(h)} h`;
  const days = h / 24;
  return days < 10 ? `${days.toFixed(1)} days` : `${Math.round(days)} days`;
}

// A field of a form holds a bare number in the reader's unit.
export const lengthUnit = () => feet ? "ft" : "m";
export const toField = (m) => +(feet ? m / FOOT : m).toFixed(2);
export const fromField = (v) => feet ? v * FOOT : v;

// The least of 1, 2 or 5 times a power of ten that is at least so much.
export function tidy(least) {
  const unit = feet ? FOOT : 1;
  const v = least / unit, p = 10 ** Math.floor(Math.log10(v));
  for (const k of [1, 2, 5, 10]) if (k * p >= v * 0.999999) return k * p * unit;
  return 10 * p * unit;
}
