/* Asking the customer and noting, about the finding in hand, the picture or a spot on it. */
import { BOOT, desk, draft, get, make, on, say, state, tell, tellIn } from "./desk.js";
import { redraw } from "./paint.js";
import { askOrKeep, settled } from "./save.js";

var ASK = "/api/ask", NOTE = "/api/note";
var AFTER_TAP = 600;
var spot = null, where = "";

function form() { return get("talk-form").elements; }
/* Who is no project engineer may note, and is told why nothing else. */
function allowed() {
  var may = BOOT.engineers.indexOf(desk.me.by) >= 0, question = form().what.querySelector("[value=ask]");
  question.disabled = !may;
  get("talk-may").hidden = may;
  if (!may && form().what.value === "ask") { form().what.value = "shop"; }
}
function shown() {
  var id = draft().id, of = form().of.value, before = desk.pointing, asks;
  allowed();
  asks = form().what.value === "ask";
  get("talk-of-finding").hidden = !id;
  get("talk-finding").textContent = id || "";
  if (!id && of === "finding") { form().of.value = "picture"; of = "picture"; }
  desk.pointing = of === "spot" && get("talk").open;
  if (desk.pointing !== before) { tell("pointing"); }
  get("talk-spot").textContent = of !== "spot" ? "" : spot ? say("talk_spot", { spot: near(spot) }) : say("talk_point");
  get("talk-ask").hidden = !asks;
  get("talk-in-words").hidden = of !== "finding";
  get("talk-write").textContent = get("talk-write").dataset[asks ? "ask" : "note"];
}
function refused(error) { tellIn(get("talk-refused"), error); }
/* A spot as it is told: whole pixels are enough to find it. */
function near(text) { return text.split(",").map(function (one) { return String(Math.round(Number(one))); }).join(", ") + " px"; }
function list() {
  var box = get("talk-list"), all = desk.picture ? desk.picture.talk : [];
  var mine = { spot: spot, label: say(form().what.value === "ask" ? "spot_ask" : "spot_note") };
  desk.spots = all.concat(mine).filter(function (one) { return one.spot; }).map(function (one) {
    return { label: one.label, shapes: [{ shape: "point", points: PortalShapes.read(one.spot) }] };
  });
  box.replaceChildren();
  get("h-said").hidden = !all.length;
  all.forEach(function (one) {
    var item = make("li", one.text);
    item.append(make("span", [one.said, one.finding, one.label, one.spot && say("talk_spot", { spot: near(one.spot) })].filter(Boolean).join(", "), "small"));
    box.append(item);
  });
}
get("talk-form").addEventListener("change", function (event) {
  shown();
  if (spot) { list(); redraw(); }
  else if (event.target.value === "spot") { get("window").scrollIntoView({ block: "nearest" }); }  /* a telephone shows one or the other */
});
get("talk").addEventListener("toggle", function () {
  if (get("talk").open && draft().id) { form().of.value = "finding"; }
  shown();
});
get("talk-form").addEventListener("submit", async function (event) {
  var of = form().of.value, asks = form().what.value === "ask", body, told, picture = desk.picture;
  event.preventDefault();
  if (of === "spot" && !spot) { refused(new Error(say("talk_needs_spot"))); return; }
  if (!(await settled())) { return; }
  refused(null);
  body = { picture: picture.key, finding: of === "finding" ? draft().id : "", spot: of === "spot" ? spot : "",
    words: form().words.value.trim(), by: desk.me.by, known: picture.talk.map(function (one) { return one.event; }) };
  Object.assign(body, asks ? { due: form().due.value, in_words: form().in_words.checked, as_it_is: form().as_it_is.checked }
    : { shared: form().what.value === "shared" });
  state("saving", say("saving"));
  try {
    told = await askOrKeep(asks ? ASK : NOTE, body, say("talk_named", { picture: picture.name, words: body.words }));
    if (told) { state("saved", say(asks ? "talk_asked" : "talk_noted")); } else { state("", ""); }
    if (form().words.value.trim() === body.words) { form().words.value = ""; }  /* what was typed meanwhile stays */
    form().as_it_is.checked = false;
    spot = null;
    if (of === "spot") { form().of.value = "picture"; }  /* the next click draws again */
    said(body.picture, told);
  } catch (error) { state("", ""); refused(error); }
});
function said(key, told) {
  if (told && desk.picture && desk.picture.key === key) { desk.picture.talk = told.talk; }
  list();
  shown();
  redraw();
}
on("heard", function (one) { if (one.path === ASK || one.path === NOTE) { said(one.body.picture, one.told); } });
/* A tap's click comes last, to what lies under the finger then: nothing may move before it. */
function toWords() {
  var words = form().words;
  function inSight() { words.focus({ preventScroll: true }); words.scrollIntoView({ block: "nearest" }); }
  words.focus({ preventScroll: true });
  get("window").addEventListener("click", inSight, { once: true });
  window.setTimeout(function () { get("window").removeEventListener("click", inSight); }, AFTER_TAP);
}
on("pointed", function (point) {
  spot = point.x.toFixed(2) + "," + point.y.toFixed(2);
  shown();
  list();
  redraw();
  toWords();
});
on("picture", function () {
  if (where !== desk.picture.key && form().of.value === "spot") { form().of.value = "picture"; }  /* on another one a click draws */
  where = desk.picture.key;
  spot = null;
  refused(null);
  list();
  shown();
});
on("drawn", shown);
on("begun", shown);
