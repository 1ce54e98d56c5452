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
  var id = draft().id, picture = desk.picture;
  if (known.picture !== picture || known.id !== id) {
    known = { picture: picture, id: id, all: picture.findings.filter(function (one) { return one.data.id !== id; }).map(function (one) {
      return { label: one.data.id, shapes: PortalDraft.from(one.data, "").shapes };
    }) };
  }
  return known.all;
}
export function tentative() {
  var now = draft();
  if (desk.offer) { return desk.offer; }
  if (desk.scribble) { return PortalDraft.stroke(now, desk.scribble, kindNow()); }
  if (desk.looking || !desk.hover || now.open < 0) { return now; }
  return PortalDraft.put(now, desk.hover, kindNow());
}
on("drawn", redraw);
on("begun", redraw);
