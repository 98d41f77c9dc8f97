/* Small touches only; every page works without this file. */
(function () {
  "use strict";

  /* A form that was not accepted says so first: take the reader there. */
  function focusProblems(root) {
    var summary = root.querySelector("[data-problems]");
    if (summary) { summary.focus(); }
  }

  /* Two players ticked in a draw: the bar with what the swap breaks comes without a press. */
  document.addEventListener("change", function (event) {
    var form = event.target.form;
    if (!form || !form.hasAttribute("data-pairs") || !window.htmx) { return; }
    var ticked = form.querySelectorAll("[type=checkbox]:checked").length;
    if (ticked === 2 || document.getElementById("picked")) { window.htmx.trigger(form, "paired"); }
  });

  document.addEventListener("DOMContentLoaded", function () { focusProblems(document); });
  document.addEventListener("htmx:afterSwap", function (event) { focusProblems(event.target); });
}());
