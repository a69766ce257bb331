// Times of a site's clock, told and read.
window.rillmarkTrace = window.rillmarkTrace || {};
(function (trace) {
  "use strict";

  // clock tells and reads times of a zone; days says whether a time needs its day.
  trace.clock = function (zone, days) {
    var format = new Intl.DateTimeFormat("en-GB", { timeZone: zone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit",
      hour: "2-digit", minute: "2-digit", second: "2-digit" });
    var months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

    function parts(t) {
      var p = {};
      format.formatToParts(new Date(Math.floor(t) * 1000)).forEach(function (one) { p[one.type] = one.value; });
      return p;
    }

    // offset is what the zone's clock is ahead of UTC, s.
    function offset(t) {
      var p = parts(t);
      return Date.UTC(p.year, p.month - 1, p.day, p.hour, p.minute, p.second) / 1000 - Math.floor(t);
    }

    function time(p) { return p.hour + ":" + p.minute + ":" + p.second; }

    return {
      // told is a time as the fields hold it, to the tenth of a second.
      told: function (t) {
        var tenth = Math.round(t * 10), p = parts(tenth / 10), rest = ((tenth % 10) + 10) % 10;
        return (days ? p.year + "-" + p.month + "-" + p.day + " " : "") + time(p) + (rest ? "." + rest : "");
      },
      // read returns the time that a field holds, NaN where it is none. near is a time of the
      // same day, for texts without one.
      read: function (text, near) {
        var m = /^\s*(?:(\d{4})-(\d\d?)-(\d\d?)[ T]+)?(\d\d?):(\d\d)(?::(\d\d(?:[.,]\d+)?))?\s*$/.exec(text);
        if (!m) return NaN;
        var p = parts(near), s = Number((m[6] || "0").replace(",", "."));
        var wall = Date.UTC(m[1] || p.year, (m[2] || p.month) - 1, m[3] || p.day, m[4], m[5], 0) / 1000 + s;
        var t = wall - offset(wall);
        return wall - offset(t);
      },
      // tick is a time beside the axis, where ticks stand so many seconds apart.
      tick: function (t, step) {
        var p = parts(t + 1e-6);
        if (step >= 86400 || p.hour + p.minute + p.second === "000000") return Number(p.day) + " " + months[p.month - 1];
        return step < 60 ? time(p) : p.hour + ":" + p.minute;
      },
      // ticks are round times of the zone's clock in a window, about so many.
      ticks: function (lo, hi, about) {
        var steps = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400];
        var least = (hi - lo) / Math.max(about, 1), step = steps.filter(function (s) { return s >= least; })[0] || 86400 * Math.ceil(least / 86400);
        var list = [], ahead = offset(lo);
        for (var t = Math.ceil((lo + ahead) / step) * step - ahead; t <= hi && list.length < 100; t += step) list.push(t + (step > 3600 ? ahead - offset(t) : 0));
        return { step: step, list: list };
      },
    };
  };
})(window.rillmarkTrace);
