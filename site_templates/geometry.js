"use strict";
/*
 * Geometry of looking at a picture: image pixels in, screen pixels out. Corners are the origin on both sides, x to
 * the right and y down. It knows no page. A view is the image point at the window's corner, screen pixels per image
 * pixel along x, and `ratio`, the height of an image pixel over its width.
 */
var PortalGeometry = {
  toScreen: function (view, point) {
    return { x: (point.x - view.x) * view.zoom, y: (point.y - view.y) * view.zoom * view.ratio };
  },
  toImage: function (view, point) {
    return { x: view.x + point.x / view.zoom, y: view.y + point.y / (view.zoom * view.ratio) };
  },
  fit: function (size, image, ratio) {
    var zoom = Math.min(size.width / image.width, size.height / (image.height * ratio));
    return PortalGeometry.clamp({ x: 0, y: 0, zoom: zoom, ratio: ratio }, size, image);
  },
  /* Zoom about a point of the screen, which stays over the same point of the image. */
  zoomAt: function (view, at, zoom, size, image, most) {
    return PortalGeometry.hold(view, PortalGeometry.toImage(view, at), at, zoom, size, image, most);
  },
  /* Zoom so that a point of the image comes to lie under a point of the screen, as between two fingers. */
  hold: function (view, under, at, zoom, size, image, most) {
    var least = PortalGeometry.fit(size, image, view.ratio).zoom;
    var next = Math.min(Math.max(zoom, least), Math.max(most, least));
    var moved = { x: under.x - at.x / next, y: under.y - at.y / (next * view.ratio), zoom: next, ratio: view.ratio };
    return PortalGeometry.clamp(moved, size, image);
  },
  pan: function (view, dx, dy, size, image) {
    var moved = { x: view.x - dx / view.zoom, y: view.y - dy / (view.zoom * view.ratio), zoom: view.zoom, ratio: view.ratio };
    return PortalGeometry.clamp(moved, size, image);
  },
  /* The image never leaves the window; where it is smaller than the window, it stands in the middle. */
  clamp: function (view, size, image) {
    function along(start, shown, whole) {
      if (shown >= whole) { return (whole - shown) / 2; }
      return Math.min(Math.max(start, 0), whole - shown);
    }
    return {
      x: along(view.x, size.width / view.zoom, image.width),
      y: along(view.y, size.height / (view.zoom * view.ratio), image.height),
      zoom: view.zoom,
      ratio: view.ratio
    };
  },
  /* The longest rung of at most half of what is seen of the image's width, in screen pixels. */
  bar: function (view, size, image, umPerPixel, rungs) {
    var seen = Math.min(size.width / view.zoom, image.width) * umPerPixel;
    var found = rungs[0];
    rungs.forEach(function (rung) { if (rung[0] <= seen / 2) { found = rung; } });
    return { px: found[0] / umPerPixel * view.zoom, label: found[1] };
  },
  /* Which of the sizes (from small to full, with by how much each was divided) is sharp enough. */
  size: function (view, density, divides) {
    for (var index = 0; index < divides.length; index += 1) {
      if (1 / divides[index] >= view.zoom * density * 0.95) { return index; }
    }
    return divides.length - 1;
  },
  /*
   * The tiles of a divided picture that are in view, and those next to them by up to half a tile: for each its number
   * (row by row) and the pixels of the image that it covers. The last of a row stands for a whole number of squares.
   */
  tiles: function (view, size, image, divide, side) {
    var span = side * divide, columns = Math.ceil(image.width / span), rows = Math.ceil(image.height / span);
    var far = PortalGeometry.toImage(view, { x: size.width, y: size.height }), found = [], column, row;
    function first(start) { return Math.max(Math.floor((start - span / 2) / span), 0); }
    function last(end, count) { return Math.min(Math.floor((end + span / 2) / span), count - 1); }
    function long(start, whole) { return Math.ceil(Math.min(span, whole - start) / divide) * divide; }
    for (row = first(view.y); row <= last(far.y, rows); row += 1) {
      for (column = first(view.x); column <= last(far.x, columns); column += 1) {
        found.push({ number: row * columns + column, x: column * span, y: row * span,
          width: long(column * span, image.width), height: long(row * span, image.height) });
      }
    }
    return found;
  }
};

/*
 * What is drawn: shapes of image points, as texts and as lines. A shape is {shape, points}, or {shape, base, point} for a
 * base and point; every list holds {x, y}. Nothing here measures anything.
 */
