/* What is on the picture now: the findings that were there, the draft as it would be, the cross of the keyboard. */
import { desk, draft, get, on, say, tell } from "./desk.js";
import { easelOn } from "./easel.js";
import { kindNow } from "./known.js";

var known = {};
/* What a pointer does is told here; `pointer.js` fills it. */
export var hands = { noScale: say("no_scale"), redraw: redraw };
export var easel = easelOn(get("window"), get("stage"), get("ink"), get("livebar"), hands);

export function redraw() {
  if (!desk.picture) { return; }
  easel.paint(there(), tentative(), desk.chosen, desk.traces, desk.looking ? null : desk.cross);
  tell("painted");
}
/* What is on the picture beside the finding in hand; the same list while nothing of it is another. */
function there() {
  var id = draft().id, kind = draft().kind, picture = desk.picture;
  if (known.picture !== picture || known.id !== id || known.kind !== kind || known.spots !== desk.spots) {
    known = { picture: picture, id: id, kind: kind, spots: desk.spots, all: desk.spots.concat(marks(picture.marks, kind).concat(
      picture.findings.concat(picture.also).filter(function (one) { return one.data.id !== id; }).map(function (one) {
        return { label: one.data.id, shapes: PortalDraft.from(one.data, "").shapes };
      }))) };
  }
  return known.all;
}
/* What is drawn of the picture itself; what is in hand of it is left out. */
function marks(all, kind) {
  var found = [];
  function line(name, text, label) { if (text && kind !== name) { found.push({ kind: name, label: label, shapes: [{ shape: "line", points: PortalShapes.read(text) }] }); } }
  if (kind !== "masks") {
    all.masks.forEach(function (text) { found.push({ kind: "masks", label: say("mask"), shapes: [{ shape: "outline", points: PortalShapes.read(text) }] }); });
  }
  line("known", all.known, all.feature);
  line("reference", all.reference, say("reference"));
  line("bar", all.bar, say("bar"));
  return found;
}
export function tentative() {
  var now = draft();
  if (desk.offer) { return desk.offer; }
  if (desk.scribble) { return PortalDraft.stroke(now, desk.scribble, kindNow()); }
  if (desk.looking || !desk.hover || now.open < 0) { return now; }
  return PortalDraft.put(now, desk.hover, kindNow());
}
on("renewed", function () { easel.open(desk.picture); });
on("drawn", redraw);
on("begun", redraw);
