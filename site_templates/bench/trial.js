/* Trials and their pictures; new ones come by themselves. */
import { ask, desk, draft, get, make, on, refuse, say, state, tell } from "./desk.js";
import { fresh } from "./change.js";
import { inDoubt } from "./doubt.js";
import { bodyOf, drop, entry, keep, kept } from "./kept.js";
import { easel } from "./paint.js";
import { rebuilt } from "./rebuilt.js";
import { settled } from "./save.js";
import { SLOW, asDrawn, countSaid, holdPixels, overlaid, recalled, remember, unwrittenNow } from "./sights.js";
import { moment, only } from "./screens.js";
import { nextVersion } from "./turns.js";

var LOOK_EVERY = 1000, READY_AFTER = 400, LIST_EVERY = 2000, NAME_END = 20;
var listing = 0, listed = "", trialsGone = false, opening = 0, aim = null, unfinished = {}, missed = false, unwritten = "";

export async function chooseTrial() {
  var known;
  try { known = await ask("/api/trials"); } catch (error) { state("", error.message); return; }
  listed = "";
  trialsShown(known);
  state("", "");
  only("trials");
  window.clearTimeout(listing);
  listing = window.setTimeout(listAgain, LIST_EVERY);
}
/* A trial that somebody begins meanwhile comes by itself. */
async function listAgain() {
  if (get("trials").hidden) { return; }
  try {
    trialsShown(await ask("/api/trials"));
    if (trialsGone) { state("", ""); }
    trialsGone = false;
  } catch (error) { trialsGone = true; state("", error.message); }
  listing = window.setTimeout(listAgain, LIST_EVERY);
}
function trialsShown(known) {
  var list = get("trial-list");
  if (JSON.stringify(known) === listed) { return; }
  listed = JSON.stringify(known);
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
  get("no-trials").hidden = known.length > 0;
}
export async function openTrial(key, wanted) {
  var trial, first, at = moment();
  try { trial = await ask("/api/trial/" + key); } catch (error) { state("", error.message); return; }
  desk.trial = trial;
  sessionStorage.setItem("trial", key);
  get("where").textContent = trial.mould + " " + trial.trial;
  desk.picture = null;
  get("what").textContent = "";
  if (moment() === at) { only("desk"); at = moment(); }
  strip();
  first = trial.pictures.find(function (one) { return one.key === wanted; }) ||
    trial.pictures.find(function (one) { return !one.tagged; }) || trial.pictures[0];
  if (first) { await openPicture(first.key, at); }
}
/* What comes or goes before the open picture doesn't move the list under the hand, nor take the focus out of it. */
function inPlace(build) {
  function at() { var one = document.querySelector("#strip [aria-current=true]"); return one ? one.getBoundingClientRect() : null; }
  var roll = get("strip").parentElement, old = at(), now;
  rebuilt(get("strip"), build);
  now = at();
  if (old && now) { roll.scrollBy(now.left - old.left, now.top - old.top); }
}
function strip() {
  inDoubt();
  unwritten = unwrittenNow();
  get("desk").classList.toggle("none", !desk.trial.pictures.length && !desk.picture);
  get("none-yet").hidden = Boolean(desk.trial.pictures.length || desk.picture);
  get("none-yet").textContent = say("no_pictures", { folder: desk.trial.folder });
  placed(get("strip"), desk.trial.pictures.map(asDrawn).map(function (one) {
    var item = make("li"), button = make("button"), facts = [];
    button.type = "button";
    if (one.cavity) { facts.push(say("cavity", { cavity: one.cavity })); }
    if (one.view) { facts.push(one.view); }
    button.append(make("b", one.tagged ? facts.join(", ") || one.name : say("untagged")), named(one.name));
    if (one.tagged) { button.append(make("span", countSaid(one))); }
    button.title = one.name;
    button.setAttribute("aria-current", String(desk.picture !== null && desk.picture.key === one.key));
    button.addEventListener("click", function () { openPicture(one.key); });
    item.append(button);
    item.dataset.key = one.key;
    return item;
  }));
}
/* What is pressed is no longer there to be let go of once it was taken out: what says the same stays. */
function placed(list, items) {
  var old = Array.from(list.children);
  if (old.length !== items.length || old.some(function (one, at) { return one.dataset.key !== items[at].dataset.key; })) {
    list.replaceChildren.apply(list, items);
    return;
  }
  old.forEach(function (one, at) {
    var was = one.firstChild, now = items[at].firstChild;
    if (was.innerHTML !== now.innerHTML) { one.replaceWith(items[at]); return; }
    was.setAttribute("aria-current", now.getAttribute("aria-current"));
  });
}
/* Of a long name only the end is seen, which tells it from the others; it is heard whole. */
function named(name) {
  var span = make("span", undefined, "name"), at = Math.max(name.length - NAME_END, 0);
  span.dir = "auto";
  if (at) { span.append(make("span", name.slice(0, at), "before")); }
  span.append(make("span", name.slice(at)));
  return span;
}
async function lookAgain() {
  var next, of = desk.trial;
  try { next = await ask("/api/trial/" + of.key); } catch (error) { return; }
  if (desk.trial === of && next.version !== of.version) { newTrial(next); }
}
/* The server answers once something changed in the trial's folder. */
async function waitForChanges() {
  var of = desk.trial, told;
  try {
    if (!of || document.hidden) { throw of; }
    told = await nextVersion(of.version, function (known) { return ask("/api/changes/" + of.key + "/" + known); });
    if (desk.trial === of && told.version !== of.version) { await lookAgain(); }
    window.setTimeout(waitForChanges, 50);
  } catch (error) { window.setTimeout(waitForChanges, LOOK_EVERY); }
}
export function newTrial(next) {
  var before = desk.trial, none = !before.pictures.length;
  desk.trial = next;
  inPlace(strip);
  stillThere();
  tell("trial", before);
  if (none && next.pictures.length && get("scales").hidden) { openPicture(next.pictures[0].key); }
}

