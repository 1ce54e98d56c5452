/* The loupe: what lies under the pointer or the cross at full resolution, with a cross in the middle. On and off by a key. */
import { desk, get, make, on } from "./desk.js";
import { draw, lines } from "./ink.js";
import { easel, tentative } from "./paint.js";

var SIDE = 184, AWAY = 30, CLOSER = 4, LEAST = 2, MOST = 32, HOLE = 5;
var box = get("loupe"), ink = box.querySelector("svg"), image = null, tiles = null, of = "", touched = false;

export function toggleLoupe() {
  desk.loupe = !desk.loupe;
  sessionStorage.setItem("loupe", desk.loupe ? "on" : "");
  place();
}
/* The picture as the loupe shows it: a view like any other, with the point in its middle. */
function viewAt(point) {
  var of = easel.view(), zoom = Math.min(Math.max(CLOSER * of.zoom, LEAST), Math.max(MOST, of.zoom));
  return { x: point.x - SIDE / 2 / zoom, y: point.y - SIDE / 2 / (zoom * of.ratio), zoom: zoom, ratio: of.ratio };
}
function place() {
  var point = desk.dragged ? desk.dragged.at : desk.spot, picture = desk.picture, view, spot, corner;
  get("to-loupe").setAttribute("aria-pressed", String(Boolean(desk.loupe)));
  box.hidden = !desk.loupe || !point || !picture;
  if (box.hidden) { return; }
  view = viewAt(point);
  spot = easel.inWindow(point);
  corner = PortalGeometry.toScreen(view, { x: 0, y: 0 });
  box.style.setProperty("transform", "translate(" + beside(spot.spot.x, spot.size.width, AWAY) + "px," + above(spot.spot.y, spot.size.height) + "px)");
  if (of !== named(picture)) { lay(picture); }
  if (tiles) { tiles.look(view, { width: SIDE, height: SIDE }); }
  image.classList.toggle("close", view.zoom > 3);
  image.style.setProperty("width", picture.width * view.zoom + "px");
  image.style.setProperty("height", picture.height * view.zoom * view.ratio + "px");
  image.style.setProperty("transform", "translate(" + corner.x + "px," + corner.y + "px)");
  ink.replaceChildren(lines(tentative(), view), cross());
}
function full(picture) { return picture.sizes[picture.sizes.length - 1]; }
function named(picture) { return full(picture)[0] || full(picture)[5][0]; }
/* The picture at full resolution, of a large one the tiles that are looked at. */
function lay(picture) {
  of = named(picture);
  if (image) { image.remove(); }
  tiles = full(picture)[0] ? null : PortalLayers.layered({ width: picture.width, height: picture.height }, full(picture));
  image = tiles ? tiles.root : make("img");
  if (!tiles) {
    image.alt = "";
    image.draggable = false;
    image.src = of;
  }
  image.classList.add("under");
  box.prepend(image);
}
function beside(at, whole, away) { return at + away + SIDE <= whole ? at + away : Math.max(at - away - SIDE, 0); }
/* Above a finger, which would hide it; else below right. */
function above(at, whole) {
  var up = at - 2 * AWAY - SIDE;
  if (touched && up >= 0) { return up; }
  return beside(at, whole, AWAY);
}
function cross() {
  var m = SIDE / 2, d = "M0 " + m + "H" + (m - HOLE) + "M" + (m + HOLE) + " " + m + "H" + SIDE +
    "M" + m + " 0V" + (m - HOLE) + "M" + m + " " + (m + HOLE) + "V" + SIDE, group = draw("g", {});
  group.append(draw("path", { "class": "crossback", d: d }), draw("path", { "class": "cross", d: d }));
  return group;
}
desk.loupe = sessionStorage.getItem("loupe") === "on";
get("to-loupe").addEventListener("click", toggleLoupe);
on("painted", place);
on("hovered", function (by) { touched = by === "touch"; place(); });
