/* A list that is drawn anew while somebody is in it: the focus stays on what it was on, if that is still there. */
function keyOf(one) { return [one.tagName, one.id, one.getAttribute("aria-label") || one.title || one.textContent || one.value].join("\n"); }
function alike(box, key) {
  return Array.from(box.querySelectorAll("button, a[href], select, input, summary, [tabindex]")).filter(function (one) { return keyOf(one) === key; });
}
export function rebuilt(box, build) {
  var focused = box.contains(document.activeElement) && document.activeElement !== box ? document.activeElement : null;
  var key = focused && keyOf(focused), place = focused ? alike(box, key).indexOf(focused) : -1, all;
  build();
  if (place < 0) { return; }
  all = alike(box, key);
  if (all.length) { all[Math.min(place, all.length - 1)].focus({ preventScroll: true }); }
}
