/* That what the open picture's setting measured is to be looked back at stays in sight until it is. */
import { desk, get, on } from "./desk.js";

/* Others of the trial may be of settings that are in no doubt; what isn't written goes by what the page says it shows. */
export function inDoubt() {
  var place = desk.picture ? desk.place : {}, own = desk.trial.doubts.filter(function (one) {
    return one.scope === place.scope && one.setting === place.setting;
  });
  get("in-doubt").hidden = !own.length;
  get("in-doubt").firstElementChild.textContent = own.map(function (one) { return one.said; }).join(" ");
}
on("placed", inDoubt);
on("picture", inDoubt);
