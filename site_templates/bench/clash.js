/* Two people wrote the same thing: both versions in words, and a button for each. */
import { make, say } from "./desk.js";
import { differences } from "./differ.js";
import { bodyOf } from "./kept.js";

export function button(words, act) {
  var made = make("button", words);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}
/* `mine` and `theirs` are told which was chosen. */
export function clash(one, name, mine, theirs) {
  var body = bodyOf(one), told = one.told, parts = [make("p", name + say("conflict", { file: told.file }))];
  if (told.seen !== body.seen) { parts.push(differences(told.theirs, body.finding)); }
  if (told.seen === body.seen || told.placeSeen !== body.place_seen) { parts.push(differences(told.place, body.place)); }
  parts.push(button(say("keep_mine"), mine), " ", button(say("keep_theirs"), theirs));
  return parts;
}
