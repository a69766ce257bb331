// Compares a document with the one that was issued, by its SHA-256, without sending it anywhere.
(() => {
  "use strict";
  const place = document.getElementById("compare");
  if (!place || !window.crypto || !crypto.subtle) return;
  const choice = place.querySelector("input[type=file]");
  const outcome = place.querySelector(".outcome");
  place.querySelector(".script-only").hidden = false;

  const say = (words, kind) => {
    outcome.textContent = words;
    place.dataset.outcome = kind;
  };

  const compare = async (file) => {
    if (!file) return;
    say(place.dataset.reading, "");
    const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer()));
    const text = Array.from(sum, (b) => b.toString(16).padStart(2, "0")).join("");
    const same = text === place.dataset.hash;
    say(same ? place.dataset.same : place.dataset.other, same ? "same" : "other");
  };

  choice.addEventListener("change", () => compare(choice.files[0]));
  for (const over of ["dragenter", "dragover"]) {
    place.addEventListener(over, (e) => {
      e.preventDefault();
      place.classList.add("over-it");
    });
  }
  place.addEventListener("dragleave", () => place.classList.remove("over-it"));
  place.addEventListener("drop", (e) => {
    e.preventDefault();
    place.classList.remove("over-it");
    compare(e.dataTransfer.files[0]);
  });
})();
