/* Shapes as ink over a picture: lines with a light casing, so that they are seen on light and dark. */
var NS = "http://www.w3.org/2000/svg";

export function draw(name, attributes, text) {
  var made = document.createElementNS(NS, name);
  Object.keys(attributes).forEach(function (key) { made.setAttribute(key, attributes[key]); });
  if (text) { made.textContent = text; }
  return made;
}
export function path(points, closed, view) {
  return points.map(function (one, index) {
    var spot = PortalGeometry.toScreen(view, one);
    return (index ? "L" : "M") + spot.x.toFixed(2) + " " + spot.y.toFixed(2);
  }).join("") + (closed ? "Z" : "");
}
export function stroke(group, points, closed, kind, view) {
  var d = path(points, closed, view);
  group.append(draw("path", { "class": "casing", d: d }), draw("path", { "class": "line " + kind, d: d }));
}
function shapeLines(group, shape, view) {
  PortalShapes.lines(shape, view.ratio).forEach(function (line) {
    if (line.points.length > 1) { stroke(group, line.points, line.closed, line.kind, view); }
  });
}
function label(group, point, text, view) {
  var spot = PortalGeometry.toScreen(view, point);
  group.append(draw("text", { x: (spot.x + 8).toFixed(2), y: (spot.y - 8).toFixed(2) }, text));
}

/* A finding that is on the picture, with its label: {label, kind, shapes}. */
export function findingInk(one, view) {
  var group = draw("g", { "class": one.kind || "other" }), first = null;
  one.shapes.forEach(function (shape) {
    shapeLines(group, shape, view);
    PortalShapes.lists(shape).forEach(function (list) {
      if (list === "base") { return; }
      if (shape.shape === "point" || list === "point") { dots(group, shape[list], "vertex", 4, view); }
      first = first || shape[list][0];
    });
  });
  if (first && one.label) { label(group, first, one.label, view); }
  return group;
}
/* The lines of what is in hand alone, as the loupe shows them. */
export function lines(draft, view) {
  var group = draw("g", { "class": "mine" });
  draft.shapes.forEach(function (shape) { shapeLines(group, shape, view); });
  return group;
}
/* As large as leaves the line between them to be seen. */
function radius(draft, view) {
  var apart = draft.shapes.reduce(function (least, shape) {
    var points = shape.points || [], far = 0, index;
    for (index = 1; index < points.length; index += 1) { far += Math.hypot(points[index].x - points[index - 1].x, points[index].y - points[index - 1].y); }
    return points.length > 2 ? Math.min(least, far * view.zoom / (points.length - 1)) : least;
  }, Infinity);
  return Math.max(1.5, Math.min(5, apart / 4));
}
/* Round marks of one kind as one path: an outline may have hundreds. */
function dots(group, points, kind, r, view) {
  var d = points.map(function (point) {
    var spot = PortalGeometry.toScreen(view, point);
    return "M" + (spot.x - r).toFixed(2) + " " + spot.y.toFixed(2) + "a" + r + " " + r + " 0 1 0 " + 2 * r + " 0a" + r + " " + r + " 0 1 0 " + -2 * r + " 0";
  }).join("");
  if (d) { group.append(draw("path", { "class": r < 3 ? kind + " fine" : kind, d: d })); }
}
/* The finding in hand with its vertices, and the distances that were measured. */
export function draftInk(draft, chosen, traces, view) {
  var group = draw("g", { "class": draft.kind === "masks" ? "mine masking" : "mine" });
  draft.shapes.forEach(function (shape) { shapeLines(group, shape, view); });
  traces.forEach(function (both) { stroke(group, both, false, "trace", view); });
  dots(group, PortalDraft.vertices(draft).map(function (vertex) { return vertex.at; }), "vertex", radius(draft, view), view);
  if (chosen) { dots(group, [chosen.at], "vertex at", 7, view); }
  return group;
}
export function crossInk(point, view) {
  var group = draw("g", {}), spot = PortalGeometry.toScreen(view, point);
  var d = "M" + (spot.x - 16) + " " + spot.y + "h32M" + spot.x + " " + (spot.y - 16) + "v32";
  group.append(draw("path", { "class": "crossback", d: d }), draw("path", { "class": "cross", d: d }));
  return group;
}
