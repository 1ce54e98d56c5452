/* Who inspects, asked before anything else. */
import { desk, get } from "./desk.js";
import { fresh } from "./change.js";
import { settled } from "./save.js";
import { buttonOf, only } from "./screens.js";
import { chooseTrial } from "./trial.js";

export function askWho() {
  document.querySelectorAll("[name=seen]").forEach(function (each) { each.checked = each.value === desk.me.seen; });
  only("who");
}
export function isKnown() { return Boolean(desk.me.by && buttonOf(desk.me.by)); }
document.querySelectorAll("[data-by]").forEach(function (button) {
  button.addEventListener("click", function () {
    desk.me = { by: button.dataset.by, seen: document.querySelector("[name=seen]:checked").value };
    sessionStorage.setItem("by", desk.me.by);
    sessionStorage.setItem("seen", desk.me.seen);
    desk.last.seen = desk.me.seen;
    if (desk.trial) { fresh(); only("desk"); } else { chooseTrial(); }
  });
});
get("to-trials").addEventListener("click", async function () { if (await settled()) { chooseTrial(); } });
get("to-who").addEventListener("click", async function () { if (await settled()) { askWho(); } });
