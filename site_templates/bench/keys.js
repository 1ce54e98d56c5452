/* Everything by a key, and the tools below the picture. */
import { BOOT, desk, draft, get, inTurn } from "./desk.js";
import { askAbout } from "./answer.js";
import { changed } from "./change.js";
import { choose, findClass, nextSeen, pick, shapeNext } from "./choose.js";
import { toCome } from "./come.js";
import { findEdge } from "./edge.js";
import { toGauge } from "./gauge.js";
import { takeAwayDraft } from "./findings.js";
import { toggleLoupe } from "./loupe.js";
import { toUntagged } from "./next.js";
import { easel, redraw } from "./paint.js";
import { confirm } from "./place.js";
import { put } from "./pointer.js";
import { sameAs } from "./same.js";
import { nothing, toSheet } from "./sheet.js";
import { back, erase, finish, more, redo, undo } from "./steps.js";
import { stepTo } from "./trial.js";
import { insertVertex, nextVertex, nudge } from "./vertex.js";

var TOOLS = {
  look: function () { desk.looking = !desk.looking; changed(true); },
  finish: finish, edge: findEdge, undo: undo, redo: redo,
  "in": function () { easel.zoomIn(1.5); }, out: function () { easel.zoomIn(1 / 1.5); }, fit: easel.fit
};
/* Behind the points that were set before it; nothing waits for what it has to wait for. */
function inOrder(work) { inTurn(function () { work(); }); }
document.querySelector(".tools").addEventListener("click", function (event) {
  var button = event.target.closest("[data-do]");
  if (button) { inOrder(TOOLS[button.dataset.do]); }
});
var PLAIN = {
  v: TOOLS.look, u: undo, x: shapeNext, m: more, f: findEdge, q: nextSeen, k: function () { nothing(); },
  n: function () { stepTo(1); }, p: function () { stepTo(-1); }, N: toUntagged, "+": TOOLS["in"], "=": TOOLS["in"],
  "-": TOOLS.out, "?": function () { get("help").showModal(); },
  "/": findClass, ",": function () { sameAs(); }, ".": toggleLoupe, PageDown: function () { nextVertex(1); }, PageUp: function () { nextVertex(-1); }, Insert: insertVertex,
  Enter: function () { if (desk.offer || draft().shapes.length || !confirm()) { finish(); } }, Escape: back, Delete: erase, Backspace: erase
};
var ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
function arrow(event) {
  var to = ARROWS[event.key], far;
  if (!to) { return false; }
  if (desk.chosen && draft().open < 0) { nudge(to[0], to[1], event.shiftKey); return true; }
  if (desk.looking) { easel.pan(-to[0] * 60, -to[1] * 60); return true; }
  far = event.shiftKey ? 1 : 12;
  desk.cross = easel.nudge(desk.cross || easel.middle(), to[0] * far, to[1] * far);
  desk.hover = desk.spot = desk.cross;
  redraw();
  if (draft().open >= 0) { askAbout(); }
  return true;
}
function choice(event) {
  var known = desk.picture.choices, zone, kind, own;
  own = event.shiftKey && /^Digit[1-4]$/.test(event.code) && !get("compare").hidden;
  if (own) { inOrder(function () { choose("compared", Object.keys(BOOT.compared)[Number(event.code.slice(5)) - 1]); }); return true; }
  if (/^[0-9]$/.test(event.key)) {
    own = known.classes.find(function (one) { return one.key === event.key; });
    if (own) { inOrder(function () { choose("defect", own.id); }); return true; }
    if (event.key === "0") { easel.fit(); return true; }
  }
  zone = event.shiftKey && known.zones.find(function (one) { return one.key && one.key === event.key.toUpperCase(); });
  if (zone) { inOrder(function () { choose("zone", zone.name); }); return true; }
  kind = !event.shiftKey && known.characteristics.find(function (one) { return one.key && one.key === event.key.toLowerCase(); });
  if (kind) { inOrder(function () { pick(kind.id); }); return true; }
  return false;
}
function withControl(event) {
  if (event.key.toLowerCase() === "z") { inOrder(event.shiftKey ? redo : undo); return true; }
  if (event.key.toLowerCase() === "y") { inOrder(redo); return true; }
  if (ARROWS[event.key]) { easel.pan(-ARROWS[event.key][0] * 60, -ARROWS[event.key][1] * 60); return true; }
  return false;
}
function onDesk(event) {
  var onButton = event.target.closest("button, a, summary");
  if (onButton && (event.key === "Enter" || event.key === " ")) { return false; }
  if ((event.ctrlKey || event.metaKey) && !event.altKey) { return withControl(event); }
  if (event.altKey || !desk.picture) { return false; }
  if (event.key === " ") {
    if (!desk.looking) { desk.cross = desk.cross || easel.middle(); put(desk.cross); desk.hover = null; }
    return true;
  }
  if (event.key === "Enter" && event.shiftKey) { toGauge(); return true; }
  if (event.key === "Delete" && event.shiftKey) { takeAwayDraft(); return true; }
  if (arrow(event)) { return true; }
  if (PLAIN[event.key]) { inOrder(PLAIN[event.key]); return true; }
  return choice(event);
}
document.addEventListener("keydown", function (event) {
  if (event.target.closest("input, select, textarea, dialog")) {
    if (event.key === "Escape" && !event.target.closest("dialog")) { get("window").focus(); }
    return;
  }
  if (event.key === "t" && desk.trial && !event.ctrlKey && !event.metaKey && !event.altKey) { toSheet(); event.preventDefault(); return; }
  if (event.key === "j" && !(get("desk").hidden && get("sheet").hidden) && !event.ctrlKey && !event.metaKey && !event.altKey) { inOrder(toCome); event.preventDefault(); return; }
  if (!get("desk").hidden && onDesk(event)) { event.preventDefault(); }
});
