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

export function keep(body, name) { put(KEPT, JSON.stringify({ body: body, name: name })); }
export function heard() { put(KEPT, null); }

/* What was kept, with what stands in the way of writing it in words; nothing where it is written. */
async function refusal(one) {
  var told;
  try { told = await ask("/api/save", Object.assign({}, one.body, { again: true })); }
  catch (error) {
    if (error.gone) { throw error; }
    return Object.assign({}, one, { said: say("left", { picture: one.name, reason: error.message + (error.hint ? " – " + error.hint : "") }) });
  }
  return told.conflict ? { name: one.name, body: null, said: one.name + ": " + say("conflict", { file: told.conflict }) } : null;
}
export async function sendKept() {
  var kept = had(KEPT), found;
  show();
  if (!kept) { return; }
  try { found = await refusal(JSON.parse(kept)); } catch (error) { return; }
  heard();
  if (found) { leave(left().concat([found])); }
}
/* What was left meanwhile by others stays: it is looked for by what it holds. */
function without(one) {
  var text = JSON.stringify(one);
  return left().filter(function (each) { return JSON.stringify(each) !== text; });
}
async function anew(one, asking) {
  var found;
  asking.disabled = true;
  try { found = await refusal(one); } catch (error) { found = Object.assign({}, one, { said: error.message }); }
  leave(without(one).concat(found ? [found] : []));
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
  left().forEach(function (one) {
    box.append(make("p", one.said));
    if (one.body) { box.append(button(say("left_anew"), function (event) { anew(one, event.target); })); }
    box.append(button(say("left_go"), function () { leave(without(one)); }));
  });
  box.hidden = !box.children.length;
}
