/* A picture that isn't the one that was tagged: what can be done, and that somebody looked and found that all of it holds. */
import { ask, desk, get, on, refuse, say, state, tell } from "./desk.js";
import { settled } from "./save.js";

function shown() {
  var told = desk.picture.replaced;
  get("replaced").hidden = !told.said;
  get("replaced").firstElementChild.textContent = told.said;
  get("holds-too").hidden = !told.may;
}
async function holds() {
  var of = desk.picture;
  if (!(await settled()) || desk.picture !== of) { return; }
  state("saving", say("saving"));
  try {
    await ask("/api/holds-too", { picture: of.key, shown: of.shown, by: desk.me.by });
    state("saved", say("holds_too_written"));
    refuse(null);
    if (desk.picture === of) { tell("again"); }
  } catch (error) { state("", ""); refuse(error); }
}
get("holds-too").addEventListener("click", holds);
on("picture", shown);
