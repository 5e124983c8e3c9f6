// Ticks and readings stay in this browser; on a phone the work goes step by step. Without script the sheet is whole.
(function () {
  "use strict";
  var key = "partsolver-sheet-" + document.body.dataset.sheet;
  var fields = Array.prototype.slice.call(document.querySelectorAll("input"));
  var steps = Array.prototype.slice.call(document.querySelectorAll("ol.steps > li"));
  var kept = {};
  try { kept = JSON.parse(localStorage.getItem(key) || "{}") || {}; } catch (error) { kept = {}; }
  function keep(field) {
    kept[field.id] = field.type === "checkbox" ? field.checked : field.value;
    try { localStorage.setItem(key, JSON.stringify(kept)); } catch (error) { /* private window: nothing is kept */ }
  }
  fields.forEach(function (field) {
    if (Object.prototype.hasOwnProperty.call(kept, field.id)) {
      if (field.type === "checkbox") { field.checked = kept[field.id] === true; } else { field.value = String(kept[field.id]); }
    }
    field.addEventListener("input", function () { keep(field); });
    field.addEventListener("change", function () { keep(field); });
  });
  window.addEventListener("beforeprint", function () {
    document.querySelectorAll(".phase details").forEach(function (details) { details.open = true; });
  });
  var walk = document.getElementById("walk");
  if (!walk || !steps.length) { return; }
  var now = 0;
  document.querySelectorAll(".script").forEach(function (element) { element.hidden = false; });
  function show(index) {
    now = Math.max(0, Math.min(steps.length - 1, index));
    steps.forEach(function (step, i) { step.classList.toggle("now", i === now); });
    document.querySelectorAll(".phase").forEach(function (phase) {
      var here = phase.contains(steps[now]);
      phase.classList.toggle("now", here);
      phase.querySelectorAll(".box").forEach(function (box) { box.classList.toggle("now", here && phase.querySelector("ol.steps > li:last-of-type") === steps[now]); });
    });
    document.getElementById("walk-place").textContent = (now + 1) + " / " + steps.length;
    document.getElementById("walk-back").disabled = now === 0;
    window.scrollTo(0, 0);
  }
  function fold(open) {
    document.querySelectorAll(".phase > details").forEach(function (details) { details.open = open; });
  }
  function begin() {
    var first = steps.findIndex(function (step) { return !step.querySelector("input[type=checkbox]").checked; });
    document.body.classList.add("walking");
    fold(false);
    walk.hidden = false;
    show(first < 0 ? steps.length - 1 : first);
  }
  function end() {
    document.body.classList.remove("walking");
    walk.hidden = true;
    fold(true);
    steps[now].scrollIntoView();
  }
  document.getElementById("walk-start").addEventListener("click", begin);
  document.getElementById("walk-all").addEventListener("click", end);
  document.getElementById("walk-back").addEventListener("click", function () { show(now - 1); });
  document.getElementById("walk-next").addEventListener("click", function () {
    var box = steps[now].querySelector("input[type=checkbox]");
    box.checked = true;
    keep(box);
    if (now === steps.length - 1) { end(); } else { show(now + 1); }
  });
  if (location.hash === "#walk") { begin(); }
}());
