/* The form: reads what was entered, keeps it in this browser, shows how far it is, saves, copies, mails. */
(function () {
  var holder = document.getElementById("answer-data");
  if (!holder) { return; }
  var data = JSON.parse(holder.textContent), words = data.words, SVG = "http://www.w3.org/2000/svg";
  var MOST = 1800, KEY = "answers/" + data.digest;
  var form = document.getElementById("answers"), all = form.querySelector("fieldset"), own = [], savedAs = null;
  var stored = storage(), waiting = null, held = false, touched = false;

  function one(selector, within) { return (within || document).querySelector(selector); }
  function every(selector, within) { return Array.from((within || document).querySelectorAll(selector)); }
  function fill(text, values) {
    return text.replace(/\{(\w+)\}/g, function (whole, name) { return name in values ? String(values[name]) : whole; });
  }
  function show(element, is) { element.hidden = !is; }

  /* What was entered */
  function value(name) {
    var found = form.elements[name];
    return found && "value" in found ? found.value : "";
  }
  function ticked(name) {
    return every("input:checked", form).filter(function (each) { return each.name === name; })
      .map(function (each) { return each.value; });
  }
  function several(start, names) {
    var found = {};
    names.forEach(function (name) { found[name] = value(start + name); });
    return found;
  }
  function entered(ask) {
    var n = ask.number + ".";
    return {
      letter: value(n + "letter"),
      words: value(n + "words"),
      left_out: ticked(n + "left_out"),
      evidence: ticked(n + "evidence"),
      looked_at: value(n + "looked_at"),
      concession: several(n + "concession.", ["number", "lots", "cavities", "quantity", "until", "reference"]),
      limit: several(n + "limit.", ["limit", "condition", "holds"]),
      keep: ask.findings.map(function (each) {
        return { finding: each.finding, side: value(n + "keep." + each.finding) };
      }).filter(function (each) { return each.side; })
    };
  }
  function said() {
    var asks = {};
    data.asks.forEach(function (ask) { asks[ask.number] = entered(ask); });
    return { asks: asks, own: [{ question: value("own") }].concat(own.map(told)), who: several("who.", ["name", "organisation", "role"]) };
  }
  function told(each) {
    return { question: each.area.value, picture: each.picture, spot: each.spot, finding: each.finding };
  }

  /* What is shown of it */
  function update() {
    var now = said(), open = [];
    data.asks.forEach(function (ask) {
      var given = PortalAnswer.given(ask, now.asks[ask.number]), counts = PortalAnswer.counts(ask, given);
      if (!counts) { open.push(ask.number); }
      state(ask, now.asks[ask.number], given, counts);
    });
    progress(open);
    one(".open-ones").textContent = open.length ? fill(words.open, { numbers: open.join(", ") }) : "";
    one(".own-list").textContent = own.map(function (each, place) { return (place + 1) + ": " + each.where; }).join("; ");
    mailing(now);
  }
  function state(ask, entry, given, counts) {
    var item = one("#ask-" + ask.number), letter = given && given.letter, line = one(".state-text", item);
    item.classList.toggle("answered", counts);
    every("[data-for]", item).forEach(function (each) {
      show(each, each.dataset.for.split(" ").indexOf(letter || "-") >= 0);
    });
    if (entry.words) { show(one(".words", item), true); }
    if (entry.words && !letter) { every(".words [data-for]", item).forEach(function (each) { show(each, each.dataset.for.split(" ").indexOf("-") >= 0); }); }
    if (counts && letter) { line.textContent = fill(words.answered, { letter: letter }); }
    else if (counts) { line.textContent = words.in_words; }
    else if (letter) { line.textContent = words.covers_none; }
    else { line.textContent = given ? words.no_letter : words.no_answer; }
    show(one("[data-do=clear]", item), Boolean(letter));
    one("[data-step='" + ask.number + "']").classList.toggle("done", counts);
  }
  function progress(open) {
    var bar = one(".progress"), count = data.asks.length - open.length, left = Math.ceil(open.length * data.seconds / 60);
    if (!bar) { return; }
    write(one(".count", bar), fill(words.progress, { n: count, all: data.asks.length }));
    one(".time", bar).textContent = !open.length ? "" : left > 1 ? fill(words.minutes, { n: left }) : words.minute;
    one(".next", bar).textContent = open.length ? one(".next", bar).dataset.next : words.done;
    bar.dataset.open = open.length ? open[0] : "";
  }
  /* Said again only where it changed, so that a screen reader doesn't repeat it. */
  function write(element, text) { if (element.textContent !== text) { element.textContent = text; } }
  function mailing(now) {
    var text = PortalAnswer.text(data, now);
    var instead = data.text.review + " " + data.code + "\n\n" + data.text.answers + "\n";
    var mail = PortalAnswer.mail(data, text, instead, MOST);
    one("#as-text").value = text;
    one("#mail").href = mail.href;
    one("#mail").dataset.whole = mail.whole ? "yes" : "";
  }
  function next() {
    var number = one(".progress").dataset.open, item = number ? one("#ask-" + number) : one("#send");
    var control = one(number ? ".choices input" : "[name='who.name']", item);
    item.scrollIntoView();
    control.focus({ preventScroll: true });
  }

  /* Kept in this browser */
  function storage() {
    try {
      window.localStorage.setItem("answers/try", "1");
      window.localStorage.removeItem("answers/try");
      return window.localStorage;
    } catch (error) { return null; }
  }
  function pairs() {
    return Array.from(new FormData(form)).filter(function (pair) { return pair[1] !== ""; });
  }
  function keep() {
    var kept = { at: new Date().toISOString(), pairs: pairs(), own: own.map(told) };
    clearTimeout(waiting);
    waiting = null;
    if (held || !touched || !stored) { return; }
    try {
      if (kept.pairs.length || kept.own.length) { stored.setItem(KEY, JSON.stringify(kept)); }
      else { stored.removeItem(KEY); }
    } catch (error) { lost(); }
  }
  function lost() { stored = null; show(one(".no-storage"), true); }
  function soon() {
    touched = true;
    clearTimeout(waiting);
    waiting = setTimeout(keep, 200);
  }
  function kept() {
    try { return JSON.parse(stored.getItem(KEY)); } catch (error) { return null; }
  }
  function put(pair) {
    every("[name]", form).forEach(function (each) {
      if (each.name !== pair[0]) { return; }
      if (each.type === "radio" || each.type === "checkbox") { each.checked = each.checked || each.value === pair[1]; }
      else { each.value = pair[1]; }
    });
  }
  function offer() {
    var found = stored && kept(), box = one(".offer");
    if (!found || !Array.isArray(found.pairs) || !Array.isArray(found.own)) { return; }
    held = all.disabled = true;
    one(".kept", box).textContent = fill(words.kept, { time: new Date(found.at).toLocaleString(data.locale, { dateStyle: "long", timeStyle: "short" }) });
    show(box, true);
    box.addEventListener("click", function (event) {
      var what = event.target.dataset.do;
      if (!what) { return; }
      held = all.disabled = false;
      show(box, false);
      if (what === "take") {
        found.pairs.forEach(put);
        found.own.forEach(function (each) { ask(each, each.question); });
        touched = true;
      } else { stored.removeItem(KEY); }
      update();
      if (one(".progress")) { next(); }
    });
  }
  function forget() {
    form.reset();
    own.slice().forEach(remove);
    if (stored) { stored.removeItem(KEY); }
    touched = false;
    savedAs = null;
    tell("");
    update();
  }

  /* Questions of one's own about pictures */
  function area(finding) { return every(".own").filter(function (each) { return each.dataset.finding === finding; })[0]; }
  function ask(about, text) {
    var place = area(about.finding), block, item, empty;
    if (!place || held) { return null; }
    empty = own.filter(function (each) { return each.finding === about.finding && !each.area.value; })[0];
    if (empty) { remove(empty); }
    block = one("#own-question").content.firstElementChild.cloneNode(true);
    item = { finding: about.finding, picture: about.picture, spot: about.spot, block: block, area: one("textarea", block), pins: [] };
    item.where = about.spot ? fill(words.about_spot, about) : fill(words.about_picture, about);
    item.area.value = text || "";
    one(".where", block).textContent = item.where;
    place.insertBefore(block, one(".own-ask", place));
    own.push(item);
    pin(item);
    number();
    return item;
  }
  function remove(item) {
    item.block.remove();
    item.pins.forEach(function (each) { each.remove(); });
    own.splice(own.indexOf(item), 1);
    number();
  }
  function number() {
    own.forEach(function (each, place) {
      one(".pin-no", each.block).textContent = place + 1;
      each.pins.forEach(function (mark) { one("text", mark).textContent = place + 1; });
    });
  }
  function numbers(text) { return text.split(" ").map(Number); }
  function pin(item) {
    var at = (item.spot || "").split(",").map(Number);
    if (at.length !== 2) { return; }
    every(".spot[data-pixel]").forEach(function (place) {
      var field = numbers(place.dataset.field), pixel = numbers(place.dataset.pixel), mark = document.createElementNS(SVG, "svg");
      var x = (at[0] * pixel[0] - field[0]) / field[2], y = (at[1] * pixel[1] - field[1]) / field[3];
      if (place.dataset.finding !== item.finding || place.dataset.picture !== item.picture || x < 0 || y < 0 || x > 1 || y > 1) { return; }
      mark.setAttribute("class", "pin");
      mark.setAttribute("x", 100 * x + "%");
      mark.setAttribute("y", 100 * y + "%");
      mark.setAttribute("overflow", "visible");
      ["M-22 0H-7M7 0H22M0 -22V-7M0 7V22"].forEach(function (d) {
        ["casing", "line"].forEach(function (kind) {
          var path = document.createElementNS(SVG, "path");
          path.setAttribute("class", kind);
          path.setAttribute("d", d);
          mark.appendChild(path);
        });
      });
      mark.appendChild(document.createElementNS(SVG, "circle")).setAttribute("r", "11");
      mark.lastChild.setAttribute("cx", "19");
      mark.lastChild.setAttribute("cy", "-19");
      mark.appendChild(document.createElementNS(SVG, "text")).setAttribute("x", "19");
      mark.lastChild.setAttribute("y", "-14");
      one("svg.field", place).appendChild(mark);
      item.pins.push(mark);
    });
  }
  function pointed(place, event) {
    var box = one("svg.field", place).getBoundingClientRect(), field = numbers(place.dataset.field);
    var within = numbers(place.dataset.within), pixel = numbers(place.dataset.pixel), item;
    var x = field[0] + (event.clientX - box.left) / box.width * field[2];
    var y = field[1] + (event.clientY - box.top) / box.height * field[3];
    if (x < within[0] || y < within[1] || x >= within[0] + within[2] || y >= within[1] + within[3]) { return; }
    item = ask({
      finding: place.dataset.finding,
      picture: place.dataset.picture,
      spot: Math.floor(x / pixel[0]) + "," + Math.floor(y / pixel[1])
    });
    if (item && window.matchMedia("(pointer: fine)").matches) { item.area.focus({ preventScroll: true }); }
  }
  function askable(place) {
    var card = place.closest(".card"), picture = one(".spot[data-picture]", card), button;
    if (!picture) { return; }
    button = one("#own-button").content.firstElementChild.cloneNode(true);
    if (!picture.dataset.pixel) { one("small", button).remove(); }
    place.appendChild(button);
    place.addEventListener("click", function (event) {
      var what = event.target.dataset.do, item;
      if (what === "ask") {
        item = ask({ finding: place.dataset.finding, picture: picture.dataset.picture });
        if (item) { item.area.focus(); }
      } else if (what === "remove") {
        remove(own.filter(function (each) { return each.block.contains(event.target); })[0]);
        one("[data-do=ask]", place).focus();
        soon();
        update();
      }
    });
    place.addEventListener("input", function () { soon(); update(); });
    every(".spot[data-pixel]", card).forEach(function (each) {
      each.classList.add("pointable");
      each.addEventListener("click", function (event) { pointed(each, event); });
    });
  }

  /* Saved, copied, mailed */
  function tell(text) { one(".outcome").textContent = text; }
  function ready(now) {
    if (PortalAnswer.answers(data, now).length || PortalAnswer.questions(now).length) { return true; }
    tell(words.nothing);
    return false;
  }
  function save() {
    var now = said(), name = form.elements["who.name"], file, link, open;
    if (!ready(now)) { return; }
    if (!PortalAnswer.clean(now.who.name)) {
      tell(words.name);
      name.setAttribute("aria-invalid", "true");
      name.focus();
      return;
    }
    file = PortalAnswer.file(data, now, new Date().toISOString());
    open = data.asks.filter(function (ask) { return !PortalAnswer.counts(ask, PortalAnswer.given(ask, now.asks[ask.number])); });
    link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(file, null, 1) + "\n"], { type: "application/json" }));
    link.download = data.file;
    link.click();
    setTimeout(function () { URL.revokeObjectURL(link.href); }, 60000);
    savedAs = data.file;
    tell(fill(words.saved, { file: data.file }) + (open.length ? " " + fill(words.saved_open, {
      numbers: open.map(function (each) { return each.number; }).join(", ") }) : ""));
  }
  function copy(after) {
    var area = one("#as-text");
    function byHand() {
      area.closest("details").open = true;
      area.focus();
      area.select();
      var done = false;
      try { done = document.execCommand("copy"); } catch (error) { done = false; }
      tell(done ? after : words.copy);
    }
    if (!ready(said())) { return; }
    if (!navigator.clipboard) { byHand(); return; }
    navigator.clipboard.writeText(area.value).then(function () { tell(after); }, byHand);
  }
  function act(what, button) {
    if (what === "next") { next(); }
    if (what === "save") { save(); }
    if (what === "copy") { copy(words.copied); }
    if (what === "forget") { forget(); }
    if (what === "clear") {
      every("input[type=radio]", button.closest(".ask")).forEach(function (each) { each.checked = false; });
      one("input[type=radio]", button.closest(".ask")).focus();
      soon();
      update();
    }
  }

  form.addEventListener("submit", function (event) { event.preventDefault(); });
  ["input", "change"].forEach(function (name) {
    form.addEventListener(name, function (event) {
      if (event.target.name === "who.name") { event.target.removeAttribute("aria-invalid"); }
      if (event.target.id === "as-text") { return; }
      if (savedAs) { savedAs = null; tell(words.changed); }
      soon();
      update();
    });
  });
  document.addEventListener("click", function (event) {
    var button = event.target.closest("[data-do]");
    if (button) { act(button.dataset.do, button); }
  });
  one("#mail").addEventListener("click", function (event) {
    if (!ready(said())) { event.preventDefault(); }
    else if (!event.currentTarget.dataset.whole) { copy(fill(words.mail_long, { file: data.file })); }
  });
  window.addEventListener("pagehide", keep);
  document.addEventListener("visibilitychange", function () { if (document.hidden) { keep(); } });
  window.addEventListener("beforeunload", function (event) {
    if (!stored && touched && !savedAs && pairs().length) { event.preventDefault(); }
  });

  form.reset();
  if (one(".progress")) { one(".next").dataset.next = one(".next").textContent; }
  every(".own").forEach(askable);
  every(".fields, .state, .progress, .send").forEach(function (each) { show(each, true); });
  document.documentElement.classList.add("live");
  if (!stored) { lost(); }
  offer();
  update();
}());
