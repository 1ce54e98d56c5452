/*
 * What isn't written yet, in the order in which it was made: each under a key of its own in the browser's storage, so that a page
 * that ends loses nothing and no tab another one's. What a tab that is gone left is taken over.
 *
 * An entry is {at, what, path, name, sent, next}: `sent` was sent and never heard of, so it goes again as it is; `next` came since.
 * What has no `path` isn't finished, and lies there until its picture is opened again. `said` tells why it can't be written, `told` what somebody else wrote instead; both wait for somebody.
 */
import { tell } from "./desk.js";

var PREFIX = "portal-bench-kept:", ALIVE = "portal-bench-tab:", TAKING = "portal-bench-taking", ANSWER_WITHIN = 400;
var own = Array.from(crypto.getRandomValues(new Uint32Array(3))).map(function (one) { return one.toString(36); }).join("");
var count = 0, hidden = new WeakMap();
export var kept = [];

/* A browser that keeps nothing, or has no room, still saves: only a page that ends can lose what isn't written. */
export function keep(one) {
  if (kept.indexOf(one) < 0) { kept.push(one); kept.sort(function (each, other) { return each.at - other.at; }); }
  if (!hidden.has(one)) { hidden.set(one, PREFIX + own + ":" + (count += 1)); }
  try { localStorage.setItem(hidden.get(one), JSON.stringify(one)); } catch (error) { /* no room */ }
  tell("kept");
}
export function drop(one) {
  kept.splice(kept.indexOf(one), 1);
  try { localStorage.removeItem(hidden.get(one)); } catch (error) { /* nothing was kept */ }
  tell("kept");
}
export function entry(what, path, name, next) {
  var last = kept.length ? kept[kept.length - 1].at : 0;
  return { at: Math.max(Date.now(), last + 1), what: what, path: path, name: name, sent: null, next: next };
}
/* What is to be sent next; what waits for somebody stands in nobody's way. */
function goes(one) { return one.path && !one.said && !one.told; }
export function first() { return kept.find(goes); }
export function unwritten() { return kept.filter(goes).length; }
export function isKept(path, trial) { return kept.some(function (one) { return one.path === path && !one.said && bodyOf(one).trial === trial; }); }
export function bodyOf(one) { return one.next || one.sent; }

function keys() { try { return Object.keys(localStorage).filter(function (key) { return key.startsWith(PREFIX); }); } catch (error) { return []; } }
function tabOf(key) { return key.slice(PREFIX.length).split(":")[0]; }
/*
 * Each tab holds a lock as long as it lives. Under an address of another machine browsers have none: there each answers when it is
 * asked. Taken by mistake does no harm: what is sent twice as it is, is written once.
 */
var tabs = navigator.locks ? null : new BroadcastChannel(ALIVE), answered = [];
if (tabs) {
  tabs.addEventListener("message", function (event) { if (event.data === "who") { tabs.postMessage(own); } else { answered.push(event.data); } });
}
async function living() {
  var all;
  if (tabs) {
    answered = [own];
    tabs.postMessage("who");
    await new Promise(function (done) { window.setTimeout(done, ANSWER_WITHIN); });
    return answered;
  }
  all = await navigator.locks.query();
  return [own].concat(all.held.concat(all.pending).filter(function (one) { return one.name.startsWith(ALIVE); })
    .map(function (one) { return one.name.slice(ALIVE.length); }));
}
async function take() {
  var alive = await living();
  keys().filter(function (key) { return alive.indexOf(tabOf(key)) < 0; }).forEach(function (key) {
    try { keep(JSON.parse(localStorage.getItem(key))); localStorage.removeItem(key); } catch (error) { /* not ours, or gone by now */ }
  });
}
export async function adopt() {
  if (navigator.locks) { await navigator.locks.request(TAKING, take); } else { await take(); }
}
if (navigator.locks) { navigator.locks.request(ALIVE + own, function () { return new Promise(function () {}); }); }
