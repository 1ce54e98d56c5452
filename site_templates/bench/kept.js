/*
 * What is on its way to the server is kept in the browser, so that a page that ends loses nothing. The next page sends it; where it
 * can't be written as it is, the page says why, and it stays until somebody writes it or lets it go.
 */
import { ask, get, make, say } from "./desk.js";

var KEPT = "portal-bench-unsaved", LEFT = "portal-bench-left";

/* A browser that keeps nothing, or has no room, still saves: only a page that ends can lose the stroke in hand. */
function put(name, value) {
  try {
    if (value === null) { localStorage.removeItem(name); } else { localStorage.setItem(name, value); }
  } catch (error) { return; }
}
function had(name) { try { return localStorage.getItem(name); } catch (error) { return null; } }
function left() { return JSON.parse(had(LEFT) || "[]"); }
function leave(all) { put(LEFT, all.length ? JSON.stringify(all) : null); show(); }

export function keep(body) { put(KEPT, JSON.stringify(body)); }
export function heard() { put(KEPT, null); }

/* What stands in the way of writing it, in words; empty where it is written. */
async function refusal(body) {
  var told;
  try { told = await ask("/api/save", Object.assign({}, body, { again: true })); }
  catch (error) {
    if (error.gone) { throw error; }
    return { body: body, said: say("left", { reason: error.message + (error.hint ? " – " + error.hint : "") }) };
  }
  return told.conflict ? { body: null, said: say("conflict", { file: told.conflict }) } : null;
}
export async function sendKept() {
  var kept = had(KEPT), found;
  show();
  if (!kept) { return; }
  try { found = await refusal(JSON.parse(kept)); } catch (error) { return; }
  heard();
  if (found) { leave(left().concat([found])); }
}
async function anew(index) {
  var all = left(), found;
  try { found = await refusal(all[index].body); } catch (error) { found = Object.assign({}, all[index], { said: error.message }); }
  all.splice(index, 1);
  leave(found ? all.concat([found]) : all);
}
function button(words, act) {
  var made = make("button", words);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}
function show() {
  var box = get("left");
  box.replaceChildren();
  left().forEach(function (one, index) {
    box.append(make("p", one.said));
    if (one.body) { box.append(button(say("left_anew"), function () { anew(index); }), " "); }
    box.append(button(say("left_go"), function () { leave(left().filter(function (_, at) { return at !== index; })); }));
  });
  box.hidden = !box.children.length;
}
