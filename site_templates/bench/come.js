/* Pictures that came while somebody works at others: told once, calmly, with a key that goes to them; nothing moves for it. */
import { desk, get, make, on, say, state } from "./desk.js";
import { openPicture } from "./trial.js";

var AFTER = 700;  /* a burst of pictures is told of once */
var come = new Set(), timer = 0;

/* Those that wait to be opened, as the list has them: one that was tagged or taken away meanwhile waits no more. */
function waiting() { return desk.trial ? desk.trial.pictures.filter(function (one) { return come.has(one.key) && !one.tagged; }) : []; }
function shown() {
  var all = waiting();
  come = new Set(all.map(function (one) { return one.key; }));
  get("come").hidden = !all.length;
  if (all.length) { get("to-come").replaceChildren(say("come", { n: all.length }), " ", make("kbd", "j")); }
  else { get("come-said").textContent = ""; }
}
function told() {
  shown();
  if (come.size && get("scales").hidden) { get("come-said").textContent = say("come_said", { n: come.size }); }
}
function arrived(before) {
  var known = new Set(before.pictures.map(function (one) { return one.key; }));
  var fresh = desk.trial.pictures.filter(function (one) { return !known.has(one.key) && !one.tagged; });
  fresh.forEach(function (one) { come.add(one.key); });
  if (!fresh.length) { shown(); return; }
  window.clearTimeout(timer);
  timer = window.setTimeout(told, AFTER);
}
/* The first of them; each press goes on to the next. */
export function toCome() {
  var first = waiting()[0];
  if (!first) { state("", say("come_none")); }
  if (first) { openPicture(first.key).then(function () { get("window").focus({ preventScroll: true }); }); }
}
get("to-come").addEventListener("click", toCome);
get("come-away").addEventListener("click", function () { come.clear(); shown(); get("window").focus({ preventScroll: true }); });
on("trial", arrived);
on("picture", function () { come.delete(desk.picture.key); shown(); });
