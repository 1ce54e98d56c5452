"use strict";
/*
 * The bench's page: who inspects, trials, pictures, what is drawn. It measures nothing: each change is asked about, and an
 * answer is shown only where nothing newer was answered. What was drawn is written at once and kept here until it is.
 */
(function () {
  var BOOT = JSON.parse(document.getElementById("bench-data").textContent);
  var WORDS = BOOT.words, SAVE_AFTER = 120, AGAIN_AFTER = 1500, LOOK_EVERY = 1000;
  var KEPT = "portal-bench-unsaved";
  var me = { by: sessionStorage.getItem("by") || "", seen: sessionStorage.getItem("seen") || "yes" };
  var trial = null, picture = null, history = PortalHistory.start(PortalDraft.start({})), place = {};
  var last = JSON.parse(sessionStorage.getItem("last") || "{}");
  var looking = false, chosen = null, hover = null, cross = null, traces = [], scribble = null, tapped = null;
  var number = 0, answered = 0, asking = false, again = false;
  var opening = 0, dragged = null, offer = null, shown = [], dirty = false, placed = false, saving = false, timer = 0, stuck = null, stamp = 0;

  function get(id) { return document.getElementById(id); }
  function make(name, text, kind) {
    var made = document.createElement(name);
    if (text !== undefined) { made.textContent = text; }
    if (kind) { made.className = kind; }
    return made;
  }
  function say(key, values) {
    return WORDS[key].replace(/\{(\w+)\}/g, function (whole, name) { return String((values || {})[name]); });
  }
  function draft() { return history.now; }
  function state(kind, text) { get("state").dataset.kind = kind; get("state").textContent = text; }
  function refuse(error) {
    var box = get("refused");
    box.hidden = !error;
    box.textContent = error ? error.message + (error.hint ? " – " + error.hint : "") : "";
  }

  /* Asking the server. `gone` is a server that doesn't answer; anything else is a refusal in words. */
  async function ask(path, body) {
    var options = {}, answer, told;
    if (body) {
      options = { method: "POST", body: JSON.stringify(body),
        headers: { "Content-Type": "application/json", "X-Portal-Token": BOOT.token } };
    }
    try { answer = await fetch(path + "?language=" + BOOT.language, options); }
    catch (error) { throw Object.assign(new Error(say("waiting")), { gone: true }); }
    if (answer.status === 403) { throw new Error(say("old_page")); }
    told = (answer.headers.get("content-type") || "").startsWith("application/json") ? await answer.json() : null;
    if (!answer.ok) { throw Object.assign(new Error(told ? told.error : await answer.text()), { hint: told && told.hint }); }
    return told;
  }

  /* Which of the page's parts is shown. */
  function only(id) {
    ["who", "trials", "desk", "sheet"].forEach(function (each) { get(each).hidden = each !== id; });
    get("to-sheet").hidden = !trial;
    get("to-sheet").setAttribute("aria-pressed", String(id === "sheet"));
    get("to-trials").hidden = !me.by || id === "trials";
    get("to-who").hidden = !me.by || id === "who";
    get("to-who").textContent = me.by ? say("inspecting", { name: nameOf(me.by) }) : "";
    if (id === "desk") { get("window").focus({ preventScroll: true }); } else { get("main").focus({ preventScroll: true }); }
  }
  function nameOf(by) {
    var button = document.querySelector("[data-by=\"" + CSS.escape(by) + "\"]");
    return button ? button.textContent : by;
  }
  function askWho() {
    document.querySelectorAll("[name=seen]").forEach(function (each) { each.checked = each.value === me.seen; });
    only("who");
  }
  document.querySelectorAll("[data-by]").forEach(function (button) {
    button.addEventListener("click", function () {
      me = { by: button.dataset.by, seen: document.querySelector("[name=seen]:checked").value };
      sessionStorage.setItem("by", me.by);
      sessionStorage.setItem("seen", me.seen);
      last.seen = me.seen;
      if (trial) { fresh(); only("desk"); } else { chooseTrial(); }
    });
  });

  /* Trials. */
  async function chooseTrial() {
    var list = get("trial-list"), known;
    try { known = await ask("/api/trials"); } catch (error) { state("waiting", error.message); return; }
    list.replaceChildren();
    known.forEach(function (one) {
      var item = make("li"), button = make("button");
      button.type = "button";
      button.append(make("b", one.mould + " " + one.trial), make("span", one.stage + ", " + one.date),
        make("span", say("pictures", { n: one.pictures })));
      button.addEventListener("click", function () { openTrial(one.key); });
      item.append(button);
      list.append(item);
    });
    only("trials");
  }
  async function openTrial(key, wanted) {
    var first;
    try { trial = await ask("/api/trial/" + key); } catch (error) { state("waiting", error.message); return; }
    sessionStorage.setItem("trial", key);
    get("where").textContent = trial.mould + " " + trial.trial;
    picture = null;
    get("what").textContent = "";
    only("desk");
    strip();
    first = trial.pictures.find(function (one) { return one.key === wanted; }) ||
      trial.pictures.find(function (one) { return !one.tagged; }) || trial.pictures[0];
    if (first) { await openPicture(first.key); }
  }
  function strip() {
    var list = get("strip");
    list.replaceChildren();
    if (!trial.pictures.length) { list.append(make("li")); list.firstChild.append(make("p", say("no_pictures"))); }
    trial.pictures.forEach(function (one) {
      var item = make("li"), button = make("button"), facts = [];
      button.type = "button";
      if (one.cavity) { facts.push(say("cavity", { cavity: one.cavity })); }
      if (one.view) { facts.push(one.view); }
      button.append(make("b", facts.join(", ") || say("untagged")), make("span", one.name),
        make("span", one.tagged ? say("count", { n: one.findings }) : say("untagged")));
      button.setAttribute("aria-current", String(picture !== null && picture.key === one.key));
      button.addEventListener("click", function () { openPicture(one.key); });
      item.append(button);
      list.append(item);
    });
  }
  async function lookAgain() {
    var fresh, of = trial;
    try { fresh = await ask("/api/trial/" + of.key); } catch (error) { return; }
    if (trial === of && fresh.version !== of.version) { newTrial(fresh); }
  }
  /* The server answers once something changed in the trial's folder. */
  async function waitForChanges() {
    var of = trial, told;
    try {
      if (!of || document.hidden) { throw of; }
      told = await ask("/api/changes/" + of.key + "/" + of.version);
      if (trial === of && told.version !== of.version) { await lookAgain(); }
      window.setTimeout(waitForChanges, 50);
    } catch (error) { window.setTimeout(waitForChanges, LOOK_EVERY); }
  }
  function newTrial(next) {
    var none = !trial.pictures.length;
    trial = next;
    strip();
    if (!get("sheet").hidden) { sheet(); }
    if (none && trial.pictures.length) { openPicture(trial.pictures[0].key); }
  }
  waitForChanges();

  /* A picture. */
  async function openPicture(key) {
    var next, turn = opening += 1;
    if (!(await settled())) { return; }
    try { next = await ask("/api/picture/" + key); } catch (error) { refuse(error); return; }
    if (turn !== opening) { return; }
    picture = next;
    sessionStorage.setItem("picture", key);
    place = Object.assign({}, next.place);
    get("what").textContent = next.name;
    refuse(next.broken ? new Error(next.broken) : null);
    get("conflict").hidden = true;
    cross = null;
    easel.open(next);
    lists();
    fresh();
    strip();
    state("", "");
    document.querySelector("#strip [aria-current=true]").scrollIntoView({ block: "nearest", inline: "nearest" });
    if (get("desk").hidden) { only("desk"); }
  }
  function step(by) {
    var keys = trial.pictures.map(function (one) { return one.key; });
    var next = keys[keys.indexOf(picture.key) + by];
    if (next) { openPicture(next); }
  }
  /* What came with a saved change: everything on the picture, not the view of it. */
  function renew(next) {
    next.choices.classes = picture.choices.classes;  /* its keys stay where they are until the next picture */
    picture = next;
    easel.open(next);
    lists();
  }

  /* Choices, each with its key. */
  function option(group, one) {
    var button = make("button", one.text);
    button.type = "button";
    if (one.key) { button.append(" ", make("kbd", one.key)); }
    button.setAttribute("aria-pressed", String(one.on));
    if (one.title) { button.title = one.title; }
    button.addEventListener("click", one.act);
    group.append(button);
  }
  function fields() { return draft().fields; }
  function classOf(id) { return picture.choices.classes.find(function (one) { return one.id === id; }); }
  function characteristicOf(id) { return picture.choices.characteristics.find(function (one) { return one.id === id; }); }
  function limited() { return picture.choices.limited[fields().defect + "|" + fields().zone] || []; }
  function seesAs() {
    var zone = picture.choices.zones.find(function (one) { return one.name === fields().zone; });
    return zone ? zone.seen[place.view] || "" : "";
  }
  function offered() {
    var first = limited();
    return picture.choices.characteristics.slice().sort(function (one, other) {
      return (first.indexOf(other.id) + 1 ? 1 : 0) - (first.indexOf(one.id) + 1 ? 1 : 0);
    });
  }
  function choose(name, value) {
    var next = PortalDraft.field(draft(), name, value), kind;
    if (name !== "compared" && name !== "note") { last[name] = value; }
    history = PortalHistory.step(history, next);
    if (name === "defect" || name === "zone") {
      kind = limited()[0];
      if (kind && limited().indexOf(last.characteristic) < 0 && !draft().shapes.length) { pick(kind); }
    }
    remember();
    changed();
  }
  function pick(id) {
    var kind = characteristicOf(id);
    last.characteristic = id;
    if (kind.shapes.indexOf(last.shape) < 0) { last.shape = kind.shapes[0]; }
    looking = false;
    recast();
    remember();
    changed();
  }
  /* A finished lone shape is taken for the newly chosen characteristic where it gives that too. */
  function recast() {
    var now = draft(), kind = characteristicOf(last.characteristic), shape = now.shapes[now.shapes.length - 1];
    if (!shape || kind.shapes.indexOf(shape.shape) < 0) { history = PortalHistory.step(history, PortalDraft.drop(now)); return; }
    if (shape.characteristic === kind.id) { return; }
    history = PortalHistory.step(history, Object.assign({}, now, {
      shapes: now.shapes.slice(0, -1).concat([Object.assign({}, shape, { characteristic: kind.id })])
    }));
  }
  function shapeNext() {
    var kinds = characteristicOf(last.characteristic).shapes;
    takeShape(kinds[(kinds.indexOf(last.shape) + 1) % kinds.length]);
  }
  function takeShape(kind) {
    last.shape = kind;
    looking = false;
    history = PortalHistory.step(history, PortalDraft.drop(draft()));
    remember();
    changed();
  }
  function remember() { sessionStorage.setItem("last", JSON.stringify(last)); }
  function nextSeen() {
    var all = ["yes", "no", "not checked"];
    choose("seen", all[(all.indexOf(fields().seen) + 1) % all.length]);
  }

  function lists() {
    placeLists();
    findings();
  }
  function placeLists() {
    var form = get("place"), known = picture.places;
    function fill(name, all, value) {
      var select = form.elements[name];
      select.replaceChildren();
      all.forEach(function (one) {
        var made = make("option", one[1]);
        made.value = one[0];
        select.append(made);
      });
      if (!all.some(function (one) { return one[0] === value; })) {
        var own = make("option", value || say("none"));
        own.value = value;
        select.prepend(own);
      }
      select.value = value;
    }
    function same(all) { return all.map(function (one) { return [one, one]; }); }
    fill("cavity", same(known.cavities), place.cavity);
    fill("shot", same(known.shots), place.shot);
    fill("view", same(known.views[place.cavity] || []), place.view);
    fill("setting", known.settings.map(function (one) { return [one.join("\n"), one.join(", ")]; }),
      place.scope ? place.scope + "\n" + place.setting : "");
    fill("made", Object.keys(BOOT.made).map(function (one) { return [one, BOOT.made[one]]; }), place.made || "single");
    get("proposed").hidden = picture.tagged;
    get("place-open").open = get("place-open").open || !place.cavity || !place.view || !place.setting;
    get("place-said").textContent = [place.cavity && say("cavity", { cavity: place.cavity }), place.shot && say("shot", { shot: place.shot }),
      place.view, place.setting].filter(Boolean).join(", ") || say("untagged");
    get("noscale").textContent = picture.noScale;
  }
  get("place").addEventListener("change", function (event) {
    var both;
    if (event.target.name === "setting") {
      both = event.target.value.split("\n");
      place.scope = both[0];
      place.setting = both[1] || "";
    } else { place[event.target.name] = event.target.value; }
    placePiece();
    placeLists();
    choicesShown();
    askAbout();
    placed = picture.tagged;
    writeSoon();
  });
  function placePiece() {
    var fitting = picture.places.pieces.filter(function (one) { return one[1] === place.cavity && one[2] === place.shot; });
    place.piece = fitting.length === 1 ? fitting[0][0] : "";
  }

  function choicesShown() {
    var group, wanted = get("find-class").value.trim().toLowerCase(), now = fields(), kind, shapes;
    if (!picture) { return; }
    group = get("classes");
    group.replaceChildren();
    picture.choices.classes.filter(function (one, index) {
      if (wanted) { return one.names.some(function (name) { return name.toLowerCase().indexOf(wanted) >= 0; }); }
      return index < 9 || one.id === now.defect;
    }).forEach(function (one) {
      option(group, { text: one.term, key: one.key, on: one.id === now.defect, act: function () { choose("defect", one.id); } });
    });
    group = get("zones");
    group.replaceChildren();
    picture.choices.zones.forEach(function (one) {
      option(group, { text: one.name, key: one.key && "⇧" + one.key, on: one.name === now.zone, act: function () { choose("zone", one.name); } });
    });
    group = get("characteristics");
    group.replaceChildren();
    get("others").replaceChildren();
    offered().forEach(function (one) {
      var near = !limited().length || limited().indexOf(one.id) >= 0 || one.id === last.characteristic;
      option(near ? group : get("others"), { text: one.name, key: one.key, on: one.id === last.characteristic, act: function () { pick(one.id); } });
    });
    group = get("seen");
    group.replaceChildren();
    Object.keys(BOOT.seen).forEach(function (one) {
      option(group, { text: BOOT.seen[one], on: one === now.seen, act: function () { choose("seen", one); } });
    });
    group = get("compared");
    group.replaceChildren();
    Object.keys(BOOT.compared).forEach(function (one, index) {
      option(group, { text: BOOT.compared[one], key: "⇧" + (index + 1), on: one === now.compared, act: function () { choose("compared", one); } });
    });
    get("more-characteristics").hidden = !get("others").childNodes.length;
    group = get("shapes");
    group.replaceChildren();
    kind = characteristicOf(last.characteristic);
    shapes = kind ? kind.shapes : [];
    shapes.forEach(function (one) {
      option(group, { text: BOOT.shapes[one], key: shapes.length > 1 ? "x" : "", on: !looking && one === last.shape, act: function () { takeShape(one); } });
    });
    document.querySelector("[data-do=look]").setAttribute("aria-pressed", String(looking));
    document.querySelector("[data-do=undo]").disabled = !history.past.length;
    document.querySelector("[data-do=redo]").disabled = !history.future.length;
    document.querySelector("[data-do=finish]").disabled = draft().open < 0 && !offer;
    document.querySelector("[data-do=edge]").disabled = !PortalDraft.complete(draft()) || !draft().shapes.length;
    get("finding-name").textContent = draft().id ? say("finding", { id: draft().id }) : say("finding_new");
    if (document.activeElement !== get("note")) { get("note").value = now.note || ""; }
    get("window").classList.toggle("looking", looking);
    readings();
  }
  get("find-class").addEventListener("input", choicesShown);
  get("note").addEventListener("change", function () { choose("note", get("note").value.trim()); });

  function findings() {
    var list = get("findings");
    list.replaceChildren();
    if (!picture.findings.length) { list.append(make("li", say("no_findings"), "small")); }
    picture.findings.forEach(function (one) {
      var item = make("li"), button = make("button"), gone;
      button.type = "button";
      button.append(make("b", one.data.id), " " + one.term + ", " + one.data.zone, make("br"), make("span", one.sentence, "small"));
      button.addEventListener("click", function () { edit(one); });
      item.append(button);
      if (one.sent) { item.append(make("span", say("sent"), "small")); }
      else {
        gone = make("button", "×");
        gone.type = "button";
        gone.setAttribute("aria-label", say("take_away") + " " + one.data.id);
        gone.addEventListener("click", function () { takeAway(one); });
        item.append(gone);
      }
      list.append(item);
    });
  }
  async function edit(one) {
    var kind = (one.data.shapes || [])[0];
    if (!(await settled())) { return; }
    history = PortalHistory.start(PortalDraft.from(one.data, one.seen));
    if (kind) { last.characteristic = kind.characteristic; last.shape = kind.shape; }
    looking = true;
    changed(true);
  }
  async function takeAway(one) {
    if (!(await settled())) { return; }
    history = PortalHistory.start(Object.assign(PortalDraft.start({}), { id: one.data.id, digest: one.seen }));
    dirty = true;
    await write();
    fresh();
  }
  /* The next finding begins with what the last one was. */
  function fresh() {
    var known;
    if (!picture) { return; }
    known = picture.choices;
    if (!last.defect || !classOf(last.defect)) { last.defect = known.classes.length ? known.classes[0].id : ""; }
    if (!known.zones.some(function (one) { return one.name === last.zone; })) { last.zone = known.zones.length ? known.zones[0].name : ""; }
    history = PortalHistory.start(PortalDraft.start({ defect: last.defect, zone: last.zone, seen: me.seen }));
    if (!characteristicOf(last.characteristic)) { last.characteristic = limited()[0] || known.characteristics[0].id; }
    if (limited().length && limited().indexOf(last.characteristic) < 0) { last.characteristic = limited()[0]; }
    if (characteristicOf(last.characteristic).shapes.indexOf(last.shape) < 0) { last.shape = characteristicOf(last.characteristic).shapes[0]; }
    chosen = null;
    traces = [];
    get("answer").replaceChildren();
    get("compare").hidden = true;
    samples([]);
    answered = number;
    redraw();
    choicesShown();
  }
  function kindNow() {
    var own = classOf(fields().defect);
    return { characteristic: last.characteristic, shape: last.shape, edge: own ? own.edge : "sharp" };
  }

  /* What the view can't give: gauge readings, and what was felt. */
  function readings() {
    var list = get("gauge-list"), select = get("gauge").elements.characteristic, now = fields();
    if (!select.options.length) {
      picture.choices.characteristics.filter(function (one) { return one.gauge; }).forEach(function (one) {
        var made = make("option", one.name);
        made.value = one.id;
        select.append(made);
      });
    }
    list.replaceChildren();
    (now.gauge || []).forEach(function (one, index) {
      line(characteristicOf(one.characteristic).name + ": " + one.readings.join(", ") + " (" + one.instrument + ", u = " + one.u + ")", "gauge", index);
    });
    (now.checks || []).forEach(function (one, index) {
      var named = Array.from(get("check").elements.what.options).find(function (each) { return each.value === one.what; });
      line(named.textContent + ": " + BOOT.seen[one.result] + " (" + one.method + ")", "checks", index);
    });
    function line(text, name, index) {
      var item = make("li", text), gone = make("button", "×");
      gone.type = "button";
      gone.setAttribute("aria-label", say("take_reading_away"));
      gone.addEventListener("click", function () {
        setList(name, fields()[name].filter(function (each, place) { return place !== index; }));
      });
      item.append(gone);
      list.append(item);
    }
  }
  function setList(name, all) {
    history = PortalHistory.step(history, PortalDraft.field(draft(), name, all));
    changed();
  }
  function fromForm(form, name, make) {
    form.addEventListener("submit", function (event) {
      event.preventDefault();
      setList(name, (fields()[name] || []).concat([make(form.elements)]));
    });
  }
  fromForm(get("gauge"), "gauge", function (of) {
    var each = of.readings.value.split(/[,;]/).map(function (one) { return one.trim(); }).filter(Boolean);
    return { characteristic: of.characteristic.value, readings: each, instrument: of.instrument.value.trim(), u: of.u.value.trim() };
  });
  fromForm(get("check"), "checks", function (of) {
    return { what: of.what.value, result: of.result.value, method: of.method.value.trim() };
  });

  /* What is on the picture now. */
  function redraw() {
    if (!picture) { return; }
    scaleSamples();
    easel.paint(picture.findings.filter(function (one) { return one.data.id !== draft().id; }).map(function (one) {
      return { label: one.data.id, draft: PortalDraft.from(one.data, "") };
    }), tentative(), chosen, traces, looking ? null : cross);
  }
  function tentative() {
    var now = draft();
    if (offer) { return offer; }
    if (scribble) { return PortalDraft.stroke(now, scribble, kindNow()); }
    if (looking || !hover || now.open < 0) { return now; }
    return PortalDraft.put(now, hover, kindNow());
  }
  function changed(quiet) {
    chosen = null;
    offer = null;
    if (!quiet) { dirty = PortalDraft.complete(draft()) || Boolean(draft().id); }
    redraw();
    choicesShown();
    askAbout();
    if (!quiet) { unfinished(); writeSoon(); }
  }
  function unfinished() {
    var now = draft();
    if (!now.shapes.length) { return; }
    if (!now.fields.defect) { state("", say("unfinished", { what: say("needs_class") })); }
    else if (!now.fields.zone) { state("", say("unfinished", { what: say("needs_zone") })); }
    else if (!PortalDraft.complete(now)) { state("", say("unfinished", { what: say("needs_points") })); }
  }

  /* Measured while drawing: one question on its way, the newest waits; older answers than the one shown are dropped. */
  function askAbout() {
    if (asking) { again = true; return; }
    askNow();
  }
  async function askNow() {
    var data = PortalDraft.data(tentative()), of = picture, mine, told;
    again = false;
    if (!of || !(data.shapes || data.gauge) || !data.defect || !data.zone) { traces = []; get("answer").replaceChildren(); answered = number; return; }
    mine = number += 1;
    asking = true;
    if (draft().id) { data.id = draft().id; }
    try {
      told = await ask("/api/measure", { number: mine, picture: of.key, place: place, finding: data });
      if (told.number > answered && picture && picture.key === of.key) { show(told); }
    } catch (error) {
      if (!error.gone && mine > answered) { answered = mine; get("answer").replaceChildren(make("p", error.message, "small")); }
    }
    asking = false;
    if (again) { askNow(); }
  }
  /* The limit samples, at as many screen pixels per length as the picture has now. */
  function samples(all) {
    var box = get("beside");
    shown = all;
    box.hidden = !all.length;
    box.replaceChildren();
    all.forEach(function (one) {
      var figure = make("figure"), plate = make("div", undefined, "plate"), image = make("img"), words = make("figcaption");
      image.alt = one.side + " " + one.id;
      plate.append(image);
      words.append(make("b", one.side), " " + [one.id, one.value].filter(Boolean).join(", ") + ". " +
        (one.um && picture.um ? say("same_scale") : say("other_scale")) + " " + one.warning);
      figure.append(plate, words);
      box.append(figure);
    });
    scaleSamples();
  }
  /* Where nothing is drawn on a sample: the same place of its frame as what is drawn here has in this one. */
  function alike(one) {
    var all = PortalDraft.vertices(draft()), sum = { x: 0, y: 0 };
    all.forEach(function (vertex) { sum.x += vertex.at.x / all.length; sum.y += vertex.at.y / all.length; });
    return all.length ? { x: sum.x / picture.width * one.width, y: sum.y / picture.height * one.height } : { x: one.width / 2, y: one.height / 2 };
  }
  function scaleSamples() {
    var perPixel = Number(get("window").dataset.zoom);
    get("beside").querySelectorAll(".plate").forEach(function (plate, index) {
      var one = shown[index], image = plate.firstChild, at = one.at || alike(one), x, y, size;
      if (!plate.clientWidth) { return; }
      if (one.um && picture.um) {
        x = perPixel * one.um[0] / picture.um[0];
        y = perPixel * one.um[1] / picture.um[0];
      } else { x = y = Math.min(plate.clientWidth / one.width, plate.clientHeight / one.height); }
      size = one.sizes[PortalGeometry.size({ zoom: x }, window.devicePixelRatio || 1, one.sizes.map(function (each) { return each[1]; }))];
      if (image.getAttribute("src") !== size[0]) { image.src = size[0]; }
      image.style.setProperty("width", one.width * x + "px");
      image.style.setProperty("height", one.height * y + "px");
      image.style.setProperty("left", (one.um && picture.um ? plate.clientWidth / 2 - at.x * x : (plate.clientWidth - one.width * x) / 2) + "px");
      image.style.setProperty("top", (one.um && picture.um ? plate.clientHeight / 2 - at.y * y : 0) + "px");
    });
  }
  function show(told) {
    answered = told.number;
    if (JSON.stringify(told.beside) !== JSON.stringify(shown)) { samples(told.beside); }
    get("compare").hidden = !told.compares;
    get("answer").dataset.number = String(told.number);
    get("answer").replaceChildren.apply(get("answer"), Array.from(new DOMParser().parseFromString(told.html, "text/html").body.childNodes));
    traces = told.traces;
    redraw();
  }

  /* Written at once; kept here while nobody takes it. */
  function writeSoon() {
    window.clearTimeout(timer);
    if (dirty || placed) { timer = window.setTimeout(write, SAVE_AFTER); }
  }
  function written() { return PortalDraft.complete(draft()) ? PortalDraft.data(draft()) : null; }
  /* Without a finished finding, only what the picture shows. */
  function payload() {
    var now = ripe() ? draft() : { id: "", digest: "" };
    return { number: stamp += 1, picture: picture.key, place: Object.assign({}, place), place_seen: picture.placeSeen,
      finding: ripe() ? written() : null, id: now.id, seen: now.digest, by: me.by };
  }
  function ripe() {
    var now = draft();
    if (!dirty || now.open >= 0 || !(now.id || PortalDraft.complete(now))) { return false; }
    return Boolean(!PortalDraft.complete(now) || now.fields.zone && now.fields.defect);
  }
  function worthWriting() { return !stuck && !dragged && (ripe() || placed); }
  async function write() {
    var body, told, of;
    window.clearTimeout(timer);
    if (saving || !worthWriting()) { return; }
    saving = true;
    body = payload();
    of = ripe();
    dirty = dirty && !of;
    placed = false;
    if (!offer) { state("saving", say("saving")); }
    localStorage.setItem(KEPT, JSON.stringify(body));
    try {
      told = await ask("/api/save", body);
      saving = false;
      refuse(null);
      localStorage.removeItem(KEPT);
      taken(body, told, of);
    } catch (error) {
      saving = false;
      if (error.gone) {
        dirty = dirty || of;
        placed = true;
        state("waiting", say("waiting"));
        timer = window.setTimeout(write, AGAIN_AFTER);
        return;
      }
      localStorage.removeItem(KEPT);
      state("", "");
      refuse(error);
    }
  }
  function taken(body, told, of) {
    var mine = told.picture.findings.find(function (one) { return one.data.id === told.id; });
    if (picture.key !== body.picture) { return; }
    if (told.conflict) { conflict(body, told, mine); return; }
    placed = placed || JSON.stringify(place) !== JSON.stringify(body.place);
    renew(told.picture);
    if (of) {
      history = PortalHistory.told(history, { id: body.finding ? told.id : "", digest: mine ? mine.seen : "" });
      dirty = dirty || JSON.stringify(written()) !== JSON.stringify(body.finding);
    }
    if (!offer) { state(worthWriting() ? "saving" : "saved", say(worthWriting() ? "saving" : "saved")); }
    choicesShown();
    redraw();
    if (worthWriting()) { write(); }
    lookAgain();
  }
  function conflict(body, told, theirs) {
    var box = get("conflict"), both = make("div", undefined, "both"), mine = make("button", say("keep_mine")), leave = make("button", say("keep_theirs"));
    stuck = body;
    both.append(make("pre", JSON.stringify(theirs ? theirs.data : told.picture.place, null, 1)), make("pre", JSON.stringify(body.finding || body.place, null, 1)));
    mine.type = leave.type = "button";
    mine.addEventListener("click", function () {
      stuck = null;
      box.hidden = true;
      var wanted = body.place;
      renew(told.picture);
      place = Object.assign({}, wanted);
      history = PortalHistory.told(history, { id: theirs ? theirs.data.id : "", digest: theirs ? theirs.seen : "" });
      dirty = Boolean(body.finding || body.id);
      placed = !dirty;
      write();
    });
    leave.addEventListener("click", function () {
      stuck = null;
      box.hidden = true;
      place = Object.assign({}, told.picture.place);
      renew(told.picture);
      fresh();
    });
    box.replaceChildren(make("p", say("conflict", { file: told.conflict })), both, mine, " ", leave);
    box.hidden = false;
    state("", "");
    mine.focus();
  }
  /* Whether nothing waits to be written, once what can be is. */
  async function settled() {
    var tries;
    if (picture && draft().open >= 0 && PortalShapes.complete(draft().shapes[draft().open]) && draft().shapes[draft().open].stage === undefined) { finish(); }
    for (tries = 0; tries < 100 && (saving || worthWriting()); tries += 1) {
      if (!saving) { await write(); }
      if (get("state").dataset.kind === "waiting") { return false; }
      if (saving) { await new Promise(function (done) { window.setTimeout(done, 20); }); }
    }
    return !stuck;
  }
  async function sendKept() {
    var kept = localStorage.getItem(KEPT);
    if (!kept) { return; }
    try { await ask("/api/save", JSON.parse(kept)); } catch (error) { if (error.gone) { return; } }
    localStorage.removeItem(KEPT);
  }
  window.addEventListener("beforeunload", function (event) { if (saving || worthWriting()) { event.preventDefault(); } });

  /* Drawing. */
  function put(point) {
    var now = draft();
    if (now.open < 0 && now.shapes.length && !now.more) { beginNext(point); return; }
    placePoint(point);
  }
  async function beginNext(point) {
    if (!(await settled())) { return; }
    fresh();
    placePoint(point);
  }
  function placePoint(point) {
    var next = PortalDraft.put(draft(), point, kindNow());
    delete next.more;
    history = PortalHistory.step(history, next);
    hover = null;
    changed();
  }
  /* A shape moved onto the edges nearby: shown, and taken only by a key. */
  async function findEdge() {
    var now, shape, of, told;
    if (draft().open >= 0 || !(await settled())) { return; }
    now = draft();
    shape = now.shapes[now.shapes.length - 1];
    of = picture.key;
    if (!shape || !PortalShapes.complete(shape) || now.open >= 0) { return; }
    try { told = await ask("/api/edges", { number: stamp += 1, picture: of, shape: PortalDraft.data(now).shapes.pop() }); }
    catch (error) { refuse(error); return; }
    if (picture.key !== of || draft() !== now) { return; }
    state("", told.found ? say("edge_offer", { said: told.said }) : told.said);
    if (!told.found) { return; }
    PortalShapes.lists(told.shape).forEach(function (list) { told.shape[list] = PortalShapes.read(told.shape[list]); });
    offer = Object.assign({}, now, { shapes: now.shapes.slice(0, -1).concat([told.shape]) });
    redraw();
    choicesShown();
    askAbout();
  }
  function finish() {
    if (offer) { history = PortalHistory.step(history, offer); state("", ""); changed(); return; }
    history = PortalHistory.step(history, PortalDraft.finish(draft()));
    hover = null;
    changed();
  }
  function more() { history = PortalHistory.step(history, Object.assign({}, draft(), { more: true })); looking = false; changed(); }
  function erase() {
    var all = PortalDraft.vertices(draft());
    var vertex = chosen || all[all.length - 1];
    if (vertex) { history = PortalHistory.step(history, PortalDraft.remove(draft(), vertex)); changed(); }
  }
  function back() {
    if (offer) { offer = null; state("", ""); changed(true); return; }
    if (draft().open >= 0) { history = PortalHistory.step(history, PortalDraft.drop(draft())); }
    else { looking = !looking; }
    hover = null;
    changed(true);
  }
  function undo() { history = PortalHistory.undo(history); hover = null; changed(); }
  function redo() { history = PortalHistory.redo(history); hover = null; changed(); }

  var easel = PortalEasel(get("window"), get("stage"), get("ink"), get("livebar"), {
    noScale: say("no_scale"),
    redraw: redraw,
    strokes: function () { return !looking && last.shape === "outline" && draft().open < 0; },
    stroking: function (points) { scribble = points; redraw(); if (points) { askAbout(); } },
    stroked: async function (points) {
      scribble = null;
      if (points.length < 4) { redraw(); return; }
      if (draft().shapes.length && !draft().more) { if (!(await settled())) { return; } fresh(); }
      var reach = 0.75 / Number(get("window").dataset.zoom);
      var next = PortalDraft.stroke(draft(), PortalShapes.thinned(points, reach), kindNow());
      delete next.more;
      history = PortalHistory.step(history, next);
      changed();
    },
    grip: function (spot) {
      var all = PortalDraft.vertices(draft());
      var index = PortalShapes.nearest(all.map(function (one) { return easel.toScreen(one.at); }), spot, looking || draft().open < 0 ? easel.reach / 2 : 7);
      return index < 0 ? null : { vertex: all[index], shapes: draft().shapes };
    },
    drag: function (grip, point) {
      offer = null;
      history = Object.assign({}, history, { now: PortalDraft.move(draft(), grip.vertex, point) });
      chosen = grip.vertex;
      dragged = grip;
      redraw();
      askAbout();
    },
    dropped: function () {
      var now = draft();
      history = PortalHistory.step(Object.assign({}, history, { now: Object.assign({}, now, { shapes: dragged.shapes }) }), now);
      dragged = null;
      changed();
    },
    tap: function (point, spot, grip) {
      var when = performance.now();
      if (tapped && when - tapped.when < 400 && Math.hypot(spot.x - tapped.x, spot.y - tapped.y) < 4) { return; }
      tapped = { when: when, x: spot.x, y: spot.y };
      cross = null;
      if (grip) { chosen = grip.vertex; redraw(); return; }
      if (looking) { select(spot); return; }
      put(point);
    },
    hover: function (point) { hover = point; if (!looking && draft().open >= 0) { redraw(); askAbout(); } },
    finish: finish
  });
  /* While looking: a vertex more on the draft's own line, or another finding to go on with. */
  function select(spot) {
    var hit = null;
    function screen(points) { return points.map(easel.toScreen); }
    draft().shapes.forEach(function (shape, index) {
      if (hit || PortalShapes.full(shape) || shape.shape === "base-and-point") { return; }
      var side = PortalShapes.side(screen(shape.points), shape.shape === "outline", spot, 8);
      if (side > 0) { hit = { shape: index, list: "points", place: side }; }
    });
    if (hit) {
      var at = PortalGeometry.toImage({ x: Number(get("window").dataset.x), y: Number(get("window").dataset.y), zoom: Number(get("window").dataset.zoom), ratio: picture.ratio }, spot);
      history = PortalHistory.step(history, PortalDraft.insert(draft(), hit, at));
      changed();
      return;
    }
    picture.findings.some(function (one) {
      var found = PortalDraft.from(one.data, "").shapes.some(function (shape) {
        return PortalShapes.lines(shape, picture.ratio).some(function (line) {
          return PortalShapes.side(screen(line.points), line.closed, spot, 12) > 0;
        }) || PortalShapes.lists(shape).some(function (list) { return PortalShapes.nearest(screen(shape[list]), spot, 14) >= 0; });
      });
      if (found) { edit(one); }
      return found;
    });
  }

  /* Nothing seen, and the sheet. */
  async function nothing(at) {
    var wanted = at || { cavity: place.cavity, view: place.view, shot: place.shot };
    var sheets = trial.sheets.filter(function (one) { return one.cavities.indexOf(wanted.cavity) >= 0; });
    if (!wanted.cavity || !wanted.view || !wanted.shot || !sheets.length) { state("", say("nothing_needs")); return; }
    try {
      newTrial(await ask("/api/looked", { trial: trial.key, cavity: wanted.cavity, view: wanted.view, shot: wanted.shot,
        condition: conditionOf(sheets[0]), by: me.by }));
      state("saved", say("nothing_done", wanted));
    } catch (error) { refuse(error); state(error.gone ? "waiting" : "", error.gone ? error.message : ""); }
  }
  function conditionOf(one) { return sessionStorage.getItem("condition-" + one.part) || one.conditions[0] || ""; }
  function sheet() {
    var box = get("sheet");
    box.replaceChildren();
    trial.sheets.forEach(function (one) {
      var label = make("label", say("condition"), "condition"), select = make("select"), scroll = make("div", undefined, "scroll");
      var table = make("table", undefined, "contact"), head = make("tr"), body = make("tbody");
      one.conditions.forEach(function (each) { var made = make("option", each); made.value = each; select.append(made); });
      select.value = conditionOf(one);
      select.addEventListener("change", function () { sessionStorage.setItem("condition-" + one.part, select.value); });
      label.append(select);
      head.append(make("td"));
      one.views.forEach(function (view) { var cell = make("th", view.name); cell.scope = "col"; head.append(cell); });
      one.cavities.forEach(function (cavity) {
        var row = make("tr"), name = make("th", cavity);
        name.scope = "row";
        row.append(name);
        one.views.forEach(function (view) {
          row.append(frame(one, view, one.frames.find(function (each) { return each.cavity === cavity && each.view === view.name; })));
        });
        body.append(row);
      });
      var top = make("thead");
      top.append(head);
      table.append(top, body);
      scroll.tabIndex = 0;
      scroll.setAttribute("role", "region");
      scroll.setAttribute("aria-label", say("sheet_of", { part: one.name }));
      scroll.append(table);
      box.append(make("h2", say("sheet_of", { part: one.name })), label, scroll);
    });
    checked(box);
  }
  function checked(box) {
    var button = make("button", say("mark_checked"));
    button.type = "button";
    button.addEventListener("click", async function () {
      try { newTrial(await ask("/api/checked", { trial: trial.key, by: me.by })); }
      catch (error) { state(error.gone ? "waiting" : "", error.message); }
    });
    box.append(make("h2", say("checked_title")), make("p", trial.checked || say("unchecked"), "small"), button);
  }
  function frame(one, view, own) {
    var cell = make("td"), button;
    own.pictures.forEach(function (key) {
      var known = trial.pictures.find(function (each) { return each.key === key; });
      var open = make("button"), image = make("img");
      open.type = "button";
      image.loading = "lazy";
      image.alt = "";
      image.src = "/picture/" + key + "/0";
      open.append(image, make("span", known ? say("count", { n: known.findings }) : key, "small"));
      open.title = known ? known.name : "";
      open.setAttribute("aria-label", known ? known.name + ", " + say("count", { n: known.findings }) : key);
      open.addEventListener("click", function () { openPicture(key); });
      cell.append(open);
    });
    if (own.looked) { cell.append(make("p", say("looked"), "looked")); }
    if (own.missing) {
      cell.append(make("p", own.said, "missing"));
      if (!view.always) {
        trial.shots.slice(0, 1).forEach(function (shot) {
          button = make("button", say("mark_nothing", { shot: shot }));
          button.type = "button";
          button.addEventListener("click", function () { nothing({ cavity: own.cavity, view: own.view, shot: String(shot) }); });
          cell.append(button);
        });
      }
    }
    return cell;
  }
  get("nothing").addEventListener("click", function () { nothing(); });
  get("to-sheet").addEventListener("click", toSheet);
  get("to-trials").addEventListener("click", async function () { if (await settled()) { chooseTrial(); } });
  get("to-who").addEventListener("click", async function () { if (await settled()) { askWho(); } });
  async function toSheet() {
    if (get("sheet").hidden) { if (await settled()) { if (picture) { opening += 1; } sheet(); only("sheet"); } } else { only("desk"); }
  }

  /* Keys and buttons. */
  function act(what) {
    if (what === "look") { looking = !looking; changed(true); }
    if (what === "finish") { finish(); }
    if (what === "edge") { findEdge(); }
    if (what === "undo") { undo(); }
    if (what === "redo") { redo(); }
    if (what === "in") { easel.zoomIn(1.5); }
    if (what === "out") { easel.zoomIn(1 / 1.5); }
    if (what === "fit") { easel.fit(); }
  }
  document.querySelector(".tools").addEventListener("click", function (event) {
    var button = event.target.closest("[data-do]");
    if (button) { act(button.dataset.do); }
  });
  var PLAIN = {
    v: function () { act("look"); }, u: undo, x: shapeNext, m: more, f: findEdge, q: nextSeen, k: function () { nothing(); },
    n: function () { step(1); }, p: function () { step(-1); }, "+": function () { act("in"); }, "=": function () { act("in"); },
    "-": function () { act("out"); }, "?": function () { get("help").showModal(); },
    Enter: finish, Escape: back, Delete: erase, Backspace: erase
  };
  function arrow(event) {
    var to = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key], far;
    if (!to) { return false; }
    if (looking) { easel.pan(-to[0] * 60, -to[1] * 60); return true; }
    far = event.shiftKey ? 1 : 12;
    cross = easel.nudge(cross || easel.middle(), to[0] * far, to[1] * far);
    hover = cross;
    redraw();
    if (draft().open >= 0) { askAbout(); }
    return true;
  }
  function choice(event) {
    var known = picture.choices, zone, kind, own;
    own = event.shiftKey && /^Digit[1-4]$/.test(event.code) && !get("compare").hidden;
    if (own) { choose("compared", Object.keys(BOOT.compared)[Number(event.code.slice(5)) - 1]); return true; }
    if (/^[0-9]$/.test(event.key)) {
      own = known.classes.find(function (one) { return one.key === event.key; });
      if (own) { choose("defect", own.id); return true; }
      if (event.key === "0") { act("fit"); return true; }
    }
    zone = event.shiftKey && known.zones.find(function (one) { return one.key && one.key === event.key.toUpperCase(); });
    if (zone) { choose("zone", zone.name); return true; }
    kind = !event.shiftKey && known.characteristics.find(function (one) { return one.key && one.key === event.key.toLowerCase(); });
    if (kind) { pick(kind.id); return true; }
    return false;
  }
  function onDesk(event) {
    var onButton = event.target.closest("button, a, summary");
    if (onButton && (event.key === "Enter" || event.key === " ")) { return false; }
    if ((event.ctrlKey || event.metaKey) && !event.altKey) {
      if (event.key.toLowerCase() === "z") { if (event.shiftKey) { redo(); } else { undo(); } return true; }
      if (event.key.toLowerCase() === "y") { redo(); return true; }
      return false;
    }
    if (event.altKey || !picture) { return false; }
    if (event.key === " ") { if (!looking) { cross = cross || easel.middle(); put(cross); hover = null; } return true; }
    if (event.key === "Delete" && event.shiftKey) { takeAwayDraft(); return true; }
    if (arrow(event)) { return true; }
    if (PLAIN[event.key]) { PLAIN[event.key](); return true; }
    return choice(event);
  }
  function takeAwayDraft() {
    var own = picture.findings.find(function (one) { return one.data.id === draft().id; });
    if (own && !own.sent) { takeAway(own); } else if (!own) { fresh(); }
  }
  document.addEventListener("keydown", function (event) {
    if (event.target.closest("input, select, textarea, dialog")) {
      if (event.key === "Escape" && !event.target.closest("dialog")) { get("window").focus(); }
      return;
    }
    if (event.key === "t" && trial && !event.ctrlKey && !event.metaKey && !event.altKey) { toSheet(); event.preventDefault(); return; }
    if (!get("desk").hidden && onDesk(event)) { event.preventDefault(); }
  });

  (async function () {
    await sendKept();
    if (!me.by || !document.querySelector("[data-by=\"" + CSS.escape(me.by) + "\"]")) { me.by = ""; askWho(); return; }
    if (sessionStorage.getItem("trial")) {
      await openTrial(sessionStorage.getItem("trial"), sessionStorage.getItem("picture"));
      if (trial) { return; }
      sessionStorage.removeItem("trial");
    }
    chooseTrial();
  }());
}());
