/*
 * The picture on the bench: its pixels at every zoom, the ink over it, and what a pointer does there. It draws what it is
 * told and tells where it was touched, in image pixels.
 */
import { allInk, crossInk, draftInk, draw } from "./ink.js";

export function easelOn(pane, stage, ink, bar, tell) {
  var MOST = 16, REACH = 22, STILL = 4, painted = {};
  var picture = null, view = null, layers = [], tiled = [], divides = [], pointers = new Map(), pinch = null, whole = true;
  var press = null, stroke = null, last = null;

  function size() { return { width: pane.clientWidth, height: pane.clientHeight }; }
  function middle() { return { x: pane.clientWidth / 2, y: pane.clientHeight / 2 }; }
  function at(event) {
    var box = pane.getBoundingClientRect();
    return { x: event.clientX - box.left - pane.clientLeft, y: event.clientY - box.top - pane.clientTop };
  }
  function image() { return { width: picture.width, height: picture.height }; }
  function toScreen(point) { return PortalGeometry.toScreen(view, point); }
  function toImage(point) { return PortalShapes.inside(PortalGeometry.toImage(view, point), picture); }

  function open(next) {
    var same = picture && picture.key === next.key && picture.shown === next.shown;
    picture = next;
    if (!same) {
      layers = [];
      tiled = [];
      stage.replaceChildren();
      divides = next.sizes.map(function (one) { return one[3]; });
    }
    show(same && view ? Object.assign({}, view, { ratio: next.ratio }) : PortalGeometry.fit(size(), image(), next.ratio));
  }
  function show(next) {
    var corner;
    whole = next.zoom <= PortalGeometry.fit(size(), image(), next.ratio).zoom;
    view = PortalGeometry.clamp(next, size(), image());
    corner = toScreen({ x: 0, y: 0 });
    stage.style.setProperty("width", picture.width * view.zoom + "px");
    stage.style.setProperty("height", picture.height * view.zoom * view.ratio + "px");
    stage.style.setProperty("transform", "translate(" + corner.x + "px," + corner.y + "px)");
    pane.dataset.zoom = String(view.zoom);
    pane.dataset.x = String(view.x);
    pane.dataset.y = String(view.y);
    pane.dataset.ratio = String(view.ratio);
    layer(PortalGeometry.size(view, window.devicePixelRatio || 1, divides));
    measure();
    tell.redraw();
  }
  function measure() {
    var found;
    bar.hidden = false;
    bar.classList.toggle("none", !picture.um);
    if (!picture.um) { bar.querySelector(".txt").textContent = tell.noScale; return; }
    found = PortalGeometry.bar(view, size(), image(), picture.um[0], picture.rungs);
    bar.querySelector(".len").style.setProperty("width", found.px + "px");
    bar.querySelector(".txt").textContent = found.label;
  }
  /* One file, or of tiles those in view. */
  function layer(index) {
    var wanted = picture.sizes[index], one = layers[index];
    if (!one && !wanted[0]) {
      tiled[index] = PortalLayers.layered(image(), wanted);
      one = layers[index] = tiled[index].root;
      stage.insertBefore(one, layers.slice(index + 1).find(Boolean) || null);
    }
    if (!one) {
      one = document.createElement("img");
      one.className = "layer";
      one.alt = "";
      one.decoding = "async";
      one.draggable = false;
      one.style.setProperty("width", 100 * wanted[1] / picture.width + "%");
      one.style.setProperty("height", 100 * wanted[2] / picture.height + "%");
      one.src = wanted[0];
      layers[index] = one;
      stage.insertBefore(one, layers.slice(index + 1).find(Boolean) || null);
    }
    layers.forEach(function (other, place) { other.classList.toggle("away", place > index); });
    if (tiled[index]) { tiled[index].look(view, size()); }
    one.classList.toggle("close", view.zoom > 3);
  }
  function zoom(point, factor) {
    if (picture) { show(PortalGeometry.zoomAt(view, point, view.zoom * factor, size(), image(), MOST)); }
  }
  function bring(spot) {
    var whole = size(), edge = 24;
    var over = { x: Math.min(spot.x - edge, 0) + Math.max(spot.x - whole.width + edge, 0),
      y: Math.min(spot.y - edge, 0) + Math.max(spot.y - whole.height + edge, 0) };
    if (over.x || over.y) { pan(-over.x, -over.y); }
  }
  function pan(dx, dy) { if (picture) { show(PortalGeometry.pan(view, dx, dy, size(), image())); } }

  /* What is there, and what is in hand; the first is drawn anew only where it or the view is another. */
  function paint(there, draft, chosen, traces, cross) {
    if (!picture || !view.zoom) { ink.replaceChildren(); painted = {}; return; }  /* no zoom: it came while the pane was hidden */
    if (painted.there !== there || painted.view !== view) {
      painted = { there: there, view: view };
      ink.replaceChildren.apply(ink, allInk(there, view).concat([draw("g", {}), draw("g", {})]));
    }
    draftInk(ink.lastChild.previousSibling, draft, chosen, traces, view);
    ink.lastChild.replaceChildren();
    if (cross) { ink.lastChild.append(crossInk(cross, view)); }
  }

  pane.addEventListener("wheel", function (event) {
    event.preventDefault();
    zoom(at(event), Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0016)));
  }, { passive: false });
  pane.addEventListener("pointerdown", function (event) {
    var spot = at(event);
    if (!picture) { return; }
    pane.setPointerCapture(event.pointerId);
    pointers.set(event.pointerId, spot);
    begin();
    if (pointers.size > 1) { letGo(); return; }
    press = { from: spot, moved: false, pans: event.button === 1, grip: event.button === 0 ? tell.grip(spot) : null };
    press.aims = event.pointerType === "touch" && !press.grip && tell.aims();
    if (event.pointerType === "touch") { tell.hover(press.grip ? null : toImage(spot), "touch"); }  /* a finger is nowhere before it is down */
    if (!press.grip && !press.pans && event.pointerType !== "touch" && tell.strokes()) { stroke = [toImage(spot)]; }
  });
  pane.addEventListener("pointermove", function (event) {
    var was = pointers.get(event.pointerId), now = at(event);
    if (!picture) { return; }
    last = now;
    if (!was) { tell.hover(toImage(now), event.pointerType); return; }
    pointers.set(event.pointerId, now);
    if (pointers.size === 2) {
      if (pinch) { show(PortalGeometry.hold(view, pinch.under, between(), pinch.zoom * spread() / pinch.apart, size(), image(), MOST)); }
      return;
    }
    if (!press) { return; }
    if (!press.moved && Math.hypot(now.x - press.from.x, now.y - press.from.y) <= STILL) { return; }
    if (!press.moved && event.pointerType === "touch" && !press.aims && !press.grip) { tell.hover(null); }
    press.moved = true;
    if (press.aims) { tell.hover(toImage(now), "touch"); }
    else if (press.grip) { tell.drag(press.grip, toImage(now)); }
    else if (stroke) { stroke.push(toImage(now)); tell.stroking(stroke); }
    else { pan(now.x - was.x, now.y - was.y); }
  });
  pane.addEventListener("pointerup", function (event) {
    var spot = at(event), done = press, line = stroke;
    pointers.delete(event.pointerId);
    begin();
    if (!done || pointers.size) { return; }
    press = null;
    stroke = null;
    if (done.aims) { tell.tap(toImage(spot), spot, null); }
    else if (done.moved && done.grip) { tell.dropped(); }
    else if (done.moved && line) { tell.stroked(line); }
    else if (!done.moved && !done.pans && event.button === 0) { tell.tap(toImage(spot), spot, done.grip); }
  });
  pane.addEventListener("pointercancel", function (event) { pointers.delete(event.pointerId); begin(); letGo(); });
  pane.addEventListener("dblclick", function () { tell.finish(); });
  pane.addEventListener("pointerleave", function () { if (!press) { tell.hover(null); } });
  function letGo() {
    if (press && press.moved && press.grip) { tell.dropped(); }
    if (press && press.aims) { tell.hover(null); }
    press = null;
    stroke = null;
    tell.stroking(null);
  }
  /* Two fingers hold the point between them as long as both stay down. */
  function begin() {
    pinch = pointers.size === 2 && spread() > 0 ? { under: PortalGeometry.toImage(view, between()), apart: spread(), zoom: view.zoom } : null;
  }
  function spread() {
    var both = Array.from(pointers.values());
    return both.length === 2 ? Math.hypot(both[0].x - both[1].x, both[0].y - both[1].y) : 0;
  }
  function between() {
    var both = Array.from(pointers.values());
    return { x: (both[0].x + both[1].x) / 2, y: (both[0].y + both[1].y) / 2 };
  }
  new ResizeObserver(function () {
    var least;
    if (!picture || !pane.clientWidth) { return; }
    least = PortalGeometry.fit(size(), image(), view.ratio);
    show(view.zoom < least.zoom || whole ? least : view);
  }).observe(pane);

  return {
    open: open,
    paint: paint,
    toScreen: toScreen,
    reach: REACH,
    fit: function () { if (picture) { show(PortalGeometry.fit(size(), image(), picture.ratio)); } },
    zoomIn: function (factor) { zoom(last || middle(), factor); },
    pan: pan,
    middle: function () { return toImage(middle()); },
    view: function () { return view; },
    inWindow: function (point) { return { spot: toScreen(point), size: size() }; },
    /* Pan as far as it takes to see a point. */
    reveal: function (point) { bring(toScreen(point)); },
    /* Move an image point by screen pixels; the picture follows where it would leave the window. */
    nudge: function (point, dx, dy) {
      var spot = toScreen(point), next = toImage({ x: spot.x + dx, y: spot.y + dy });
      bring(toScreen(next));
      return next;
    }
  };
}
