// A card or the key slides along the rows of its table: what a row says is read out, its spot shown on the chart.
document.addEventListener("DOMContentLoaded", function () {
  "use strict";
  // A piece of the row, as it stands there: both units, of which the page shows one.
  function piece(row, column) {
    var cell = row.querySelectorAll("td")[column].lastElementChild.cloneNode(true);
    cell.className = "nowrap";
    return cell;
  }
  function word(text) { return document.createTextNode(text); }
  function spotOn(drawing) {
    var spot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    spot.setAttribute("class", "mover-spot");
    spot.setAttribute("r", "1.7");
    drawing.appendChild(spot);
    return spot;
  }
  document.querySelectorAll("section.moves").forEach(function (section) {
    var mover = section.querySelector(".mover"), slider = mover.querySelector("input"), says = mover.querySelector("output");
    var rows = Array.prototype.slice.call(section.querySelectorAll(".moved tbody"));
    var spots = Array.prototype.map.call(section.querySelectorAll("svg.drawing"), spotOn);
    var own = slider.value;
    function show() {
      var row = rows[Number(slider.value)];
      var string = row.querySelector("th .figure");
      var ratio = piece(row, 0), band = piece(row, 1);
      says.replaceChildren(string.cloneNode(true), word(": ratio "), ratio);
      if (band.textContent !== ratio.textContent) { says.append(word(" ("), band, word(")")); }
      says.append(word(", key "), piece(row, 2));
      if (row.dataset.turn) { says.append(word("; turn it "), piece(row, 3)); }
      says.append(word(row.dataset.shows ? "; the " + mover.dataset.thing + " shows in the picture." : "."));
      slider.setAttribute("aria-valuetext", says.firstChild.innerText.trim() + ", ratio " + ratio.textContent);
      rows.forEach(function (one) { one.classList.toggle("now", one === row); });
      spots.forEach(function (spot) {
        spot.setAttribute("cx", row.dataset.x);
        spot.setAttribute("cy", row.dataset.y);
      });
    }
    slider.addEventListener("input", show);
    mover.querySelector("button").addEventListener("click", function () { slider.value = own; show(); slider.focus(); });
    // what is told of the slider follows the switch, as what is seen does
    var units = document.getElementById("units-switch");
    if (units) { units.addEventListener("click", show); }
    mover.hidden = false;
    show();
  });
});
