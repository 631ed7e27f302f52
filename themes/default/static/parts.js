// A row of the parts table and its thing on the drawings show each other up, by pointer and by keyboard.
document.addEventListener("DOMContentLoaded", function () {
  "use strict";
  var rows = Array.prototype.slice.call(document.querySelectorAll("tbody[data-part]"));
  var spots = Array.prototype.slice.call(document.querySelectorAll(".spot"));
  function light(part) {
    rows.concat(spots).forEach(function (one) { one.classList.toggle("lit", part !== "" && one.dataset.part === part); });
  }
  rows.concat(spots).forEach(function (one) {
    one.addEventListener("pointerenter", function () { light(one.dataset.part); });
    one.addEventListener("pointerleave", function () { light(""); });
  });
  rows.forEach(function (row) {
    if (!spots.some(function (spot) { return spot.dataset.part === row.dataset.part; })) { return; }
    row.tabIndex = 0;
    row.addEventListener("focus", function () { light(row.dataset.part); });
    row.addEventListener("blur", function () { light(""); });
  });
  spots.forEach(function (spot) {
    spot.addEventListener("click", function () {
      var row = rows.find(function (one) { return one.dataset.part === spot.dataset.part; });
      if (row) { row.focus({ preventScroll: true }); row.scrollIntoView({ block: "nearest" }); }
    });
  });
});
