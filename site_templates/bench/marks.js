/* What else can be drawn on a picture: more of a finding of another picture of the piece, masks, the known feature. */
import { desk, draft, get, make, on, say, tell } from "./desk.js";
import { fresh } from "./change.js";
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
  get("note").disabled = Boolean(kind);
}
["drawn", "begun", "picture", "saved"].forEach(function (what) { on(what, show); });
on("leave", async function () { if (await settled()) { fresh(); } });
