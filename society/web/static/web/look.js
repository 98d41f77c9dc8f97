/* Small touches only; every page works without this file. */
(function () {
  "use strict";

  /* A form that was not accepted says so first: take the reader there. */
  function focusProblems(root) {
    var summary = root.querySelector("[data-problems]");
    if (summary) { summary.focus(); }
  }

  document.addEventListener("DOMContentLoaded", function () { focusProblems(document); });
  document.addEventListener("htmx:afterSwap", function (event) { focusProblems(event.target); });
}());
