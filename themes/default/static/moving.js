// The card slides along the rows of its table: what a row says is read out, and its spot shown on the chart.
document.addEventListener("DOMContentLoaded", function () {
  "use strict";
  var slider = document.getElementById("mover-at"), says = document.getElementById("mover-says");
  var rows = Array.prototype.slice.call(document.querySelectorAll("#moved tbody"));
  if (!slider || !rows.length) { return; }
  var own = Number(slider.value);
  var drawings = document.querySelectorAll("section[aria-labelledby=moves] svg.drawing");
  var spots = Array.prototype.map.call(drawings, function (drawing) {
    var spot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    spot.setAttribute("class", "mover-spot");
    spot.setAttribute("r", "1.7");
    drawing.appendChild(spot);
    return spot;
  });
  // A piece of the row, as it stands there: both units, of which the page shows one.
  function piece(row, column) {
    var cell = row.querySelectorAll("td")[column].lastElementChild.cloneNode(true);
    cell.className = "nowrap";
    return cell;
  }
  function word(text) { return document.createTextNode(text); }
  function show() {
    var row = rows[Number(slider.value)];
    var string = row.querySelector("th .figure");
    slider.setAttribute("aria-valuetext", string.textContent.trim() + ", ratio " + piece(row, 0).textContent);
    says.replaceChildren(string.cloneNode(true), word(": ratio "), piece(row, 0), word(" ("), piece(row, 1), word("), key "), piece(row, 2));
    if (row.dataset.turn) { says.append(word("; turn it "), piece(row, 3)); }
    says.append(word(row.dataset.shows ? "; the card shows in the picture." : "."));
    rows.forEach(function (one) { one.classList.toggle("now", one === row); });
    spots.forEach(function (spot) {
      spot.setAttribute("cx", row.dataset.x);
      spot.setAttribute("cy", row.dataset.y);
    });
  }
  slider.addEventListener("input", show);
  document.getElementById("mover-back").addEventListener("click", function () { slider.value = String(own); show(); slider.focus(); });
  document.getElementById("mover").hidden = false;
  show();
});
