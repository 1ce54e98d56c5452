"use strict";
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
      var one = layers[index], above;
      if (!one) {
        one = layers[index] = PortalLayers.layered(image, data.sizes[index]);
        above = layers.slice(index + 1).find(Boolean);
        stage.insertBefore(one.root, above ? above.root : stage.querySelector(".over"));
      }
      layers.forEach(function (other, place) { other.root.classList.toggle("away", place > index); });
      one.root.classList.toggle("close", view.zoom > 3);
      one.look(view, size());
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

  var root = document.getElementById("viewer");
  if (root) { viewer(root); }
}());
