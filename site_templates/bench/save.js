/*
 * What was drawn is kept at once and sent a moment later, one thing after the other, each until the server said what became of it.
 * It is the same thing however often it is sent: a new finding has its id from here. What somebody else wrote is never lost.
 */
import { BOOT, ask, away, desk, draft, on, refuse, say, state, tell } from "./desk.js";
import { fresh } from "./change.js";
import { bodyOf, drop, entry, first, keep, kept, unwritten } from "./kept.js";
import { redraw } from "./paint.js";
import { overlaid, recalled, remember } from "./sights.js";
import { finish } from "./steps.js";

var SAVE_AFTER = 120, AGAIN_AFTER = 1500, PATIENCE = 30000, HELD_UP = 2000, SAVE = "/api/save";
var sending = null, since = 0, timer = 0, stamp = 0;

function newId() {
  var made;
  do {
    made = Array.from(crypto.getRandomValues(new Uint8Array(4))).map(function (one) { return BOOT.ids.letters[one % BOOT.ids.letters.length]; }).join("");
  } while (!new RegExp(BOOT.ids.shape).test(made));
  return made;
}
function written() { return PortalDraft.complete(draft()) ? PortalDraft.data(draft()) : null; }
function ripe() {
  var now = draft();
  if (!desk.dirty || now.open >= 0 || !(now.id || now.digest || PortalDraft.complete(now))) { return false; }
  if (now.kind) { return !now.shapes.length || PortalDraft.complete(now); }
  return Boolean(!PortalDraft.complete(now) || now.fields.zone && now.fields.defect);
}
/* What is the same thing on the same picture; without a finding, it is what the picture shows. */
function nameOf(body) { return [body.picture, body.what, body.id || (body.finding || body.what !== "finding" ? "" : "place")].join(" "); }
function inHand(one) {
  var now = draft(), body = bodyOf(one);
  if (one.path !== SAVE || !desk.picture || body.picture !== desk.picture.key) { return false; }
  return !body.id && body.what === "finding" || body.what === (now.kind || "finding") && body.id === now.id;
}
export function clashing() { return kept.find(function (one) { return one.told && inHand(one); }); }
/* What waits for somebody and isn't in hand. */
export function left() { return kept.filter(function (one) { return (one.said || one.told) && !inHand(one); }); }

