// What is wider than its place is pushed sideways, by keyboard too; what fits is no stop for the Tab key.
document.addEventListener("DOMContentLoaded", function () {
  "use strict";
  var places = document.querySelectorAll(".scroll[tabindex], .drawn[tabindex]");
  function weigh(place) {
    if (place.scrollWidth > place.clientWidth + 1) { place.tabIndex = 0; } else { place.removeAttribute("tabindex"); }
  }
  // At once, and when a fold is opened, the window is turned, or metres become feet.
  function weighAll() { places.forEach(weigh); }
  weighAll();
  var watch = new ResizeObserver(weighAll);
  places.forEach(function (place) {
    watch.observe(place);
    Array.prototype.forEach.call(place.children, function (child) { watch.observe(child); });
  });
});
