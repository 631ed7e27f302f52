// Lays the set-up card out on one sheet: '?paper=A5' chooses the paper, printing without a choice takes A4.
// The sheet is measured as it stands; parts leave in a fixed order until it fits. What builds the set or
// keeps people safe never leaves; a card that is still too long says so.
(function () {
  "use strict";
  var root = document.documentElement;
  // height of the sheet less its margins, in millimetres, and the layouts to try in their order
  var papers = {
    A4: { height: 277, layouts: ["wide", "wide plain", "tight", "tight bare", "small", "small bare", "mid", "mid bare", "beside bare", "beside bare fine"] },
    Letter: { height: 259, layouts: ["wide", "wide plain", "tight", "tight bare", "small", "small bare", "mid", "mid bare", "beside bare", "beside bare fine"] },
    A5: { height: 200, layouts: ["small", "small bare", "mid", "mid bare", "beside", "beside bare", "beside bare fine"] }
  };
  var asked = /[?&]paper=(A4|Letter|A5)(&|$)/.exec(window.location.search);

  function fit(paper) {
    var card = document.querySelector(".card");
    if (!card) { return; }
    root.dataset.paper = paper;
    var limit = papers[paper].height * 96 / 25.4;
    var fits = papers[paper].layouts.some(function (layout) {
      root.dataset.layout = layout;
      return card.scrollHeight <= limit;
    });
    root.dataset.fits = fits ? "yes" : "no";
  }

  function start() {
    document.querySelectorAll(".papers a[href^='?']").forEach(function (link) {
      if (asked && link.textContent === asked[1]) { link.setAttribute("aria-current", "true"); }
    });
    if (!asked) {
      window.addEventListener("beforeprint", function () { fit("A4"); });
      window.addEventListener("afterprint", function () {
        delete root.dataset.paper;
        delete root.dataset.layout;
        delete root.dataset.fits;
      });
      return;
    }
    fit(asked[1]);
    // the font may come in after the first measure
    document.fonts.ready.then(function () { fit(asked[1]); });
  }

  if (document.readyState === "loading") {
    document.addEventListener("DOMContentLoaded", start);
  } else {
    start();
  }
})();
