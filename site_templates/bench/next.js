/* The next picture is assigned to a frame of the sheet: one that nobody tagged yet, else the first that comes. */
import { desk, get, make, on, say, state, tell } from "./desk.js";
import { placePiece } from "./place.js";
import { openPicture, stepAmong } from "./trial.js";

var awaited = null, known = null, taken = new Map(), listed = 0;

/* The list of the trial may be older than what was just written; a later one is right, also where somebody took a tag away. */
function untagged() { return desk.trial.pictures.filter(function (one) { return !one.tagged && !(taken.get(one.key) > desk.trial.version); }); }
function take() { taken.set(desk.picture.key, desk.picture.version); }
function keys() { return new Set(desk.trial.pictures.map(function (one) { return one.key; })); }

export function toUntagged() {
  if (!stepAmong(new Set(untagged().map(function (one) { return one.key; })))) { state("", say("untagged_none")); }
}
export function isAwaited(frame) { return awaited !== null && awaited.cavity === frame.cavity && awaited.view === frame.view; }
/* A second click takes it back. */
export function assignNext(frame) {
  var first = untagged()[0];
  if (isAwaited(frame)) { awaited = null; state("", ""); tell("awaited"); return; }
  if (first) { assign(first.key, frame); return; }
  awaited = { cavity: frame.cavity, view: frame.view };
  known = keys();
  state("", say("awaiting", awaited));
  tell("awaited");
}
async function assign(key, frame) {
  awaited = null;
  await openPicture(key);
  if (!desk.picture || desk.picture.key !== key) { return; }
  if (desk.picture.tagged) { take(); assignNext(frame); return; }
  desk.place.cavity = frame.cavity;
  desk.place.view = frame.view;
  placePiece();
  desk.placed = true;
  tell("picture");
  tell("placed");
}
function arrived() {
  var come;
  if (desk.trial.version < listed) { taken.clear(); }  /* the server was started again and counts anew */
  listed = desk.trial.version;
  come = awaited && untagged().find(function (one) { return !known.has(one.key); });
  if (come) { assign(come.key, awaited); }
}
/* On the desk it says for which frame the next picture is meant. */
function told() {
  var box = get("awaited");
  box.hidden = !awaited;
  box.replaceChildren();
  if (awaited) { box.append(make("span", say("awaiting", awaited))); }
}
on("saved", function () { if (desk.picture.tagged) { take(); } });
on("trial", arrived);
on("awaited", told);
on("picture", told);
