/* What can be chosen for the picture that is open: looked up, never changed. */
import { desk, draft, fields } from "./desk.js";

export function classOf(id) { return desk.picture.choices.classes.find(function (one) { return one.id === id; }); }
export function characteristicOf(id) { return desk.picture.choices.characteristics.find(function (one) { return one.id === id; }); }
export function limited() { return desk.picture.choices.limited[fields().defect + "|" + fields().zone] || []; }
export function offered() {
  var first = limited();
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
