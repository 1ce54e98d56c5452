/*
 * Measured while drawing: one question on its way, the newest waits; older answers than the one shown are dropped.
 */
import { ask, desk, draft, get, make, on, say, tellIn } from "./desk.js";
import { redraw, tentative } from "./paint.js";
import { samples } from "./samples.js";

var AGAIN_AFTER = 1500;
var number = 0, answered = 0, asking = false, again = false, later = 0;

export function askAbout() {
  var data = PortalDraft.data(tentative());
  if (!desk.picture || PortalDraft.isOfPicture(draft()) || !(data.shapes || data.gauge || data.checks) || !data.defect || !data.zone) { nothing(); return; }
  if (asking) { again = true; return; }
  askNow(data);
}
/* Nor is anything told that is still on its way. */
function nothing() {
  var told = desk.traces.length;
  again = false;
  answered = number;
  desk.traces = [];
  get("answer").replaceChildren();
  if (told) { redraw(); }
}
async function askNow(data) {
  var of = desk.picture, mine, told;
  again = false;
  mine = number += 1;
  asking = true;
  if (draft().id) { data.id = draft().id; }
  try {
    told = await ask("/api/measure", { number: mine, picture: of.key, shown: of.shown, place: desk.place, finding: data,
      what: draft().kind || "finding" });
    if (told.number > answered && desk.picture && desk.picture.key === of.key) { show(told); }
  } catch (error) {
    if (mine > answered) { answered = mine; silent(error.gone ? new Error(say("no_verdict")) : error); }
    if (error.gone) { again = false; window.clearTimeout(later); later = window.setTimeout(askAbout, AGAIN_AFTER); }
  }
  asking = false;
  if (again) { askAbout(); }
}
/* What was told before is not of what is drawn now. */
function silent(error) {
  var why = make("div", undefined, "small");
  tellIn(why, error);
  get("answer").replaceChildren(why);
  desk.traces = [];
  redraw();
}
function show(told) {
  var traced = desk.traces.length + told.traces.length;
  answered = told.number;
  samples(told.beside);
  get("compare").hidden = !told.compares;
  get("answer").dataset.number = String(told.number);
  get("answer").replaceChildren.apply(get("answer"), Array.from(new DOMParser().parseFromString(told.html, "text/html").body.childNodes));
  desk.traces = told.traces;
  if (traced) { redraw(); }
}
on("back", askAbout);
on("drawn", askAbout);
on("placed", askAbout);
on("begun", function () {
  get("answer").replaceChildren();
  get("compare").hidden = true;
  answered = number;
});
