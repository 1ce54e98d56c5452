/*
 * Which pages of this browser wait for the server's word. A browser opens six connections to a server for all its tabs and windows,
 * and a page that waits holds one: a seventh would get nothing, not even itself. So few wait, and the others ask now and then.
 */
var PLACES = 3, ELSE_EVERY = 2000, OTHER = 4294967295;

async function inPlace(work) {
  var place, told;
  function take(lock) { return lock && work().then(function (answer) { return { answer: answer }; }); }
  for (place = 0; place < PLACES; place += 1) {
    told = await navigator.locks.request("portal-bench-waits:" + place, { ifAvailable: true }, take);
    if (told) { return told; }
  }
  return null;
}
/* The number of the catalogue's state once it is another; `look` asks the server with the number that is known. */
export async function nextVersion(known, look) {
  var told;
  if (!navigator.locks) { return look(known); }  /* under an address of another machine browsers have none */
  told = await inPlace(function () { return look(known); });
  if (told) { return told.answer; }
  await new Promise(function (done) { window.setTimeout(done, ELSE_EVERY); });
  return look(OTHER);  /* which it never is, so that it is answered at once */
}
