// What is wider than its place is pushed sideways, by keyboard too; what fits is no stop for the Tab key. A drawing
// of things begins with all of them in its middle, not with its rulers; an edge with more behind it is marked.
document.addEventListener("DOMContentLoaded", function () {
  "use strict";
  var places = document.querySelectorAll(".scroll[tabindex], .drawn[tabindex]");
  var LEAST = 4; // px: less is no more than a margin
  function weigh(place) {
    if (place.scrollWidth > place.clientWidth + 1) { place.tabIndex = 0; } else { place.removeAttribute("tabindex"); }
    begin(place);
    mark(place);
  }
  // Once for each drawing that is shown: in metres, in feet.
  function begin(place) {
    var things = Array.prototype.filter.call(place.querySelectorAll(".spots"), function (one) {
      return one.getBoundingClientRect().width;
    })[0];
    if (!things || place.begunWith === things || place.scrollWidth <= place.clientWidth + 1) { return; }
    place.begunWith = things;
    var all = things.getBoundingClientRect(), shown = place.getBoundingClientRect();
    place.scrollLeft += (all.left + all.right - shown.left - shown.right) / 2;
  }
  function mark(place) {
    var behind = place.scrollWidth - place.clientWidth - place.scrollLeft, more = [];
    if (place.scrollLeft > LEAST) { more.push("left"); }
    if (behind > LEAST) { more.push("right"); }
    place.dataset.more = more.join(" ");
  }
  // At once, and when a fold is opened, the window is turned, or metres become feet.
  function weighAll() { places.forEach(weigh); }
  weighAll();
  var watch = new ResizeObserver(weighAll);
  places.forEach(function (place) {
    place.addEventListener("scroll", function () { mark(place); }, { passive: true });
    watch.observe(place);
    Array.prototype.forEach.call(place.children, function (child) { watch.observe(child); });
  });
});
