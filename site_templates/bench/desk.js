/*
 * What every part of the bench's page shares: its words, what is open on it, how the server is asked, and who is told of
 * what. Parts import one way; what lies the other way is told: `on(what, then)` listens, `tell(what)` calls in that order.
 */
export var BOOT = JSON.parse(document.getElementById("bench-data").textContent);
var WORDS = BOOT.words, listening = {};

export var desk = {
  me: { by: sessionStorage.getItem("by") || "", seen: sessionStorage.getItem("seen") || "yes" },
  trial: null,
  picture: null,
  place: {},
  history: PortalHistory.start(PortalDraft.start({})),
  last: JSON.parse(sessionStorage.getItem("last") || "{}"),
  looking: false,
  chosen: null,  /* the vertex under the hand */
  spot: null,  /* where the pointer is, drawing or not */
  hover: null,  /* where the next point of the shape in hand would be */
  cross: null,  /* where the keyboard is */
  scribble: null,  /* a line while it is drawn in one go */
  offer: null,  /* the draft as found edges would have it */
  traces: [],
  dragged: null,
  spots: [],  /* where something was asked or noted */
  pointing: false,  /* the next point is a spot that is spoken of */
  dirty: false,  /* the draft isn't written as it is */
  placed: false,  /* nor is what the picture shows */
  away: ""  /* what is said while the server doesn't answer */
};

export function on(what, then) { (listening[what] = listening[what] || []).push(then); }
export function tell(what, told) { (listening[what] || []).forEach(function (then) { then(told); }); }

/*
 * Steps of drawing in the order in which the hand made them: while one waits for what was drawn before to be written, those
 * behind it wait too, so that no quick click is lost.
 */
var waiting = 0, lastStep = Promise.resolve();
export function inTurn(work) {
  var made;
  function done() { waiting -= 1; }
  if (!waiting) {
    made = work();  /* at once, as long as nothing waits */
    if (!made || !made.then) { return; }
    waiting = 1;
    lastStep = made.then(done, done);
    return;
  }
  waiting += 1;
  lastStep = lastStep.then(work).then(done, done);
}

export function get(id) { return document.getElementById(id); }
export function make(name, text, kind) {
  var made = document.createElement(name);
  if (text !== undefined) { made.textContent = text; }
  if (kind) { made.className = kind; }
  return made;
}
/* What stands between two backticks is to be written as it stands there. */
export function worded(text) {
  return text.split("`").map(function (part, index, all) { return index % 2 && index < all.length - 1 ? make("code", part) : part; });
}
/* A refusal in a box of its own, which goes with it; where something can be done about it here, with that. */
export function tellIn(box, error) {
  box.hidden = !error;
  box.replaceChildren.apply(box, error ? worded(error.message + (error.hint ? " – " + error.hint : "")) : []);
  if (error && error.key === "refused.replaced") { box.append(" ", again()); }
}
function again() {
  var button = make("button", say("open_again"));
  button.type = "button";
  button.addEventListener("click", function () { tell("again"); });
  return button;
}
export function say(key, values) {
  return WORDS[key].replace(/\{(\w+)\}/g, function (whole, name) { return String((values || {})[name]); });
}
export function draft() { return desk.history.now; }
export function fields() { return draft().fields; }
export function step(next) { desk.history = PortalHistory.step(desk.history, next); }
export function remember() { sessionStorage.setItem("last", JSON.stringify(desk.last)); }
/* What is said beside it while the server is away, stays said. */
var said = { kind: "", text: "" };
export function state(kind, text) {
  said = { kind: kind, text: text };
  get("state").dataset.kind = desk.away ? "waiting" : kind;
  get("state").textContent = [desk.away, text].filter(Boolean).join(" ");
}
export function away(text) {
  if (desk.away === text) { return; }
  desk.away = text;
  state(said.kind === "saving" ? "" : said.kind, said.kind === "saving" ? "" : said.text);
}
export function refuse(error) { tellIn(get("refused"), error); }

/*
 * Asking the server. `gone` is a server that doesn't answer, or one that doesn't know this page any more; anything else is a
 * refusal in words. A server that was started again tells its own page a new token, which is asked for once.
 */
/* `patience` is how long it is waited for an answer, where it isn't for ever. */
export async function ask(path, body, patience) {
  try { return await askOnce(path, body, patience); }
  catch (error) {
    if (!error.old || !(await renewed())) { throw error; }
    return askOnce(path, body, patience);
  }
}
async function renewed() {
  var page, answer;
  try { answer = await fetch("/?language=" + BOOT.language); page = answer.ok ? await answer.text() : ""; } catch (error) { return false; }
  page = new DOMParser().parseFromString(page, "text/html").getElementById("bench-data");
  if (page) { BOOT.token = JSON.parse(page.textContent).token; }
  return Boolean(page);
}
async function askOnce(path, body, patience) {
  var options = {}, answer, told;
  if (body) {
    options = { method: "POST", body: JSON.stringify(body),
      headers: { "Content-Type": "application/json", "X-Portal-Token": BOOT.token } };
  }
  if (patience && AbortSignal.timeout) { options.signal = AbortSignal.timeout(patience); }
  try { answer = await fetch(path + "?language=" + BOOT.language, options); }
  catch (error) { throw Object.assign(new Error(say("gone")), { gone: true }); }
  if (answer.status === 403) { throw Object.assign(new Error(say("old_page")), { gone: true, old: true }); }
  try { told = (answer.headers.get("content-type") || "").startsWith("application/json") ? await answer.json() : { error: await answer.text() }; }
  catch (error) { throw Object.assign(new Error(say("gone")), { gone: true }); }  /* it ended while it told */
  if (!answer.ok) { throw Object.assign(new Error(told.error), { hint: told.hint, key: told.key, fields: told.fields || [], absent: answer.status === 404, gone: answer.status === 503 || answer.status === 507 }); }
  return told;
}
