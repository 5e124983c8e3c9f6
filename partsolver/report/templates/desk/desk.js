// How far work in the background is (without a script the page looks by itself every few seconds), and the slider over
// the trade-off: every point is on the page already, so that moving it answers at once. Nothing else needs a script.
(function () {
  "use strict";
  Array.prototype.forEach.call(document.querySelectorAll("[data-events]"), function (place) {
    var told = place.querySelector(".told");
    var bar = place.querySelector("progress");
    var source = new EventSource(place.dataset.events);
    source.onmessage = function (event) {
      var now = JSON.parse(event.data);
      if (told.textContent !== now.said) { told.textContent = now.said; }
      if (now.total) { bar.max = now.total; bar.value = now.done; }
    };
    source.addEventListener("end", function () {
      source.close();
      if (place.dataset.then === "load") { window.location.reload(); return; }
      bar.hidden = true;
      place.querySelector("form").hidden = true;
      place.querySelector(".then").hidden = false;
    });
  });
}());
(function () {
  "use strict";
  var slider = document.querySelector(".slider");
  if (!slider) { return; }
  var input = document.getElementById("sum");
  var said = document.getElementById("sum-said");
  var panels = Array.prototype.slice.call(slider.querySelectorAll(".point"));
  var marks = Array.prototype.slice.call(document.querySelectorAll("svg.money .point"));
  function show() {
    var now = Number(input.value);
    panels.forEach(function (panel) {
      var here = Number(panel.dataset.point) === now;
      panel.hidden = !here;
      if (here) {
        said.textContent = panel.dataset.said;
        input.setAttribute("aria-valuetext", panel.dataset.said);
      }
    });
    marks.forEach(function (mark) { mark.classList.toggle("now", Number(mark.dataset.point) === now); });
  }
  slider.hidden = false;
  input.addEventListener("input", show);
  show();
}());
