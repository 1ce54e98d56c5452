/* What else can be drawn on a picture: more of a finding of another picture of the piece, masks, the known feature. */
import { desk, draft, get, make, on, say, step, tell } from "./desk.js";
import { changed, fresh } from "./change.js";
import { settled } from "./save.js";

function begin(next) {
  return async function () {
    if (!(await settled())) { return; }
    if (draft().kind && draft().kind === next().kind && draft().id === next().id) { fresh(); return; }
    desk.history = PortalHistory.start(next());
    desk.looking = false;
    desk.chosen = null;
    desk.traces = [];
    tell("begun");
    get("window").focus({ preventScroll: true });
  };
}
function ofPicture(kind, texts, digest) {
  return begin(function () {
    var marks = desk.picture.marks;
    return PortalDraft.ofPicture(kind, texts(marks), digest(marks));
  });
}
/* What is of known length: its line, and what is said of it. */
function ofLength(kind) {
  return begin(function () {
    var marks = desk.picture.marks, fields = Object.assign({}, marks[kind + "Said"]);
    delete fields.points;
    return PortalDraft.ofPicture(kind, marks[kind] ? [marks[kind]] : [], marks[kind + "Seen"], fields);
  });
}
/* A form's `elements` has a `length` of its own. */
function field(name) { return get("known-length").elements[name === "length" ? "stated" : name]; }
function lengthShown() {
  var form = get("known-length"), now = draft(), hidden = now.kind !== "reference" && now.kind !== "bar";
  form.hidden = hidden;
  if (hidden) { return; }
  form.querySelectorAll("[data-of]").forEach(function (one) { one.hidden = one.dataset.of !== now.kind; });
  ["length", "u", "source"].forEach(function (name) { if (document.activeElement !== field(name)) { field(name).value = now.fields[name] || ""; } });
  field("u").required = now.kind === "reference";
  if (now.shapes.length && now.open < 0 && !now.fields.length && document.activeElement === get("window")) { field("length").focus(); }
}
function lengthSaid() {
  var names = draft().kind === "bar" ? ["length"] : ["length", "u", "source"], next = draft();
  names.forEach(function (name) {
    if ((next.fields[name] || "") !== field(name).value.trim()) { next = PortalDraft.field(next, name, field(name).value.trim()); }
  });
  if (next !== draft()) { step(next); changed(); }
}
get("known-length").addEventListener("change", lengthSaid);
get("known-length").addEventListener("submit", function (event) {
  event.preventDefault();
  lengthSaid();
  get("window").focus({ preventScroll: true });
});
function more(one) {
  return begin(function () {
    var fields = { defect: one.defect, zone: one.zone, seen: desk.me.seen };
    return Object.assign(PortalDraft.start(fields), { kind: "also", id: one.id });
  });
}
function show() {
  var group = get("elsewhere"), picture = desk.picture, kind = draft().kind;
  function add(text, on, act) {
    var button = make("button", text);
    button.type = "button";
    button.setAttribute("aria-pressed", String(on));
    button.addEventListener("click", act);
    group.append(button);
  }
  if (!picture) { return; }
  group.replaceChildren();
  picture.elsewhere.forEach(function (one) {
    add(say("more_of", { id: one.id, term: one.term, home: one.home }), kind === "also" && draft().id === one.id, more(one));
  });
  if (picture.marks.feature) {
    add(say("known", { feature: picture.marks.feature }), kind === "known", ofPicture("known", function (marks) { return marks.known ? [marks.known] : []; },
      function (marks) { return marks.knownSeen; }));
  }
  add(say("masks"), kind === "masks", ofPicture("masks", function (marks) { return marks.masks; }, function (marks) { return marks.masksSeen; }));
  ["reference", "bar"].forEach(function (one) { add(say("draw_" + one), kind === one, ofLength(one)); });
  lengthShown();
  get("note").disabled = Boolean(kind);
}
["drawn", "begun", "picture", "saved"].forEach(function (what) { on(what, show); });
on("leave", async function () { if (await settled()) { fresh(); } });
