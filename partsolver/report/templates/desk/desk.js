// The slider over the trade-off: every point is on the page already, so that moving it answers at once. Nothing else
// needs a script.
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
