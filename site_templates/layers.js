"use strict";
/* The pixels of a picture under its outlines, on a site and on the bench. */
var PortalLayers = {
  /*
   * A size of the picture, drawn in the frame of the outlines, so that both lie alike on the screen whatever the
   * browser rounds: one file, or of many tiles those in view.
   */
  layered: function (image, wanted) {
    var KEPT = 60, SVG = "http://www.w3.org/2000/svg", root = document.createElementNS(SVG, "svg"), here = new Map();
    root.setAttribute("class", "layer");
    root.setAttribute("viewBox", "0 0 " + image.width + " " + image.height);
    root.setAttribute("preserveAspectRatio", "none");
    function add(file, place) {
      var one = document.createElementNS(SVG, "image");
      ["x", "y", "width", "height"].forEach(function (name) { one.setAttribute(name, String(place[name])); });
      one.setAttribute("preserveAspectRatio", "none");
      one.setAttribute("decoding", "async");
      one.setAttribute("href", file);
      root.appendChild(one);
      return one;
    }
    /* Of the tiles that were left behind some stay, those seen last. */
    function look(view, size) {
      var near = PortalGeometry.tiles(view, size, image, wanted[3], wanted[4]);
      near.forEach(function (tile) {
        var one = here.get(tile.number) || add(wanted[5][tile.number], tile);
        here.delete(tile.number);
        here.set(tile.number, one);
      });
      Array.from(here.keys()).slice(0, Math.max(here.size - Math.max(KEPT, near.length), 0)).forEach(function (number) {
        here.get(number).remove();
        here.delete(number);
      });
    }
    if (wanted[0]) { add(wanted[0], { x: 0, y: 0, width: wanted[1], height: wanted[2] }); }
    return { root: root, look: wanted[0] ? function () {} : look };
  }
};
