// What a page gains where scripts run; every page works without this file.
(function () {
  "use strict";

  // A form in flight is not sent a second time by an impatient finger. The operation id
  // would make the second one harmless; this spares the wait.
  document.addEventListener("submit", function (event) {
    var form = event.target;
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = "yes";
    form.querySelectorAll("button[type=submit]").forEach(function (b) {
      b.setAttribute("aria-disabled", "true");
    });
  });

  // Coming back by the browser's own history finds the form ready again.
  window.addEventListener("pageshow", function () {
    document.querySelectorAll("form[data-sent]").forEach(function (form) {
      delete form.dataset.sent;
      form.querySelectorAll("button[type=submit]").forEach(function (b) {
        b.removeAttribute("aria-disabled");
      });
    });
  });

  // Leaving a page with something typed asks first.
  function typed(form) {
    return Array.prototype.some.call(form.elements, function (e) {
      if (e.type === "radio" || e.type === "checkbox") return e.checked !== e.defaultChecked;
      if (e.tagName === "SELECT") {
        return Array.prototype.some.call(e.options, function (o) { return o.selected !== o.defaultSelected; }) &&
          Array.prototype.some.call(e.options, function (o) { return o.defaultSelected; });
      }
      return e.type !== "hidden" && "defaultValue" in e && e.value !== e.defaultValue;
    });
  }
  window.addEventListener("beforeunload", function (event) {
    var unsent = Array.prototype.some.call(document.querySelectorAll("form[data-guard]"), function (form) {
      return !form.dataset.sent && typed(form);
    });
    if (unsent) event.preventDefault();
  });

  // On a phone the line of ways is wider than the screen: the present one is brought into it.
  var ways = document.querySelector(".ways ul"), here = document.querySelector(".ways [aria-current]");
  if (ways && here && ways.scrollWidth > ways.clientWidth) {
    ways.scrollLeft = here.offsetLeft - ways.offsetLeft - (ways.clientWidth - here.offsetWidth) / 2;
  }

  // A password can be looked at before it is sent.
  document.querySelectorAll("[data-reveal]").forEach(function (button) {
    var field = document.getElementById(button.dataset.reveal);
    if (!field) return;
    button.hidden = false;
    button.addEventListener("click", function () {
      var shown = field.type === "text";
      field.type = shown ? "password" : "text";
      button.textContent = shown ? button.dataset.show : button.dataset.hide;
    });
  });
})();
