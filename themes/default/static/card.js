// Chooses the paper of a set-up card: '?paper=A5' sets the page's size and the layout that fits it.
// Without a choice the reader's own paper decides, by the width of the page (card-small.css below 180 mm).
(function () {
  "use strict";
  var found = /[?&]paper=(A4|Letter|A5)(&|$)/.exec(window.location.search);
  if (!found) { return; }
  document.documentElement.dataset.paper = found[1];
  document.getElementById("small-card").media = found[1] === "A5" ? "print" : "not all";
  document.addEventListener("DOMContentLoaded", function () {
    document.querySelectorAll(".papers a").forEach(function (link) {
      if (link.textContent === found[1]) { link.setAttribute("aria-current", "true"); }
    });
  });
})();
