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
    var least = PortalGeometry.fit(size, image, view.ratio).zoom;
    var next = Math.min(Math.max(zoom, least), Math.max(most, least));
    var under = PortalGeometry.toImage(view, at);
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
  }
};

(function () {
  var MOST = 8;

  function viewer(root) {
    var data = JSON.parse(document.getElementById("picture-data").textContent);
    var image = { width: data.width, height: data.height };
    var pane = root.querySelector(".window"), stage = root.querySelector(".stage");
    var bar = root.querySelector(".livebar"), tools = root.querySelector(".tools");
    var divides = data.sizes.map(function (size) { return size[3]; });
    var layers = [], pointers = new Map(), view = null, apart = 0;

    root.classList.add("live");
    bar.hidden = false;
    tools.hidden = false;
    pane.tabIndex = 0;

    function size() { return { width: pane.clientWidth, height: pane.clientHeight }; }
    function middle() { return { x: pane.clientWidth / 2, y: pane.clientHeight / 2 }; }
    function at(event) {
      var box = pane.getBoundingClientRect();
      return { x: event.clientX - box.left, y: event.clientY - box.top };
    }
    function show(next) {
      var corner;
      view = next;
      corner = PortalGeometry.toScreen(view, { x: 0, y: 0 });
      stage.style.setProperty("width", image.width * view.zoom + "px");
      stage.style.setProperty("height", image.height * view.zoom * view.ratio + "px");
      stage.style.setProperty("transform", "translate(" + corner.x + "px," + corner.y + "px)");
      stage.dataset.zoom = String(view.zoom);
      layer(PortalGeometry.size(view, window.devicePixelRatio || 1, divides));
      measure();
    }
    function measure() {
      var found;
      if (!data.um) {
        bar.classList.add("none");
        return;
      }
      found = PortalGeometry.bar(view, size(), image, data.um[0], data.rungs);
      bar.querySelector(".len").style.setProperty("width", found.px + "px");
      bar.querySelector(".txt").textContent = found.label;
    }
    function layer(index) {
      var one = layers[index], wanted = data.sizes[index];
      if (!one) {
        one = document.createElement("img");
        one.className = "layer";
        one.alt = "";
        one.decoding = "async";
        one.style.setProperty("width", 100 * wanted[1] / image.width + "%");
        one.style.setProperty("height", 100 * wanted[2] / image.height + "%");
        one.style.setProperty("z-index", "0");
        one.src = wanted[0];
        layers[index] = one;
        stage.insertBefore(one, layers.slice(index + 1).find(Boolean) || stage.querySelector(".over"));
      }
      layers.forEach(function (other, place) { if (place > index) { other.hidden = true; } });
      one.hidden = false;
      one.classList.toggle("close", view.zoom > 3);
    }
    function zoom(point, factor) { show(PortalGeometry.zoomAt(view, point, view.zoom * factor, size(), image, MOST)); }
    function fit() { show(PortalGeometry.fit(size(), image, data.ratio)); }
    function act(what) {
      if (what === "in") { zoom(middle(), 1.5); }
      if (what === "out") { zoom(middle(), 1 / 1.5); }
      if (what === "fit") { fit(); }
      if (what === "full") { zoom(middle(), 1 / (window.devicePixelRatio || 1) / view.zoom); }
    }

    tools.addEventListener("click", function (event) {
      var button = event.target.closest("button");
      if (!button) { return; }
      if (button.dataset.do === "lines") {
        button.setAttribute("aria-pressed", String(!root.classList.toggle("nolines")));
      } else {
        act(button.dataset.do);
      }
    });
    pane.addEventListener("wheel", function (event) {
      event.preventDefault();
      zoom(at(event), Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0016)));
    }, { passive: false });
    pane.addEventListener("pointerdown", function (event) {
      pane.setPointerCapture(event.pointerId);
      pointers.set(event.pointerId, at(event));
      apart = spread();
    });
    pane.addEventListener("pointermove", function (event) {
      var was = pointers.get(event.pointerId), now = at(event), wide;
      if (!was) { return; }
      pointers.set(event.pointerId, now);
      show(PortalGeometry.pan(view, (now.x - was.x) / pointers.size, (now.y - was.y) / pointers.size, size(), image));
      wide = spread();
      if (pointers.size === 2 && apart > 0 && wide > 0) { zoom(between(), wide / apart); }
      apart = wide;
    });
    ["pointerup", "pointercancel"].forEach(function (name) {
      pane.addEventListener(name, function (event) { pointers.delete(event.pointerId); apart = spread(); });
    });
    function two() { return Array.from(pointers.values()); }
    function spread() {
      var both = two();
      return both.length === 2 ? Math.hypot(both[0].x - both[1].x, both[0].y - both[1].y) : 0;
    }
    function between() { var both = two(); return { x: (both[0].x + both[1].x) / 2, y: (both[0].y + both[1].y) / 2 }; }
    pane.addEventListener("keydown", function (event) {
      var step = 60, moves = { ArrowLeft: [step, 0], ArrowRight: [-step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
      if (event.ctrlKey || event.metaKey || event.altKey) { return; }
      if (event.key === "+" || event.key === "=") { act("in"); }
      else if (event.key === "-") { act("out"); }
      else if (event.key === "0") { act("fit"); }
      else if (moves[event.key]) { show(PortalGeometry.pan(view, moves[event.key][0], moves[event.key][1], size(), image)); }
      else { return; }
      event.preventDefault();
    });
    window.addEventListener("resize", function () {
      show(PortalGeometry.zoomAt(view, middle(), view.zoom, size(), image, MOST));
    });
    if (!data.um) { bar.querySelector(".txt").textContent = bar.dataset.none; }
    fit();
  }

  /* Lay a limit sample, which is at the same scale, over the part. */
  function layable(figure) {
    var lay = figure.querySelector(".lay"), button, label, range, words, copy = null;
    var plates = figure.closest(".plates"), under = plates.querySelector(".this .pixels");
    if (!lay || !under) { return; }
    button = lay.querySelector("button");
    label = lay.querySelector("label");
    range = lay.querySelector("input");
    words = button.textContent;
    lay.hidden = false;
    function strength() { copy.style.setProperty("opacity", String(range.value / 100)); }
    function away() {
      if (copy) { copy.remove(); }
      copy = null;
      button.setAttribute("aria-pressed", "false");
      button.textContent = words;
      label.hidden = true;
    }
    function over() {
      plates.dispatchEvent(new CustomEvent("lay-away"));
      copy = figure.querySelector(".pixels").cloneNode(true);
      copy.classList.add("laid");
      under.after(copy);
      button.setAttribute("aria-pressed", "true");
      button.textContent = button.dataset.on;
      label.hidden = false;
      strength();
    }
    plates.addEventListener("lay-away", away);
    button.addEventListener("click", function () { if (copy) { away(); } else { over(); } });
    range.addEventListener("input", strength);
  }

  var root = document.getElementById("viewer");
  if (root) { viewer(root); }
  document.querySelectorAll(".layable").forEach(layable);
}());
