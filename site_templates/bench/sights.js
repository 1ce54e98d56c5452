/*
 * Pictures as the server last told them, so that one that was open before can be drawn on while the server is away; and over what
 * it told, what isn't written yet.
 */
import { say } from "./desk.js";
import { bodyOf, kept } from "./kept.js";

var MOST = 24;
var known = new Map(), pixels = new Map();

export function remember(picture) { known.set(picture.key, picture); }
/* Copies that the page still holds are shown again without being asked for: those of the last pictures. */
export function holdPixels(images) {
  images.forEach(function (one) { pixels.delete(one.src); pixels.set(one.src, one); });
  Array.from(pixels.keys()).slice(0, -MOST).forEach(function (one) { pixels.delete(one); });
}
export function recalled(key) { return known.get(key); }

export function overlaid(picture) {
  var next = Object.assign({}, picture, { findings: picture.findings.slice(), also: picture.also.slice(), marks: Object.assign({}, picture.marks) });
  kept.filter(function (one) { return one.path === "/api/save" && bodyOf(one).picture === picture.key && !one.said && !one.told; })
    .forEach(function (one) { lay(next, bodyOf(one)); });
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
