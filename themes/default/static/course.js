// The course: says why an answer is right or not, and remembers on this machine how far somebody came.
(function () {
  "use strict";
  var STORE = "course: " + document.querySelector(".house").textContent;

  function kept() {
    try { return JSON.parse(window.localStorage.getItem(STORE)) || {}; } catch (error) { return {}; }
  }
  function keep(all) {
    try { window.localStorage.setItem(STORE, JSON.stringify(all)); } catch (error) { /* not kept */ }
  }
  function today() {
    var now = new Date();
    function two(number) { return (number < 10 ? "0" : "") + number; }
    return now.getFullYear() + "-" + two(now.getMonth() + 1) + "-" + two(now.getDate());
  }

  // A session: the first choice of each question counts, later ones only teach.
  var section = document.querySelector("section[data-session]");
  if (section) {
    var first = {};
    section.addEventListener("change", function (event) {
      var form = event.target.closest(".asked");
      if (!form) { return; }
      form.querySelectorAll(".reason").forEach(function (reason) { reason.hidden = true; });
      var reason = event.target.closest(".answer").querySelector(".reason");
      reason.hidden = false;
      form.querySelector(".outcome").textContent = reason.textContent;
      if (!(event.target.name in first)) {
        first[event.target.name] = event.target.hasAttribute("data-right");
        note();
      }
    });
    section.querySelectorAll("form").forEach(function (form) {
      form.addEventListener("submit", function (event) { event.preventDefault(); });
    });
  }
  function note() {
    var names = Object.keys(first);
    if (names.length < Number(section.dataset.asked)) { return; }
    var all = kept();
    all[section.dataset.session] = {
      right: names.filter(function (name) { return first[name]; }).length, of: names.length, date: today()
    };
    keep(all);
  }

  // The contents and the record.
  function show() {
    var all = kept();
    document.querySelectorAll("li[data-session]").forEach(function (line) {
      var one = all[line.dataset.session];
      line.querySelector(".reached").textContent = one ? "– " + one.right + " of " + one.of + " right, " + one.date : "";
    });
    document.querySelectorAll("tr[data-row]").forEach(function (row) {
      var one = all[row.dataset.row];
      row.querySelector(".right").textContent = one ? one.right + " of " + one.of : "";
      row.querySelector(".date").textContent = one ? one.date : "";
    });
  }
  var print = document.getElementById("print-record"), forget = document.getElementById("forget");
  if (print) {
    print.hidden = forget.hidden = false;
    print.addEventListener("click", function () { window.print(); });
    forget.addEventListener("click", function () { keep({}); show(); });
    show();
  }
})();
