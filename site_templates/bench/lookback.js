/* What a failed check put in doubt, gone through finding by finding: the same, or changed and measured anew. */
import { ask, desk, get, say, state } from "./desk.js";
import { edit } from "./findings.js";
import { openTrial } from "./trial.js";

var KEYS = { s: "[data-again=same]", c: "[data-again=changed]", o: "[data-open]" };
var turn = 0;

function box() { return get("scale-backs"); }
function rows(of) { return Array.from(of.querySelectorAll(".again li")); }
function backOf(row) { return row.closest(".lookback"); }
export function showBacks(html) {
  turn += 1;
  box().replaceChildren.apply(box(), Array.from(new DOMParser().parseFromString(html, "text/html").body.childNodes));
  box().querySelectorAll(".lookback").forEach(counted);
}
/* What stood there before may be done by now; an answer that comes behind a newer one is none. */
export async function lookBacks() {
  var told, mine;
  showBacks("");
  mine = turn;
  try {
    told = await ask("/api/look-backs");
    if (mine === turn) { showBacks(told.html); }
  } catch (error) { state("waiting", error.message); }
}
/* The first that is left, else what ends the list. */
export function toFirst() {
  var back = box().querySelector(".lookback");
  if (back) { toNext(back, -1); }
  return Boolean(back);
}
function toNext(back, from) {
  var all = rows(back), left = all.slice(from + 1).concat(all.slice(0, from + 1)).find(function (one) { return one.dataset.left === "yes"; });
  (left ? left.querySelector("button") : back.querySelector("[data-close]")).focus();
}
function counted(back) {
  var all = rows(back), left = all.filter(function (one) { return one.dataset.left === "yes"; }).length, count = back.querySelector("[data-count]");
  if (count) { count.textContent = say("looked_left", { done: all.length - left, all: all.length, left: left }); }
}
function refused(back, error) {
  var warn = back.querySelector(".warn");
  warn.hidden = !error;
  warn.textContent = error ? error.message + (error.hint ? " – " + error.hint : "") : "";
}
function body(back, note, more) {
  var of = back.dataset;
  return Object.assign({ scope: of.scope, setting: of.setting, kind: of.kind, place: Number(of.place), name: of.name,
    note: note.value.trim(), by: desk.me.by }, more);
}
async function mark(row, result) {
  var back = backOf(row), told;
  refused(back, null);
  state("saving", say("saving"));
  try {
    told = await ask("/api/look-again", body(back, row.querySelector("input"), { part: row.dataset.part, finding: row.dataset.finding, result: result }));
    row.dataset.left = told.left ? "yes" : "no";
    row.querySelector(".said").textContent = told.said;
    counted(back);
    state("saved", say("looked_again"));
    if (result === "changed") { await open(row); } else { toNext(back, rows(back).indexOf(row)); }
  } catch (error) { state("", ""); refused(back, error); }
}
async function open(row) {
  var found;
  await openTrial(row.dataset.trial, row.dataset.picture);
  found = desk.picture && desk.picture.key === row.dataset.picture && desk.picture.findings.find(function (one) { return one.data.id === row.dataset.finding; });
  if (found) { await edit(found); }
}
async function close(back) {
  refused(back, null);
  state("saving", say("saving"));
  try {
    showBacks((await ask("/api/look-back", body(back, back.querySelector("[name=close]"), {}))).html);
    state("saved", say("looked_back"));
    if (!toFirst()) { get("scale-window").focus(); }
  } catch (error) { state("", ""); refused(back, error); }
}
function act(target) {
  var row = target.closest(".again li");
  if (target.dataset.again) { mark(row, target.dataset.again); }
  if (target.dataset.open !== undefined) { open(row); }
  if (target.dataset.close !== undefined) { close(target.closest(".lookback")); }
}
box().addEventListener("click", function (event) {
  var button = event.target.closest("button");
  if (button) { act(button); }
});
box().addEventListener("keydown", function (event) {
  var row = event.target.closest(".again li"), all, next;
  if (!row || event.target.closest("input") || event.ctrlKey || event.altKey || event.metaKey) { return; }
  if (KEYS[event.key]) { act(row.querySelector(KEYS[event.key])); event.preventDefault(); }
  if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    all = rows(box());
    next = all[all.indexOf(row) + (event.key === "ArrowDown" ? 1 : -1)];
    if (next) { next.querySelector("button").focus(); }
    event.preventDefault();
  }
});
