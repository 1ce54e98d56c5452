/* Same as in another cavity: class, zone, what is measured and how come from its finding, the drawing is asked for. */
import { desk, draft, get, make, on, remember, say, state } from "./desk.js";
import { fresh } from "./change.js";
import { choicesShown } from "./choose.js";
import { characteristicOf } from "./known.js";
import { settled } from "./save.js";

var turn = -1, of = "";

/* The last one drawn in another cavity; again, the one before. */
export async function sameAs(index) {
  var all = desk.picture.same, one, last = desk.last;
  if (of !== desk.picture.key) { of = desk.picture.key; turn = -1; }
  if (!all.length) { state("", say("same_none")); return; }
  turn = index === undefined ? (turn + 1) % all.length : index;
  one = all[turn];
  if (!(await settled())) { return; }
  Object.assign(last, { defect: one.defect, zone: one.zone, characteristic: one.characteristic, shape: one.shape });
  remember();
  desk.looking = false;
  fresh();
  if (characteristicOf(one.characteristic)) { Object.assign(last, { characteristic: one.characteristic, shape: one.shape }); }
  choicesShown();
  state("", say("same_draw", { cavity: one.cavity, term: one.term, zone: one.zone }));
  get("window").focus({ preventScroll: true });
}
function hide() { get("same-box").hidden = !desk.picture.same.length || draft().shapes.length > 0 || Boolean(draft().id || draft().kind); }
function show() {
  var group = get("same");
  group.replaceChildren();
  hide();
  desk.picture.same.forEach(function (one, index) {
    var button = make("button", say("same_as", { cavity: one.cavity, term: one.term, zone: one.zone }));
    button.type = "button";
    if (!index) { button.append(" ", make("kbd", ",")); }
    button.addEventListener("click", function () { sameAs(index); });
    group.append(button);
  });
}
on("picture", show);
on("begun", hide);
on("saved", hide);
on("drawn", hide);
