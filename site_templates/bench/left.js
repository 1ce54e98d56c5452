/*
 * What can't be written as it is: two versions of what is in hand beside it, anything else on top of the page, until somebody
 * chooses, has it tried again, or lets it go.
 */
import { get, make, on, say, worded } from "./desk.js";
import { button, clash } from "./clash.js";
import { adopt, bodyOf, drop } from "./kept.js";
import { again, clashing, keepMine, keepTheirs, left, send } from "./save.js";

var LOOK_EVERY = 5000;
var shown = null;

function choice(one, name) { return clash(one, name, function () { keepMine(one); }, function () { keepTheirs(one); }); }
/* What it was: several may be of one picture. */
function named(one) { return [one.name, bodyOf(one).id].filter(Boolean).join(", "); }
function inHand() {
  var one = clashing(), box = get("conflict");
  if (one && one.told === shown && !box.hidden) { return; }
  shown = one ? one.told : null;
  box.hidden = !one;
  box.replaceChildren.apply(box, one ? choice(one, "") : []);
  if (one) { get("panel").scrollTop = 0; box.querySelector("button").focus(); }
}
function others() {
  var box = get("left");
  box.replaceChildren();
  left().forEach(function (one) {
    var item = make("div");
    if (one.told) { item.append.apply(item, choice(one, named(one) + ": ")); }
    else {
      item.append(make("p"), button(say("left_anew"), function (event) { event.target.disabled = true; again(one); }),
        button(say("left_go"), function () { drop(one); }));
      item.firstChild.append.apply(item.firstChild, worded(say("left", { picture: named(one), reason: one.said })));
    }
    box.append(item);
  });
  box.hidden = !box.children.length;
}
function show() { inHand(); others(); }
["kept", "begun", "drawn", "picture"].forEach(function (what) { on(what, show); });

/* What tabs left that are gone: at once, and while this one is open. */
export async function sendLeft() {
  await adopt();
  show();
  await Promise.race([send(), new Promise(function (done) { window.setTimeout(done, 3000); })]);
  window.setInterval(async function () { await adopt(); send(); }, LOOK_EVERY);
}
