/* The card: looks up what each score is worth in the server's table, and adds. No golf here. */
(function () {
  "use strict";

  var DASHES = ["-", "\u2013", "\u2014", "\u2212"];

  function rowOf(node) { return node.closest("tr[data-worth]"); }

  /* What is written on a hole: a score as text, "-" for no score, "" for nothing. */
  function written(row) {
    var text = row.querySelector(".strokes").value.trim();
    if (row.querySelector("[type=checkbox]").checked || DASHES.indexOf(text) >= 0) { return "-"; }
    return /^[0-9]{1,2}$/.test(text) ? String(Number(text)) : "";
  }

  function put(root, name, words) {
    var place = root.querySelector(name);
    if (place) { place.textContent = words; }
  }

  function add(form) {
    var total = Number(form.dataset.begins), all = 0, holes = 0, unknown = false;
    form.querySelectorAll("[data-nine]").forEach(function (nine) {
      var sum = 0, gross = 0;
      nine.querySelectorAll("tr[data-worth]").forEach(function (row) {
        var score = written(row), worth = JSON.parse(row.dataset.worth), value = worth[score];
        put(row, "[data-value]", score === "" ? "" : typeof value === "number" ? value : "\u2013");
        if (score === "") { return; }
        holes += 1;
        if (score !== "-") {
          gross += Number(score);
          if (value === undefined) { unknown = true; }
        }
        if (typeof value === "number") { sum += value; }
      });
      put(nine, "[data-sum]", sum);
      put(nine, "[data-gross]", gross);
      total += sum;
      all += gross;
    });
    put(form, "[data-total]", unknown || !holes ? "\u2013" : total);
    put(form, "[data-all-gross]", all);
    put(form, "[data-written]", holes);
  }

  function listen(form) {
    form.addEventListener("input", function (event) {
      var row = rowOf(event.target);
      if (!row) { return; }
      if (event.target.classList.contains("strokes") && event.target.value !== "") {
        row.querySelector("[type=checkbox]").checked = false;
      } else if (event.target.type === "checkbox" && event.target.checked) {
        row.querySelector(".strokes").value = "";
      }
      add(form);
    });
    /* Enter goes to the next hole; the button below sends the card. */
    form.addEventListener("keydown", function (event) {
      if (event.key !== "Enter" || !event.target.classList.contains("strokes")) { return; }
      event.preventDefault();
      var boxes = Array.prototype.slice.call(form.querySelectorAll(".strokes"));
      var next = boxes[boxes.indexOf(event.target) + 1];
      if (next) { next.focus(); } else { form.querySelector("button").focus(); }
    });
    add(form);
  }

  document.querySelectorAll("form[data-card]").forEach(listen);
}());
