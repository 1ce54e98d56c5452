/* The finding in hand is begun or changed; whoever shows, measures or writes it is told. */
import { desk, draft, fields, say, state, tell } from "./desk.js";
import { characteristicOf, classOf, proposed } from "./known.js";

export function changed(quiet) {
  desk.chosen = null;
  desk.offer = null;
  if (!quiet) { desk.dirty = PortalDraft.complete(draft()) || Boolean(draft().id || draft().digest); }
  tell("drawn");
  if (!quiet) { unfinished(); tell("changed"); }
}
/* A shape may take more points, and be one already; a base has an end of its own. */
function lacking(shape) {
  if (shape && shape.stage === "point") { return "needs_tip"; }
  if (shape && shape.stage === "base") { return shape.base.length < 3 ? "needs_points" : "needs_base"; }
  return shape && PortalShapes.complete(shape) ? "needs_enter" : "needs_points";
}
function unfinished() {
  var now = draft();
  if (!now.shapes.length || now.kind) { return; }
  if (!now.fields.defect) { state("", say("unfinished", { what: say("needs_class") })); }
  else if (!now.fields.zone) { state("", say("unfinished", { what: say("needs_zone") })); }
  else if (!PortalDraft.complete(now)) { state("", say("unfinished", { what: say(lacking(now.shapes[now.open])) })); }
}
/* The next finding begins with what the last one was. */
export function fresh() {
  var known, last = desk.last;
  if (!desk.picture) { return; }
  known = desk.picture.choices;
  if (!last.defect || !classOf(last.defect)) { last.defect = known.classes.length ? known.classes[0].id : ""; }
  if (!known.zones.some(function (one) { return one.name === last.zone; })) { last.zone = known.zones.length ? known.zones[0].name : ""; }
  desk.history = PortalHistory.start(PortalDraft.start({ defect: last.defect, zone: last.zone, seen: desk.me.seen }));
  if (!characteristicOf(last.characteristic)) { last.characteristic = proposed()[0] || known.characteristics[0].id; }
  if (proposed().length && proposed().indexOf(last.characteristic) < 0) { last.characteristic = proposed()[0]; }
  if (characteristicOf(last.characteristic).shapes.indexOf(last.shape) < 0) { last.shape = characteristicOf(last.characteristic).shapes[0]; }
  desk.chosen = null;
  desk.traces = [];
  tell("begun");
}
/* One thing about the finding in hand is another. */
export function setField(name, value) {
  desk.history = PortalHistory.step(desk.history, PortalDraft.field(draft(), name, value));
  changed();
}
export function without(name, place) {
  setField(name, fields()[name].filter(function (each, index) { return index !== place; }));
}
