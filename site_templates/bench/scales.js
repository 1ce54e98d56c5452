/* Calibrating and checking a setting by pictures of a stage micrometer; Python reads, compares and writes. */
import { ask, desk, get, make, on, say, state, tellIn } from "./desk.js";
import { lookBacks, showBacks, toFirst } from "./lookback.js";
import { rebuilt } from "./rebuilt.js";
import { settled } from "./save.js";
import { lineDrawn, showMarks, showOn, takeLine } from "./scalepicture.js";
import { only } from "./screens.js";
import { leave, toDesk } from "./trial.js";

var LOOK_EVERY = 1500, PITCH = "portal-bench-pitch";
var mode = "check", known = null, asked = null, looking = 0, looks = 0, done = false, unheard = false, turn = 0;

function form() { return get("scale").elements; }
function settingNow() { return known.settings[Number(form().setting.value)] || null; }
function byLine() { return mode === "check" && form().how.value === "line"; }
function pictureNow() { return known.pictures.find(function (one) { return one.key === form().picture.value; }) || null; }

export async function toScales() {
  var backs;
  if (!get("scales").hidden) { toDesk(); return; }
  if (!(await settled())) { return; }
  leave();
  only("scales");
  known = null;
  form().pitch.value = "";
  forget();
  backs = lookBacks();
  await look();
  await backs;
}
async function toBacks() {
  await toScales();
  if (!get("scales").hidden) { toFirst(); }
}
/* New pictures appear while the page is open. */
async function look() {
  var next, mine = looks += 1;
  window.clearTimeout(looking);
  if (get("scales").hidden) { return; }
  try {
    next = document.hidden && known ? known : await ask("/api/scales");
    if (mine !== looks) { return; }
    if (JSON.stringify(next) !== JSON.stringify(known)) { fill(next); }
  } catch (error) { refused(error); }
  looking = window.setTimeout(look, LOOK_EVERY);
}
function fill(next) {
  var first = !known, own, newest = known && known.pictures.length ? known.pictures[0].key : "";
  known = next;
  options(form().setting, next.settings.map(function (one, index) { return [String(index), one.scope + ", " + one.setting]; }));
  listed();
  if (first) { form().setting.value = proposedSetting(); form().valid_until.value = form().valid_until.value || next.until; }
  /* What was sent without an answer may be written, and its picture gone for that: it waits to be sent again. */
  own = proposed();
  if (first || !unheard && own && own.key === next.pictures[0].key && own.key !== newest) { form().picture.value = own ? own.key : ""; forget(); }
  settingChosen(first && !form().pitch.value);  /* what somebody typed before the list was there stays */
  noneProposed();
  if (!done && !unheard) { pictureChosen(); }
  if (first && mode === "check" && form().pitch.value && pictureNow()) { measure(); }
}
function listed() {
  var all = known.pictures.map(named);
  options(form().picture, [["", get("scales").dataset.choose]].concat(all));
  options(form().turned, [["", get("scales").dataset.none]].concat(all));
  rebuilt(get("scale-corners"), corners);
  noneProposed();
  get("scale-no-setting").hidden = known.settings.length > 0;
}
/* What has divisions on it, or lies beside the microscope's file; anything else somebody chooses. */
function proposed() {
  var now = settingNow();
  return known.pictures.find(function (one) { return one.likely && (!one.scope || now && one.scope === now.scope); }) || null;
}
/* A picture is chosen, and doesn't lie beside the file of another microscope. */
function fits() { var one = pictureNow(); return Boolean(one && (!one.scope || one.scope === settingNow().scope)); }
function noneProposed() {
  get("scale-none").hidden = known.pictures.length > 0 && (form().picture.value !== "" || done || unheard);
  get("scale-none").textContent = say(known.pictures.length ? "choose_graticule" : "no_graticules");
}
function named(one) { return [one.key, say(one.taken ? "taken" : "untimed", one)]; }
function options(select, all) {
  var before = select.value;
  select.replaceChildren();
  all.forEach(function (one) { var made = make("option", one[1]); made.value = one[0]; select.append(made); });
  if (all.some(function (one) { return one[0] === before; })) { select.value = before; }
  /* What was just written is still shown: the list names no other picture beside it. */
  else if (done && select === form().picture) { select.selectedIndex = -1; }
}
function corners() {
  var box = get("scale-corners"), on = Array.from(box.querySelectorAll(":checked")).map(function (one) { return one.value; });
  box.replaceChildren();
  known.pictures.forEach(function (one) {
    var label = make("label"), tick = make("input");
    tick.type = "checkbox";
    tick.value = one.key;
    tick.checked = on.indexOf(one.key) >= 0;
    tick.addEventListener("change", forget);
    label.append(tick, " " + one.name);
    box.append(label);
  });
}
/* The setting of the picture on the desk, else the one that was last looked at here. */
function proposedSetting() {
  var place = desk.place || {}, found = known.settings.findIndex(function (one) { return one.scope === place.scope && one.setting === place.setting; });
  return String(Math.max(found, 0));
}
/* A division is told once for each setting and remembered, never guessed: a zoom at another click fits another one. */
function pitches() { return JSON.parse(localStorage.getItem(PITCH) || "{}"); }
function settingChosen(renew) {
  var now = settingNow();
  get("scale-in-force").textContent = now ? now.said : "";
  if (now && renew) { form().pitch.value = pitches()[now.scope + "\n" + now.setting] || ""; }
}
function remember() {
  var all = pitches(), now = settingNow();
  all[now.scope + "\n" + now.setting] = form().pitch.value.trim();
  localStorage.setItem(PITCH, JSON.stringify(all));
}
function pictureChosen() {
  var now = pictureNow();
  get("scale-moves").hidden = !now || !now.moves;
  showOn(now);
  takeLine(byLine());
}
/* What was read holds no more; nor does what is still being read. */
function untold() {
  turn += 1;
  asked = null;
  get("scale-told").replaceChildren();
  get("scale-write").hidden = true;
}
function forget() {
  untold();
  done = unheard = false;
  if (known) { noneProposed(); }
  refused(null);
  showMarks([]);
}
function refused(error) { tellIn(get("scale-refused"), error); }
function into(id, html) {
  get(id).replaceChildren.apply(get(id), Array.from(new DOMParser().parseFromString(html, "text/html").body.childNodes));
}
function wanted() {
  var of = form(), now = settingNow(), base = { scope: now.scope, setting: now.setting };
  if (mode === "check") {
    return Object.assign(base, { picture: of.picture.value, pitch: byLine() ? "" : of.pitch.value.trim(),
      points: byLine() ? lineDrawn() : "", length: byLine() ? of.stated.value.trim() : "" });
  }
  return Object.assign(base, { pictures: [of.picture.value, of.turned.value].filter(Boolean), pitch: of.pitch.value.trim(), u: of.u.value.trim(),
    corners: Array.from(get("scale-corners").querySelectorAll(":checked")).map(function (one) { return one.value; }) });
}
async function measure() {
  var body, told, at;
  if (!known || !settingNow() || !pictureNow()) { return; }
  if (done) { forget(); pictureChosen(); }
  if (byLine() && !lineDrawn()) { refused(new Error(say("two_ends"))); return; }
  body = wanted();
  forget();
  at = turn;
  state("", say("measuring"));
  try {
    told = await ask(mode === "check" ? "/api/check" : "/api/calibrate", body);
    if (at !== turn) { return; }  /* another picture or mode was chosen meanwhile */
    asked = Object.assign({ shown: shown(body) }, body);
    if (!byLine()) { remember(); }
    into("scale-told", told.html);
    get("scale-told").dataset.agrees = String(told.agrees);
    if (mode === "check" && !byLine()) { showMarks(told.points.split(" ").map(point), true); }
    if (mode === "calibrate") { showMarks(told.marks[0].map(function (one) { return { x: one[0], y: one[1] }; })); }
    get("scale-write").hidden = told.agrees === null;
    if (!get("scale-write").hidden) { get(mode === "check" ? "scale-write-check" : "scale-write-calibration").focus({ preventScroll: true }); }
  } catch (error) { if (at === turn) { refused(error); } }
  finally { state("", ""); }
}
function point(text) { var both = text.split(","); return { x: Number(both[0]), y: Number(both[1]) }; }
async function write() {
  var told, body = Object.assign({ by: desk.me.by }, asked), of = form();
  if (!asked) { return; }
  if (mode === "calibrate") {
    Object.assign(body, { artefact: of.artefact.value.trim(), certificate: of.certificate.value.trim(), valid_until: of.valid_until.value });
  }
  get("scale-write").hidden = true;
  done = true;  /* what is written stays shown until something else is chosen, though the picture goes from the list */
  state("saving", say("saving"));
  try {
    told = await ask(mode === "check" ? "/api/check-written" : "/api/calibrated", body);
    asked = null;
    unheard = false;
    state("saved", mode === "check" ? say("check_written") : say("calibration_written", { id: told.id }));
    showBacks(told.html);
    if (told.agrees !== true) { toFirst(); }
    known.pictures = known.pictures.filter(function (one) { return used(body).indexOf(one.key) < 0; });
    listed();
  } catch (error) { done = false; unheard = Boolean(error.gone); get("scale-write").hidden = false; state("", ""); refused(error); }
}
/* Of each picture the digest of what is shown of it, by which it is known where it was written without an answer. */
function shown(body) {
  var all = used(body).filter(Boolean).map(function (key) { return (known.pictures.find(function (one) { return one.key === key; }) || {}).shown || ""; });
  return mode === "check" ? all[0] : all;
}
function used(body) { return [body.picture].concat(body.pictures || [], body.corners || []); }
function modeChosen(next) {
  mode = next;
  document.querySelectorAll("[data-mode]").forEach(function (one) { one.setAttribute("aria-pressed", String(one.dataset.mode === mode)); });
  get("scales").querySelectorAll("[data-of]").forEach(function (one) { one.hidden = one.dataset.of !== mode; });
  form().u.required = form().artefact.required = form().valid_until.required = mode === "calibrate";
  howChosen();
}
function howChosen() {
  get("scale-pitch").hidden = byLine();
  get("scale-length").hidden = !byLine();
  form().pitch.required = !byLine();
  form().stated.required = byLine();
  forget();
  takeLine(byLine());
}
get("scale").addEventListener("submit", function (event) { event.preventDefault(); measure(); });
get("scale").addEventListener("change", function (event) {
  if (event.target.name === "how") { howChosen(); return; }
  if (event.target.name === "setting") {
    settingChosen(true);
    if (!fits()) { form().picture.value = (proposed() || { key: "" }).key; pictureChosen(); }
  }
  if (event.target.name === "picture") { pictureChosen(); }
  if (["artefact", "certificate", "valid_until"].indexOf(event.target.name) < 0) { forget(); }
});
get("scale-write").addEventListener("click", function (event) { if (event.target.closest("button")) { write(); } });
document.querySelectorAll("[data-mode]").forEach(function (one) { one.addEventListener("click", function () { modeChosen(one.dataset.mode); }); });
get("to-scales").addEventListener("click", toScales);
get("to-backs").addEventListener("click", toBacks);
on("line-drawn", untold);
