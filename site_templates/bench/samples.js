/* The limit samples, at as many screen pixels per length as the picture has now. */
import { desk, draft, get, make, on, say } from "./desk.js";

var shown = [];

export function samples(all) {
  var box = get("beside");
  if (JSON.stringify(all) === JSON.stringify(shown)) { return; }
  shown = all;
  box.hidden = !all.length;
  box.replaceChildren();
  all.forEach(function (one) {
    var figure = make("figure"), plate = make("div", undefined, "plate"), image = make("img"), words = make("figcaption");
    image.alt = one.side + " " + one.id;
    plate.append(image);
    words.append(make("b", one.side), " " + [[one.id, one.value].filter(Boolean).join(", ") + "."].concat(howShown(one), one.warning).filter(Boolean).join(" "));
    if (one.sizes.length) { figure.append(plate); }
    figure.append(words);
    box.append(figure);
  });
  scale();
}
function howShown(one) {
  var same = one.um && desk.picture.um;
  if (!one.sizes.length) { return [say(one.piece ? "sample_no_picture" : "sample_picture_gone")]; }
  return [say(same ? "same_scale" : "other_scale"), one.at ? "" : say(same ? "sample_undrawn" : "sample_undrawn_whole")];
}
/* Where nothing is drawn on a sample: the same place of its frame as the middle of what is drawn here has in this one. */
function alike(one) {
  var all = PortalDraft.vertices(draft()), picture = desk.picture;
  function middle(axis) {
    var found = all.map(function (vertex) { return vertex.at[axis]; });
    return (Math.min.apply(null, found) + Math.max.apply(null, found)) / 2;
  }
  return all.length ? { x: middle("x") / picture.width * one.width, y: middle("y") / picture.height * one.height } : { x: one.width / 2, y: one.height / 2 };
}
function scale() {
  var perPixel = Number(get("window").dataset.zoom), picture = desk.picture;
  var all = shown.filter(function (one) { return one.sizes.length; });
  get("beside").querySelectorAll(".plate").forEach(function (plate, index) {
    var one = all[index], same = one.um && picture.um, at = one.at || alike(one), x, y, left, top;
    if (!plate.clientWidth) { return; }
    if (same) {
      x = perPixel * one.um[0] / picture.um[0];
      y = perPixel * one.um[1] / picture.um[0];
    } else { x = y = Math.min(plate.clientWidth / one.width, plate.clientHeight / one.height); }
    left = same ? plate.clientWidth / 2 - at.x * x : (plate.clientWidth - one.width * x) / 2;
    top = same ? plate.clientHeight / 2 - at.y * y : 0;
    lay(plate, one, { x: -left / x, y: -top / y, zoom: x, ratio: y / x });
  });
}
/* As a picture on the desk: one file, and of a large one the tiles in view over the largest file that it has. */
function lay(plate, one, view) {
  var whole = one.sizes.filter(function (each) { return each[0]; }), index, size, image = plate.firstChild;
  index = PortalGeometry.size(view, window.devicePixelRatio || 1, one.sizes.map(function (each) { return each[3]; }));
  size = whole[Math.min(index, whole.length - 1)];
  if (image.getAttribute("src") !== size[0]) { image.src = size[0]; }
  place(image, view, size[1], size[2]);
  if (plate.tiled && plate.tiled.index !== index) { plate.tiled.root.remove(); plate.tiled = null; }
  if (one.sizes[index][0]) { return; }
  if (!plate.tiled) {
    plate.tiled = Object.assign(PortalLayers.layered({ width: one.width, height: one.height }, one.sizes[index]), { index: index });
    plate.append(plate.tiled.root);
  }
  plate.tiled.look(view, { width: plate.clientWidth, height: plate.clientHeight });
  place(plate.tiled.root, view, one.width, one.height);
}
function place(layer, view, width, height) {
  layer.style.setProperty("width", width * view.zoom + "px");
  layer.style.setProperty("height", height * view.zoom * view.ratio + "px");
  layer.style.setProperty("left", -view.x * view.zoom + "px");
  layer.style.setProperty("top", -view.y * view.zoom * view.ratio + "px");
}
on("begun", function () { samples([]); });
on("painted", scale);
