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
    words.append(make("b", one.side), " " + [one.id, one.value].filter(Boolean).join(", ") + ". " +
      (one.um && desk.picture.um ? say("same_scale") : say("other_scale")) + " " + one.warning);
    figure.append(plate, words);
    box.append(figure);
  });
  scale();
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
  get("beside").querySelectorAll(".plate").forEach(function (plate, index) {
    var one = shown[index], image = plate.firstChild, at = one.at || alike(one), x, y, size;
    if (!plate.clientWidth) { return; }
    if (one.um && picture.um) {
      x = perPixel * one.um[0] / picture.um[0];
      y = perPixel * one.um[1] / picture.um[0];
    } else { x = y = Math.min(plate.clientWidth / one.width, plate.clientHeight / one.height); }
    size = one.sizes[PortalGeometry.size({ zoom: x }, window.devicePixelRatio || 1, one.sizes.map(function (each) { return each[1]; }))];
    if (image.getAttribute("src") !== size[0]) { image.src = size[0]; }
    image.style.setProperty("width", one.width * x + "px");
    image.style.setProperty("height", one.height * y + "px");
    image.style.setProperty("left", (one.um && picture.um ? plate.clientWidth / 2 - at.x * x : (plate.clientWidth - one.width * x) / 2) + "px");
    image.style.setProperty("top", (one.um && picture.um ? plate.clientHeight / 2 - at.y * y : 0) + "px");
  });
}
on("begun", function () { samples([]); });
on("painted", scale);
