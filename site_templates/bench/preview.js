/*
 * The review page as it will be, drawn anew after each change. The next page loads behind the one that is shown, at the
 * same place, so that nothing jumps.
 */
import { nextVersion } from "./turns.js";

var BOOT = JSON.parse(document.getElementById("preview-data").textContent);
var box = document.getElementById("main"), said = document.getElementById("state");
var version = BOOT.version, part = 0, shown = null;

function draw() {
  var next = document.createElement("iframe"), of = part;
  if (!BOOT.pages.length) { return; }
  next.title = document.title;
  next.addEventListener("load", function () {
    if (of !== part || !next.isConnected) { next.remove(); return; }
    if (shown && shown.dataset.part === String(of)) { goOn(shown.contentWindow, next.contentWindow); }
    if (shown) { shown.remove(); }
    next.contentDocument.addEventListener("click", stay);
    next.classList.remove("coming");
    shown = next;
    said.textContent = BOOT.said;
    box.dataset.version = String(version);
  });
  next.dataset.part = String(of);
  next.className = "coming";
  next.src = BOOT.pages[of];
  box.append(next);
}
/* Where it was read, by the last named thing at the window's top; else as far down as it was. */
function goOn(from, to) {
  var named = Array.from(from.document.querySelectorAll("main [id]")).filter(function (one) { return one.getBoundingClientRect().top <= 60; }).pop();
  var same = named && to.document.getElementById(named.id);
  to.scrollTo({ top: from.scrollY, behavior: "instant" });
  if (same) { to.scrollBy({ top: same.getBoundingClientRect().top - named.getBoundingClientRect().top, behavior: "instant" }); }
}
/* Only this page is drawn; a link to another one leads nowhere here. */
function stay(event) {
  var link = event.target.closest && event.target.closest("a[href]");
  if (link && link.getAttribute("href").charAt(0) !== "#") { event.preventDefault(); }
}
async function look(known) {
  var answer = await fetch("/api/changes/" + BOOT.key + "/" + known + "?language=" + BOOT.language);
  if (!answer.ok) { throw answer; }
  return answer.json();
}
async function wait() {
  var told;
  try {
    told = await nextVersion(version, look);
    if (told.version !== version) { version = told.version; draw(); }
    window.setTimeout(wait, 20);
  } catch (error) {
    said.textContent = BOOT.gone;
    window.setTimeout(wait, 1000);
  }
}
document.querySelectorAll("[data-part]").forEach(function (button) {
  button.addEventListener("click", function () {
    part = Number(button.dataset.part);
    document.querySelectorAll("button[data-part]").forEach(function (each) { each.setAttribute("aria-pressed", String(each === button)); });
    draw();
  });
});
draw();
wait();
