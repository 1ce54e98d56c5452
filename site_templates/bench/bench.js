/*
 * The bench's page: who inspects, trials, pictures, what is drawn. It measures nothing: each change is asked about, and an
 * answer is shown only where nothing newer was answered. The order of the imports is the order in which they are told.
 */
import { desk } from "./desk.js";
import "./paint.js";
import "./choose.js";
import "./gauge.js";
import "./answer.js";
import "./save.js";
import { sendLeft } from "./left.js";
import "./place.js";
import "./replaced.js";
import "./findings.js";
import { chooseTrial, openTrial } from "./trial.js";
import { askWho, isKnown } from "./who.js";
import "./come.js";
import "./pointer.js";
import "./edge.js";
import "./marks.js";
import "./sheet.js";
import "./scales.js";
import "./talk.js";
import "./keys.js";

async function start() {
  await sendLeft();
  if (!isKnown()) { desk.me.by = ""; askWho(); return; }
  if (sessionStorage.getItem("trial")) {
    await openTrial(sessionStorage.getItem("trial"), sessionStorage.getItem("picture"));
    if (desk.trial) { return; }
    sessionStorage.removeItem("trial");
  }
  chooseTrial();
}
start();
