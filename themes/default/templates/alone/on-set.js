
// The page on set. Everything it answers is looked up in tables that were computed when the book was published;
// here are only indices, additions of clicks, lengths in feet, and words. Nothing is fetched and nothing is sent.
(function () {
  "use strict";
  var root = document.documentElement;
  var data = JSON.parse(document.getElementById("data").textContent);
  var views = ["safety", "build", "meter", "card", "wrong", "log"];
  var state = { view: "safety", setUp: "written", step: {}, done: {}, shows: {}, click: {}, card: {}, reads: {}, turned: false };
  Object.keys(data.set_ups).forEach(function (name) {
    var one = data.set_ups[name];
    state.step[name] = 0;
    state.done[name] = {};
    state.shows[name] = one.meter.wanted;
    state.click[name] = one.lamp.click;
    state.card[name] = one.card ? one.card.chosen_cm : 0;
    state.reads[name] = { key: null, shadow: null };
  });

  // -- what is kept on this phone, as far as it lets us

  function kept(name) {
    try { return window.localStorage.getItem(name); } catch (error) { return null; }
  }
  function keep(name, value) {
    try { window.localStorage.setItem(name, value); return window.localStorage.getItem(name) === value; } catch (error) { return false; }
  }

  // -- small helpers

  function all(selector, from) { return Array.prototype.slice.call((from || document).querySelectorAll(selector)); }
  function here() { return document.querySelector('[data-set-up="' + state.setUp + '"]'); }
  function tables() { return data.set_ups[state.setUp]; }
  function put(name, text) { all('[data-out="' + name + '"]', here()).forEach(function (one) { one.textContent = text; }); }
  function count(clicks) { return clicks === 1 ? "1 click" : clicks + " clicks"; }
  function within(value, least, most) { return Math.min(Math.max(value, least), most); }
  function clickText(click) {
    var lamp = tables().lamp, shows = lamp.shows[click - 1];
    return click >= 1 && click <= lamp.shows.length ? "click " + click + (shows ? " (" + shows + ")" : "") : "click " + click;
  }
  function inRange(click) { return click >= 1 && click <= tables().lamp.shows.length; }
  function signed(number) { return String(number).replace("-", "−"); }
  // The answer to a wish for so many clicks up or down, from the click that the key is at.
  function turnText(clicks) {
    var to = state.click[state.setUp] + clicks, lamp = tables().lamp;
    if (clicks === 0) { return ["Leave " + lamp.name, "within half a click; it stays at " + clickText(to)]; }
    var turn = lamp.name + " " + count(Math.abs(clicks)) + (clicks > 0 ? " up" : " down");
    if (!inRange(to)) {
      return ["Out of range", turn + " would be click " + signed(to) + ", and " + lamp.name + " has 1 to " + lamp.shows.length +
        ". Change the ISO or the aperture, or move the lamp."];
    }
    return ["Turn " + turn, "to " + clickText(to)];
  }
  // Lengths are whole centimetres; in feet they are shown, and moved, by half inches, as the book has them.
  var HALF_INCH_CM = 1.27;
  function inFeet() { return root.dataset.units === "imperial"; }
  function halfInches(cm) { return Math.floor(cm / HALF_INCH_CM + 0.5 + 1e-9); }
  function feet(cm) {
    var halves = halfInches(cm), whole = Math.floor(halves / 24), rest = halves % 24;
    var inches = Math.floor(rest / 2), text = rest % 2 ? (inches || "") + "½" : String(inches);
    return !whole ? text + " in" : rest ? whole + " ft " + text + " in" : whole + " ft";
  }
  function length(cm) { return inFeet() ? feet(cm) : cm + " cm"; }
  function moved(cm, by, halves) { return inFeet() ? Math.round((halfInches(cm) + halves) * HALF_INCH_CM) : cm + by; }
  function same(cm, other) { return inFeet() ? halfInches(cm) === halfInches(other) : cm === other; }
  function two(element, texts) {
    var small = document.createElement("span");
    small.className = "small";
    small.textContent = texts[1];
    element.textContent = texts[0] + " ";
    element.appendChild(small);
  }

  // -- views

  function show() {
    all(".view").forEach(function (section) {
      var mine = !section.closest("[data-set-up]") || section.closest("[data-set-up]") === here();
      section.hidden = !(mine && section.dataset.view === state.view);
    });
    var aside = state.view === "safety" || state.view === "log";
    all("[data-set-up]").forEach(function (one) { one.hidden = aside || one !== here(); });
    all(".mirror").forEach(function (one) { one.hidden = aside; });
    all("[data-go]").forEach(function (button) {
      if (button.closest(".tabs")) { button.setAttribute("aria-current", button.dataset.go === state.view ? "true" : "false"); }
    });
    showSetUp();
    showStep(false);
    showMeter();
    showCard();
  }
  function showSetUp() {
    document.getElementById("side").textContent = here().dataset.side;
    var button = document.getElementById("mirror");
    if (button) { button.setAttribute("aria-pressed", state.setUp === "mirrored" ? "true" : "false"); }
  }
  function showStep(move) {
    var screens = all(".screen", here()), at = state.step[state.setUp], done = state.done[state.setUp];
    screens.forEach(function (screen, index) {
      screen.hidden = index !== at;
      screen.classList.toggle("done", !!done[index]);
      screen.querySelector(".done-word").textContent = done[index] ? ", done" : "";
    });
    var parts = screens[at].dataset.parts.split(" ");
    all(".spot", here()).forEach(function (spot) { spot.classList.toggle("lit", parts.indexOf(spot.dataset.part) >= 0); });
    all('[data-do="back"]', here())[0].disabled = at === 0;
    all('[data-do="next"]', here())[0].textContent = at === screens.length - 1 ? "Done" : "Done, next";
    if (move) {
      window.scrollTo(0, 0);
      screens[at].querySelector("h3").focus({ preventScroll: true });
    }
  }
  function showMeter() {
    var meter = tables().meter, at = state.shows[state.setUp], clicks = meter.clicks[at];
    put("shows", meter.shows[at]);
    put("click", clickText(state.click[state.setUp]));
    two(here().querySelector('[data-out="turn"]'), turnText(clicks));
    var to = state.click[state.setUp] + clicks, button = here().querySelector('[data-do="turned"]');
    button.disabled = clicks === 0 || !inRange(to);
    button.textContent = button.disabled ? "Nothing to turn" : "Turned: " + tables().lamp.name + " is at click " + to;
    all('[data-do="meter"]', here()).forEach(function (one) {
      var next = at + Number(one.dataset.by);
      one.disabled = next < 0 || next >= meter.shows.length;
    });
  }
  function showCard() {
    var card = tables().card;
    if (!card) { return; }
    var at = state.card[state.setUp], place = card.places[at - card.first_cm];
    put("card-m", place[0]);
    put("card-ft", place[1]);
    put("card-ratio", place[2] ? place[2] + " " + data.convention : "Outside what was computed");
    var picture = place[6] ? " The card stands in the picture here, or within " + length(5) + " of it." : "";
    put("card-says", (place[2] ? place[3] + " apart; " + place[4] + " in nine cases of ten." : "Move it back into the range, or meter both sides.") + picture);
    var shift = place[2] ? place[5] - (state.click[state.setUp] - tables().lamp.click) : null;
    put("card-turn", shift === null ? "" : shift === 0 ? "The key’s click stays." : turnText(shift).join(" ") + ".");
    all('[data-do="card"]', here()).forEach(function (one) {
      var next = moved(at, Number(one.dataset.by), Number(one.dataset.halves));
      one.disabled = next < card.first_cm || next >= card.first_cm + card.places.length;
    });
  }

  // -- the log: as it was shot

  var line = data.log.map(function (one) { return { of: one, cm: one.cm }; });
  var entries = [];
  try { entries = JSON.parse(kept("as-shot:" + data.slug) || "[]"); } catch (error) { entries = []; }
  if (!Array.isArray(entries)) { entries = []; }

  // The log's file format lives in this one function: a file a shoot, in the book's own forms (book/log.py).
  // It knows no mirrored set-up, whose readings must not be compared with the recipe's: they go into its notes.
  function logText(entry) {
    var lines = ["recipe: " + plain(data.slug), "date: " + entry.date];
    if (entry.by) { lines.push("by: " + plain(entry.by)); }
    if (entry.eye_height) { lines.push("eye_height: " + entry.eye_height); }
    if (entry.mirrored) {
      var said = entry.set.map(function (one) { return one.thing + " " + one.values.join(", "); })
        .concat(entry.reads.map(function (one) { return one.point + " reads " + one.shows; }));
      lines.push("notes: " + JSON.stringify(["Mirrored, left for right"].concat(said).join("; ") + "."));
      return lines.join("\n") + "\n";
    }
    if (entry.set.length) { lines.push("set:"); }
    entry.set.forEach(function (one) { lines.push("  - {name: " + plain(one.thing) + ", " + one.values.join(", ") + "}"); });
    if (entry.reads.length) { lines.push("read:"); }
    entry.reads.forEach(function (one) { lines.push("  - {at: " + plain(one.point) + ", reads: " + one.shows + "}"); });
    return lines.join("\n") + "\n";
  }
  function fileOf(index) {
    var same = entries.slice(0, index).filter(function (one) { return one.date === entries[index].date; }).length;
    return entries[index].date + "-" + data.slug + (same ? "-" + (same + 1) : "") + ".yaml";
  }
  function allText() {
    return entries.map(function (one, index) { return "# " + fileOf(index) + "\n" + logText(one); }).join("\n");
  }
  function plain(text) {
    var simple = /^[A-Za-z0-9][A-Za-z0-9 _-]*$/.test(text) && !/^(true|false|yes|no|on|off|null|y|n|[0-9]+)$/i.test(text);
    return simple ? text : JSON.stringify(text);
  }
  function today() {
    var now = new Date(), pad = function (number) { return (number < 10 ? "0" : "") + number; };
    return now.getFullYear() + "-" + pad(now.getMonth() + 1) + "-" + pad(now.getDate());
  }
  function entry() {
    var by = {}, order = [];
    function set(thing, value) {
      if (!by[thing]) { by[thing] = []; order.push(thing); }
      by[thing].push(value);
    }
    line.forEach(function (one) {
      if (one.of.thing && !same(one.cm, one.of.cm)) { set(one.of.thing, one.of.key + ": " + length(one.cm)); }
    });
    var click = state.click[state.setUp];
    if (click !== tables().lamp.click) { set(data.key, "power: click " + click); }
    var read = [], reads = state.reads[state.setUp];
    if (reads.key !== null) { read.push({ point: data.key_point, shows: tables().meter.shows[reads.key] }); }
    if (reads.shadow !== null) { read.push({ point: tables().shadow_point, shows: tables().meter.shows[reads.shadow] }); }
    return {
      date: today(), mirrored: state.setUp === "mirrored",
      eye_height: same(line[0].cm, line[0].of.cm) ? "" : length(line[0].cm),
      set: order.map(function (thing) { return { thing: thing, values: by[thing] }; }), reads: read,
      by: document.getElementById("by").value.replace(/[^\p{L}]/gu, "").slice(0, 4).toUpperCase()
    };
  }
  function stepper(label, value, press, changed) {
    var group = document.createElement("div"), text = document.createElement("p"), name = document.createElement("span"), shown = document.createElement("span");
    group.className = "stepper" + (changed ? " changed" : "");
    group.setAttribute("role", "group");
    group.setAttribute("aria-label", label);
    name.className = "label";
    name.textContent = label;
    shown.textContent = value;
    text.append(name, shown);
    [["−", -1, "less"], ["+", 1, "more"]].forEach(function (one) {
      var button = document.createElement("button");
      button.type = "button";
      button.textContent = one[0];
      button.setAttribute("aria-label", label + ": " + one[2]);
      button.addEventListener("click", function () {
        press(one[1]);
        showLog();
        all("#log-lines .stepper").forEach(function (other) {
          if (other.getAttribute("aria-label") === label) { all("button", other)[one[1] > 0 ? 1 : 0].focus(); }
        });
      });
      if (one[1] < 0) { group.append(button, text); } else { group.append(button); }
    });
    return group;
  }
  function showLog() {
    var holder = document.getElementById("log-lines"), meter = tables().meter, reads = state.reads[state.setUp];
    holder.textContent = "";
    line.forEach(function (one) {
      var label = one.of.thing ? one.of.thing + ", " + one.of.key : "eye height";
      holder.append(stepper(label, length(one.cm) + (same(one.cm, one.of.cm) ? "" : ", not " + (inFeet() ? feet(one.of.cm) : one.of.cm)), function (by) {
        one.cm = within(moved(one.cm, by, by), one.of.least_cm, one.of.most_cm);
      }, !same(one.cm, one.of.cm)));
    });
    var click = state.click[state.setUp];
    holder.append(stepper(data.key + ", power", clickText(click), function (by) {
      state.click[state.setUp] = within(state.click[state.setUp] + by, 1, tables().lamp.shows.length);
      showMeter();
      showCard();
    }, click !== tables().lamp.click));
    [["key", "key reads", meter.wanted], ["shadow", "shadow side reads", tables().shadow_at]].forEach(function (one) {
      holder.append(stepper(one[1], reads[one[0]] === null ? "not read" : meter.shows[reads[one[0]]], function (by) {
        reads[one[0]] = reads[one[0]] === null ? one[2] : within(reads[one[0]] + by, 0, meter.shows.length - 1);
      }, reads[one[0]] !== null));
    });
    document.getElementById("log-text").textContent = allText();
  }
  function say(text) { document.getElementById("log-said").textContent = text; }
  function keepEntry() {
    entries.push(entry());
    var stays = keep("as-shot:" + data.slug, JSON.stringify(entries));
    say(entries.length + (entries.length === 1 ? " set-up" : " set-ups") + (stays ? " kept on this phone." :
      ", but this browser keeps nothing for such a page: write the file, or copy the text, before you close it."));
    showLog();
  }
  function saveFile() {
    if (!entries.length) { keepEntry(); }
    var waiting = entries.filter(function (one) { return !one.written; });
    if (!waiting.length) { waiting = entries; }
    var names = waiting.map(function (one) {
      var name = fileOf(entries.indexOf(one));
      var address = URL.createObjectURL(new Blob([logText(one)], { type: "text/plain" }));
      var link = document.createElement("a");
      link.href = address;
      link.download = name;
      document.body.append(link);
      link.click();
      link.remove();
      window.setTimeout(function () { URL.revokeObjectURL(address); }, 10000);
      one.written = true;
      return name;
    });
    keep("as-shot:" + data.slug, JSON.stringify(entries));
    say("Written: " + names.join(", ") + ", for the book’s folder ‘log’. Where no file appears, copy the text instead.");
  }
  function copy() {
    var text = allText(), chosen = window.getSelection();
    chosen.selectAllChildren(document.getElementById("log-text"));
    if (navigator.clipboard && navigator.clipboard.writeText) {
      navigator.clipboard.writeText(text).then(function () { say("Copied."); }, function () { say("Copy what is marked."); });
    } else { say("Copy what is marked."); }
  }
  var sure = false;
  function forget() {
    if (!sure) { sure = true; say("Press ‘Forget all’ once more: what is kept here is gone then."); return; }
    entries = [];
    keep("as-shot:" + data.slug, "[]");
    say("Nothing is kept.");
    showLog();
  }

  // -- what is pressed

  var doing = {
    back: function () { state.step[state.setUp] -= 1; showStep(true); keepSteps(); },
    next: function () {
      var at = state.step[state.setUp], last = all(".screen", here()).length - 1;
      state.done[state.setUp][at] = true;
      if (at === last) { go("meter"); } else { state.step[state.setUp] = at + 1; showStep(true); }
      keepSteps();
    },
    meter: function (by) { state.shows[state.setUp] += by; state.reads[state.setUp].key = state.shows[state.setUp]; showMeter(); },
    turned: function () {
      var meter = tables().meter;
      state.click[state.setUp] += meter.clicks[state.shows[state.setUp]];
      state.shows[state.setUp] = meter.wanted;
      // what was read before the turn isn't what there is now
      state.reads[state.setUp] = { key: null, shadow: null };
      showMeter();
      showCard();
      keepSteps();
    },
    click: function (by) {
      state.click[state.setUp] = within(state.click[state.setUp] + by, 1, tables().lamp.shows.length);
      showMeter();
      showCard();
      keepSteps();
    },
    card: function (by, halves) {
      state.card[state.setUp] = moved(state.card[state.setUp], by, halves);
      line.forEach(function (one) { if (one.of.thing === tables().card.card && one.of.key === "string") { one.cm = state.card[state.setUp]; } });
      showCard();
    },
    keep: keepEntry, save: saveFile, copy: copy, forget: forget
  };
  function go(view) {
    state.view = view;
    if (view === "log") { showLog(); }
    show();
    window.scrollTo(0, 0);
  }
  function keepSteps() {
    keep("steps:" + data.slug, JSON.stringify({ date: today(), setUp: state.setUp, step: state.step, done: state.done, click: state.click }));
  }
  function takeUpSteps() {
    try {
      var was = JSON.parse(kept("steps:" + data.slug) || "null");
      if (!was || was.date !== today()) { return; }
      Object.keys(state.step).forEach(function (name) {
        var screens = all('[data-set-up="' + name + '"] .screen').length;
        state.step[name] = within(Number(was.step[name]) || 0, 0, screens - 1);
        state.done[name] = was.done[name] || {};
        var click = Number((was.click || {})[name]);
        if (click >= 1 && click <= data.set_ups[name].lamp.shows.length) { state.click[name] = click; }
      });
      if (data.set_ups[was.setUp]) { state.setUp = was.setUp; }
    } catch (error) { /* kept by an older page: begin anew */ }
  }
  document.addEventListener("click", function (event) {
    var button = event.target.closest("button");
    if (!button || button.disabled) { return; }
    if (button.dataset.do !== "forget") { sure = false; }
    if (button.dataset.go) { go(button.dataset.go); }
    if (button.dataset.do && doing[button.dataset.do]) { doing[button.dataset.do](Number(button.dataset.by), Number(button.dataset.halves)); }
    stayAwake();
  });
  var mirror = document.getElementById("mirror");
  if (mirror) {
    mirror.addEventListener("click", function () {
      state.setUp = state.setUp === "written" ? "mirrored" : "written";
      if (state.view === "card" && !tables().card) { state.view = "build"; }
      show();
      keepSteps();
    });
  }

  // -- colours and units, remembered

  // Both buttons name what a press brings.
  var colours = { dark: ["red", "Red"], red: ["light", "Light"], light: ["dark", "Dark"] };
  function setColours(name) {
    root.dataset.colours = name;
    var button = document.getElementById("colours");
    button.lastElementChild.textContent = colours[name][1];
    document.querySelector('meta[name="color-scheme"]').content = name === "light" ? "light" : "dark";
  }
  document.getElementById("colours").addEventListener("click", function () {
    setColours(colours[root.dataset.colours][0]);
    keep("colours", root.dataset.colours);
  });
  // a house that reads one system of units has no such button
  var unitsButton = document.getElementById("units");
  function setUnits(name) {
    root.dataset.units = name;
    if (unitsButton) { unitsButton.textContent = name === "metric" ? "Feet" : "Metres"; }
    showCard();
    if (state.view === "log") { showLog(); }
  }
  if (unitsButton) {
    unitsButton.addEventListener("click", function () {
      setUnits(root.dataset.units === "metric" ? "imperial" : "metric");
      keep("units", root.dataset.units);
    });
  }

  // -- the screen stays on while the page is seen, where the phone allows it

  var lock = null;
  function stayAwake() {
    if (lock || !navigator.wakeLock || document.visibilityState !== "visible") { return; }
    lock = "asked";
    navigator.wakeLock.request("screen").then(function (given) {
      lock = given;
      given.addEventListener("release", function () { lock = null; });
    }, function () { lock = null; });
  }
  document.addEventListener("visibilitychange", stayAwake);

  setColours(colours[kept("colours")] ? kept("colours") : "dark");
  var remembered = unitsButton ? kept("units") : "";
  setUnits(remembered === "imperial" || remembered === "metric" ? remembered : root.dataset.units);
  takeUpSteps();
  root.classList.add("live");
  show();
})();
