// Lays each set-up card out on one sheet. '?paper=A5' chooses the paper; printed without a choice it fits A4 and
// Letter alike. The sheet is measured as it stands; parts leave in a fixed order until it fits. What builds the
// set or keeps people safe never leaves; a card that is still too long says so, and by how much.
(function () {
  "use strict";
  var root = document.documentElement;
  // Heights in millimetres, less the margins above and below. Layouts in the order in which they are tried:
  //   pair    plan and detail, the camera's settings beside them
  //   ruled   plan with its dimensions, all that is set and read beside it
  //   low     plan alone (the table has the dimensions), all that is set and read beside it
  //   aside   what is ticked stands beside the plan
  //   short   corrections without their cause; rows4 to rows0: so many of them, the recipe's page has the others
  //   bare    without the blank strip
  //   stated  without what the checks only say isn't known; looks3 to looks0: with so many of what they ask to look
  //           at; what is on safety always stays
  //   fine    smaller text, headings within their lines
  //   brief   a smaller title
  //   terse   corrections and looks run on in one paragraph, without what is read then; tight: lines closer together
  //   dense   on a large sheet figures as large as on a small one
  //   packed  the house and the title on one line where they fit, letters a little closer
  //   wide    a tag with air between its lines; close: with little; small: with smaller figures too
  function rows(layout, most, least) {
    var found = [];
    for (var count = most; count >= least; count -= 1) {
      found.push(layout + " short" + (count < 5 ? " rows" + count : ""));
    }
    return found;
  }
  var large = [].concat(
    "pair", rows("pair", 5, 3), "pair bare", rows("pair bare", 5, 3), rows("pair bare stated", 4, 2),
    rows("ruled bare", 5, 4), rows("low bare", 5, 4), rows("pair bare fine", 5, 3), rows("low bare fine", 5, 3),
    rows("pair bare fine stated", 5, 2), rows("low bare fine stated", 5, 2), rows("low bare fine stated brief", 2, 0),
    rows("low bare fine stated brief looks3", 2, 0), rows("low bare fine stated brief looks0", 1, 0),
    rows("low bare fine stated brief tight terse", 3, 1), rows("low bare fine aside stated brief tight terse", 2, 0),
    rows("low bare fine stated brief tight terse looks0", 1, 0), rows("low bare fine aside stated brief tight terse looks0", 1, 0),
    rows("low bare fine stated brief tight terse dense looks0", 1, 0), rows("low bare fine aside stated brief tight terse dense looks0", 1, 0),
    rows("low bare fine stated brief tight terse dense packed looks0", 1, 0),
    rows("low bare fine aside stated brief tight terse dense packed looks0", 1, 0));
  var small = [].concat(
    "pair bare", rows("pair bare", 5, 4), rows("ruled bare", 5, 4), rows("low aside", 5, 4), rows("low bare aside", 5, 3),
    rows("low bare fine aside", 5, 3), rows("low bare fine aside stated", 4, 2), rows("low bare fine aside stated brief", 3, 2),
    rows("low bare fine aside stated brief terse", 3, 2), rows("low bare fine stated brief terse", 3, 2),
    rows("low bare fine aside stated brief terse looks3", 2, 2), rows("low bare fine aside stated brief tight terse", 3, 2),
    rows("low bare fine stated brief tight terse", 3, 2), rows("low bare fine aside stated brief tight terse looks3", 2, 2),
    rows("low bare fine aside stated brief tight terse looks1", 2, 1), rows("low bare fine stated brief tight terse looks1", 2, 1),
    rows("low bare fine aside stated brief tight terse looks0", 2, 0), rows("low bare fine stated brief tight terse looks0", 2, 0),
    rows("low bare fine aside stated brief tight terse packed looks0", 1, 0), rows("low bare fine stated brief tight terse packed looks0", 1, 0));
  var papers = {
    A4: { height: 277, layouts: large },
    Letter: { height: 261, layouts: large },
    either: { height: 261, layouts: large },
    A5: { height: 200, layouts: small },
    A6: { height: 138, layouts: ["wide", "close", "close small"] }
  };
  var asked = /[?&]paper=(A4|Letter|A5|A6)(&|$)/.exec(window.location.search);

  // One card, each card of a binder, or each stand's tag.
  function fit(paper) {
    gather();
    var cards = Array.prototype.slice.call(document.querySelectorAll(".card, .tag"));
    if (!cards.length) { return; }
    root.dataset.paper = paper;
    var limit = papers[paper].height * 96 / 25.4;
    cards.forEach(function (card) {
      delete card.dataset.fits;
      delete card.dataset.over;
      empty(card);
      var least = Infinity;
      var shortest = "";
      var fits = papers[paper].layouts.some(function (layout) {
        card.dataset.layout = layout;
        if (card.scrollHeight < least) {
          least = card.scrollHeight;
          shortest = layout;
        }
        return card.scrollHeight <= limit;
      });
      if (fits) {
        fill(card, limit);
      } else {
        card.dataset.layout = shortest;
        card.dataset.over = Math.ceil((least - limit) * 25.4 / 96);
      }
      card.dataset.fits = fits || (card.matches(".tag") && spread(card, limit)) ? "yes" : "no";
    });
    document.querySelectorAll(".too-long .over").forEach(function (said) {
      said.textContent = cards[0].dataset.over ? " by " + cards[0].dataset.over + " mm" : "";
    });
    root.dataset.fits = cards.every(function (card) { return card.dataset.fits === "yes"; }) ? "yes" : "no";
  }

  // What had to leave comes back where the sheet has room for it after all, a correction or a look at a time: a later
  // one may be shorter than the one that was too long.
  function fill(card, limit) {
    [".wrong", ".looks"].forEach(function (name) {
      var section = card.querySelector(name);
      if (!section) { return; }
      var lines = Array.prototype.slice.call(section.querySelectorAll(".row, .look"));
      runOn(section, lines);
      lines.forEach(function (line) {
        if (line.offsetParent) { return; }
        line.classList.add("added");
        runOn(section, lines);
        if (card.scrollHeight > limit) {
          line.classList.remove("added");
          runOn(section, lines);
        }
      });
    });
  }

  // That there is more is told behind the last line, not on one of its own; nothing is told where all lines are there.
  function runOn(section, lines) {
    lines.forEach(function (line) { line.classList.remove("last"); });
    var shown = lines.filter(function (line) { return line.offsetParent; });
    var whole = shown.length === lines.length;
    section.classList.toggle("whole", whole);
    if (!whole && shown.length) { shown[shown.length - 1].classList.add("last"); }
  }

  function empty(card) {
    card.querySelectorAll(".added, .last, .whole").forEach(function (part) { part.classList.remove("added", "last", "whole"); });
  }

  // A tag that is longer than its sheet runs on: what is to be minded goes to a second side, and the last of what is
  // still too much to a further one. Not a word is left out; false where a single part is longer than a side.
  function spread(tag, limit) {
    tag.whole = tag.innerHTML;
    var sides = [tag, turned(tag)];
    Array.prototype.slice.call(tag.querySelectorAll(".caution")).reverse().forEach(function (part) { put(part, sides[1]); });
    for (var at = 0; at < sides.length; at += 1) {
      while (!shown(sides[at], limit)) {
        var parts = sides[at].querySelectorAll(".caution, .block");
        if (parts.length < 2) { return false; }
        if (at + 1 === sides.length) { sides.push(turned(sides[at])); }
        put(parts[parts.length - 1], sides[at + 1]);
      }
    }
    sides.forEach(function (side, index) {
      side.dataset.fits = "yes";
      side.querySelector(".turn").textContent = " · side " + (index + 1) + " of " + sides.length;
    });
    return true;
  }

  // Another side of a tag, with its head and nothing else yet.
  function turned(side) {
    var other = side.cloneNode(true);
    other.classList.add("further");
    other.querySelectorAll(".carries, .block, .caution").forEach(function (part) { part.remove(); });
    side.after(other);
    return other;
  }

  // Before all else of its kind on that side.
  function put(part, side) {
    if (part.matches(".block")) { side.querySelector("h1").after(part); } else { side.querySelector(".mind p").prepend(part); }
  }

  function shown(side, limit) {
    return papers.A6.layouts.some(function (layout) {
      side.dataset.layout = layout;
      return side.scrollHeight <= limit;
    });
  }

  // Every tag as it was before it was spread.
  function gather() {
    document.querySelectorAll(".tag.further").forEach(function (side) { side.remove(); });
    document.querySelectorAll(".tag").forEach(function (tag) {
      if (tag.whole) { tag.innerHTML = tag.whole; }
    });
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
          delete card.dataset.over;
          empty(card);
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
