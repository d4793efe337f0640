// Questions to the server.

export class Refused extends Error {
  constructor(status, body) {
    super(body.error || `the server answered ${status}`);
    this.status = status;
    this.kind = body.kind || "";
  }
}

async function read(response) {
  if (response.ok) return response.json();
  let body = {};
  try { body = await response.json(); } catch { /* plain words */ }
  throw new Refused(response.status, body);
}

export const get = async (path, signal) => read(await fetch(path, { signal }));

export const post = async (path, body, signal) => read(await fetch(path, {
  method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal,
}));

// A grid of levels: the lowest and the step as two float64, then a 16-bit
// number a cell, the largest of them for a void.
export async function levels(path) {
  const response = await fetch(path);
  if (!response.ok) throw new Refused(response.status, {});
  const buffer = await response.arrayBuffer();
  const head = new DataView(buffer, 0, 16);
  const lowest = head.getFloat64(0, true), step = head.getFloat64(8, true);
  const raw = new Uint16Array(buffer, 16), out = new Float32Array(raw.length);
  for (let i = 0; i < raw.length; i++) out[i] = raw[i] === 65535 ? NaN : lowest + step * raw[i];
  return out;
}

export async function labels(path) {
  const response = await fetch(path);
  if (!response.ok) throw new Refused(response.status, {});
  return new Int32Array(await response.arrayBuffer());
}

export function picture(path) {
  return new Promise((resolve, reject) => {
    const image = new Image();
    image.onload = () => resolve(image);
    image.onerror = () => reject(new Error("a picture of the ground could not be loaded"));
    image.src = path;
  });
}

// A follower asks the newest question as soon as the one before is answered,
// the whole of it when the hand has rested, and how sure that is after that.
export class Follower {
  constructor(ask, { rest = 350, then = 900 } = {}) {
    Object.assign(this, { ask, rest, then, next: null, busy: false, timer: 0, thorough: null });
  }

  follow(question) {
    this.next = question;
    clearTimeout(this.timer);
    this.thorough?.abort();
    if (!this.busy) this.run();
  }

  async run() {
    this.busy = true;
    while (this.next) {
      const question = this.next;
      this.next = null;
      await this.ask(question, "soon");
    }
    this.busy = false;
    this.settle(this.rest);
  }

  // Asks for the whole answer once the hand has rested so long.
  settle(wait, efforts = ["likely", "sure"]) {
    clearTimeout(this.timer);
    this.thorough?.abort();
    this.timer = setTimeout(async () => {
      const mine = this.thorough = new AbortController();
      for (const effort of efforts) {
        if (mine.signal.aborted) return;
        if (effort === "sure") {
          if (!this.sure) continue;
          await new Promise((done) => { this.timer = setTimeout(done, this.then); mine.signal.addEventListener("abort", done); });
          if (mine.signal.aborted) return;
        }
        await this.ask(this.last(), effort, mine.signal);
      }
    }, wait);
  }
}
