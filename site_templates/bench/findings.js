/* The findings that are on the picture: listed, gone on with, taken away. */
import { desk, draft, get, make, on, say } from "./desk.js";
import { changed, fresh } from "./change.js";
import { settled } from "./save.js";

function findings() {
  var list = get("findings");
  list.replaceChildren();
  if (!desk.picture.findings.length && !desk.picture.also.length) { list.append(make("li", say("no_findings"), "small")); }
  desk.picture.findings.concat(desk.picture.also).forEach(function (one) {
    var item = make("li"), button = make("button"), gone;
    button.type = "button";
    button.append(make("b", one.data.id), " " + one.term + ", " + one.data.zone, make("br"),
      make("span", (one.home ? say("more_from", { home: one.home }) + " " : "") + one.sentence, "small"));
    button.addEventListener("click", function () { edit(one); });
    item.append(button);
    if (one.sent) { item.append(make("span", say("sent"), "small")); }
    else {
      gone = make("button", "×");
      gone.type = "button";
      gone.setAttribute("aria-label", say("take_away") + " " + one.data.id);
      gone.addEventListener("click", function () { takeAway(one); });
      item.append(gone);
    }
    list.append(item);
  });
}
export async function edit(one) {
  var kind = (one.data.shapes || [])[0];
  if (!(await settled())) { return; }
  desk.history = PortalHistory.start(kept(one, PortalDraft.from(one.data, one.seen)));
  if (kind) { desk.last.characteristic = kind.characteristic; desk.last.shape = kind.shape; }
  desk.looking = true;
  changed(true);
  get("panel").scrollTop = 0;
}
/* Of a finding that is written under another picture only what is drawn here. */
function kept(one, draft) { return one.home ? Object.assign(draft, { kind: "also" }) : draft; }
async function takeAway(one) {
  var now;
  if (!(await settled())) { return; }
  now = listed(one.data.id) || one;
  desk.history = PortalHistory.start(kept(one, Object.assign(PortalDraft.start({}), { id: one.data.id, digest: now.seen })));
  desk.dirty = true;
  if (await settled()) { fresh(); }
}
function listed(id) { return desk.picture.findings.concat(desk.picture.also).find(function (one) { return one.data.id === id; }); }
export function takeAwayDraft() {
  var now = draft(), own = listed(now.id);
  if (now.id && !(own && own.sent)) { takeAway(own || { data: { id: now.id }, seen: now.digest, home: now.kind === "also" }); }
  else if (!own) { fresh(); }
}
on("picture", findings);
