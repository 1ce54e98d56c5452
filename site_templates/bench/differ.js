/* What two people wrote of the same thing, side by side and in words: only what differs. */
import { BOOT, make, say } from "./desk.js";

var LEFT_OUT = ["id", "by", "at"];

/* `theirs` is nothing where they took it away. */
export function differences(theirs, mine) {
  var table = make("table", undefined, "both"), head = make("tr"), top = make("thead"), body = make("tbody");
  head.append(make("td"), column("theirs"), column("mine"));
  top.append(head);
  Object.keys(Object.assign({}, theirs, mine)).forEach(function (name) {
    var row, title, one = theirs ? text(name, theirs[name]) : say("taken_away"), other = mine ? text(name, mine[name]) : say("taken_away");
    if (LEFT_OUT.indexOf(name) >= 0 || one === other) { return; }
    row = make("tr");
    title = make("th", label(name));
    title.scope = "row";
    row.append(title, make("td", one), make("td", other));
    body.append(row);
  });
  table.append(top, body);
  return table;
}
function column(key) {
  var cell = make("th", say(key));
  cell.scope = "col";
  return cell;
}
function label(name) { return BOOT.words["field_" + name] || name; }
function text(name, value) {
  if (value === undefined || value === "") { return "–"; }
  if (BOOT[name] && BOOT[name][value]) { return BOOT[name][value]; }
  if (name === "shapes") { return value.map(shape).join("; "); }
  if (Array.isArray(value)) { return value.map(function (one) { return text("", one); }).join("; "); }
  if (typeof value === "object") { return Object.keys(value).map(function (each) { return text("", value[each]); }).join(", "); }
  return String(value);
}
function shape(one) {
  var points = PortalShapes.lists(one).map(function (list) { return one[list]; }).join(" ").split(/\s+/).filter(Boolean);
  return say("shape_drawn", { shape: BOOT.shapes[one.shape], n: points.length, at: (points[0] || "").replace(",", ", ") });
}
