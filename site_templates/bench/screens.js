/* Which of the page's parts is shown. */
import { BOOT, desk, get, say } from "./desk.js";

var shown = 0;

/* Counts up with every change, so that what took its time can tell whether somebody went elsewhere meanwhile. */
export function moment() { return shown; }
export function only(id) {
  var by = desk.me.by;
  shown += 1;
  ["who", "trials", "desk", "sheet", "scales"].forEach(function (each) { get(each).hidden = each !== id; });
  get("to-sheet").hidden = !desk.trial;
  get("to-sheet").setAttribute("aria-pressed", String(id === "sheet"));
  get("to-scales").hidden = !by;
  get("to-scales").setAttribute("aria-pressed", String(id === "scales"));
  get("to-preview").hidden = !desk.trial;
  if (desk.trial) { get("to-preview").href = "/preview/" + desk.trial.key + "?language=" + BOOT.language; }
  get("to-trials").hidden = !by || id === "trials";
  get("to-who").hidden = !by || id === "who";
  get("to-who").textContent = by ? say("inspecting", { name: nameOf(by) }) : "";
  if (id === "desk") { get("window").focus({ preventScroll: true }); } else { get("main").focus({ preventScroll: true }); }
}
function nameOf(by) {
  var button = buttonOf(by);
  return button ? button.textContent : by;
}
export function buttonOf(by) { return document.querySelector("[data-by=\"" + CSS.escape(by) + "\"]"); }
