// Two logged channels over time, the error between them below. The reference is broad and
// pale, the meter thin and dark upon it.
window.rillmarkTrace = window.rillmarkTrace || {};
(function (trace) {
  "use strict";

  var left = 58, right = 10, wide = 6; // dots: beside the drawing, and of the reference's line

  // inks are the page's own colours, which follow the device's light or dark.
  function inks(element) {
    var style = getComputedStyle(element);
    function of(name) { return style.getPropertyValue(name).trim(); }
    return { ink: of("--ink"), second: of("--ink-2"), pale: of("--rule-2"), band: of("--band"), paper: of("--paper"), figure: "13px " + of("--figure"), words: "14px " + of("--sans") };
  }

  // view makes the two drawings in a figure. look is what is looked at: lo and hi (s on the
  // reference's clock), lag (s), delay (s that the reference shows a change later than the
  // meter for its averaging), pick ({from, to} or null), stretches.
  trace.view = function (figure, stores, clock, look) {
    var data = { reference: empty(), meter: empty(), error: empty() };
    var colour = inks(figure), due = false, broad = 0; // the reference's line, in units of flow

    // flowRange holds what both lines show in the window, with a little room.
    function flowRange() {
      var lo = Infinity, hi = -Infinity;
      [data.reference.line, data.meter.line].forEach(function (line) {
        var xs = line[0], ys = line[1];
        for (var i = trace.first(xs, look.lo); i < xs.length && xs[i] <= look.hi; i++) {
          if (ys[i] === null) continue;
          if (ys[i] < lo) lo = ys[i];
          if (ys[i] > hi) hi = ys[i];
        }
      });
      if (!(hi >= lo)) return [0, 1];
      var room = (hi - lo) * 0.06 || Math.max(Math.abs(hi) * 0.05, 1e-6);
      return [lo - room, hi + room];
    }

    // errorRange shows zero and the errors about their median, four times as far as half of
    // them reach: what is beyond, as while the flow changes, runs into the edge.
    function errorRange() {
      var e = data.error, all = [];
      for (var i = trace.first(e.time, look.lo); i < e.time.length && e.time[i] <= look.hi; i++) if (e.mean[i] !== null) all.push(e.mean[i]);
      if (!all.length) return [-1, 1];
      var centre = median(all), reach = 4 * median(all.map(function (e) { return Math.abs(e - centre); }));
      var lo = Math.min(0, centre - reach), hi = Math.max(0, centre + reach), room = Math.max((hi - lo) * 0.1, 0.1);
      return [lo - room, hi + room];
    }

    function thread() { return { scale: "y", facets: facets(), stroke: function () { return colour.ink; }, width: 1.25, paths: uPlot.paths.linear(), points: { show: false } }; }

    function facets() { return [{ scale: "x", auto: false }, { scale: "y", auto: false }]; }

    function yAxis(signed) {
      return { scale: "y", size: left, gap: 4, font: colour.figure, stroke: function () { return colour.second; }, space: 30,
        grid: { show: false }, ticks: { stroke: function () { return colour.pale; }, size: 5, width: 1 }, border: { show: true, stroke: function () { return colour.pale; }, width: 1 },
        values: function (u, splits, i, space, step) { return splits.map(function (v) { return number(v, step, signed); }); } };
    }

    function xAxis(size, shown) {
      return { scale: "x", side: 2, size: size, gap: 4, font: colour.figure, stroke: function () { return colour.second; },
        grid: { show: false }, ticks: { stroke: function () { return colour.pale; }, size: shown ? 5 : 0, width: 1 }, border: { show: true, stroke: function () { return colour.pale; }, width: 1 },
        splits: function (u, i, lo, hi) { return clock.ticks(lo, hi, Math.max(2, Math.floor(u.width / 68))).list; },
        values: function (u, splits) {
          var step = clock.ticks(look.lo, look.hi, Math.max(2, Math.floor(u.width / 68))).step;
          return splits.map(function (t) { return shown ? clock.tick(t, step) : ""; });
        } };
    }

    function make(holder, height, series, axes, hooks) {
      return new uPlot({
        mode: 2, width: Math.max(holder.clientWidth, 240), height: height, padding: [6, right, 0, 0], legend: { show: false },
        cursor: { drag: { x: false, y: false, setScale: false }, y: false, sync: { key: figure.id, scales: ["x", null] }, points: { show: false }, focus: { prox: -1 } },
        scales: { x: { time: false, auto: false, range: function () { return [look.lo, look.hi]; } }, y: { auto: false, range: function (u, lo, hi) { return [lo, hi]; } } },
        series: [null].concat(series), axes: axes, hooks: hooks,
      }, [null].concat(series.map(function () { return [[], []]; })), holder);
    }

    var flows = make(figure.querySelector(".flows"), tall(figure) - 120, [
      { scale: "y", facets: facets(), stroke: function () { return colour.pale; }, width: wide, paths: uPlot.paths.linear(), points: { show: false } }, thread()],
      [xAxis(34, false), yAxis(false)],
      { drawClear: [function (u) { bands(u, false); }], draw: [brackets], setCursor: [function (u) { if (trace.onCursor) trace.onCursor(u); }] });
    var error = make(figure.querySelector(".errors"), 120, [thread()], [xAxis(30, true), yAxis(true)],
      { drawClear: [function (u) { bands(u, true); }] });

    // bands tint what is picked and the stretches, under the lines.
    function bands(u, zero) {
      var c = u.ctx, top = u.bbox.top, height = u.bbox.height;
      function box(s, fill) {
        var a = u.valToPos(Math.max(s.from, look.lo), "x", true), b = u.valToPos(Math.min(s.to, look.hi), "x", true);
        if (b > a) {
          c.fillStyle = fill;
          c.fillRect(a, top, b - a, height);
        }
      }
      c.save();
      look.stretches.forEach(function (s) { box(s, colour.band); });
      if (look.pick) {
        box(look.pick, colour.band);
        c.strokeStyle = colour.ink;
        c.lineWidth = 2 * devicePixelRatio;
        [look.pick.from, look.pick.to].forEach(function (t) {
          if (t < look.lo || t > look.hi) return;
          var x = u.valToPos(t, "x", true);
          line(c, x, top, x, top + height);
        });
      }
      if (zero) {
        c.strokeStyle = colour.pale;
        c.lineWidth = devicePixelRatio;
        var y = u.valToPos(0, "y", true);
        line(c, u.bbox.left, y, u.bbox.left + u.bbox.width, y);
      }
      c.restore();
    }

    // brackets stand below the flows as dimension lines do on a drawing; that of a stretch
    // not yet taken is broken.
    function brackets(u) {
      var c = u.ctx, r = devicePixelRatio, y = u.bbox.top + u.bbox.height + 7 * r;
      c.save();
      c.strokeStyle = c.fillStyle = colour.ink;
      c.lineWidth = 1.5 * r;
      c.font = colour.figure.replace("13px", 12 * r + "px");
      c.textAlign = "center";
      c.textBaseline = "top";
      var last = -Infinity;
      look.stretches.forEach(function (s) {
        if (s.to <= look.lo || s.from >= look.hi) return;
        var a = u.valToPos(Math.max(s.from, look.lo), "x", true), b = u.valToPos(Math.min(s.to, look.hi), "x", true), h = 6 * r;
        line(c, a, y, a, y + h);
        line(c, b, y, b, y + h);
        if (s.taken) line(c, a, y + h, b, y + h);
        else {
          line(c, a, y + h, a + (b - a) / 5, y + h);
          line(c, b - (b - a) / 5, y + h, b, y + h);
        }
        var wide = c.measureText(s.text).width;
        if ((a + b - wide) / 2 > last + 4 * r) {
          c.fillText(s.text, (a + b) / 2, y + h + 4 * r);
          last = (a + b + wide) / 2;
        }
      });
      c.restore();
    }

    // refresh puts what is looked at on the screen, at the next frame.
    function refresh() {
      if (due) return;
      due = true;
      requestAnimationFrame(function () {
        due = false;
        draw();
      });
    }

    function draw() {
      var shift = look.lag + look.delay, reference = stores.reference.window(look.lo, look.hi);
      var meter = stores.meter.window(look.lo - shift, look.hi - shift), all = reference.concat(meter);
      figure.dataset.whole = reference.length && meter.length && all.every(function (p) { return p.whole; }) ? "yes" : "no";
      data.reference = trace.joined(reference, 0, look.lo, look.hi, broad * 1.5);
      data.meter = trace.joined(meter, shift, look.lo, look.hi, broad / 6, look.drift, look.middle);
      data.error = trace.errors(data.reference, data.meter, 4 * Math.max.apply(null, all.map(function (p) { return p.tile.step; }).concat(0)));
      var range = flowRange();
      broad = (range[1] - range[0]) * wide / Math.max(flows.bbox.height / devicePixelRatio, 1);
      put(flows, [null, data.reference.line, data.meter.line], range);
      put(error, [null, data.error.line], errorRange());
      if (trace.onDraw) trace.onDraw(data);
    }

    function put(u, lines, range) {
      u.batch(function () {
        u.setData(lines, false);
        u.setScale("x", { min: look.lo, max: look.hi });
        u.setScale("y", { min: range[0], max: range[1] });
      });
    }

    function size() {
      var across = Math.max(figure.querySelector(".flows").clientWidth, 240);
      stores.reference.fit(across);
      stores.meter.fit(across);
      flows.setSize({ width: across, height: tall(figure) - 120 });
      error.setSize({ width: across, height: 120 });
      refresh();
    }

    new ResizeObserver(size).observe(figure);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", function () {
      colour = inks(figure);
      refresh();
    });
    size();
    return { refresh: refresh, draw: draw, flows: flows, error: error, data: function () { return data; } };
  };

  function tall(figure) { return figure.clientWidth < 600 ? 380 : 460; }

  function median(list) { return Float64Array.from(list).sort()[list.length >> 1]; }

  function empty() { return { line: [[], []], time: [], mean: [] }; }

  function line(c, x, y, x2, y2) {
    c.beginPath();
    c.moveTo(x, y);
    c.lineTo(x2, y2);
    c.stroke();
  }

  // number tells a value of the axis to its step, with a real minus.
  function number(v, step, signed) {
    var text = v.toFixed(Math.max(0, -Math.floor(Math.log10(step) + 1e-9)));
    if (Number(text) === 0) return "0";
    return (signed && v > 0 ? "+" : "") + text.replace("-", "−");
  }
})(window.rillmarkTrace);
