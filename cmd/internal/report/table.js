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
  function sort(i, down) {
    heads.forEach(function (h) { h.removeAttribute("aria-sort"); });
    heads[i].setAttribute("aria-sort", down ? "descending" : "ascending");
    Array.prototype.slice.call(body.rows)
      .map(function (row, k) { return { row: row, k: k, v: value(row, i) }; })
      .sort(function (a, b) { return (down ? -1 : 1) * compare(a.v, b.v) || a.k - b.k; })
      .forEach(function (x) { body.appendChild(x.row); });
    if (select) { select.value = String(i); }
  }
  // Cards have no headings to press: there a list of them sorts.
  var select = document.getElementById("sort-by");
  heads.forEach(function (head, i) {
    var button = head.querySelector("button");
    if (!button) { return; }
    var firstDown = head.hasAttribute("data-first-down");
    button.addEventListener("click", function () {
      sort(i, head.getAttribute("aria-sort") === "ascending" || (firstDown && !head.hasAttribute("aria-sort")));
    });
    if (select) {
      var option = document.createElement("option");
      option.value = String(i);
      option.textContent = button.textContent;
      select.appendChild(option);
    }
  });
  if (select) {
    select.parentNode.hidden = false;
    select.addEventListener("change", function () {
      var i = Number(select.value);
      sort(i, heads[i].hasAttribute("data-first-down"));
    });
  }
  var only = document.getElementById("only-flagged");
  if (only) {
    only.addEventListener("change", function () {
      Array.prototype.slice.call(body.rows).forEach(function (row) {
        row.hidden = only.checked && !row.classList.contains("flagged");
      });
    });
  }
})();
