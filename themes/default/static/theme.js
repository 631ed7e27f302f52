// Light or dark: as the system says until somebody chooses; the choice is remembered on this machine.
(function () {
  "use strict";
  var root = document.documentElement;
  var asked = window.matchMedia("(prefers-color-scheme: dark)");

  function remembered() {
    try { return window.localStorage.getItem("theme"); } catch (error) { return null; }
  }
  function remember(theme) {
    try { window.localStorage.setItem("theme", theme); } catch (error) { /* a private window: not kept */ }
  }
  function current() {
    return root.dataset.theme || (asked.matches ? "dark" : "light");
  }

  var kept = remembered();
  if (kept === "light" || kept === "dark") { root.dataset.theme = kept; }

  document.addEventListener("DOMContentLoaded", function () {
    var button = document.getElementById("theme-switch");
    if (!button) { return; }
    function name() { button.textContent = current() === "dark" ? "Light" : "Dark"; }
    button.addEventListener("click", function () {
      root.dataset.theme = current() === "dark" ? "light" : "dark";
      remember(root.dataset.theme);
      name();
    });
    asked.addEventListener("change", name);
    button.hidden = false;
    name();
  });
})();
