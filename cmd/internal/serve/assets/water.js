// The ground as numbers, and the water on it at any time of a storm.

const DRY = -0.02; // depth of water on ground away from any, m

export class Ground {
  constructor(area, z, soft, label) {
    Object.assign(this, area); // west, north, cell, rows, cols
    this.z = z;
    this.soft = soft;
    this.label = label;
    this.most = 0;
    // The columns of each row that water can stand on.
    this.first = new Int32Array(this.rows).fill(this.cols);
    this.last = new Int32Array(this.rows).fill(-1);
    for (let r = 0, i = 0; r < this.rows; r++) {
      for (let c = 0; c < this.cols; c++, i++) {
        const k = label[i];
        if (k === 0) continue;
        if (k > this.most) this.most = k;
        if (c < this.first[r]) this.first[r] = c;
        this.last[r] = c;
      }
    }
    let lo = Infinity, hi = -Infinity;
    for (const v of z) if (v === v) { if (v < lo) lo = v; if (v > hi) hi = v; }
    this.lowest = lo;
    this.highest = hi;
  }

  // The index of the cell at a place so far east and south of the corner.
  at(x, y) {
    const c = Math.floor(x / this.cell), r = Math.floor(y / this.cell);
    return c < 0 || r < 0 || c >= this.cols || r >= this.rows ? -1 : r * this.cols + c;
  }

  level(x, y) {
    const i = this.at(x, y);
    return i < 0 ? NaN : this.z[i];
  }

  // A grid taken linearly between the middles of cells; the cell itself
  // beside a void.
  between(g, x, y) {
    const i = this.at(x, y);
    if (i < 0) return NaN;
    const u = x / this.cell - 0.5, v = y / this.cell - 0.5;
    const c = Math.min(Math.max(Math.floor(u), 0), this.cols - 2), r = Math.min(Math.max(Math.floor(v), 0), this.rows - 2);
    const s = Math.min(Math.max(u - c, 0), 1), t = Math.min(Math.max(v - r, 0), 1), k = r * this.cols + c;
    const w = (1 - t) * ((1 - s) * g[k] + s * g[k + 1]) + t * ((1 - s) * g[k + this.cols] + s * g[k + this.cols + 1]);
    return w === w ? w : g[i];
  }
}

// The water of a storm over a ground.
export class Water {
  // The water before it on the same ground leaves its cells to it.
  constructor(ground, storm, before) {
    this.ground = ground;
    this.storm = storm;
    this.level = new Float64Array(ground.most + 1);
    this.from = new Int32Array(ground.rows); // the columns of each row where it stands
    this.to = new Int32Array(ground.rows);
    this.courses = Object.entries(storm.levels).map(([k, course]) => [+k, course, floorOf(course)]);
    this.depth = before?.ground === ground ? before.depth : new Float32Array(ground.z.length).fill(DRY);
  }

  // The level over the floor of each hollow at a time, h; peak for the
  // highest of each.
  levels(into, time) {
    into.fill(-Infinity);
    for (const [k, course, floor] of this.courses) {
      if (k >= into.length) continue;
      const z = time === "peak" ? highest(course) : levelAt(course, time);
      if (z > floor + 5e-4) into[k] = z; // a course begins dry, at the floor
    }
    return into;
  }

  // Depth of water at a time on every cell water can stand on, negative just
  // outside of it, m.
  stand(time) {
    const { label, soft, first, last, rows, cols } = this.ground, { depth, level, from, to } = this;
    this.levels(level, time);
    for (let r = 0; r < rows; r++) {
      let a = cols, b = -1;
      for (let c = first[r], i = r * cols + c; c <= last[r]; c++, i++) {
        const k = label[i];
        const d = k === 0 ? DRY : level[k] - soft[i];
        if (d > DRY) { // a void is dry
          depth[i] = d;
          if (a > c) a = c;
          b = c;
        } else depth[i] = DRY;
      }
      from[r] = a;
      to[r] = b;
    }
    return depth;
  }
}

function levelAt(course, time) {
  let lo = 0, hi = course.length / 2 - 1;
  if (time <= course[0]) return course[1];
  if (time >= course[2 * hi]) return course[2 * hi + 1];
  while (hi - lo > 1) {
    const mid = (lo + hi) >> 1;
    if (course[2 * mid] <= time) lo = mid; else hi = mid;
  }
  const a = course[2 * lo], b = course[2 * hi], t = b > a ? (time - a) / (b - a) : 1;
  return course[2 * lo + 1] + t * (course[2 * hi + 1] - course[2 * lo + 1]);
}

function floorOf(course) {
  let floor = Infinity;
  for (let i = 1; i < course.length; i += 2) if (course[i] < floor) floor = course[i];
  return floor;
}

function highest(course) {
  let most = -Infinity;
  for (let i = 1; i < course.length; i += 2) if (course[i] > most) most = course[i];
  return most;
}
