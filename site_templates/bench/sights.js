/*
 * Pictures as the server last told them, so that one that was open before can be drawn on while the server is away; and over what
 * it told, what isn't written yet.
 */
import { say } from "./desk.js";
import { bodyOf, kept } from "./kept.js";

export var SLOW = 500;
var MOST = 24;
var known = new Map(), pixels = new Map();

export function remember(picture) { known.set(picture.key, picture); }
/* Copies that the page still holds are shown again without being asked for: those of the last pictures. */
export function holdPixels(images) {
  images.forEach(function (one) { pixels.delete(one.src); pixels.set(one.src, one); });
  Array.from(pixels.keys()).slice(0, -MOST).forEach(function (one) { pixels.delete(one); });
}
export function recalled(key) { return known.get(key); }

/* What isn't written yet of a picture, as far as it waits for nobody. */
function waitingOf(key) { return waiting().filter(function (one) { return bodyOf(one).picture === key; }); }
function waiting() { return kept.filter(function (one) { return one.path === "/api/save" && !one.said && !one.told; }); }
/* In a list only what takes long: what is written at once would come and go under the eye. */
function slow(one) { return Date.now() - one.at >= SLOW; }
/* The same text while the list would say the same. */
export function unwrittenNow() { return waiting().filter(slow).map(function (one) { return one.what + (bodyOf(one).finding ? "" : " gone"); }).join("\n"); }
/* A picture of the list with what isn't written yet, and how much that is. */
export function asDrawn(one) {
  var waiting = waitingOf(one.key).filter(slow).map(bodyOf), place = waiting.length ? waiting[waiting.length - 1].place : one;
  return Object.assign({}, one, { cavity: place.cavity, view: place.view, tagged: one.tagged || waiting.length > 0, unwritten: waiting.length,
    findings: waiting.reduce(function (sum, body) {
      if (body.what !== "finding" || !body.id) { return sum; }
      return sum + (body.finding ? (body.seen ? 0 : 1) : (body.seen ? -1 : 0));
    }, one.findings) });
}
/* How many findings are on it, and of what is drawn how much isn't written. */
export function countSaid(one) {
  return one.unwritten ? say("count_unwritten", { n: one.findings, left: one.unwritten }) : say("count", { n: one.findings });
}
export function overlaid(picture) {
  var next = Object.assign({}, picture, { findings: picture.findings.slice(), also: picture.also.slice(), marks: Object.assign({}, picture.marks) });
  waitingOf(picture.key).forEach(function (one) { lay(next, bodyOf(one)); });
  return next;
}
function lay(picture, body) {
  picture.place = body.place;
  picture.tagged = true;
  if (body.what === "masks") { picture.marks.masks = body.finding ? body.finding.masks : []; return; }
  if (body.what === "reference" || body.what === "bar") {
    picture.marks[body.what] = body.finding ? body.finding.points : "";
    picture.marks[body.what + "Said"] = body.finding || {};
    return;
  }
  if (body.what === "known") { picture.marks.known = body.finding ? body.finding.points : ""; return; }
  if (body.id) { put(picture, body.what === "also" ? picture.also : picture.findings, body); }
}
function put(picture, list, body) {
  var place = list.findIndex(function (one) { return one.data.id === body.id; });
  var term = picture.choices.classes.find(function (one) { return body.finding && one.id === body.finding.defect; });
  if (!body.finding) { if (place >= 0) { list.splice(place, 1); } return; }
  list.splice(place < 0 ? list.length : place, place < 0 ? 0 : 1, Object.assign({ term: term ? term.term : "", sent: false }, list[place],
    { data: Object.assign({ id: body.id }, body.finding), seen: body.seen, sentence: say("unwritten") }));
}
