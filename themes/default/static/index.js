// Finds recipes on the index: a search that forgives a slip, filters, an order; all of it in the page's address.
(function () {
  "use strict";
  var form = document.getElementById("finder");
  var list = document.getElementById("recipes");
  var count = document.getElementById("count");
  var input = document.getElementById("words");
  var sort = document.getElementById("sort");
  var clear = document.getElementById("clear");
  var buttons = Array.prototype.slice.call(form.querySelectorAll("button[data-group]"));
  var LEAST = 4; // letters from which a slip is forgiven
  // recipes that are laid out at once in a long book; more come as they are scrolled to
  var PAGE = list.children.length > 60 ? 12 : 60;
  var more = document.getElementById("more");
  var limit = PAGE;

  function plain(text) {
    return text.normalize("NFD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  }
  function wordsOf(text) { return plain(text).split(/[^a-z0-9:.]+/).filter(Boolean); }

  // Every word of the book, once, with the recipes that hold it.
  var vocabulary = new Map();
  var entries = Array.prototype.map.call(list.children, function (element, index) {
    new Set(wordsOf(element.dataset.search)).forEach(function (word) {
      if (!vocabulary.has(word)) { vocabulary.set(word, []); }
      vocabulary.get(word).push(index);
    });
    return {
      element: element, index: index, shown: true,
      words: new Set(element.dataset.words.split("|")),
      gear: new Set(element.dataset.gear.split("|")),
      ceiling: Number(element.dataset.ceiling), ratio: Number(element.dataset.ratio),
      revised: element.dataset.revised, title: plain(element.querySelector("h2 a").textContent)
    };
  });
  var vocabularyWords = Array.from(vocabulary.keys());

  // One letter more, less, other, or two neighbours swapped: the rest must be the same.
  function slip(asked, word) {
    if (Math.abs(asked.length - word.length) > 1) { return false; }
    var i = 0;
    while (i < asked.length && i < word.length && asked[i] === word[i]) { i += 1; }
    var a = asked.slice(i), b = word.slice(i);
    return a.slice(1) === b.slice(1) || a.slice(1) === b || a === b.slice(1) ||
      (a[0] === b[1] && a[1] === b[0] && a.slice(2) === b.slice(2));
  }
  // The word itself with a slip; for longer words also its beginning, so that it is found while it is typed.
  function slipped(asked, word) {
    if (slip(asked, word)) { return true; }
    if (asked.length <= LEAST || word.length <= asked.length) { return false; }
    return slip(asked, word.slice(0, asked.length)) || slip(asked, word.slice(0, asked.length + 1)) ||
      slip(asked, word.slice(0, asked.length - 1));
  }
  var known = new Map();
  // The recipes that a word is found in: as the beginning of a word, or where there is none, with a slip.
  function holding(asked) {
    if (known.has(asked)) { return known.get(asked); }
    var matching = vocabularyWords.filter(function (word) { return word.startsWith(asked); });
    if (!matching.length && asked.length >= LEAST) {
      matching = vocabularyWords.filter(function (word) { return slipped(asked, word); });
    }
    var found = new Set();
    matching.forEach(function (word) { vocabulary.get(word).forEach(function (index) { found.add(index); }); });
    if (known.size > 500) { known.clear(); }
    known.set(asked, found);
    return found;
  }

  function pressed(button) { return button.getAttribute("aria-pressed") === "true"; }
  function press(button, on) { button.setAttribute("aria-pressed", on ? "true" : "false"); }
  // What is chosen: by group, the words that are pressed.
  function chosen() {
    var groups = new Map();
    buttons.filter(pressed).forEach(function (button) {
      var group = button.dataset.group;
      if (!groups.has(group)) { groups.set(group, []); }
      groups.get(group).push(button.dataset.word);
    });
    return groups;
  }
  function fits(entry, groups) {
    return Array.from(groups).every(function (pair) {
      var group = pair[0], words = pair[1];
      if (group === "ceiling") { return entry.ceiling <= Number(words[0]); }
      if (group === "without") { return words.every(function (word) { return !entry.gear.has(word); }); }
      return words.some(function (word) { return entry.words.has(group + "=" + word); });
    });
  }

  function show() {
    var groups = chosen(), sets = wordsOf(input.value).map(holding), shown = 0;
    inOrder.forEach(function (entry) {
      var fitting = sets.every(function (set) { return set.has(entry.index); }) && fits(entry, groups);
      var is = fitting && shown < limit;
      if (is !== entry.shown) { entry.shown = is; entry.element.hidden = !is; }
      shown += fitting ? 1 : 0;
    });
    more.hidden = shown <= limit;
    more.textContent = "Show " + Math.min(PAGE, shown - limit) + " more of " + (shown - limit);
    var whole = shown === entries.length;
    count.textContent = whole ? "" : shown + " of " + entries.length + " recipes";
    clear.hidden = !groups.size && !sets.length;
  }
  var orders = {
    title: function (a, b) { return a.title < b.title ? -1 : a.title > b.title ? 1 : 0; },
    ratio: function (a, b) { return a.ratio - b.ratio; },
    ceiling: function (a, b) { return a.ceiling - b.ceiling; },
    revised: function (a, b) { return a.revised < b.revised ? 1 : a.revised > b.revised ? -1 : 0; }
  };
  var ordered = "", inOrder = entries;
  function order() {
    if (sort.value === ordered) { return; }
    ordered = sort.value;
    var by = orders[ordered];
    inOrder = entries.slice().sort(function (a, b) { return (by ? by(a, b) : 0) || a.index - b.index; });
    var moved = document.createDocumentFragment();
    inOrder.forEach(function (entry) { moved.appendChild(entry.element); });
    list.appendChild(moved);
  }

  // The address holds it all: '#q=brim&people=one+person&without=boom&sort=ratio'.
  function write() {
    var state = new URLSearchParams();
    if (input.value.trim()) { state.set("q", input.value.trim()); }
    chosen().forEach(function (words, group) { words.forEach(function (word) { state.append(group, word); }); });
    if (sort.value) { state.set("sort", sort.value); }
    var hash = state.toString();
    try {
      window.history.replaceState(null, "", hash ? "#" + hash : window.location.pathname + window.location.search);
    } catch (error) { /* a browser that lets no file change its address: found all the same */ }
  }
  function read() {
    var state = new URLSearchParams(window.location.hash.slice(1));
    input.value = state.get("q") || "";
    sort.value = orders[state.get("sort")] ? state.get("sort") : "";
    buttons.forEach(function (button) { press(button, state.getAll(button.dataset.group).indexOf(button.dataset.word) >= 0); });
    order();
    show();
  }
  var writing = 0;
  function changed() {
    limit = PAGE;
    order();
    show();
    window.clearTimeout(writing);
    writing = window.setTimeout(write, 200);
  }

  form.addEventListener("click", function (event) {
    var button = event.target.closest("button[data-group]");
    if (!button) { return; }
    var on = !pressed(button);
    if (button.dataset.group === "ceiling") {
      buttons.forEach(function (other) { if (other.dataset.group === "ceiling") { press(other, false); } });
    }
    press(button, on);
    changed();
  });
  clear.addEventListener("click", function () {
    input.value = "";
    buttons.forEach(function (button) { press(button, false); });
    changed();
    input.focus();
  });
  function showMore() { limit += PAGE; show(); }
  more.addEventListener("click", showMore);
  if (window.IntersectionObserver) {
    new IntersectionObserver(function (seen) {
      if (seen.some(function (one) { return one.isIntersecting; }) && !more.hidden) { showMore(); }
    }, { rootMargin: "600px" }).observe(more);
  }
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  input.addEventListener("input", changed);
  sort.addEventListener("change", changed);
  window.addEventListener("hashchange", read);
  document.getElementById("filters").open = window.matchMedia("(min-width: 45rem)").matches;
  form.hidden = false;
  read();
})();
