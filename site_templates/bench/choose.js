/* Class, zone, what is measured, the shape, seen or not: each a button with its key. */
import { BOOT, desk, draft, fields, get, make, on, remember, say, step } from "./desk.js";
import { changed, fresh } from "./change.js";
import { characteristicOf, kindNow, likely, offered, proposed } from "./known.js";
import { settled } from "./save.js";

function option(group, one) {
  var button = make("button", one.text);
  button.type = "button";
  if (one.key) { button.append(" ", make("kbd", one.key)); }
  button.setAttribute("aria-pressed", String(one.on));
  if (one.title) { button.title = one.title; }
  button.addEventListener("click", one.act);
  group.append(button);
}
/* What is chosen is chosen for a finding of this picture; what isn't one is left first. */
async function leaving(then) { if (await settled()) { fresh(); then(); } }
export function choose(name, value) {
  if (draft().kind) { leaving(function () { choose(name, value); }); return; }
  var next = PortalDraft.field(draft(), name, value), kind, last = desk.last;
  if (name !== "compared" && name !== "note") { last[name] = value; }
  step(next);
  if (name === "defect" || name === "zone") {
    kind = proposed()[0];
    if (kind && proposed().indexOf(last.characteristic) < 0 && !draft().shapes.length) { pick(kind); }
  }
  remember();
  changed();
}
export function pick(id) {
  if (PortalDraft.isOfPicture(draft())) { leaving(function () { pick(id); }); return; }
  var kind = characteristicOf(id), last = desk.last;
  last.characteristic = id;
  if (kind.shapes.indexOf(last.shape) < 0) { last.shape = kind.shapes[0]; }
  desk.looking = false;
  recast();
  remember();
  changed();
}
/* A finished lone shape is taken for the newly chosen characteristic where it gives that too. */
function recast() {
  var now = draft(), kind = characteristicOf(desk.last.characteristic), shape = now.shapes[now.shapes.length - 1];
  if (!shape || kind.shapes.indexOf(shape.shape) < 0) { step(PortalDraft.drop(now)); return; }
  if (shape.characteristic === kind.id) { return; }
  step(Object.assign({}, now, {
    shapes: now.shapes.slice(0, -1).concat([Object.assign({}, shape, { characteristic: kind.id })])
  }));
}
export function shapeNext() {
  var kinds = characteristicOf(desk.last.characteristic).shapes;
  takeShape(kinds[(kinds.indexOf(desk.last.shape) + 1) % kinds.length]);
}
function takeShape(kind) {
  if (PortalDraft.isOfPicture(draft())) { leaving(function () { takeShape(kind); }); return; }
  desk.last.shape = kind;
  desk.looking = false;
  step(PortalDraft.drop(draft()));
  remember();
  changed();
}
export function nextSeen() {
  var all = ["yes", "no", "not checked"];
  choose("seen", all[(all.indexOf(fields().seen) + 1) % all.length]);
}

