// A page with two logged channels: the drawing, the fields beside it and the drawing again.
// Without this file the same page has a drawing that stands still, and the same forms.
(function (trace) {
  "use strict";

  document.querySelectorAll("[data-trace]").forEach(function (figure) {
    if (!window.uPlot || !window.ResizeObserver) return;
    var d = figure.dataset, clock = trace.clock(d.zone, d.days === "yes");
    var look = { lo: Number(d.from) / 1000, hi: Number(d.to) / 1000, lag: Number(d.lag) || 0, delay: Number(d.delay) || 0, drift: Number(d.drift) || 0, middle: Number(d.middle) / 1000, pick: null, stretches: stretches() };
    figure.classList.add("live");

    var view, stores = { reference: store("reference"), meter: store("meter") };
    view = trace.view(figure, stores, clock, look);

    // store is that of a channel: its address, and the first and last of its stamps.
    function store(name) {
      return trace.store(d[name], Number(d[name + "From"]) / 1000, Number(d[name + "To"]) / 1000, Number(d.per) || 1, function () { if (view) view.refresh(); });
    }

    var brush = figure.querySelector("[data-brush]"), says = figure.querySelector(".says"), said = "";
    var from = document.getElementById("pick-from"), to = document.getElementById("pick-to"), lag = document.getElementById("nudge-lag");
    if (brush) brush.addEventListener("click", function () {
      brush.setAttribute("aria-pressed", String(brush.getAttribute("aria-pressed") !== "true"));
    });

    // pick puts a stretch on the drawing and into the fields.
    function pick(lo, hi) {
      if (!brush || !(hi > lo)) return;
      look.pick = { from: lo, to: hi };
      if (from && to) {
        from.value = clock.told(lo);
        to.value = clock.told(hi);
      }
      view.refresh();
    }

    // typed reads the fields; what is no time leaves the drawing as it is.
    function typed() {
      var a = clock.read(from.value, look.lo), b = clock.read(to.value, look.lo);
      if (!(b > a)) return;
      look.pick = { from: a, to: b };
      var room = (b - a) * 0.25;
      if (a < look.lo || b > look.hi || b - a < (look.hi - look.lo) / 50) hand.show(a - room, b + room);
      view.refresh();
    }

    // nudge moves the meter's clock by so many seconds; the field holds the lag.
    function nudge(by) {
      if (!lag) return;
      var fold = lag.closest("details");
      if (fold) fold.open = true;
      lag.value = String(Math.round((look.lag + by) * 1000) / 1000);
      laid();
    }

    function laid() {
      var s = Number(lag.value.replace(",", ".").replace("−", "-"));
      if (!isFinite(s) || Math.abs(s) > 1e6) return;
      look.lag = s;
      look.drift = 0;
      says.textContent = said = fill(d.sayLag, { lag: String(s).replace("-", "−") });
      view.refresh();
    }

    var hand = trace.hold(figure, view, look, {
      pick: pick, nudge: nudge,
      picking: function () { return brush && brush.getAttribute("aria-pressed") === "true"; },
    });

    if (from && to) {
      [from, to].forEach(function (field) { field.addEventListener("input", typed); });
    }
    if (d.lookTo) {
      var lookFrom = Number(d.lookFrom) / 1000, lookTo = Number(d.lookTo) / 1000, half = (lookTo - lookFrom) / 2;
      hand.show(lookFrom - half, lookTo + half);
      look.pick = { from: lookFrom, to: lookTo };
    } else if (from && to && from.value && to.value) typed();
    if (lag) {
      lag.addEventListener("input", laid);
      document.querySelectorAll("button[data-nudge]").forEach(function (button) {
        button.addEventListener("click", function () { nudge(Number(button.dataset.nudge)); });
      });
      if (lag.value && Number(lag.value) !== look.lag) laid();
    }
    document.querySelectorAll("button[data-show]").forEach(function (button) {
      button.hidden = false;
      button.addEventListener("click", function () {
        var e = button.closest("[data-stretch]").dataset, a = Number(e.from) / 1000, b = Number(e.to) / 1000, room = (b - a) * 0.25;
        hand.show(a - room, b + room);
        pick(a, b);
        figure.scrollIntoView({ block: "nearest" });
      });
    });

    // What the drawing says in words: the time under the cursor, or the picked stretch.
    trace.onCursor = function (u) { if (u.cursor.left >= 0) say(u.posToVal(u.cursor.left, "x")); };
    trace.onDraw = function () { say(NaN); };
    function say(t) {
      var data = view ? view.data() : null, words = "";
      if (!data) return;
      if (look.pick && isNaN(t)) {
        var a = trace.meanOver(data.reference, look.pick.from, look.pick.to), b = trace.meanOver(data.meter, look.pick.from, look.pick.to);
        words = fill(d.sayPick, { from: clock.told(look.pick.from), to: clock.told(look.pick.to), seconds: Math.round(look.pick.to - look.pick.from),
          reference: figures(a), meter: figures(b), error: percent(100 * (b / a - 1)) });
      } else if (!isNaN(t)) {
        words = fill(d.sayAt, { at: clock.told(t), reference: figures(at(data.reference, t)), meter: figures(at(data.meter, t)) });
      }
      if (words && words !== said) says.textContent = said = words;
    }

    function stretches() {
      return Array.prototype.map.call(document.querySelectorAll("[data-stretch]"), function (e) {
        return { from: Number(e.dataset.from) / 1000, to: Number(e.dataset.to) / 1000, text: e.dataset.stretch, taken: e.dataset.taken === "yes" };
      });
    }
  });

  function at(channel, t) {
    var i = trace.first(channel.time, t);
    if (i > 0 && (i === channel.time.length || t - channel.time[i - 1] < channel.time[i] - t)) i--;
    return i < channel.time.length ? channel.mean[i] : NaN;
  }

  function figures(v) { return isFinite(v) ? String(Number(v.toPrecision(4))).replace("-", "−") : "–"; }
  function percent(v) { return isFinite(v) ? (v > 0 ? "+" : "") + v.toFixed(2).replace("-", "−") + " %" : "–"; }
  function fill(text, values) { return text.replace(/\{(\w+)\}/g, function (whole, name) { return name in values ? values[name] : whole; }); }
})(window.rillmarkTrace);
