// Finds recipes on the index: a search that forgives a slip, filters, an order; all of it in the page's address.
(function () {
  "use strict";
  var form = document.getElementById("finder");
  var list = document.getElementById("recipes");
  var count = document.getElementById("count");
  var input = document.getElementById("words");
  var sort = document.getElementById("sort");
  var clear = document.getElementById("clear");
  var without = document.getElementById("without");
  var buttons = Array.prototype.slice.call(form.querySelectorAll("button[data-group]"));
  var LEAST = 4; // letters from which a slip is forgiven
  var UNSAID = new Set(["a", "an", "and", "for", "in", "of", "or", "ratio", "the", "with"]); // find nothing and stop nothing
  var RATIO = /^\d+(\.\d+)?:1$/;
  var NEAR = 0.25; // stops: a ratio that is asked for finds what is no farther from it
  // recipes of a long book that are there before more is scrolled to
  var PAGE = list.children.length > 60 ? 12 : 60;
  // of those that a keystroke brings, how many are laid out with it; the rest follow, as many at a time
  var STEP = 4;
  var more = document.getElementById("more");
  var limit = PAGE;

  // A figure is one word, sign, stroke and colon with it: 'f/8' as 'f8' and 'f / 8', '2.30' as '2.3', '½' as '1/2'.
  function plain(text) {
    return text.replace(/\u00bd/g, " 1/2").normalize("NFD").replace(/[\u0300-\u036f]/g, "").toLowerCase()
      .replace(/\bf ?\/? ?(?=\d)/g, "f\u2044").replace(/(\d)\/(?=\d)/g, "$1\u2044")
      .replace(/(\d) ?: ?(?=\d)/g, "$1:").replace(/(\d)(?=(?:m|cm|ft|in)\b)/g, "$1 ")
      .replace(/(^|[\s,(])[-\u2212](?=\d)/g, "$1\u2212").replace(/(^|[\s,(])\+(?=\d)/g, "$1\u207a")
      .replace(/(\.\d*?)0+(?!\d)/g, "$1").replace(/[.:](?!\d)/g, " ");
  }
  function wordsOf(text) { return plain(text).split(/[^a-z0-9:.\u2044\u2212\u207a]+/).filter(Boolean); }
  function typedAgain(words) { return words.join(" ").replace(/\u2044/g, "/").replace(/\u207a/g, "+"); }

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
      ceiling: Number(element.dataset.ceiling), halfInches: Number(element.dataset.halfInches),
      ratio: Number(element.dataset.ratio),
      revised: element.dataset.revised, title: plain(element.querySelector("h2 a").textContent)
    };
  });
  var vocabularyWords = Array.from(vocabulary.keys());
  // What is taken as a whole, of several words or one: a filter's own words, figures as printed; longest first.
  var phraseOf = new Map();
  entries.forEach(function (entry) {
    entry.element.dataset.phrases.split("|").forEach(function (text) {
      if (!phraseOf.has(text)) { phraseOf.set(text, { words: wordsOf(text), found: new Set() }); }
      phraseOf.get(text).found.add(entry.index);
    });
  });
  var phrases = Array.from(phraseOf.values()).filter(function (phrase) { return phrase.words.length; });
  phrases.sort(function (a, b) { return b.words.length - a.words.length; });

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
  // The recipes that a word is found in: as the beginning of a word, or where there is none, with a slip. A
  // number is found whole where it stands whole: '90' is not '900'. So are beginnings of phrases: 'one'.
  function holding(asked) {
    if (known.has(asked)) { return known.get(asked); }
    var number = /\d/.test(asked), found = new Set();
    var matching = number && vocabulary.has(asked) ? [asked] :
      vocabularyWords.filter(function (word) { return word.startsWith(asked); });
    if (asked.indexOf(":") < 0) {
      phrases.forEach(function (phrase) {
        var first = phrase.words[0];
        if (number ? first === asked : first.startsWith(asked)) { add(found, phrase.found); }
      });
    }
    if (!matching.length && !found.size && !number && asked.length >= LEAST) {
      matching = vocabularyWords.filter(function (word) { return slipped(asked, word); });
    }
    matching.forEach(function (word) { add(found, vocabulary.get(word)); });
    if (known.size > 500) { known.clear(); }
    known.set(asked, found);
    return found;
  }
  function add(found, more) { more.forEach(function (index) { found.add(index); }); }
  function same(asked, word) { return asked === word; }
  function nearly(asked, word) {
    return asked === word || (asked.length >= LEAST && !/\d/.test(asked) && slip(asked, word));
  }
  // The longest phrase that stands there, each of its words the same or nearly. One that is a single word of
  // letters is found in prose too, by its word.
  function phraseAt(words, at, alike) {
    return phrases.find(function (phrase) {
      return (phrase.words.length > 1 || /\d/.test(phrase.words[0])) && at + phrase.words.length <= words.length &&
        phrase.words.every(function (word, place) { return alike(words[at + place], word); });
    });
  }
  // All phrases that may come of the last words, while they are typed; a number stands whole.
  function begun(words, at) {
    var rest = words.slice(at), last = rest.length - 1, found = new Set();
    if (!last) { return found; }
    phrases.forEach(function (phrase) {
      var fits = phrase.words.length > last && rest.every(function (asked, place) {
        var word = phrase.words[place];
        return asked === word || (place === last && !/\d/.test(asked) && word.startsWith(asked));
      });
      if (fits) { add(found, phrase.found); }
    });
    return found;
  }
  // A ratio finds those that print it, and those whose own is near it: how far each is off, in stops.
  function aboutRatio(said, exact) {
    var stops = Math.log2(parseFloat(said)), off = new Map();
    entries.forEach(function (entry) {
      var apart = exact.has(entry.index) ? 0 : Math.abs(entry.ratio - stops);
      if (apart <= NEAR) { off.set(entry.index, apart); }
    });
    return { said: said, found: new Set(off.keys()), exact: exact, off: off };
  }
  function ratioOf(terms) { return terms.filter(function (term) { return term.off; })[0]; }
  // What is asked for: phrases and words, each as it was typed and with the recipes that it is found in.
  function termsOf(text) {
    // 1:3, shadow to lit, is the 3:1 that is printed
    var words = wordsOf(text).map(function (word) { return word === "without" ? "no" : word.replace(/^1:(\d+(?:\.\d+)?)$/, "$1:1"); });
    var terms = [], at = 0;
    while (at < words.length) {
      var phrase = phraseAt(words, at, same) || phraseAt(words, at, nearly);
      var open = phrase ? null : begun(words, at), count = phrase ? phrase.words.length : 1;
      if (open && open.size) { count = words.length - at; }
      var said = words.slice(at, at + count);
      if (count > 1 || !UNSAID.has(said[0])) {
        var found = phrase ? phrase.found : open.size ? open : holding(said[0]);
        terms.push(count === 1 && RATIO.test(said[0]) ? aboutRatio(said[0], found) : { said: typedAgain(said), found: found });
      }
      at += count;
    }
    return terms;
  }
  var parsed = { text: "", terms: [] };
  function asked() {
    if (parsed.text !== input.value) { parsed = { text: input.value, terms: termsOf(input.value) }; }
    return parsed.terms;
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
  // By the figures that are shown: centimetres, or half inches.
  function isUnder(entry, cm) {
    if (document.documentElement.dataset.units !== "imperial") { return entry.ceiling <= Number(cm); }
    return buttons.some(function (button) {
      return button.dataset.group === "ceiling" && button.dataset.word === cm &&
        entry.halfInches <= Number(button.dataset.halfInches);
    });
  }
  function fits(entry, groups) {
    return Array.from(groups).every(function (pair) {
      var group = pair[0], words = pair[1];
      if (group === "ceiling") { return isUnder(entry, words[0]); }
      if (group === "without") { return words.every(function (word) { return !entry.gear.has(word); }); }
      return words.some(function (word) { return entry.words.has(group + "=" + word); });
    });
  }

  // The end of the list is watched anew each time: it may still be in sight after more was shown.
  var end = window.IntersectionObserver && new IntersectionObserver(function (seen) {
    if (seen.some(function (one) { return one.isIntersecting; }) && !more.hidden) { showMore(); }
  }, { rootMargin: "600px" });
  function watchEnd() {
    if (end) { end.unobserve(more); end.observe(more); }
  }
  // What isn't shown is taken out: style and layout are reckoned over what is there.
  function arrange() {
    entries.forEach(function (entry) { if (!entry.shown && entry.element.parentNode) { entry.element.remove(); } });
    var next = list.firstElementChild;
    inOrder.forEach(function (entry) {
      if (!entry.shown) { return; }
      if (entry.element === next) { next = next.nextElementSibling; } else { list.insertBefore(entry.element, next); }
    });
  }
  var growing = 0;
  function show() { lay(STEP); }
  function lay(step) {
    var groups = chosen(), terms = asked(), ratio = ratioOf(terms), found = 0, same = 0, fresh = 0, waiting = false;
    order(ratio);
    inOrder.forEach(function (entry) {
      var fitting = holds(terms, entry) && fits(entry, groups);
      var is = fitting && found < limit;
      if (is && !entry.shown && fresh === step) { is = false; waiting = true; }
      if (is && !entry.shown) { fresh += 1; }
      entry.shown = is;
      found += fitting ? 1 : 0;
      same += fitting && ratio && ratio.exact.has(entry.index) ? 1 : 0;
    });
    arrange();
    more.hidden = waiting || found <= limit;
    more.textContent = "Show " + Math.min(PAGE, found - limit) + " more of " + (found - limit);
    count.textContent = told(found, same, terms, groups);
    clear.hidden = !groups.size && !terms.length;
    window.clearTimeout(growing);
    list.setAttribute("aria-busy", waiting ? "true" : "false");
    if (waiting) { growing = window.setTimeout(show, 60); } else { watchEnd(); }
    suggest(found ? [] : relaxed(groups));
  }
  function holds(terms, entry) {
    return terms.every(function (term) { return term.found.has(entry.index); });
  }
  function lostOf(terms) { return terms.filter(function (term) { return !term.found.size; }); }
  function quoted(terms) { return terms.map(function (term) { return term.said; }).join("\u2019, \u2018"); }
  // How many, and where none: which words are in no recipe, or that none has all of them.
  function told(found, same, terms, groups) {
    if (found === entries.length) { return groups.size || terms.length ? "All " + found + " recipes" : ""; }
    var text = found + " of " + entries.length + " recipes", lost = lostOf(terms), ratio = ratioOf(terms);
    if (lost.length) {
      return text + ": none has \u2018" + quoted(lost) + "\u2019" + (ratioOf(lost) ? ", nor a ratio within 1/4 stop of it" : "");
    }
    if (!found) { return text + ": none has all of this"; }
    return ratio && found > same ? text + ": " + same + " with " + ratio.said + (orders[sort.value] ? ", " : ", then ") + (found - same) + " within 1/4 stop of it" : text;
  }
  // What to leave out where nothing fits: words that no recipe has; then each word and each filter without
  // which something fits; where no single one is enough, all words or all filters.
  function relaxed(groups) {
    var terms = asked(), lost = lostOf(terms);
    var known = terms.filter(function (term) { return term.found.size; });
    var ways = lost.length ? [way(lost, known, groups, [])] : [];
    if (ways.length && ways[0].count) { return ways; }
    ways = known.map(function (term, place) {
      return way(lost.concat(term), known.filter(function (_, other) { return other !== place; }), groups, []);
    });
    groups.forEach(function (chosenWords, group) {
      var rest = new Map(groups);
      rest.delete(group);
      var said = group === "without" || group === "ceiling" ? legend(group) : chosenWords.join(", ");
      ways.push(way(lost.concat({ said: said }), known, rest, [group]));
    });
    ways = ways.filter(function (one) { return one.count; });
    return ways.length ? ways : [
      way(terms, [], groups, []), way([{ said: "all filters" }], terms, new Map(), Array.from(groups.keys()))
    ].filter(function (one) { return one.count; });
  }
  // One way out: what it leaves out, what it keeps, and how many recipes that brings.
  function way(left, terms, groups, dropped) {
    return {
      label: quoted(left), terms: terms, dropped: dropped,
      count: entries.filter(function (entry) { return holds(terms, entry) && fits(entry, groups); }).length
    };
  }
  function legend(group) {
    var button = buttons.filter(function (one) { return one.dataset.group === group; })[0];
    return button.closest("fieldset").querySelector("legend").textContent;
  }
  function suggest(ways) {
    without.hidden = !ways.length;
    without.textContent = "";
    ways.forEach(function (way) {
      var button = document.createElement("button");
      button.type = "button";
      button.className = "plain-button";
      button.textContent = "Leave out \u2018" + way.label + "\u2019: " + way.count;
      button.addEventListener("click", function () {
        buttons.forEach(function (one) { if (way.dropped.indexOf(one.dataset.group) >= 0) { press(one, false); } });
        input.value = way.terms.map(function (term) { return term.said; }).join(" ");
        changed();
        input.focus();
      });
      without.append(button, " ");
    });
  }
  var orders = {
    title: function (a, b) { return a.title < b.title ? -1 : a.title > b.title ? 1 : 0; },
    ratio: function (a, b) { return a.ratio - b.ratio; },
    ceiling: function (a, b) { return a.ceiling - b.ceiling; },
    revised: function (a, b) { return a.revised < b.revised ? 1 : a.revised > b.revised ? -1 : 0; }
  };
  var ordered = "", inOrder = entries;
  // In book order what is nearest to a ratio that is asked for comes first.
  function order(ratio) {
    var by = orders[sort.value], wanted = by ? sort.value : ratio ? ratio.said : "";
    if (wanted === ordered) { return; }
    ordered = wanted;
    if (!by && ratio) { by = function (a, b) { return offOf(ratio, a) - offOf(ratio, b); }; }
    inOrder = entries.slice().sort(function (a, b) { return (by ? by(a, b) : 0) || a.index - b.index; });
  }

  function offOf(ratio, entry) { return ratio.off.has(entry.index) ? ratio.off.get(entry.index) : entries.length; }

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
    show();
  }
  var writing = 0;
  function changed() {
    limit = PAGE;
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
  function showMore() { limit += PAGE; lay(PAGE); }
  more.addEventListener("click", showMore);
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  input.addEventListener("input", changed);
  sort.addEventListener("change", changed);
  window.addEventListener("hashchange", read);
  // the switch between metres and feet: what stands under a ceiling goes by the figures that are shown
  if (buttons.some(function (button) { return button.dataset.group === "ceiling"; })) {
    new MutationObserver(show).observe(document.documentElement, { attributes: true, attributeFilter: ["data-units"] });
  }
  document.getElementById("filters").open = window.matchMedia("(min-width: 45rem)").matches;
  form.hidden = false;
  read();
})();
