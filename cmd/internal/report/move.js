// Moving about on the map: by pointer, fingers, wheel and keys.
function moveAbout(map, act) {
  const { view } = map, down = new Map();
  const placeOf = (e) => {
    const box = view.getBoundingClientRect();
    return [e.clientX - box.left, e.clientY - box.top];
  };
  let far = 0; // that the pointer went since it came down, px

  view.addEventListener("pointerdown", (e) => {
    if (e.button > 0) { return; }
    view.setPointerCapture(e.pointerId);
    down.set(e.pointerId, placeOf(e));
    if (down.size === 1) { far = 0; }
  });
  view.addEventListener("pointermove", (e) => {
    const [x, y] = placeOf(e), from = down.get(e.pointerId);
    act.point(x, y);
    if (!from) { return; }
    const [dx, dy] = [x - from[0], y - from[1]];
    far += Math.hypot(dx, dy);
    if (down.size === 1) {
      if (far > 4) { map.pan(dx, dy); }
    } else {
      const [ox, oy] = [...down].find(([id]) => id !== e.pointerId)[1];
      map.pan(dx / 2, dy / 2);
      map.closer(Math.max(Math.hypot(x - ox, y - oy), 1) / Math.max(Math.hypot(from[0] - ox, from[1] - oy), 1), (x + ox) / 2, (y + oy) / 2);
    }
    down.set(e.pointerId, [x, y]);
  });
  const up = (e) => {
    const was = down.delete(e.pointerId);
    if (was && e.type === "pointerup" && far <= 4 && down.size === 0) { act.choose(map.treeAt(...placeOf(e))); }
  };
  view.addEventListener("pointerup", up);
  view.addEventListener("pointercancel", up);
  view.addEventListener("pointerleave", () => { if (!map.cross) { act.point(NaN, NaN); } });

  // The wheel scrolls the page until the map has been pressed.
  view.addEventListener("wheel", (e) => {
    if (document.activeElement !== view && !e.ctrlKey) { return; }
    e.preventDefault();
    const px = e.deltaY * (e.deltaMode === 1 ? 30 : e.deltaMode === 2 ? 300 : 1);
    map.closer(Math.exp(-Math.min(Math.max(px, -300), 300) / 400), ...placeOf(e));
  }, { passive: false });

  const step = 60;
  const keys = {
    ArrowLeft: () => map.pan(step, 0), ArrowRight: () => map.pan(-step, 0),
    ArrowUp: () => map.pan(0, step), ArrowDown: () => map.pan(0, -step),
    "+": () => map.closer(1.4), "=": () => map.closer(1.4), "-": () => map.closer(1 / 1.4), "\u2212": () => map.closer(1 / 1.4),
    0: () => map.whole(), Home: () => map.whole(),
    n: () => act.next(1), p: () => act.next(-1),
    Enter: () => act.row(), Escape: () => act.choose(null),
  };
  view.addEventListener("keydown", (e) => {
    const key = keys[e.key.length === 1 ? e.key.toLowerCase() : e.key];
    if (!key || e.ctrlKey || e.metaKey || e.altKey) { return; }
    e.preventDefault();
    key();
    map.cross = e.key.startsWith("Arrow") || (map.cross && e.key !== "Escape");
    if (map.cross) { act.point(map.w / 2, map.h / 2); }
    map.draw();
  });
  view.addEventListener("pointermove", () => { if (map.cross) { map.cross = false; map.draw(); } });
  view.addEventListener("blur", () => { map.cross = false; map.draw(); });
}
