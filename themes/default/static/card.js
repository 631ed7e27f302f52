// Lays each set-up card out on one sheet. '?paper=A5' chooses the paper; printed without a choice it fits A4 and
// Letter alike. The sheet is measured as it stands; parts leave in a fixed order until it fits. What builds the
// set or keeps people safe never leaves; a card that is still too long says so.
(function () {
  "use strict";
  var root = document.documentElement;
  // Heights in millimetres, less the margins above and below. Layouts in the order in which they are tried:
  //   pair    plan and detail, the camera's settings beside them
  //   ruled   plan with its dimensions, all that is set and read beside it
  //   low     plan alone (the table has the dimensions), all that is set and read beside it
  //   bare    without the blank strip and the corrections beyond the third
  //   spare   with two corrections, short: with one, none: the recipe's page has them
  //   brief   a smaller title
  //   terse   without the sentence that says what the table's words mean
  //   wide    a tag with air between its lines; close: with little; small: with smaller figures too
  //   fine    smaller figures on a large paper; headings within their lines
  var large = ["pair", "pair bare", "pair bare spare", "pair bare short", "ruled bare", "low bare", "low bare fine", "low bare spare fine", "low bare short fine", "low bare none fine", "low bare none fine brief", "low bare none fine brief terse"];
  var papers = {
    A4: { height: 277, layouts: large },
    Letter: { height: 261, layouts: large },
    either: { height: 261, layouts: large },
    A5: { height: 200, layouts: ["pair bare", "ruled bare", "low", "low bare", "low bare fine", "low bare spare fine", "low bare short fine", "low bare none fine", "low bare none fine brief", "low bare none fine brief terse"] },
    A6: { height: 138, layouts: ["wide", "close", "close small"] }
  };
  var asked = /[?&]paper=(A4|Letter|A5|A6)(&|$)/.exec(window.location.search);

  // One card, each card of a binder, or each stand's tag.
  function fit(paper) {
    var cards = Array.prototype.slice.call(document.querySelectorAll(".card, .tag"));
    if (!cards.length) { return; }
    root.dataset.paper = paper;
    var limit = papers[paper].height * 96 / 25.4;
    cards.forEach(function (card) {
      delete card.dataset.fits;
      var fits = papers[paper].layouts.some(function (layout) {
        card.dataset.layout = layout;
        return card.scrollHeight <= limit;
      });
      card.dataset.fits = fits ? "yes" : "no";
    });
    root.dataset.fits = cards.every(function (card) { return card.dataset.fits === "yes"; }) ? "yes" : "no";
  }

  function start() {
    document.querySelectorAll(".papers a[href^='?']").forEach(function (link) {
      if (asked && link.textContent === asked[1]) { link.setAttribute("aria-current", "true"); }
    });
    if (!asked) {
      window.addEventListener("beforeprint", function () { fit("either"); });
      window.addEventListener("afterprint", function () {
        delete root.dataset.paper;
        delete root.dataset.fits;
        document.querySelectorAll(".card").forEach(function (card) {
          delete card.dataset.layout;
          delete card.dataset.fits;
        });
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
