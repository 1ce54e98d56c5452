/* What a pointer does on the picture: points, strokes, vertices that are moved, another finding to go on with. */
import { desk, draft, get, inTurn, step, tell } from "./desk.js";
import { askAbout } from "./answer.js";
import { changed, fresh } from "./change.js";
import { edit } from "./findings.js";
import { kindNow } from "./known.js";
import { easel, hands, redraw } from "./paint.js";
import { settled } from "./save.js";
import { finish, placePoint } from "./steps.js";

var tapped = null;

export function put(point) {
  if (desk.pointing) { tell("pointed", point); return; }
  inTurn(function () {
    var now = draft();
    if (now.open < 0 && !PortalDraft.takesMore(now)) { return beginNext(point); }
    placePoint(point);
    return null;
  });
}
async function beginNext(point) {
  if (!(await settled())) { return; }
  fresh();
  placePoint(point);
}
function zoom() { return Number(get("window").dataset.zoom); }
Object.assign(hands, {
  strokes: function () { return !desk.looking && kindNow().shape === "outline" && draft().open < 0; },
  stroking: function (points) { desk.scribble = points; redraw(); if (points) { askAbout(); } },
  stroked: function (points) {
    desk.scribble = null;
    if (points.length < 4) { redraw(); return; }
    inTurn(function () { return drawn(PortalShapes.thinned(points, 0.75 / zoom())); });
  },
  grip: function (spot) {
    var all = PortalDraft.vertices(draft());
    var index = PortalShapes.nearest(all.map(function (one) { return easel.toScreen(one.at); }), spot, desk.looking || draft().open < 0 ? easel.reach / 2 : 7);
    return index < 0 ? null : { vertex: all[index], shapes: draft().shapes };
  },
  drag: function (grip, point) {
    desk.offer = null;
    desk.history = Object.assign({}, desk.history, { now: PortalDraft.move(draft(), grip.vertex, point) });
    desk.chosen = Object.assign({}, grip.vertex, { at: point });
    desk.dragged = Object.assign({}, grip, { at: point });
    redraw();
    askAbout();
  },
  dropped: function () {
    var now = draft();
    desk.history = PortalHistory.step(Object.assign({}, desk.history, { now: Object.assign({}, now, { shapes: desk.dragged.shapes }) }), now);
    desk.dragged = null;
    changed();
  },
  tap: function (point, spot, grip) {
    var when = performance.now();
    if (tapped && when - tapped.when < 400 && Math.hypot(spot.x - tapped.x, spot.y - tapped.y) < 4) { return; }
    tapped = { when: when, x: spot.x, y: spot.y };
    desk.cross = null;
    if (desk.pointing) { put(point); return; }
    if (grip) { desk.chosen = grip.vertex; redraw(); return; }
    if (desk.looking) { select(spot); return; }
    put(point);
  },
  /* Under the loupe a finger looks for its point, which is set where it is lifted. */
  aims: function () { return Boolean(desk.loupe && (desk.pointing || !desk.looking)); },
  hover: function (point, by) {
    desk.spot = point;
    desk.hover = point;
    if (!desk.looking && draft().open >= 0) { redraw(); askAbout(); }
    tell("hovered", by);
  },
  finish: function () { inTurn(finish); }
});
async function drawn(points) {
  var next;
  if (!PortalDraft.takesMore(draft())) { if (!(await settled())) { return; } fresh(); }
  next = PortalDraft.stroke(draft(), points, kindNow());
  delete next.more;
  step(next);
  changed();
}
function screen(points) { return points.map(easel.toScreen); }
/* While looking: a vertex more on the draft's own line, or another finding to go on with. */
function select(spot) {
  var hit = null, of = get("window").dataset;
  draft().shapes.forEach(function (shape, index) {
    var side;
    if (hit || PortalShapes.full(shape) || shape.shape === "base-and-point") { return; }
    side = PortalShapes.side(screen(shape.points), shape.shape === "outline", spot, 8);
    if (side > 0) { hit = { shape: index, list: "points", place: side }; }
  });
  if (hit) {
    step(PortalDraft.insert(draft(), hit, PortalGeometry.toImage({ x: Number(of.x), y: Number(of.y), zoom: zoom(), ratio: desk.picture.ratio }, spot)));
    changed();
    return;
  }
  desk.picture.findings.concat(desk.picture.also).some(function (one) {
    var found = PortalDraft.from(one.data, "").shapes.some(function (shape) { return near(shape, spot); });
    if (found) { edit(one); }
    return found;
  });
}
function near(shape, spot) {
  return PortalShapes.lines(shape, desk.picture.ratio).some(function (line) {
    return PortalShapes.side(screen(line.points), line.closed, spot, 12) > 0;
  }) || PortalShapes.lists(shape).some(function (list) { return PortalShapes.nearest(screen(shape[list]), spot, 14) >= 0; });
}
