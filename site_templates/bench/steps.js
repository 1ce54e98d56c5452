/* Steps of drawing that need neither pointer nor server: a point more, done, one back. */
import { desk, draft, state, step, tell } from "./desk.js";
import { changed } from "./change.js";
import { kindNow } from "./known.js";

export function placePoint(point) {
  var next = PortalDraft.put(draft(), point, kindNow());
  delete next.more;
  step(next);
  desk.hover = null;
  changed();
}
export function finish() {
  if (desk.offer) { step(desk.offer); state("", ""); changed(); return; }
  step(PortalDraft.finish(draft()));
  desk.hover = null;
  changed();
}
export function more() { step(Object.assign({}, draft(), { more: true })); desk.looking = false; changed(); }
export function erase() {
  var all = PortalDraft.vertices(draft());
  var vertex = desk.chosen || all[all.length - 1];
  if (vertex) { step(PortalDraft.remove(draft(), vertex)); changed(); }
}
export function back() {
  if (desk.offer) { desk.offer = null; state("", ""); changed(true); return; }
  if (desk.chosen) { changed(true); return; }
  if (draft().open >= 0) { step(PortalDraft.drop(draft())); }
  else if (draft().kind) { tell("leave"); return; }
  else { desk.looking = !desk.looking; }
  desk.hover = null;
  changed(true);
}
export function undo() {
  if (desk.offer) { back(); return; }
  desk.history = PortalHistory.undo(desk.history);
  desk.hover = null;
  changed();
}
export function redo() { desk.history = PortalHistory.redo(desk.history); desk.hover = null; changed(); }
