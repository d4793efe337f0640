// Sorting and filtering of the tree table. The page reads the same without it.
(function () {
  "use strict";
  var table = document.getElementById("trees");
  if (!table) { return; }
  var body = table.tBodies[0];
  var heads = Array.prototype.slice.call(table.tHead.rows[0].cells);
  function value(row, i) {
    var cell = row.cells[i];
    var v = cell.getAttribute("data-sort");
    if (v === null) { v = cell.textContent; }
    var n = parseFloat(v);
    return v !== "" && isFinite(v) ? n : v.toLowerCase();
  }
  function compare(a, b) {
    if (typeof a === "number" && typeof b === "number") { return a - b; }
    return String(a).localeCompare(String(b), undefined, { numeric: true });
  }
  heads.forEach(function (head, i) {
    var button = head.querySelector("button");
    if (!button) { return; }
    button.addEventListener("click", function () {
      var down = head.getAttribute("aria-sort") === "ascending" ||
        (head.hasAttribute("data-first-down") && !head.hasAttribute("aria-sort"));
      heads.forEach(function (h) { h.removeAttribute("aria-sort"); });
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      Array.prototype.slice.call(body.rows)
        .map(function (row, k) { return { row: row, k: k, v: value(row, i) }; })
        .sort(function (a, b) { return (down ? -1 : 1) * compare(a.v, b.v) || a.k - b.k; })
        .forEach(function (x) { body.appendChild(x.row); });
    });
  });
  var only = document.getElementById("only-flagged");
  if (only) {
    only.addEventListener("change", function () {
      Array.prototype.slice.call(body.rows).forEach(function (row) {
        row.hidden = only.checked && !row.classList.contains("flagged");
      });
    });
  }
})();
