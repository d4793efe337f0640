// The page put together: the map, its legend, the tree chosen and its row.
(() => {
  const live = document.getElementById("live"), table = document.getElementById("trees");
  const data = JSON.parse(document.getElementById("map-data").textContent);
  live.hidden = false;
  document.body.classList.add("scripted");
  measure.feet = data.units === "feet";
  const find = (id) => document.getElementById(id);
  const map = new SiteMap(find("view"), data);

  const rowOf = new Map([...table.tBodies[0].rows].map((row) => [Number(row.dataset.tree), row]));
  let pointed = [NaN, NaN];

  function sayPlace() {
    const [gx, gy] = map.toGround(...pointed);
    if (!(gx >= 0 && gy >= 0 && gx <= data.wide && gy <= data.high)) { find("place").textContent = ""; return; }
    const z = map.level(gx, gy), step = measure.feet ? FOOT : 1;
    find("place").textContent = `E ${((data.west + gx) / step).toFixed(1)}, N ${((data.north - gy) / step).toFixed(1)} ${measure.feet ? "ft" : "m"}; ground ${z === z ? measure.level(z) : "not known"}`;
  }

  function sayChosen() {
    const tree = map.chosen, list = find("chosen-says");
    list.replaceChildren();
    live.querySelector('[data-do="row"]').hidden = !tree;
    find("chosen-name").replaceChildren(...(tree ? [markOf(tree.risk), " " + tree.id] : ["No tree chosen"]));
    if (!tree) { return; }
    for (const cell of rowOf.get(tree.index).cells) {
      if (cell.classList.contains("id") || cell.textContent.trim() === "") { continue; }
      const name = document.createElement("dt"), says = document.createElement("dd");
      name.textContent = cell.dataset.label;
      for (const part of cell.cloneNode(true).childNodes) { says.append(part.cloneNode(true)); }
      says.querySelectorAll(".mark").forEach((m) => m.remove());
      list.append(name, says);
    }
  }

  function choose(tree, quiet) {
    if (map.chosen) { rowOf.get(map.chosen.index).classList.remove("picked"); rowOf.get(map.chosen.index).querySelector("td.id button").setAttribute("aria-pressed", "false"); }
    map.chosen = tree;
    sayChosen();
    if (tree) {
      const row = rowOf.get(tree.index);
      row.classList.add("picked");
      row.querySelector("td.id button").setAttribute("aria-pressed", "true");
      map.show(tree.x, tree.y);
      if (!quiet) { find("heard").textContent = `${tree.id}: ${[...row.cells].filter((c) => ["Risk", "Plant", "Why", "Do"].includes(c.dataset.label)).map((c) => c.textContent.trim().replace(/\s+/g, " ")).join("; ")}`; }
    } else {
      find("heard").textContent = "";
    }
    map.draw();
  }

  // The next tree in planting order.
  function next(by) {
    const n = map.trees.length;
    if (n === 0) { return; }
    choose(map.trees[map.chosen ? (map.chosen.index + by + n) % n : by > 0 ? 0 : n - 1]);
  }

  function goToRow() {
    if (!map.chosen) { return; }
    const row = rowOf.get(map.chosen.index), only = find("only-flagged");
    if (row.hidden) { only.checked = false; only.dispatchEvent(new Event("change")); }
    row.scrollIntoView({ block: "center" });
    row.querySelector("td.id button").focus({ preventScroll: true });
  }

  // Every stake of the table is a button that finds the tree on the map.
  for (const [index, row] of rowOf) {
    const cell = row.querySelector("td.id"), button = document.createElement("button");
    button.type = "button";
    button.className = "find";
    button.setAttribute("aria-pressed", "false");
    button.title = "Show on the map";
    button.append(...cell.childNodes);
    cell.append(button);
    button.addEventListener("click", () => {
      choose(map.trees[index], true);
      find("view").scrollIntoView({ block: "center" });
      find("view").focus({ preventScroll: true });
    });
  }

  const acts = {
    closer: () => map.closer(1.5), farther: () => map.closer(1 / 1.5), whole: () => map.whole(),
    before: () => next(-1), after: () => next(1), row: goToRow,
  };
  live.querySelectorAll("[data-do]").forEach((b) => b.addEventListener("click", () => acts[b.dataset.do]()));
  moveAbout(map, { choose, next, row: goToRow, point: (x, y) => { pointed = [x, y]; sayPlace(); } });
  map.watchers.push(() => drawScale(find("scale"), map), sayPlace);

  function inUnits() {
    drawLegend(find("layers"), map);
    const { cell } = data.levels;
    find("finest").textContent = `Ground level under the pointer is read from a grid of ${measure.distance(cell)}; coordinates are in ${measure.feet ? "feet of 0.3048 m" : "metres"}, ${data.system}.`;
    sayChosen();
    map.draw();
  }
  live.querySelectorAll('input[name="units"]').forEach((choice) => {
    choice.checked = choice.value === data.units;
    choice.addEventListener("change", () => { measure.use(choice.value === "feet"); inUnits(); });
  });
  find("as-printed").checked = false;
  find("as-printed").addEventListener("change", (e) => document.body.classList.toggle("as-printed", e.target.checked));
  inUnits();
  map.fit();
})();
