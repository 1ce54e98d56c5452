/* What the picture is said to show, and how it was made. */
import { BOOT, ask, desk, get, make, on, say, tell } from "./desk.js";

var opened = "";

export function placeLists() {
  var form = get("place"), picture = desk.picture, known = picture.places, place = desk.place;
  function fill(name, all, value) {
    var select = form.elements[name], own;
    select.replaceChildren();
    all.forEach(function (one) {
      var made = make("option", one[1]);
      made.value = one[0];
      select.append(made);
    });
    if (!all.some(function (one) { return one[0] === value; })) {
      own = make("option", value || say("none"));
      own.value = value;
      select.prepend(own);
    }
    select.value = value;
  }
  function same(all) { return all.map(function (one) { return [one, one]; }); }
  fill("cavity", same(known.cavities), place.cavity);
  fill("shot", same(known.shots), place.shot);
  fill("view", same(known.views[place.cavity] || []), place.view);
  fill("setting", known.settings.map(function (one) { return [one.join("\n"), one.join(", ")]; }),
    place.scope ? place.scope + "\n" + place.setting : "");
  fill("made", Object.keys(BOOT.made).map(function (one) { return [one, BOOT.made[one]]; }), place.made || "single");
  get("proposed").hidden = picture.tagged;
  get("confirm").disabled = !complete();
  get("place-open").open = opened === picture.key && get("place-open").open || !place.cavity || !place.view || !place.setting;
  opened = picture.key;
  get("place-said").textContent = [place.cavity && say("cavity", { cavity: place.cavity }), place.shot && say("shot", { shot: place.shot }),
    place.view, place.setting].filter(Boolean).join(", ") || say("untagged");
  get("scale-said").textContent = picture.scaleSaid;
  get("noscale").textContent = picture.replaced.said ? "" : picture.noScale || picture.marks.reference && picture.scaleSaid;
  get("noscale").hidden = !get("noscale").textContent;
  get("noscale").classList.toggle("warn", Boolean(picture.noScale));
}
get("place").addEventListener("change", function (event) {
  var both;
  if (event.target.name === "setting") {
    both = event.target.value.split("\n");
    desk.place.scope = both[0];
    desk.place.setting = both[1] || "";
  } else { desk.place[event.target.name] = event.target.value; }
  placePiece();
  placeLists();
  desk.placed = desk.picture.tagged;
  tell("placed");
  if (!desk.picture.tagged) { asSaid(); }
});
/* What can be chosen, the scale, the other pictures of the piece: all go by what an untagged picture is said to show. */
async function asSaid() {
  var of = desk.picture, place = JSON.stringify(desk.place), told;
  try { told = await ask("/api/placed", { picture: of.key, place: desk.place }); } catch (error) { return; }
  if (desk.picture !== of || JSON.stringify(desk.place) !== place) { return; }
  told.choices.classes = of.choices.classes;
  desk.picture = told;
  tell("renewed");
  tell("picture");
  tell("placed");
}
/* A proposal is written with the first finding, or as it is as soon as somebody says so. */
function complete() { return Boolean(desk.place.cavity && desk.place.view); }
export function confirm() {
  if (desk.picture.tagged || !complete()) { return false; }
  desk.placed = true;
  tell("placed");
  return true;
}
export function placePiece() {
  var fitting = desk.picture.places.pieces.filter(function (one) { return one[1] === desk.place.cavity && one[2] === desk.place.shot; });
  desk.place.piece = fitting.length === 1 ? fitting[0][0] : "";
}
get("confirm").addEventListener("click", function () { confirm(); get("window").focus({ preventScroll: true }); });
on("picture", placeLists);