/* Somebody took away the file of the picture that is open; it may come back. */
function stillThere() {
  var there = !desk.picture || desk.trial.pictures.some(function (one) { return one.key === desk.picture.key; });
  if (there === !missed) { return; }
  missed = !there;
  refuse(missed ? new Error(say("taken_from_folder", { picture: desk.picture.name })) : null);
}
export async function openPicture(key, at = moment()) {
  var next, turn = opening += 1;
  aim = key;
  if (!(await settled())) { aim = null; return; }
  try { next = await ask("/api/picture/" + key); remember(next); }
  catch (error) {
    next = error.gone && recalled(key);
    if (!next) { aim = null; refuse(error.gone ? new Error(say("gone_picture")) : error); return; }
  }
  if (turn !== opening) { return; }
  aim = null;
  missed = false;
  layAside();
  holdPixels(get("stage").querySelectorAll("img"));
  desk.picture = next = overlaid(next);
  sessionStorage.setItem("picture", key);
  desk.place = Object.assign({}, next.place);
  get("what").textContent = next.name;
  refuse(next.broken ? new Error(next.broken) : null);
  get("conflict").hidden = true;
  desk.cross = null;
  if (get("desk").hidden && moment() === at) { only("desk"); }
  easel.open(next);
  tell("picture");
  fresh();
  strip();
  if (get("strip").contains(document.activeElement)) { document.activeElement.blur(); }  /* keys are the picture's */
  if (!goOn()) { state("", ""); }
  window.setTimeout(function () { makeReady(key); }, READY_AFTER);
  document.querySelector("#strip [aria-current=true]").scrollIntoView({ block: "nearest", inline: "nearest" });
}
/* What lacks points waits on its picture, and is gone on with there. */
function layAside() {
  var key = desk.picture && desk.picture.key;
  if (!key || draft().open < 0) { return; }
  unfinished[key] = desk.history;
  keep(entry("begun " + key, "", desk.picture.name, { draft: draft() }));
}
/* Also what a page that ended laid aside, without its earlier steps. */
function goOn() {
  var key = desk.picture.key, one = kept.find(function (each) { return each.what === "begun " + key; }), before = unfinished[key];
  delete unfinished[key];
  if (one) { drop(one); }
  if (!one) { return false; }
  desk.history = before || PortalHistory.start(bodyOf(one).draft);
  state("", say("unfinished", { what: say("needs_points") }));
  tell("drawn");
  return true;
}
/* The next picture's small size is made while this one is looked at. */
function makeReady(key) {
  var all = desk.trial.pictures, next = all[all.findIndex(function (one) { return one.key === key; }) + 1];
  if (next && desk.picture && desk.picture.key === key) { new Image().src = "/picture/" + next.key + "/0"; }
}
/* A picture that is still on its way isn't shown any more. */
export function stay() { if (desk.picture) { opening += 1; aim = null; } }
export function leave() { opening += 1; aim = null; }
export function toDesk() { if (desk.picture) { only("desk"); } else if (desk.trial) { openTrial(desk.trial.key); } else { chooseTrial(); } }
export function stepTo(by) {
  var keys = desk.trial.pictures.map(function (one) { return one.key; });
  var next = keys[keys.indexOf(aim || desk.picture.key) + by];
  if (next) { openPicture(next); } else { state("", say(by > 0 ? "last_picture" : "first_picture")); }
}
/* The next one of these; behind the last picture comes the first. Whether there is one. */
export function stepAmong(wanted) {
  var keys = desk.trial.pictures.map(function (one) { return one.key; }), here = keys.indexOf(aim || desk.picture.key);
  var next = keys.slice(here + 1).concat(keys.slice(0, Math.max(here, 0))).find(function (key) { return wanted.has(key); });
  if (next) { openPicture(next); }
  return Boolean(next);
}
/* What was laid aside holds the finding as it stands by now. */
on("stands", function (one) {
  var before = unfinished[one.picture];
  if (before && before.now.id === one.id) { unfinished[one.picture] = PortalHistory.told(before, { digest: one.digest }); }
});
on("kept", function () {
  window.setTimeout(function () { if (desk.trial && unwrittenNow() !== unwritten) { strip(); } }, SLOW + 50);
});
on("saved", lookAgain);
on("again", async function () {
  if (!desk.picture) { return; }
  await openPicture(desk.picture.key);
  get("window").focus({ preventScroll: true });  /* what was pressed is gone */
});
waitForChanges();
