/* Cavity by view: looked at, found, missing; nothing seen; the trial marked checked. */
import { BOOT, desk, get, make, on, refuse, say, state } from "./desk.js";
import { isKept } from "./kept.js";
import { assignNext, isAwaited } from "./next.js";
import { rebuilt } from "./rebuilt.js";
import { askOrKeep, settled } from "./save.js";
import { only } from "./screens.js";
import { asDrawn, countSaid } from "./sights.js";
import { newTrial, openPicture, stay } from "./trial.js";

var LOOKED = "/api/looked", CHECKED = "/api/checked";

export async function nothing(at) {
  var body, told, place = desk.place, wanted = at || { cavity: place.cavity, view: place.view, shot: place.shot };
  var sheets = desk.trial.sheets.filter(function (one) { return one.cavities.indexOf(wanted.cavity) >= 0; });
  if (!at && desk.picture.findings.some(function (one) { return one.data.seen === "yes"; })) { state("", say("nothing_but")); return; }
  if (!wanted.cavity || !wanted.view || !wanted.shot || !sheets.length) { state("", say("nothing_needs")); return; }
  body = { trial: desk.trial.key, cavity: wanted.cavity, view: wanted.view, shot: wanted.shot, condition: conditionOf(sheets[0]), by: desk.me.by };
  try {
    told = await askOrKeep(LOOKED, body, say("nothing_named", wanted));
    if (told) { nothingWritten(body, told); }
  } catch (error) { refuse(error); }
}
function nothingWritten(body, told) {
  if (desk.trial && desk.trial.key === body.trial) { newTrial(told); }
  state("saved", say("nothing_done", body));
}
function conditionOf(one) { return sessionStorage.getItem("condition-" + one.part) || one.conditions[0] || ""; }
function sheet() {
  var box = get("sheet");
  box.replaceChildren();
  desk.trial.sheets.forEach(function (one) {
    var label = make("label", say("condition"), "condition"), select = make("select"), scroll = make("div", undefined, "scroll");
    one.conditions.forEach(function (each) { var made = make("option", each); made.value = each; select.append(made); });
    select.value = conditionOf(one);
    select.addEventListener("change", function () { sessionStorage.setItem("condition-" + one.part, select.value); });
    label.append(select);
    scroll.tabIndex = 0;
    scroll.setAttribute("role", "region");
    scroll.setAttribute("aria-label", say("sheet_of", { part: one.name }));
    scroll.append(table(one));
    box.append(make("h2", say("sheet_of", { part: one.name })), label, scroll);
  });
  checked(box);
  box.append(labels());
}
function labels() {
  var line = make("p", undefined, "row"), link = make("a", say("labels"));
  link.href = "/labels/" + desk.trial.key + "?language=" + BOOT.language;
  link.target = "_blank";
  link.rel = "noopener";
  line.append(link);
  return line;
}
function table(one) {
  var made = make("table", undefined, "contact"), head = make("tr"), body = make("tbody"), top = make("thead");
  head.append(make("td"));
  one.views.forEach(function (view) { var cell = make("th", view.name); cell.scope = "col"; head.append(cell); });
  one.cavities.forEach(function (cavity) {
    var row = make("tr"), name = make("th", cavity);
    name.scope = "row";
    row.append(name);
    one.views.forEach(function (view) {
      row.append(frame(view, one.frames.find(function (each) { return each.cavity === cavity && each.view === view.name; })));
    });
    body.append(row);
  });
  top.append(head);
  made.append(top, body);
  return made;
}
function checked(box) {
  var button = make("button", say("mark_checked"));
  button.type = "button";
  button.id = "mark-checked";
  button.disabled = isKept(CHECKED, desk.trial.key);
  button.addEventListener("click", mark);
  box.append(make("h2", say("checked_title")),
    make("p", button.disabled ? say("checked_kept") : desk.trial.checked || say("unchecked"), "small"), button);
}
async function mark() {
  var body = { trial: desk.trial.key, by: desk.me.by, seen: desk.trial.checkedSeen }, told;
  get("mark-checked").disabled = true;  /* until it is known, or kept */
  try {
    told = await askOrKeep(CHECKED, body, say("checked_named", desk.trial));
    if (told) { checkedWritten(body, told); }
  } catch (error) { state("", error.message); again(); }
}
function checkedWritten(body, told) {
  if (desk.trial && desk.trial.key === body.trial) { newTrial(told); }
  state("saved", say("saved"));
}
function frame(view, own) {
  var cell = make("td"), button, column = make("span", undefined, "head");
  column.append(make("bdi", view.name));
  cell.append(column);
  own.pictures.forEach(function (key) { cell.append(opener(key)); });
  if (own.looked) { cell.append(make("p", say("looked"), "looked")); }
  if (own.missing) {
    button = make("button", own.said, "missing");
    button.type = "button";
    button.append(make("span", say(isAwaited(own) ? "awaits" : "assign_next"), "small"));
    button.setAttribute("aria-pressed", String(isAwaited(own)));
    button.setAttribute("aria-label", say("assign_to", { cavity: own.cavity, view: own.view, said: own.said }));
    button.addEventListener("click", function () { assignNext(own); });
    cell.append(button);
    if (!view.always) {
      desk.trial.shots.slice(0, 1).forEach(function (shot) {
        button = make("button", say("mark_nothing", { shot: shot }));
        button.type = "button";
        button.addEventListener("click", function () { nothing({ cavity: own.cavity, view: own.view, shot: String(shot) }); });
        cell.append(button);
      });
    }
  }
  return cell;
}
function opener(key) {
  var known = desk.trial.pictures.map(asDrawn).find(function (each) { return each.key === key; });
  var open = make("button"), image = make("img");
  open.type = "button";
  image.loading = "lazy";
  image.alt = "";
  image.src = "/picture/" + key + "/0";
  open.append(image, make("span", known ? countSaid(known) : key, "small"));
  open.title = known ? known.name : "";
  open.setAttribute("aria-label", known ? known.name + ", " + countSaid(known) : key);
  open.addEventListener("click", function () { openPicture(key); });
  return open;
}
export async function toSheet() {
  if (!get("sheet").hidden) { only("desk"); return; }
  if (await settled()) { stay(); sheet(); only("sheet"); }
}
get("nothing").addEventListener("click", function () { nothing(); });
get("to-sheet").addEventListener("click", toSheet);
on("heard", function (one) {
  if (one.path === LOOKED) { nothingWritten(one.body, one.told); }
  if (one.path === CHECKED) { checkedWritten(one.body, one.told); }
});
on("kept", function () { if (get("mark-checked")) { again(); } });
function again() { if (!get("sheet").hidden) { rebuilt(get("sheet"), sheet); } }
on("trial", again);
on("awaited", again);
