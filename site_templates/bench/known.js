/* What can be chosen for the picture that is open: looked up, never changed. */
import { desk, draft, fields } from "./desk.js";

export function classOf(id) { return desk.picture.choices.classes.find(function (one) { return one.id === id; }); }
export function characteristicOf(id) { return desk.picture.choices.characteristics.find(function (one) { return one.id === id; }); }
export function limited() { return desk.picture.choices.limited[fields().defect + "|" + fields().zone] || []; }
/* What is limited there; where nothing is, what is limited for that class in other zones of the part. */
export function proposed() {
  var own = limited();
  return own.length ? own : of(function (one) { return one.split("|")[0] === fields().defect; });
}
function of(wanted) {
  var all = desk.picture.choices.limited;
  return Object.keys(all).filter(wanted).reduce(function (found, one) { return found.concat(all[one]); }, []);
}
/* What comes into question for class and zone: what is proposed; else what the part's criteria limit anywhere, or was measured before. */
export function likely() {
  var known = desk.picture.choices, first = proposed();
  if (!first.length) { first = of(function () { return true; }); }
  return first.length ? first : known.characteristics.filter(function (one) { return one.used; }).map(function (one) { return one.id; });
}
export function offered() {
  var first = likely();
  return desk.picture.choices.characteristics.slice().sort(function (one, other) {
    return (first.indexOf(other.id) + 1 ? 1 : 0) - (first.indexOf(one.id) + 1 ? 1 : 0);
  });
}
/* What a shape that is begun now would be. */
export function kindNow() {
  var own;
  if (draft().kind === "masks") { return { characteristic: "area", shape: "outline", edge: "sharp" }; }
  if (PortalDraft.isLine(draft())) { return { characteristic: "length", shape: "line", edge: "sharp" }; }
  own = classOf(fields().defect);
  return { characteristic: desk.last.characteristic, shape: desk.last.shape, edge: own ? own.edge : "sharp" };
}
