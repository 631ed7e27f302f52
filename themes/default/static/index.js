// Finds recipes on the index: words to filter by (one of each kind), and a search over title, purpose and tags.
(function () {
  "use strict";
  var form = document.getElementById("finder");
  var list = document.getElementById("recipes");
  var count = document.getElementById("count");
  var input = document.getElementById("words");
  var entries = Array.prototype.map.call(list.children, function (element) {
    return {
      element: element,
      words: element.dataset.words.split("|"),
      search: plain(element.dataset.search).split(/[^a-z0-9:.]+/)
    };
  });

  function plain(text) {
    return text.normalize("NFD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  }
  // One letter more, less, other or swapped still counts, from four letters on.
  function slip(asked, word) {
    if (asked.length < 4 || Math.abs(asked.length - word.length) > 1) { return false; }
    var i = 0;
    while (i < asked.length && i < word.length && asked[i] === word[i]) { i += 1; }
    var a = asked.slice(i), b = word.slice(i);
    return a.slice(1) === b.slice(1) || a.slice(1) === b || a === b.slice(1) ||
      (a[0] === b[1] && a[1] === b[0] && a.slice(2) === b.slice(2));
  }
  function found(entry, asked) {
    return entry.search.some(function (word) {
      return word.indexOf(asked) === 0 || slip(asked, word);
    });
  }
  function chosen() {
    return Array.prototype.map.call(form.querySelectorAll("[aria-pressed=true]"), function (button) {
      return button.dataset.word;
    });
  }
  function show() {
    var words = chosen();
    var asked = plain(input.value).split(/[^a-z0-9:.]+/).filter(Boolean);
    var shown = 0;
    entries.forEach(function (entry) {
      var fits = words.every(function (word) { return entry.words.indexOf(word) >= 0; }) &&
        asked.every(function (word) { return found(entry, word); });
      entry.element.hidden = !fits;
      shown += fits ? 1 : 0;
    });
    count.textContent = shown === entries.length ? "" : shown + " of " + entries.length + " recipes";
  }

  form.addEventListener("click", function (event) {
    var button = event.target.closest("button");
    if (!button) { return; }
    var on = button.getAttribute("aria-pressed") === "true";
    form.querySelectorAll('[data-group="' + button.dataset.group + '"]').forEach(function (other) {
      other.setAttribute("aria-pressed", "false");
    });
    button.setAttribute("aria-pressed", on ? "false" : "true");
    show();
  });
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  input.addEventListener("input", show);
  document.getElementById("filters").open = window.matchMedia("(min-width: 45rem)").matches;
  form.hidden = false;
  show();
})();
