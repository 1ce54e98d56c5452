"use strict";
(function () {
  /* Lay a limit sample, which is at the same scale, over the part. */
  function layable(figure) {
    var lay = figure.querySelector(".lay"), button, label, range, words, field, copy = null;
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
      copy.querySelectorAll("path").forEach(function (line) { line.remove(); });
      copy.classList.add("laid");
      /* as large as the part's own field, over its pixels and under its lines */
      field = under.getAttribute("viewBox").split(" ");
      ["x", "y", "width", "height"].forEach(function (name, place) { copy.setAttribute(name, field[place]); });
      under.firstElementChild.after(copy);
      button.setAttribute("aria-pressed", "true");
      button.textContent = button.dataset.on;
      label.hidden = false;
      strength();
    }
    plates.addEventListener("lay-away", away);
    button.addEventListener("click", function () { if (copy) { away(); } else { over(); } });
    range.addEventListener("input", strength);
  }

  document.querySelectorAll(".layable").forEach(layable);
}());
