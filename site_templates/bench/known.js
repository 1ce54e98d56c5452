/* What can be chosen for the picture that is open: looked up, never changed. */
import { desk, draft, fields } from "./desk.js";

export function classOf(id) { return desk.picture.choices.classes.find(function (one) { return one.id === id; }); }
export function characteristicOf(id) { return desk.picture.choices.characteristics.find(function (one) { return one.id === id; }); }
export function limited() { return desk.picture.choices.limited[fields().defect + "|" + fields().zone] || []; }
/* What comes into question for class and zone: what is limited there; else what the part's criteria limit anywhere, or was measured before. */
export function likely() {
  var known = desk.picture.choices, all = known.limited, first = limited();
  if (!first.length) { first = Object.keys(all).reduce(function (found, one) { return found.concat(all[one]); }, []); }
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
