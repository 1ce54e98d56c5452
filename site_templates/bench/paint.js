/* What is on the picture now: the findings that were there, the draft as it would be, the cross of the keyboard. */
import { desk, draft, get, on, say, tell } from "./desk.js";
import { kindNow } from "./known.js";

/* What a pointer does is told here; `pointer.js` fills it. */
export var hands = { noScale: say("no_scale"), redraw: redraw };
export var easel = PortalEasel(get("window"), get("stage"), get("ink"), get("livebar"), hands);

export function redraw() {
  if (!desk.picture) { return; }
  easel.paint(desk.picture.findings.filter(function (one) { return one.data.id !== draft().id; }).map(function (one) {
    return { label: one.data.id, draft: PortalDraft.from(one.data, "") };
  }), tentative(), desk.chosen, desk.traces, desk.looking ? null : desk.cross);
  tell("painted");
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
