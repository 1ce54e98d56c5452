/* Points that are there already, by keyboard: gone through, moved in fine steps, one more put behind. */
import { desk, draft, step } from "./desk.js";
import { changed } from "./change.js";
import { easel, redraw } from "./paint.js";

var nudged = null;

function same(one, other) {
  return one && one.shape === other.shape && one.list === other.list && one.place === other.place;
}
/* Change the draft and keep the point under the hand; every list of points stays as long as it was, or one longer. */
function keep(vertex) {
  changed();
  desk.chosen = PortalDraft.vertices(draft()).find(function (one) { return same(vertex, one); }) || null;
  desk.spot = desk.chosen && desk.chosen.at;
  if (desk.chosen) { easel.reveal(desk.chosen.at); }
  redraw();
}
/* The next point in the order in which they were drawn, or the one before. */
export function nextVertex(by) {
  var all = PortalDraft.vertices(draft()), now = all.findIndex(function (one) { return same(desk.chosen, one); });
  if (!all.length) { return; }
  desk.chosen = all[now < 0 ? (by > 0 ? 0 : all.length - 1) : (now + by + all.length) % all.length];
  desk.spot = desk.chosen.at;
  easel.reveal(desk.chosen.at);
  redraw();
}
/* By pixels of the screen, or of the picture; a row of such steps is undone at once. */
export function nudge(dx, dy, ofPicture) {
  var vertex = desk.chosen, view = easel.view(), now = draft(), next;
  var to = { x: vertex.at.x + dx / (ofPicture ? 1 : view.zoom), y: vertex.at.y + dy / (ofPicture ? 1 : view.zoom * view.ratio) };
  next = PortalDraft.move(now, vertex, PortalShapes.inside(to, desk.picture));
  if (nudged && nudged.shapes === now.shapes && same(nudged.vertex, vertex)) { desk.history = Object.assign({}, desk.history, { now: next, future: [] }); }
  else { step(next); }
  keep(vertex);
  nudged = { shapes: draft().shapes, vertex: vertex };  /* the same ones once a save gave the draft its id */
}
/* One more point, halfway to the next; where there is no next, halfway to the one before. */
export function insertVertex() {
  var vertex = desk.chosen, now = draft(), shape, list, other, place, next;
  if (!vertex) { return; }
  shape = now.shapes[vertex.shape];
  list = shape[vertex.list];
  if (PortalShapes.full(shape) || list.length < 2) { return; }
  place = vertex.place + 1;
  other = list[place];
  if (!other && shape.shape === "outline") { other = list[0]; }
  if (!other) { place = vertex.place; other = list[place - 1]; }
  next = { shape: vertex.shape, list: vertex.list, place: place };
  step(PortalDraft.insert(now, next, { x: (vertex.at.x + other.x) / 2, y: (vertex.at.y + other.y) / 2 }));
  keep(next);
}
