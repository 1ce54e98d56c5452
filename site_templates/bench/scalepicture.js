/* The picture of a stage micrometer: what was read on it, or a line that somebody draws over a known length. */
import { get, say, tell } from "./desk.js";
import { easelOn } from "./easel.js";

var KIND = { characteristic: "length", shape: "line", edge: "sharp" };
var open = null, takes = false, line = [], marks = [], joined = false, hover = null, cross = null;
var hands = {
  noScale: say("no_scale"), redraw: paint,
  strokes: function () { return false; }, stroking: function () {}, stroked: function () {}, finish: function () {},
  grip: function (spot) {
    var at = PortalShapes.nearest(line.map(easel.toScreen), spot, easel.reach / 2);
    return takes && at >= 0 ? { place: at } : null;
  },
  drag: function (grip, point) { line = line.slice(); line[grip.place] = point; paint(); },
  dropped: changed,
  tap: function (point, spot, grip) { cross = null; if (takes && !grip) { put(point); } },
  hover: function (point) { hover = point; if (takes && line.length === 1) { paint(); } }
};
var easel = easelOn(get("scale-window"), get("scale-stage"), get("scale-ink"), get("scale-bar"), hands);

function put(point) {
  line = line.length >= 2 ? [point] : line.concat([point]);
  changed();
}
function changed() { paint(); tell("line-drawn"); }
function shapes() {
  var drawn = takes ? line.concat(line.length === 1 && hover ? [hover] : []) : marks;
  if (!drawn.length) { return []; }
  return [Object.assign({ points: drawn, drawn: "by hand" }, KIND, { shape: takes || joined ? "line" : "point" })];
}
function paint() {
  get("scale-window").classList.toggle("reading", !takes && !joined);
  if (open) { easel.paint([], { shapes: shapes(), open: -1, fields: {} }, null, [], takes ? cross : null); }
}
export function showOn(picture) {
  get("scale-window").hidden = !picture;
  if (!picture || open && open.key === picture.key) { open = picture; return; }
  open = picture;
  line = [];
  marks = [];
  cross = null;
  easel.open(Object.assign({ rungs: [] }, picture));
}
/* Where marks were read; `both` are the ends of a line. */
export function showMarks(points, both) { marks = points; joined = Boolean(both); paint(); }
export function takeLine(yes) { takes = yes; paint(); }
export function lineDrawn() { return line.length === 2 ? PortalShapes.write(line) : ""; }

get("scale-window").addEventListener("keydown", function (event) {
  var to = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key], far = event.shiftKey ? 1 : 12;
  if (!open || event.ctrlKey || event.altKey || event.metaKey) { return; }
  if (to && takes) { cross = easel.nudge(cross || easel.middle(), to[0] * far, to[1] * far); hover = cross; paint(); }
  else if (to) { easel.pan(-to[0] * 60, -to[1] * 60); }
  else if (event.key === " " && takes) { cross = cross || easel.middle(); hover = null; put(cross); }
  else if (event.key === "+" || event.key === "=") { easel.zoomIn(1.5); }
  else if (event.key === "-") { easel.zoomIn(1 / 1.5); }
  else if (event.key === "0") { easel.fit(); }
  else { return; }
  event.preventDefault();
});
