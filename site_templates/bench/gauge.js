/* What the view can't give: gauge readings, and what was felt. What is wrong is told where it was typed, before it is taken. */
import { BOOT, ask, desk, draft, fields, get, inTurn, make, on, say, worded } from "./desk.js";
import { setField, without } from "./change.js";
import { characteristicOf } from "./known.js";

var PATIENCE = 5000;

function readings() {
  var list = get("gauge-list"), select = get("gauge").elements.characteristic, now = fields();
  if (!desk.picture) { return; }
  if (!select.options.length) {
    desk.picture.choices.characteristics.filter(function (one) { return one.gauge; }).forEach(function (one) {
      var made = make("option", one.name);
      made.value = one.id;
      select.append(made);
    });
  }
  list.replaceChildren();
  (now.gauge || []).forEach(function (one, index) {
    line(characteristicOf(one.characteristic).name + ": " + one.readings.join(", ") + " (" + one.instrument + ", u = " + one.u + ")", "gauge", index);
  });
  (now.checks || []).forEach(function (one, index) {
    var named = Array.from(get("check").elements.what.options).find(function (each) { return each.value === one.what; });
    line(named.textContent + ": " + BOOT.seen[one.result] + " (" + one.method + ")", "checks", index);
  });
  function line(text, name, index) {
    var item = make("li", text), gone = make("button", "×");
    gone.type = "button";
    gone.setAttribute("aria-label", say("take_reading_away"));
    gone.addEventListener("click", function () { without(name, index); });
    item.append(gone);
    list.append(item);
  }
}
/* By a key: the field of what is measured now; by the same key there, of what was felt, and back. */
export function toGauge() {
  var form = get("gauge"), own = desk.last.characteristic, select = form.elements.characteristic;
  get("gauges").open = true;
  if (form.contains(document.activeElement)) { get("check").elements.what.focus(); return; }
  if (Array.from(select.options).some(function (one) { return one.value === own; })) { select.value = own; }
  form.elements.readings.focus();
}
get("gauges").addEventListener("keydown", function (event) {
  if (event.key === "Enter" && event.shiftKey && event.target.closest("form")) { event.preventDefault(); event.stopPropagation(); toGauge(); }
});
function fromForm(form, name, read, emptied) {
  form.addEventListener("submit", function (event) {
    event.preventDefault();
    if (!form.dataset.asking) { inTurn(function () { return take(form, name, read(form.elements), emptied); }); }
  });
}
async function take(form, name, one, emptied) {
  var now = draft(), key = desk.picture.key, all = (fields()[name] || []).concat([one]), wrong;
  form.dataset.asking = "yes";
  wrong = await wrongWith(PortalDraft.data(PortalDraft.field(now, name, all)), name + "." + (all.length - 1) + ".");
  delete form.dataset.asking;
  told(form, wrong);
  if (wrong.length || desk.picture.key !== key || now.id && draft().id !== now.id) { return; }
  setField(name, (fields()[name] || []).concat([one]));
  form.elements[emptied].value = "";
}
/* By the record's own reader; where nobody answers, it is told once it is written. */
async function wrongWith(data, own) {
  try {
    await ask("/api/measure", { number: 0, picture: desk.picture.key, place: desk.place, finding: data }, PATIENCE);
  } catch (error) {
    return (error.fields || []).filter(function (each) { return each[0].startsWith(own); }).map(function (each) {
      return { field: each[0].slice(own.length).split(".")[0], message: each[1] };
    });
  }
  return [];
}
function told(form, wrong) {
  var first = null;
  form.querySelectorAll(".fieldwrong").forEach(function (each) { each.remove(); });
  Array.from(form.elements).forEach(function (field) {
    var own = wrong.filter(function (each) { return each.field === field.name; }), line;
    field.removeAttribute("aria-invalid");
    field.removeAttribute("aria-describedby");
    if (!own.length) { return; }
    line = make("span", undefined, "warn fieldwrong");
    line.append.apply(line, worded(own.map(function (each) { return each.message; }).join("; ")));
    line.id = form.id + "-wrong-" + field.name;
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", line.id);
    field.after(line);
    first = first || field;
  });
  if (first) { first.focus(); }
}
fromForm(get("gauge"), "gauge", function (of) {
  var each = of.readings.value.split(/[,;]/).map(function (one) { return one.trim(); }).filter(Boolean);
  return { characteristic: of.characteristic.value, readings: each, instrument: of.instrument.value.trim(), u: of.u.value.trim() };
}, "readings");
fromForm(get("check"), "checks", function (of) {
  return { what: of.what.value, result: of.result.value, method: of.method.value.trim() };
}, "method");
on("drawn", readings);
on("begun", readings);
on("placed", readings);
on("saved", readings);
