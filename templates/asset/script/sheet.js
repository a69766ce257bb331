// What the work sheet gains where scripts run; every page works without this file.
(function () {
  "use strict";

  // When it was seen is the device's to say: the time of the press, once. A form that is
  // sent again keeps the time it had.
  document.addEventListener("submit", function (event) {
    var at = event.target.elements && event.target.elements.namedItem("captured_at");
    if (at && !at.value) at.value = new Date().toISOString();
  });

  // Why a form was refused is seen at once, wherever on the page it stands.
  var refused = document.querySelector("[data-refused]");
  if (refused) refused.scrollIntoView({ block: "center" });

  document.querySelectorAll("[data-print]").forEach(function (button) {
    button.hidden = false;
    button.addEventListener("click", function () { window.print(); });
  });

  // A file that is too large is told before it is sent.
  document.querySelectorAll("form[data-most]").forEach(function (form) {
    var input = form.querySelector("input[type=file]"), said = document.createElement("p");
    said.className = "wrong";
    said.setAttribute("role", "alert");
    form.addEventListener("submit", function (event) {
      var file = input.files[0], large = file && file.size > Number(form.dataset.most);
      said.textContent = large ? form.dataset.tooLarge : "";
      if (!large) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      input.closest(".field").append(said);
      input.focus();
    });
  });

  // Enter goes on to the next reading; on the last it sends nothing by itself.
  document.querySelectorAll(".readings").forEach(function (rows) {
    var cells = Array.prototype.slice.call(rows.querySelectorAll("input"));
    cells.forEach(function (cell, i) {
      cell.addEventListener("keydown", function (event) {
        if (event.key !== "Enter" || i + 1 >= cells.length) return;
        event.preventDefault();
        cells[i + 1].focus();
      });
    });
  });
})();
