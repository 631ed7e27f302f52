// Metres, or feet and inches: both stand in the page, one is shown; the choice is remembered on this machine.
(function () {
  "use strict";
  var root = document.documentElement;
  function remembered() {
    try { return window.localStorage.getItem("units"); } catch (error) { return null; }
  }
  function remember(units) {
    try { window.localStorage.setItem("units", units); } catch (error) { /* a private window: not kept */ }
  }
  var kept = remembered();
  if (kept === "metric" || kept === "imperial") { root.dataset.units = kept; }
  document.addEventListener("DOMContentLoaded", function () {
    var button = document.getElementById("units-switch");
    if (!button) { return; }
    function name() { button.textContent = root.dataset.units === "metric" ? "Feet" : "Metres"; }
    button.addEventListener("click", function () {
      root.dataset.units = root.dataset.units === "metric" ? "imperial" : "metric";
      remember(root.dataset.units);
      name();
    });
    button.hidden = false;
    name();
  });
})();