/* What is in hand is kept as it is now; without a finished finding, only what the picture shows. */
function hold() {
  var of = ripe(), now, body, one;
  if (!desk.picture || desk.dragged || !(of || desk.placed)) { return; }
  if (of && !draft().id && !draft().kind) { desk.history = PortalHistory.told(desk.history, { id: newId() }); }
  now = of ? draft() : { id: "", digest: "" };
  body = { number: stamp += 1, picture: desk.picture.key, shown: desk.picture.shown, place: Object.assign({}, desk.place), place_seen: desk.picture.placeSeen,
    finding: of ? written() : null, id: now.id, seen: now.digest, by: desk.me.by, what: now.kind || "finding" };
  desk.dirty = desk.dirty && !of;
  desk.placed = false;
  ofPicture(body.picture).forEach(function (each) { if (each.next && !each.told) { each.next.place = body.place; keep(each); } });
  one = kept.find(function (each) { return each.what === nameOf(body); });
  if (one && !one.sent && !one.told && !body.finding && body.id && !body.seen) { drop(one); return; }  /* it was never sent */
  if (!one) { one = entry(nameOf(body), SAVE, desk.picture.name, body); }
  if (one.said) { refuse(null); }
  one.said = "";
  one.next = body;
  keep(one);
  if (desk.away) { state("", ""); }
}
function ofPicture(key) { return kept.filter(function (one) { return one.path === SAVE && bodyOf(one).picture === key; }); }
function soon() {
  hold();
  if (first()) { timer = timer || window.setTimeout(send, desk.away ? AGAIN_AFTER : SAVE_AFTER); }
}
export function again(one) { one.said = ""; keep(one); return send(); }
/* Everything in its order, until nothing is left or the server is away. */
export function send() {
  window.clearTimeout(timer);
  timer = 0;
  sending = sending || sendAll().finally(function () { sending = null; });
  return sending;
}
async function sendAll() {
  var one, told;
  while ((one = first())) {
    if (!one.sent) { one.sent = one.next; one.next = null; keep(one); }
    if (!desk.away && !desk.offer) { state("saving", unwritten() > 1 ? say("sending", { n: unwritten() }) : say("saving")); }
    since = Date.now();
    try { told = await ask(one.path, one.sent, PATIENCE); }
    catch (error) {
      if (error.gone) { gone(error); return; }
      refused(one, error);
      continue;
    }
    heard(one, told);
  }
}
var why = "";
function sentence(text) { return text.charAt(0).toUpperCase() + text.slice(1) + (/[.?]$/.test(text) ? "" : "."); }
function reason(error) { return [error.message, error.hint].filter(Boolean).map(sentence).join(" "); }
function gone(error) {
  var known = desk.away;
  why = reason(error);
  waits();
  timer = timer || window.setTimeout(send, AGAIN_AFTER);
  if (!known) { showUnwritten(); }
}
function waits() { away(first() ? say("waiting", { n: unwritten(), why: why }) : ""); }
/* What isn't written yet is shown on the picture as if it were. */
function showUnwritten() { if (desk.picture) { show(recalled(desk.picture.key) || desk.picture); } }
function back() {
  if (!desk.away) { return; }
  away("");
  tell("back");
}
/* Nothing was written; what came since may be right. */
function refused(one, error) {
  back();
  if (one.next) { one.sent = null; keep(one); return; }
  one.next = one.sent;
  one.sent = null;
  one.said = error.message + (error.hint ? " – " + error.hint : "");
  one.absent = Boolean(error.absent);
  keep(one);
  state("", "");
  if (inHand(one)) { refuse(error); }
}
function heard(one, told) {
  var body = one.sent;
  back();
  if (one.path !== SAVE) { drop(one); tell("heard", { path: one.path, body: body, told: told }); return; }
  if (told.taken) { rename(one, newId()); return; }
  if (told.conflict) {
    one.next = one.next || body;
    one.sent = null;
    one.told = { file: told.conflict, theirs: standing(body, told), seen: told.seen, placeSeen: told.placeSeen, place: told.picture.place };
    keep(one);
  } else {
    if (one.next) { one.sent = null; one.next.seen = told.seen; keep(one); } else { drop(one); }
    tell("stands", { picture: body.picture, id: body.id, digest: told.seen });
    ofPicture(body.picture).forEach(function (each) { if (each.next && !each.told) { each.next.place_seen = told.placeSeen; keep(each); } });
  }
  onDesk(body, told);
}
/* Another finding has that id already. */
function rename(one, id) {
  var old = one.sent.id;
  one.next = one.next || one.sent;
  one.sent = null;
  one.next.id = id;
  one.what = nameOf(one.next);
  kept.forEach(function (each) { if (each.path !== SAVE && bodyOf(each).finding === old) { bodyOf(each).finding = id; keep(each); } });
  if (desk.picture && desk.picture.key === one.next.picture && draft().id === old) { desk.history = PortalHistory.told(desk.history, { id: id }); }
  keep(one);
}
/* What stands on disk of what was to be saved. */
function standing(body, told) {
  var marks = told.picture.marks, list = body.what === "also" ? told.picture.also : told.picture.findings, found;
  if (body.what === "masks") { return { masks: marks.masks }; }
  if (body.what === "reference" || body.what === "bar") { return marks[body.what + "Said"]; }
  if (body.what === "known") { return { points: marks.known }; }
  found = list.find(function (one) { return one.data.id === told.id; });
  return found ? found.data : null;
}
function onDesk(body, told) {
  var now = draft(), own;
  remember(told.picture);
  if (!desk.picture || desk.picture.key !== body.picture) { if (!first()) { state("saved", say("saved")); } return; }
  own = (body.id || body.what !== "finding") && body.what === (now.kind || "finding") && body.id === now.id;
  if (own && !told.conflict) {
    desk.history = PortalHistory.told(desk.history, { id: body.finding || body.what === "also" ? body.id : "", digest: told.seen });
  }
  show(Object.assign(told.picture, told.conflict ? {} : { placeSeen: told.placeSeen }));
  refuse(null);
  if (told.conflict) { state("", ""); return; }
  if (!desk.offer && !first()) { state("saved", say("saved")); }
  tell("saved");
  redraw();
}
/* Everything on the picture that is open, not the view of it. */
function show(next) {
  next.choices.classes = desk.picture.choices.classes;  /* its keys stay where they are until the next picture */
  desk.picture = overlaid(next);
  tell("renewed");
  tell("picture");
}
/* Of two versions one is chosen. */
export function keepMine(one) {
  one.next.seen = one.told.seen;
  one.next.place_seen = one.told.placeSeen;
  one.told = null;
  keep(one);
  send();
}
export function keepTheirs(one) {
  var hand = inHand(one);
  drop(one);
  if (!hand) { return; }
  desk.place = Object.assign({}, desk.picture.place);
  tell("picture");
  fresh();
}
/* Sent at once where nothing waits before it, else kept: null then. A refusal is thrown. */
export async function askOrKeep(path, body, name) {
  await settled();
  if (!first()) {
    try { return await ask(path, body, PATIENCE); } catch (error) { if (!error.gone) { throw error; } why = reason(error); }
  }
  keep(entry(path + " " + (stamp += 1), path, name, body));
  waits();
  soon();
  return null;
}
/* Whether what is in hand can be left: written, or kept where that takes long, and no other version of it waits to be chosen. */
export async function settled() {
  var shape;
  if (desk.picture && draft().open >= 0) {
    shape = draft().shapes[draft().open];
    if (PortalShapes.complete(shape) && shape.stage === undefined) { finish(); }
  }
  hold();
  while (first() && !desk.away && !(sending && Date.now() - since > HELD_UP)) {
    await Promise.race([send(), new Promise(function (done) { window.setTimeout(done, 20); })]);
  }
  if (desk.away) { showUnwritten(); }
  return !clashing();
}
/* A picture whose file or folder was away for a while is there again. */
on("trial", function () {
  var there = desk.trial.pictures.map(function (one) { return one.key; });
  kept.filter(function (one) { return one.said && one.absent && there.indexOf(bodyOf(one).picture) >= 0; }).forEach(again);
});
on("changed", soon);
on("placed", soon);
on("kept", function () { if (desk.away) { waits(); } });
window.addEventListener("beforeunload", function (event) { if (first()) { event.preventDefault(); } });
