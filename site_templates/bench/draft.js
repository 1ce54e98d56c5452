"use strict";
/*
 * A finding while it is drawn, as plain data, and its history: undo and redo without end. Nothing is changed in place:
 * every step gives a new draft. It knows no page and no picture.
 *
 * A draft is {id, digest, fields, shapes, open}: `open` is the index of the shape that still takes points, -1 for none.
 * `kind` is given where it is no finding of this picture: `also` adds to one of another picture, `masks` are the
 * picture's masks, each an outline, `known` is the known feature, one line; so are a `reference` and a `bar`, whose length is
 * in the fields.
 */
var PortalDraft = {
  start: function (fields) { return { id: "", digest: "", fields: fields, shapes: [], open: -1 }; },

  /* A finding as it stands in a file. */
  from: function (data, digest) {
    var fields = {}, shapes = [];
    Object.keys(data).forEach(function (name) {
      if (["id", "by", "at", "shapes"].indexOf(name) < 0) { fields[name] = data[name]; }
    });
    (data.shapes || []).forEach(function (one) {
      var shape = Object.assign({}, one);
      PortalShapes.lists(one).forEach(function (list) { shape[list] = PortalShapes.read(one[list]); });
      shapes.push(shape);
    });
    return { id: data.id, digest: digest, fields: fields, shapes: shapes, open: -1 };
  },

  /* The picture's masks, its known feature, something of known length. */
  ofPicture: function (kind, texts, digest, fields) {
    var shape = kind === "masks" ? "outline" : "line";
    var shapes = texts.map(function (text) { return { shape: shape, points: PortalShapes.read(text) }; });
    return { kind: kind, id: "", digest: digest, fields: fields || {}, shapes: shapes, open: -1 };
  },

  /* As it is asked about and written; shapes that lack points are left out. */
  data: function (draft) {
    var data = Object.assign({}, draft.fields), texts;
    if (PortalDraft.isOfPicture(draft)) {
      texts = draft.shapes.filter(PortalShapes.complete).map(function (one) { return PortalShapes.write(one.points); });
      return draft.kind === "masks" ? { masks: texts } : Object.assign(data, { points: texts[0] });
    }
    var whole = draft.shapes.filter(PortalShapes.complete).map(function (one) {
      var shape = Object.assign({}, one);
      delete shape.stage;
      PortalShapes.lists(one).forEach(function (list) { shape[list] = PortalShapes.write(one[list]); });
      return shape;
    });
    Object.keys(data).forEach(function (name) { if (data[name] === "" || Array.isArray(data[name]) && !data[name].length) { delete data[name]; } });
    if (whole.length) { data.shapes = whole; }
    return data;
  },

  complete: function (draft) {
    if (PortalDraft.lacksLength(draft)) { return false; }
    var read = (draft.fields.gauge || []).length + (draft.fields.checks || []).length;
    return draft.open < 0 && draft.shapes.length + read > 0 && draft.shapes.every(PortalShapes.complete);
  },
  /* Whether it is something of the picture, not of a finding. */
  isOfPicture: function (draft) { return draft.kind === "masks" || PortalDraft.isLine(draft); },
  isLine: function (draft) { return ["known", "reference", "bar"].indexOf(draft.kind) >= 0; },
  /* Whether its length has still to be said. */
  lacksLength: function (draft) {
    if (draft.kind !== "reference" && draft.kind !== "bar") { return false; }
    return !draft.fields.length || draft.kind === "reference" && !draft.fields.u;
  },
  /* Whether edges may be looked for at its points: the ends of a known length as those of any line, but no mask's. */
  hasEdges: function (draft) {
    var drawn = PortalDraft.isLine(draft) ? draft.open < 0 && draft.shapes.every(PortalShapes.complete)
      : draft.kind !== "masks" && PortalDraft.complete(draft);
    return drawn && draft.shapes.some(function (shape) { return shape.shape !== "point"; });
  },
  /* Whether the next point begins one more shape of it rather than the next finding. */
  takesMore: function (draft) {
    return !draft.shapes.length || Boolean(draft.more) || PortalDraft.isOfPicture(draft);
  },

  field: function (draft, name, value) {
    var fields = Object.assign({}, draft.fields);
    fields[name] = value;
    return Object.assign({}, draft, { fields: fields });
  },

  /* One more point; `kind` says what a new shape is: {characteristic, shape, edge}. */
  put: function (draft, point, kind) {
    var shapes = draft.shapes.slice(), open = draft.open, shape, list;
    if (open < 0) {
      shape = { characteristic: kind.characteristic, shape: kind.shape, edge: kind.edge, drawn: "by hand" };
      if (kind.shape === "base-and-point") { shape.base = []; shape.point = []; shape.stage = "base"; }
      else { shape.points = []; }
      shapes.push(shape);
      open = shapes.length - 1;
    }
    shape = Object.assign({}, shapes[open]);
    list = shape.shape === "base-and-point" ? shape.stage : "points";
    shape[list] = shape[list].concat([point]);
    shapes[open] = shape;
    if (PortalDraft.isLine(draft)) { shapes = [shape]; open = 0; }
    var done = PortalShapes.full(shape) || kind.shape === "point" || PortalDraft.isLine(draft) && shape.points.length > 1;
    return Object.assign({}, draft, { shapes: shapes, open: done ? -1 : open });
  },

  /* A whole line drawn by hand, as the points of a new shape. */
  stroke: function (draft, points, kind) {
    var shape = { characteristic: kind.characteristic, shape: kind.shape, points: points, edge: kind.edge, drawn: "by hand" };
    var shapes = draft.open < 0 ? draft.shapes : draft.shapes.slice(0, draft.open);
    return Object.assign({}, draft, { shapes: shapes.concat([shape]), open: -1 });
  },

  /* The shape is finished, or its base is; the same draft where neither can be. */
  finish: function (draft) {
    var shape = draft.shapes[draft.open], shapes;
    if (!shape) { return draft; }
    if (shape.stage === "base" && shape.base.length >= 3) {
      shapes = draft.shapes.slice();
      shapes[draft.open] = Object.assign({}, shape, { stage: "point" });
      return Object.assign({}, draft, { shapes: shapes });
    }
    return PortalShapes.complete(shape) ? Object.assign({}, draft, { open: -1 }) : draft;
  },

  /* Without the shape that isn't finished. */
  drop: function (draft) {
    if (draft.open < 0) { return draft; }
    return Object.assign({}, draft, { shapes: draft.shapes.slice(0, draft.open), open: -1 });
  },

  /* Every vertex: which shape, which list, which place in it, and where it is. */
  vertices: function (draft) {
    var found = [];
    draft.shapes.forEach(function (shape, index) {
      PortalShapes.lists(shape).forEach(function (list) {
        shape[list].forEach(function (point, place) { found.push({ shape: index, list: list, place: place, at: point }); });
      });
    });
    return found;
  },

  move: function (draft, vertex, point) { return PortalDraft.splice(draft, vertex, 1, [point]); },
  insert: function (draft, vertex, point) { return PortalDraft.splice(draft, vertex, 0, [point]); },

  /* Without that vertex; a shape that had no other goes as a whole. */
  remove: function (draft, vertex) {
    var next = PortalDraft.splice(draft, vertex, 1, []);
    var shape = next.shapes[vertex.shape];
    var left = PortalShapes.lists(shape).reduce(function (sum, list) { return sum + shape[list].length; }, 0);
    if (left) { return PortalShapes.complete(shape) ? next : Object.assign({}, next, { open: vertex.shape }); }
    return Object.assign({}, next, {
      shapes: next.shapes.filter(function (one, index) { return index !== vertex.shape; }), open: -1
    });
  },

  splice: function (draft, vertex, less, points) {
    var shapes = draft.shapes.slice(), shape = Object.assign({}, shapes[vertex.shape]);
    var list = shape[vertex.list].slice();
    list.splice.apply(list, [vertex.place, less].concat(points));
    shape[vertex.list] = list;
    shape.drawn = "by hand";
    shapes[vertex.shape] = shape;
    return Object.assign({}, draft, { shapes: shapes });
  }
};

var PortalHistory = {
  start: function (now) { return { past: [], now: now, future: [] }; },
  step: function (history, next) {
    if (next === history.now) { return history; }
    return { past: history.past.concat([history.now]), now: next, future: [] };
  },
  /* The same step with something that the server told, such as the id; no step of its own. */
  told: function (history, known) {
    function add(one) { return Object.assign({}, one, known); }
    return { past: history.past.map(add), now: add(history.now), future: history.future.map(add) };
  },
  undo: function (history) {
    var past = history.past;
    if (!past.length) { return history; }
    return { past: past.slice(0, -1), now: past[past.length - 1], future: [history.now].concat(history.future) };
  },
  redo: function (history) {
    var future = history.future;
    if (!future.length) { return history; }
    return { past: history.past.concat([history.now]), now: future[0], future: future.slice(1) };
  }
};