export function choicesShown() {
  if (!desk.picture) { return; }
  classes();
  zones();
  characteristics();
  answers("seen", BOOT.seen, function () { return ""; });
  answers("compared", BOOT.compared, function (index) { return "⇧" + (index + 1); });
  shapes();
  how();
  tools();
  get("finding-name").textContent = title();
  if (document.activeElement !== get("note")) { get("note").value = fields().note || ""; }
  get("window").classList.toggle("looking", desk.looking);
}
function title() {
  var now = draft();
  if (now.kind === "masks") { return say("masks_title"); }
  if (now.kind === "known") { return say("known", { feature: desk.picture.marks.feature }); }
  if (now.kind === "reference" || now.kind === "bar") { return say("draw_" + now.kind); }
  if (now.kind === "also") { return say("more_title", { id: now.id }); }
  return now.id ? say("finding", { id: now.id }) : say("finding_new");
}
function emptied(id) {
  var group = get(id);
  group.replaceChildren();
  return group;
}
/* Letters as they are found whether they carry accents or not. */
function plain(text) { return text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase(); }
/* The classes that are looked for by any of their names, those that begin so first; else the last used. */
function classesNow() {
  var wanted = plain(get("find-class").value.trim()), now = fields().defect, found = [];
  desk.picture.choices.classes.forEach(function (one, index) {
    var hit = one.names.filter(function (name) { return plain(name[0]).indexOf(wanted) >= 0; })[0];
    if (!wanted && (index < 9 || one.id === now)) { found.push({ one: one, text: one.term, first: 0 }); }
    if (wanted && hit) {
      found.push({ one: one, text: hit[0] === one.term || !hit[1] ? one.term : one.term + " – " + hit[0], first: plain(hit[0]).indexOf(wanted) ? 1 : 0 });
    }
  });
  found.sort(function (a, b) { return a.first - b.first; });
  return found.map(function (each, index) { return Object.assign(each, { key: wanted ? index ? "" : "⏎" : each.one.key }); });
}
function classes() {
  var group = emptied("classes");
  classesNow().forEach(function (each) {
    var one = each.one;
    option(group, { text: each.text, key: each.key, on: one.id === fields().defect, act: function () { take(one.id); } });
  });
  get("class-none").hidden = Boolean(group.childNodes.length);
}
function take(id) {
  get("find-class").value = "";
  choose("defect", id);
  if (document.activeElement === get("find-class") || document.activeElement === document.body) { get("window").focus({ preventScroll: true }); }
}
export function findClass() { get("find-class").focus(); get("find-class").select(); }
function zones() {
  var group = emptied("zones");
  desk.picture.choices.zones.forEach(function (one) {
    option(group, { text: one.name, key: one.key && "⇧" + one.key, on: one.name === fields().zone, act: function () { choose("zone", one.name); } });
  });
}
function characteristics() {
  var group = emptied("characteristics"), others = emptied("others"), chosen = desk.last.characteristic, first = likely();
  offered().forEach(function (one) {
    var near = !first.length || first.indexOf(one.id) >= 0 || one.id === chosen;
    option(near ? group : others, { text: one.name, key: one.key, on: one.id === chosen, act: function () { pick(one.id); } });
  });
  get("more-characteristics").hidden = !others.childNodes.length;
}
function answers(name, words, key) {
  var group = emptied(name);
  Object.keys(words).forEach(function (one, index) {
    option(group, { text: words[one], key: key(index), on: one === fields()[name], act: function () { choose(name, one); } });
  });
}
function shapes() {
  var group = emptied("shapes"), kind = characteristicOf(desk.last.characteristic), all = kind && !PortalDraft.isOfPicture(draft()) ? kind.shapes : [];
  all.forEach(function (one) {
    option(group, { text: BOOT.shapes[one], key: all.length > 1 && all[(all.indexOf(kindNow().shape) + 1) % all.length] === one ? "x" : "", on: !desk.looking && one === kindNow().shape, act: function () { takeShape(one); } });
  });
}
function how() {
  if (!desk.picture) { return; }
  get("how").textContent = desk.pointing ? say("talk_point") : say("how_" + (desk.offer ? "offer" : desk.looking ? "look" : kindNow().shape));
}
function tools() {
  function tool(name) { return document.querySelector("[data-do=" + name + "]"); }
  tool("look").setAttribute("aria-pressed", String(desk.looking));
  tool("undo").disabled = !desk.history.past.length;
  tool("redo").disabled = !desk.history.future.length;
  tool("finish").disabled = draft().open < 0 && !desk.offer;
  tool("edge").disabled = !PortalDraft.hasEdges(draft());
}
get("find-class").addEventListener("input", choicesShown);
get("find-class").addEventListener("keydown", function (event) {
  var first = classesNow()[0];
  if (event.key === "Escape") { get("find-class").value = ""; choicesShown(); }
  if (event.key === "Enter" && first) { take(first.one.id); event.preventDefault(); }
});
get("note").addEventListener("change", function () { choose("note", get("note").value.trim()); });
on("pointing", how);
on("drawn", choicesShown);
on("begun", choicesShown);
on("placed", choicesShown);
on("saved", choicesShown);
