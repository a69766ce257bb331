// The samples of a logged channel, fetched in tiles: the record halved again and again, each
// tile with about as many ranges as the screen has dots. What was fetched once is kept.
window.rillmarkTrace = window.rillmarkTrace || {};
(function (trace) {
  "use strict";

  var most = 60, deepest = 24; // tiles kept, times halved

  // store keeps the tiles of one channel, from and to of its own clock in s since 1970;
  // changed is called when further ones have come.
  // per is what its values, m³/s, are multiplied by.
  trace.store = function (address, from, to, per, changed) {
    var tiles = new Map(), asked = new Set(), width = 512;

    function key(level, n) { return level + "/" + n + "/" + width; }

    function length(level) { return (to - from) / Math.pow(2, level); }

    function ask(level, n) {
      var name = key(level, n), start = from + n * length(level), end = start + length(level);
      if (tiles.has(name) || asked.has(name)) return;
      asked.add(name);
      var query = "?from=" + Math.floor(start * 1000) + "&to=" + Math.ceil(end * 1000) + "&width=" + width;
      fetch(address + query, { headers: { Accept: "application/json" }, credentials: "same-origin" }).then(function (answer) {
        if (!answer.ok) throw new Error(String(answer.status));
        return answer.json();
      }).then(function (channel) {
        asked.delete(name);
        tiles.set(name, unpacked(channel, per));
        if (tiles.size > most) tiles.delete(tiles.keys().next().value);
        changed();
      }).catch(function () {
        setTimeout(function () { asked.delete(name); }, 2000); // asked again at the next move
      });
    }

    // found is the tile, or until it has come the finest one that holds it.
    function found(level, n) {
      for (; level >= 0; level--, n = Math.floor(n / 2)) {
        var tile = tiles.get(key(level, n));
        if (tile) return tile;
      }
      return null;
    }

    return {
      // fit says how many dots wide the drawing is.
      fit: function (dots) { width = dots > 1024 ? 2048 : dots > 512 ? 1024 : 512; },
      // window returns what is there of a time, in order: the parts of at most three tiles of
      // the finest level of which two hold the window.
      window: function (lo, hi) {
        var level = Math.min(Math.max(0, Math.floor(Math.log2((to - from) / Math.max(hi - lo, 1e-3)))), deepest), parts = [];
        var n = Math.max(0, Math.floor((lo - from) / length(level)));
        ask(0, 0);
        for (; n < Math.pow(2, level) && from + n * length(level) < hi; n++) {
          ask(level, n);
          var tile = found(level, n);
          if (tile) parts.push({ tile: tile, from: from + n * length(level), to: from + (n + 1) * length(level), whole: tiles.has(key(level, n)) });
        }
        return parts;
      },
    };
  };

  // unpacked reads a channel: its times are counted in ms from the first one's, a range of
  // one sample has its mean alone.
  function unpacked(channel, per) {
    var n = channel.at.length, time = new Float64Array(n), mean = new Float64Array(n), low = mean, high = mean, t = channel.origin;
    for (var i = 0; i < n; i++) {
      t += channel.at[i];
      time[i] = t / 1000;
      mean[i] = channel.mean[i] * per;
    }
    if (channel.low) {
      low = Float64Array.from(channel.low, function (v) { return v * per; });
      high = Float64Array.from(channel.high, function (v) { return v * per; });
    }
    return { time: time, mean: mean, low: low, high: high, step: channel.step / 1000 };
  }

  // joined makes one line of a channel's parts in a window, moved by so many seconds; a gap
  // is a null. The line goes through the mean of each range, and through its least and
  // greatest where they are further apart than the line is broad.
  // drift is by how much the shift grows with time, from middle on.
  trace.joined = function (parts, shift, lo, hi, broad, drift, middle) {
    var xs = [], ys = [], times = [], means = [], last = -Infinity, margin = (hi - lo) * 0.02;
    parts.forEach(function (part, p) {
      var c = part.tile, i = first(c.time, Math.max(lo - margin - shift, p === 0 ? -Infinity : part.from));
      var end = Math.min(hi + margin - shift, p === parts.length - 1 ? Infinity : part.to);
      for (; i < c.time.length && c.time[i] < end; i++) {
        var t = c.time[i] + shift;
        if (drift) t += drift * (t - middle);
        if (t <= last) continue;
        if (c.step > 0 && t - last > 4 * c.step && xs.length) {
          xs.push((t + last) / 2);
          ys.push(null);
        }
        if (c.high[i] - c.low[i] > broad) {
          xs.push(t, t);
          ys.push(c.low[i], c.high[i]);
        }
        xs.push(t);
        ys.push(c.mean[i]);
        times.push(t);
        means.push(c.mean[i]);
        last = t;
      }
    });
    return { line: [xs, ys], time: times, mean: means };
  };

  // errors are the errors of the meter's means, read between its samples at the reference's
  // times, in percent; none across a gap.
  trace.errors = function (reference, meter, longest) {
    var xs = [], ys = [], j = 0;
    for (var i = 0; i < reference.time.length; i++) {
      var t = reference.time[i], q = reference.mean[i];
      while (j + 1 < meter.time.length && meter.time[j + 1] <= t) j++;
      var a = meter.time[j], b = meter.time[j + 1];
      xs.push(t);
      if (!(a <= t && t <= b) || b - a > longest || !(Math.abs(q) > 0)) {
        ys.push(null);
        continue;
      }
      var share = b > a ? (t - a) / (b - a) : 0;
      ys.push(100 * ((meter.mean[j] + share * (meter.mean[j + 1] - meter.mean[j])) / q - 1));
    }
    return { line: [xs, ys], time: xs, mean: ys };
  };

  // meanOver is the mean of a channel over a time, NaN where it has nothing there.
  trace.meanOver = function (channel, lo, hi) {
    var sum = 0, n = 0;
    for (var i = first(channel.time, lo); i < channel.time.length && channel.time[i] <= hi; i++) {
      if (channel.mean[i] === null) continue;
      sum += channel.mean[i];
      n++;
    }
    return n ? sum / n : NaN;
  };

  // first is the first place at or after a time.
  function first(time, t) {
    var a = 0, b = time.length;
    while (a < b) {
      var m = (a + b) >> 1;
      if (time[m] < t) a = m + 1; else b = m;
    }
    return a;
  }
  trace.first = first;
})(window.rillmarkTrace);
