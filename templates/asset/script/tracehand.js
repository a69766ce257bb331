// Fingers, mouse and keys on a trace: one finger moves it, two stretch it; a wheel and the
// keys do the same. While a stretch is being picked, one finger picks.
window.rillmarkTrace = window.rillmarkTrace || {};
(function (trace) {
  "use strict";

  var least = 10; // s in view

  // hold makes a figure obey. does is what the acts do: pick(from, to), nudge(s), picking().
  trace.hold = function (figure, view, look, does) {
    var whole = { lo: look.lo, hi: look.hi };

    function show(lo, hi) {
      var span = Math.min(Math.max(hi - lo, least), whole.hi - whole.lo);
      lo = Math.min(Math.max(lo, whole.lo), whole.hi - span);
      look.lo = lo;
      look.hi = lo + span;
      view.refresh();
    }

    function zoom(factor, at) {
      var share = (at - look.lo) / (look.hi - look.lo), span = Math.max((look.hi - look.lo) * factor, least);
      show(at - share * span, at - share * span + span);
    }

    function middle() { return (look.lo + look.hi) / 2; }
    function move(share) { show(look.lo + share * (look.hi - look.lo), look.hi + share * (look.hi - look.lo)); }

    var acts = {
      nearer: function () { zoom(0.5, middle()); },
      farther: function () { zoom(2, middle()); },
      earlier: function () { move(-0.5); },
      later: function () { move(0.5); },
      all: function () { show(whole.lo, whole.hi); },
      shown: function () { does.pick(look.lo, look.hi); },
    };

    var keys = { ArrowLeft: "earlier", ArrowRight: "later", "+": "nearer", "=": "nearer", "-": "farther", "0": "all", Home: "all", p: "shown" };
    figure.addEventListener("keydown", function (event) {
      if (event.ctrlKey || event.metaKey || event.altKey || event.target !== figure) return;
      if (event.key === "," || event.key === ".") does.nudge(event.key === "," ? -0.1 : 0.1);
      else if (acts[keys[event.key]]) acts[keys[event.key]]();
      else return;
      event.preventDefault();
    });
    figure.querySelectorAll("button[data-look]").forEach(function (button) {
      button.addEventListener("click", acts[button.dataset.look]);
    });

    [view.flows, view.error].forEach(function (u) { grip(u); });

    function grip(u) {
      var over = u.over, fingers = new Map(), began = null, edge = 24;

      function time(event) { return u.posToVal(event.clientX - over.getBoundingClientRect().left, "x"); }

      // near is the end of the picked stretch under a finger.
      function near(event) {
        if (!look.pick) return "";
        var x = event.clientX - over.getBoundingClientRect().left, reach = event.pointerType === "mouse" ? edge / 3 : edge;
        var from = Math.abs(u.valToPos(look.pick.from, "x") - x), to = Math.abs(u.valToPos(look.pick.to, "x") - x);
        if (Math.min(from, to) > reach) return "";
        return from < to ? "from" : "to";
      }

      function begin(event) {
        fingers.set(event.pointerId, event.clientX);
        over.setPointerCapture(event.pointerId);
        var end = near(event);
        if (fingers.size === 2) began = { what: "stretch", lo: look.lo, hi: look.hi, at: twoAt() };
        else if (end) began = { what: "pick", anchor: end === "from" ? look.pick.to : look.pick.from };
        else if (does.picking() || event.shiftKey) began = { what: "pick", anchor: time(event) };
        else began = { what: "move", x: event.clientX, lo: look.lo, hi: look.hi };
      }

      function twoAt() {
        var box = over.getBoundingClientRect(), xs = Array.from(fingers.values()).slice(0, 2).map(function (x) { return (x - box.left) / box.width; });
        return { low: Math.min(xs[0], xs[1]), high: Math.max(xs[0], xs[1]) };
      }

      over.addEventListener("pointerdown", function (event) {
        if (event.button === 0) begin(event);
      });
      over.addEventListener("pointermove", function (event) {
        if (!fingers.has(event.pointerId) || !began) return;
        fingers.set(event.pointerId, event.clientX);
        var wide = over.clientWidth, span;
        if (began.what === "move") {
          span = began.hi - began.lo;
          var by = (began.x - event.clientX) / wide * span;
          show(began.lo + by, began.hi + by);
        } else if (began.what === "pick") {
          var t = Math.min(Math.max(time(event), whole.lo), whole.hi);
          does.pick(Math.min(began.anchor, t), Math.max(began.anchor, t));
        } else {
          // the times that were under the two fingers stay under them
          var now = twoAt(), was = began.at, apart = Math.max(now.high - now.low, 0.02);
          span = (began.hi - began.lo) * (was.high - was.low) / apart;
          var low = began.lo + was.low * (began.hi - began.lo);
          show(low - now.low * span, low - now.low * span + span);
        }
      });
      ["pointerup", "pointercancel"].forEach(function (name) {
        over.addEventListener(name, function (event) {
          fingers.delete(event.pointerId);
          began = null;
          if (name === "pointerup" && fingers.size === 1) fingers.forEach(function (x) { began = { what: "move", x: x, lo: look.lo, hi: look.hi }; });
        });
      });
      // The wheel is the page's until the drawing has been pressed or reached by key.
      over.addEventListener("wheel", function (event) {
        if (!event.ctrlKey && !figure.contains(document.activeElement)) return;
        event.preventDefault();
        if (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY)) move(Math.sign(event.deltaX || event.deltaY) * 0.1);
        else zoom(Math.pow(1.0015, event.deltaY * (event.deltaMode ? 30 : 1)), time(event));
      }, { passive: false });
      over.addEventListener("pointerdown", function (event) {
        if (event.pointerType === "mouse") figure.focus({ preventScroll: true, focusVisible: false });
      });
      over.addEventListener("dblclick", function (event) { zoom(0.25, time(event)); });
    }

    return { show: show, acts: acts };
  };
})(window.rillmarkTrace);
