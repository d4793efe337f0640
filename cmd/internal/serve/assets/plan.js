// The plan as the grower has it on the page, with what can be undone.

export class Plan {
  constructor(document) {
    this.now = document;
    this.saved = JSON.stringify(document);
    this.past = [];
    this.future = [];
    this.changed = () => {};
  }

  get dirty() { return JSON.stringify(this.now) !== this.saved; }

  savedAs(document) { this.saved = JSON.stringify(document); }

  // Changes the plan. Changes of one kind that follow each other closely, such
  // as those of a slider, are undone together.
  change(kind, edit) {
    const before = JSON.stringify(this.now), last = this.past[this.past.length - 1];
    const next = JSON.parse(before);
    edit(next);
    if (JSON.stringify(next) === before) return;
    const together = last && last.kind === kind && kind !== "" && performance.now() - last.at < 1200;
    if (together) last.at = performance.now();
    else this.past.push({ kind, before, at: performance.now() });
    if (this.past.length > 200) this.past.shift();
    this.future = [];
    this.now = next;
    this.changed();
  }

  // Ends a run of changes that are undone together.
  rest() {
    const last = this.past[this.past.length - 1];
    if (last) last.at = -1e9;
  }

  undo() {
    const step = this.past.pop();
    if (!step) return;
    this.future.push({ ...step, after: JSON.stringify(this.now) });
    this.now = JSON.parse(step.before);
    this.changed();
  }

  redo() {
    const step = this.future.pop();
    if (!step) return;
    this.past.push({ kind: step.kind, before: step.before, at: -1e9 });
    this.now = JSON.parse(step.after);
    this.changed();
  }
}