var PortalShapes = {
  LEAST: { point: 1, line: 2, rectangle: 3, ellipse: 3, outline: 3 },
  EXACT: { rectangle: 3, ellipse: 3 },
  write: function (points) {
    return points.map(function (one) { return one.x.toFixed(2) + "," + one.y.toFixed(2); }).join(" ");
  },
  read: function (text) {
    return text.split(/\s+/).filter(Boolean).map(function (word) {
      var both = word.split(",");
      return { x: Number(both[0]), y: Number(both[1]) };
    });
  },
  inside: function (point, image) {
    return { x: Math.min(Math.max(point.x, 0), image.width), y: Math.min(Math.max(point.y, 0), image.height) };
  },
  lists: function (shape) { return shape.shape === "base-and-point" ? ["base", "point"] : ["points"]; },
  complete: function (shape) {
    if (shape.shape === "base-and-point") { return shape.base.length >= 3 && shape.point.length >= 1; }
    return shape.points.length >= PortalShapes.LEAST[shape.shape];
  },
  /* Whether another click has no place in it. */
  full: function (shape) {
    if (shape.shape === "base-and-point") { return shape.point.length >= 1; }
    return shape.points.length >= (PortalShapes.EXACT[shape.shape] || Infinity);
  },
  /* The way at right angles to the first side as far as the third point reaches; pixels are `ratio` as high as wide. */
  across: function (points, ratio) {
    var a = points[0], b = points[1], c = points[2];
    var along = { x: b.x - a.x, y: (b.y - a.y) * ratio };
    var length = Math.hypot(along.x, along.y) || 1;
    var normal = { x: -along.y / length, y: along.x / length };
    var reach = (c.x - (a.x + b.x) / 2) * normal.x + (c.y - (a.y + b.y) / 2) * ratio * normal.y;
    return { x: normal.x * reach, y: normal.y * reach / ratio };
  },
  /* The lines of a shape over the picture: each a list of points, whether it is closed, and its kind. */
  lines: function (shape, ratio) {
    var points = shape.points, n, turns = [], index, angle, middle, half;
    if (shape.shape === "base-and-point") {
      return [{ points: shape.base, closed: false, kind: "base" }];
    }
    if (shape.shape === "point") { return []; }
    if ((shape.shape === "rectangle" || shape.shape === "ellipse") && points.length >= 3) {
      n = PortalShapes.across(points, ratio);
      if (shape.shape === "rectangle") {
        return [{ points: [points[0], points[1], { x: points[1].x + n.x, y: points[1].y + n.y },
          { x: points[0].x + n.x, y: points[0].y + n.y }], closed: true, kind: "outline" }];
      }
      middle = { x: (points[0].x + points[1].x) / 2, y: (points[0].y + points[1].y) / 2 };
      half = { x: (points[1].x - points[0].x) / 2, y: (points[1].y - points[0].y) / 2 };
      for (index = 0; index < 64; index += 1) {
        angle = 2 * Math.PI * index / 64;
        turns.push({ x: middle.x + half.x * Math.cos(angle) + n.x * Math.sin(angle),
          y: middle.y + half.y * Math.cos(angle) + n.y * Math.sin(angle) });
      }
      return [{ points: turns, closed: true, kind: "outline" }];
    }
    return [{ points: points, closed: shape.shape === "outline" && points.length > 2, kind: "outline" }];
  },
  /* The nearest of some screen points, as its index; -1 where none is within reach. */
  nearest: function (points, at, reach) {
    var found = -1, best = reach;
    points.forEach(function (one, index) {
      var far = Math.hypot(one.x - at.x, one.y - at.y);
      if (far <= best) { best = far; found = index; }
    });
    return found;
  },
  /* How far a point lies from the line between two others. */
  beside: function (a, b, at) {
    var dx = b.x - a.x, dy = b.y - a.y, whole = dx * dx + dy * dy;
    var along = whole ? Math.min(Math.max(((at.x - a.x) * dx + (at.y - a.y) * dy) / whole, 0), 1) : 0;
    return Math.hypot(at.x - a.x - along * dx, at.y - a.y - along * dy);
  },
  /* The side of a line on which a point lies nearest, as the index before which a new vertex belongs; -1 beyond reach. */
  side: function (points, closed, at, reach) {
    var found = -1, best = reach, count = closed ? points.length : points.length - 1, index, far;
    for (index = 0; index < count; index += 1) {
      far = PortalShapes.beside(points[index], points[(index + 1) % points.length], at);
      if (far <= best) { best = far; found = index + 1; }
    }
    return found;
  },
  /* A drawn line with fewer vertices: none of those left out lies further from it than `reach`. */
  thinned: function (points, reach) {
    var keep = points.map(function (one, index) { return index === 0 || index === points.length - 1; });
    var open = [[0, points.length - 1]], pair, index, far, worst, place;
    while (open.length) {
      pair = open.pop();
      worst = reach;
      place = -1;
      for (index = pair[0] + 1; index < pair[1]; index += 1) {
        far = PortalShapes.beside(points[pair[0]], points[pair[1]], points[index]);
        if (far > worst) { worst = far; place = index; }
      }
      if (place > 0) {
        keep[place] = true;
        open.push([pair[0], place], [place, pair[1]]);
      }
    }
    return points.filter(function (one, index) { return keep[index]; });
  }
};
