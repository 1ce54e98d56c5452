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
/* Beside its point, at the first of four corners where no other label or point is; else over labels rather than over points. */
var CORNERS = [{ x: 8, y: -8, anchor: "start" }, { x: -8, y: -8, anchor: "end" }, { x: 8, y: 20, anchor: "start" }, { x: -8, y: 20, anchor: "end" }];
var WIDE = 9.5, HIGH = 14;
function label(group, point, text, view, taken, points) {
  var spot = PortalGeometry.toScreen(view, point), wide = WIDE * text.length;
  function box(at) {
    var left = spot.x + at.x - (at.anchor === "end" ? wide : 0), low = spot.y + at.y + 2;
    return { left: left, right: left + wide, top: low - HIGH, bottom: low };
  }
  function clearOf(others) { return CORNERS.find(function (each) { var own = box(each); return !others.some(function (one) { return lapped(own, one); }); }); }
  var at = clearOf(taken) || clearOf(points) || CORNERS[0];
  taken.push(box(at));
  group.append(draw("text", { x: (spot.x + at.x).toFixed(2), y: (spot.y + at.y).toFixed(2), "text-anchor": at.anchor }, text));
}
function lapped(one, other) { return one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom; }
/* Where single points are, which no label covers. */
function spots(there, view) {
  var found = [];
  there.forEach(function (one) {
    one.shapes.forEach(function (shape) {
      if (shape.shape !== "point") { return; }
      shape.points.forEach(function (point) {
        var spot = PortalGeometry.toScreen(view, point);
        found.push({ left: spot.x - 5, right: spot.x + 5, top: spot.y - 5, bottom: spot.y + 5 });
      });
    });
  });
  return found;
}
export function allInk(there, view) {
  var points = spots(there, view), taken = points.slice();
  return there.map(function (one) { return findingInk(one, view, taken, points); });
}

/* A finding that is on the picture, with its label: {label, kind, shapes}. */
function findingInk(one, view, taken, points) {
  var group = draw("g", { "class": one.kind || "other" }), first = null;
  one.shapes.forEach(function (shape) {
    shapeLines(group, shape, view);
    PortalShapes.lists(shape).forEach(function (list) {
      if (list === "base") { return; }
      if (shape.shape === "point" || list === "point") { dots(group, shape[list], "vertex", 4, view); }
      first = first || shape[list][0];
    });
  });
  if (first && one.label) { label(group, first, one.label, view, taken, points); }
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
  return Math.max(1.5, Math.min(5, Math.round(apart / 2) / 2));  /* in steps: else all are others at each move */
}
/* Round marks of one kind as one path: an outline may have hundreds. */
function rounds(points, r, view) {
  return points.map(function (point) {
    var spot = PortalGeometry.toScreen(view, point);
    return "M" + (spot.x - r).toFixed(2) + " " + spot.y.toFixed(2) + "a" + r + " " + r + " 0 1 0 " + 2 * r + " 0a" + r + " " + r + " 0 1 0 " + -2 * r + " 0";
  }).join("");
}
function roundKind(kind, r) { return r < 3 ? kind + " fine" : kind; }
function dots(group, points, kind, r, view) {
  if (points.length) { group.append(draw("path", { "class": roundKind(kind, r), d: rounds(points, r, view) })); }
}

/*
 * The finding in hand with its vertices, and the distances that were measured. It is drawn anew with each move: so a long line is
 * many short ones, and only those are touched that are others than before. What the browser paints anew then is a small spot.
 */
var RUN = 16;
export function draftInk(group, draft, chosen, traces, view) {
  var masking = draft.kind === "masks", below = [], above = [], all = PortalDraft.vertices(draft), r = radius(draft, view), index;
  function line(points, closed, kind) {
    var d = path(points, closed, view);
    below.push({ kind: "casing", d: d });
    above.push({ kind: "line " + kind, d: d });
  }
  draft.shapes.forEach(function (shape) {
    PortalShapes.lines(shape, view.ratio).forEach(function (one) {
      if (one.points.length < 2) { return; }
      if (masking) { line(one.points, one.closed, one.kind); return; }  /* it is filled */
      runs(one.points, one.closed).forEach(function (some) { line(some, false, one.kind); });
    });
  });
  traces.forEach(function (both) {
    var d = path(both, false, view);
    above.push({ kind: "casing", d: d }, { kind: "line trace", d: d });
  });
  for (index = 0; index < all.length; index += RUN) {
    above.push({ kind: roundKind("vertex", r), d: rounds(all.slice(index, index + RUN).map(function (one) { return one.at; }), r, view) });
  }
  if (chosen) { above.push({ kind: "vertex at", d: rounds([chosen.at], 7, view) }); }
  set(group, "class", masking ? "mine masking" : "mine");
  lay(group, below.concat(above));
}
/* A line as short ones, each beginning where the one before ends; a short one as it is. */
function runs(points, closed) {
  var all = closed ? points.concat([points[0]]) : points, found = [], index;
  for (index = 0; index < all.length - 1; index += RUN) { found.push(all.slice(index, index + RUN + 1)); }
  return found;
}
function set(one, name, value) { if (one.getAttribute(name) !== value) { one.setAttribute(name, value); } }
function lay(group, pieces) {
  pieces.forEach(function (piece, index) {
    var own = group.childNodes[index] || group.appendChild(draw("path", {}));
    set(own, "class", piece.kind);
    set(own, "d", piece.d);
  });
  while (group.childNodes.length > pieces.length) { group.lastChild.remove(); }
}
export function crossInk(point, view) {
  var group = draw("g", {}), spot = PortalGeometry.toScreen(view, point);
  var d = "M" + (spot.x - 16) + " " + spot.y + "h32M" + spot.x + " " + (spot.y - 16) + "v32";
  group.append(draw("path", { "class": "crossback", d: d }), draw("path", { "class": "cross", d: d }));
  return group;
}
