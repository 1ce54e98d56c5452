/* What was drawn is written at once, and kept here until it is; what somebody else wrote meanwhile is never lost. */
import { ask, desk, draft, get, make, on, refuse, say, state, tell } from "./desk.js";
import { fresh } from "./change.js";
import { differences } from "./differ.js";
import { heard, keep } from "./kept.js";
import { redraw } from "./paint.js";
import { finish } from "./steps.js";

var SAVE_AFTER = 120, AGAIN_AFTER = 1500;
var saving = false, timer = 0, stuck = null, stamp = 0, unheard = false;

function writeSoon() {
  window.clearTimeout(timer);
  if (desk.dirty || desk.placed) { timer = window.setTimeout(write, SAVE_AFTER); }
}
function written() { return PortalDraft.complete(draft()) ? PortalDraft.data(draft()) : null; }
/* Without a finished finding, only what the picture shows. */
function payload() {
  var now = ripe() ? draft() : { id: "", digest: "" };
  return { number: stamp += 1, picture: desk.picture.key, shown: desk.picture.shown, place: Object.assign({}, desk.place), place_seen: desk.picture.placeSeen,
    finding: ripe() ? written() : null, id: now.id, seen: now.digest, by: desk.me.by, what: now.kind || "finding", again: unheard };
}
function ripe() {
  var now = draft();
  if (!desk.dirty || now.open >= 0 || !(now.id || now.digest || PortalDraft.complete(now))) { return false; }
  if (now.kind) { return true; }
  return Boolean(!PortalDraft.complete(now) || now.fields.zone && now.fields.defect);
}
function worthWriting() { return !stuck && !desk.dragged && (ripe() || desk.placed); }
export async function write() {
  var body, told, of;
  window.clearTimeout(timer);
  if (saving || !worthWriting()) { return; }
  saving = true;
  body = payload();
  of = ripe();
  desk.dirty = desk.dirty && !of;
  desk.placed = false;
  if (!desk.offer) { state("saving", say("saving")); }
  keep(body, desk.picture.name);
  try {
    told = await ask("/api/save", body);
    saving = unheard = false;
    refuse(null);
    heard();
    taken(body, told, of);
  } catch (error) {
    saving = false;
    unheard = Boolean(error.gone);
    if (error.gone) {
      desk.dirty = desk.dirty || of;
      desk.placed = true;
      state("waiting", error.message);
      timer = window.setTimeout(write, AGAIN_AFTER);
      return;
    }
    heard();
    state("", "");
    refuse(error);
  }
}
function taken(body, told, of) {
  var mine = standing(body.what, told);
  if (desk.picture.key !== body.picture) { return; }
  if (told.conflict) { conflict(body, told, mine); return; }
  desk.placed = desk.placed || JSON.stringify(desk.place) !== JSON.stringify(body.place);
  renew(told.picture);
  if (of) {
    desk.history = PortalHistory.told(desk.history, { id: body.finding || body.what === "also" ? told.id : "", digest: mine ? mine.seen : "" });
    desk.dirty = desk.dirty || JSON.stringify(written()) !== JSON.stringify(body.finding);
  }
  if (!desk.offer) { state(worthWriting() ? "saving" : "saved", say(worthWriting() ? "saving" : "saved")); }
  tell("saved");
  redraw();
  if (worthWriting()) { write(); }
}
/* What now stands on disk of what was saved: {data, seen}. */
function standing(what, told) {
  var marks = told.picture.marks, list = what === "also" ? told.picture.also : told.picture.findings;
  if (what === "masks") { return { data: { masks: marks.masks }, seen: marks.masksSeen }; }
  if (what === "known") { return { data: { points: marks.known }, seen: marks.knownSeen }; }
  return list.find(function (one) { return one.data.id === told.id; });
}
/* What came with a saved change: everything on the picture, not the view of it. */
function renew(next) {
  next.choices.classes = desk.picture.choices.classes;  /* its keys stay where they are until the next picture */
  desk.picture = next;
  tell("renewed");
  tell("picture");
}
function conflict(body, told, theirs) {
  var box = get("conflict"), both, mine = make("button", say("keep_mine")), leave = make("button", say("keep_theirs"));
  stuck = body;
  both = body.finding || body.id ? differences(theirs && theirs.data, body.finding) : differences(told.picture.place, body.place);
  mine.type = leave.type = "button";
  mine.addEventListener("click", function () {
    var wanted = body.place;
    stuck = null;
    box.hidden = true;
    renew(told.picture);
    desk.place = Object.assign({}, wanted);
    desk.history = PortalHistory.told(desk.history, { id: theirs && theirs.data.id || "", digest: theirs ? theirs.seen : "" });
    desk.dirty = Boolean(body.finding || body.id);
    desk.placed = !desk.dirty;
    write();
  });
  leave.addEventListener("click", function () {
    stuck = null;
    box.hidden = true;
    desk.place = Object.assign({}, told.picture.place);
    renew(told.picture);
    fresh();
  });
  box.replaceChildren(make("p", say("conflict", { file: told.conflict })), both, mine, " ", leave);
  box.hidden = false;
  state("", "");
  get("panel").scrollTop = 0;
  mine.focus();
}
/* Whether nothing waits to be written, once what can be is. */
export async function settled() {
  var tries, shape;
  if (desk.picture && draft().open >= 0) {
    shape = draft().shapes[draft().open];
    if (PortalShapes.complete(shape) && shape.stage === undefined) { finish(); }
  }
  for (tries = 0; tries < 100 && (saving || worthWriting()); tries += 1) {
    if (!saving) { await write(); }
    if (get("state").dataset.kind === "waiting") { return false; }
    if (saving) { await new Promise(function (done) { window.setTimeout(done, 20); }); }
  }
  return !stuck;
}
on("changed", writeSoon);
on("placed", writeSoon);
window.addEventListener("beforeunload", function (event) { if (saving || worthWriting()) { event.preventDefault(); } });
