/* What the view can't give: gauge readings, and what was felt. */
import { BOOT, desk, fields, get, make, on, say } from "./desk.js";
import { setField, without } from "./change.js";
import { characteristicOf } from "./known.js";

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
function fromForm(form, name, read) {
  form.addEventListener("submit", function (event) {
    event.preventDefault();
    setField(name, (fields()[name] || []).concat([read(form.elements)]));
  });
}
fromForm(get("gauge"), "gauge", function (of) {
  var each = of.readings.value.split(/[,;]/).map(function (one) { return one.trim(); }).filter(Boolean);
  return { characteristic: of.characteristic.value, readings: each, instrument: of.instrument.value.trim(), u: of.u.value.trim() };
});
fromForm(get("check"), "checks", function (of) {
  return { what: of.what.value, result: of.result.value, method: of.method.value.trim() };
});
on("drawn", readings);
on("begun", readings);
on("placed", readings);
on("saved", readings);
