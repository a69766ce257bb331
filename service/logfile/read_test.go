package logfile_test

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"rillmark/calc/fault"
	"rillmark/service/logfile"
)

func loadText(text string, m logfile.Mapping, zone string) (logfile.Channel, error) {
	source, err := logfile.SourceOf(strings.NewReader(text), int64(len(text)), "")
	if err != nil {
		return logfile.Channel{}, err
	}
	return logfile.Load(source, m, zone)
}

// rows repeats a line with the number of seconds in place of %d.
func rows(n int, line string) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, line+"\n", i%60)
	}
	return b.String()
}

func at(text string) time.Time {
	t, err := time.Parse(time.RFC3339Nano, text)
	if err != nil {
		panic(err)
	}
	return t.UTC()
}

func TestFilesAreRead(t *testing.T) {
	for name, c := range map[string]struct {
		text    string
		mapping logfile.Mapping
		zone    string
		first   string  // time of the first row kept
		value   float64 // of it, SI
		kept    int
		dropped []string // codes with rows
	}{
		"ISO, comma": {
			text: "t,Flow (L/s)\n" + rows(20, "2026-03-04T10:00:%02d.250+01:00,12.5"), zone: "UTC",
			first: "2026-03-04T09:00:00.25Z", value: 0.0125, kept: 20},
		"points in dates, decimal comma, two columns, long header": {
			text: strings.Repeat("Note;with words\n", 30) + "Datum;Zeit;Q [m³/h]\n" + rows(20, "04.03.2026;10:00:%02d;1.234,5"),
			zone: "Europe/Berlin", first: "2026-03-04T09:00:00Z", value: 1234.5 / 3600, kept: 20},
		"units in a line of their own": {
			text: "Time;Flow\n-;US gal/min\n" + rows(20, "2026-03-04 10:00:%02d;100.5"), zone: "UTC",
			first: "2026-03-04T10:00:00Z", value: 100.5 * 0.003785411784 / 60, kept: 20},
		"twelve hours": {
			text: "Stamp,flow_m3_h\n" + rows(20, "3/24/2026 12:05:%02d AM,36"), zone: "America/Denver",
			first: "2026-03-24T06:05:00Z", value: 0.01, kept: 20},
		"day told by a later date": {
			text: "Time\tFlow m3/h\n04/03/2026 23:59:58\t36.5\n" + rows(20, "13/03/2026 10:00:%02d\t36.5"), zone: "UTC",
			first: "2026-03-04T23:59:58Z", value: 36.5 / 3600, kept: 21},
		"named month": {
			text: "Time;Flow m3/h\n" + rows(20, "4-Mar-2026 10:00:%02d;36.5"), zone: "UTC",
			first: "2026-03-04T10:00:00Z", value: 36.5 / 3600, kept: 20},
		"milliseconds since 1970": {
			text: "ms,q m3/s\n" + rows(20, "17726112%02d500,0.02"), zone: "Asia/Tokyo",
			first: "2026-03-04T08:00:00.5Z", value: 0.02, kept: 20},
		"serial days": {
			text: "Date;Flow L/s\n" + rows(20, "46085.4166%02d;20"), zone: "UTC",
			first: "2026-03-04T09:59:54.24Z", value: 0.02, kept: 20},
		"zone in the header": {
			text: "Zone: UTC+02:00\nTime;Flow L/s\n" + rows(20, "2026-03-04 10:00:%02d;20"), zone: "UTC",
			first: "2026-03-04T08:00:00Z", value: 0.02, kept: 20},
		"spaces": {
			text: rows(20, "2026-03-04  10:00:%02d   20.5"), mapping: logfile.Mapping{Unit: "L/s"}, zone: "UTC",
			first: "2026-03-04T10:00:00Z", value: 0.0205, kept: 20},
		"quotes": {
			text: "\"Time\",\"Flow, L/s\"\n" + rows(20, "\"2026-03-04 10:00:%02d\",\"20.5\""), zone: "UTC",
			first: "2026-03-04T10:00:00Z", value: 0.0205, kept: 20},
		"faults of every kind": {
			text: "Time,Status,Flow L/s\n" +
				"2026-03-04 10:00:00,OK,20\n2026-03-04 10:00:01,OK,\n2026-03-04 10:00:02,OK,NaN\n2026-03-04 10:00:03,OK,OVER\n" +
				"2026-03-04 10:00:04,low signal,3\n2026-03-04 10:00:05,OK,20\n2026-03-04 10:00:05,OK,21\n2026-03-04 09:59:00,OK,20\n" +
				"never,OK,20\n2026-03-04 10:00:08\n\n2026-03-04 10:00:09,OK,20\n2026-02-30 10:00:10,OK,20\n",
			zone: "UTC", first: "2026-03-04T10:00:00Z", value: 0.02, kept: 3,
			dropped: []string{"logfile.drop-blank 1", "logfile.drop-word 1", "logfile.drop-word 1", "logfile.drop-status 1",
				"logfile.drop-repeated 1", "logfile.drop-out-of-order 1", "logfile.drop-stamp 1", "logfile.drop-fields 1", "logfile.drop-stamp 1"}},
		"one stamp runs ahead": {
			text: "Time,Flow L/s\n2026-03-04 10:00:00,20\n2026-03-04 10:00:01,20\n2027-03-04 10:00:02,20\n2026-03-04 10:00:03,20\n2026-03-04 10:00:04,20\n2026-03-04 10:00:05,20\n",
			zone: "UTC", first: "2026-03-04T10:00:00Z", value: 0.02, kept: 5, dropped: []string{"logfile.drop-out-of-order 1"}},
		"clocks set forward": {
			text: "Time,Flow L/s\n2026-03-29 01:30:00,20\n2026-03-29 02:30:00,20\n2026-03-29 03:30:00,20\n2026-03-29 04:30:00,20\n",
			zone: "Europe/Berlin", first: "2026-03-29T00:30:00Z", value: 0.02, kept: 3, dropped: []string{"logfile.drop-no-such-time 1"}},
		"clocks set back": {
			text: "Time,Flow L/s\n2026-10-25 01:30:00,20\n2026-10-25 02:15:00,20\n2026-10-25 02:45:00,20\n2026-10-25 02:15:00,20\n2026-10-25 02:45:00,20\n2026-10-25 03:15:00,20\n",
			zone: "Europe/Berlin", first: "2026-10-24T23:30:00Z", value: 0.02, kept: 6},
		"counter that wraps": {
			text: "Time,Total m3\n2026-03-04 10:00:00,9990\n2026-03-04 10:01:00,9996\n2026-03-04 10:02:00,0002\n2026-03-04 10:03:00,8\n",
			zone: "UTC", first: "2026-03-04T10:00:00Z", value: 9990, kept: 4},
		"the map chooses": {
			text: "When;A L/s;B L/s\n" + rows(20, "03/04/2026 10:00:%02d;1,250;2,5"), zone: "UTC",
			mapping: logfile.Mapping{DateOrder: "dmy", ValueColumn: "A L/s", DecimalMark: "comma"},
			first:   "2026-04-03T10:00:00Z", value: 0.00125, kept: 20},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := loadText(c.text, c.mapping, c.zone)
			if err != nil {
				t.Fatal(err)
			}
			if got.Report.Kept != c.kept || len(got.Points.Micro) != c.kept {
				t.Fatalf("kept %d of %d, want %d; dropped %v", got.Report.Kept, got.Report.Rows, c.kept, got.Report.Dropped)
			}
			if first := time.UnixMicro(got.Points.Micro[0]).UTC(); !first.Equal(at(c.first)) {
				t.Errorf("first at %v, want %s", first, c.first)
			}
			if v := got.Points.Value[0]; math.Abs(v-c.value) > 1e-12*c.value {
				t.Errorf("first value %g, want %g", v, c.value)
			}
			var dropped []string
			sum := got.Report.Kept
			for _, d := range got.Report.Dropped {
				dropped = append(dropped, fmt.Sprint(d.Reason.Code.Name(), " ", d.Rows))
				sum += d.Rows
			}
			if !slices.Equal(dropped, c.dropped) {
				t.Errorf("dropped %v\nwant    %v", dropped, c.dropped)
			}
			if sum != got.Report.Rows {
				t.Errorf("%d rows, kept and dropped are %d", got.Report.Rows, sum)
			}
			if !slices.IsSorted(got.Points.Micro) {
				t.Error("times do not rise")
			}
		})
	}
}

func TestDoubtIsAsked(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want []string
	}{
		"day or month":     {"Time,Flow L/s\n" + rows(20, "03/04/2026 10:00:%02d,20"), []string{"logfile.ask-date-order"}},
		"short years":      {"Time,Flow L/s\n" + rows(20, "05-04-06 10:00:%02d,20"), []string{"logfile.ask-date-order"}},
		"thousands":        {"Time;Flow L/s\n" + rows(20, "2026-03-04 10:00:%02d;1,234"), []string{"logfile.ask-decimal-mark"}},
		"two flows":        {"Time;Flow A L/s;Flow B L/s\n" + rows(20, "2026-03-04 10:00:%02d;1.5;2.5"), []string{"logfile.ask-value-column"}},
		"two times":        {"Sent;Received;Flow L/s\n" + rows(20, "2026-03-04 10:00:%02d;2026-03-04 10:00:09;2.5"), []string{"logfile.ask-time-column"}},
		"no unit":          {"Time;Flow\n" + rows(20, "2026-03-04 10:00:%02d;2.5"), []string{"logfile.ask-unit"}},
		"which gallon":     {"Time;Flow gal/min\n" + rows(20, "2026-03-04 10:00:%02d;2.5"), []string{"logfile.bad-unit"}},
		"which 2 o'clock":  {"Time;Flow L/s\n" + rows(20, "2026-10-25 02:10:%02d;2.5"), []string{"logfile.ask-hour"}},
		"order and column": {"Time,Flow A,Flow B\n" + rows(20, "03/04/2026 10:00:%02d,20,21"), []string{"logfile.ask-date-order", "logfile.ask-value-column"}},
		"no time":          {"a,b\n" + rows(20, "%d,20"), []string{"logfile.no-time"}},
		"no number":        {"Time,b\n" + rows(20, "2026-03-04 10:00:%02d,off"), []string{"logfile.no-value"}},
		"empty":            {"", []string{"logfile.empty"}},
		"no text":          {"\x00\x01\x02\x00\x00\x07abc", []string{"logfile.not-text"}},
		"a long line":      {strings.Repeat("x", logfile.MaxLine+1) + "\n", []string{"logfile.long-line"}},
		"many columns":     {strings.Repeat("1,", 300) + "\n" + strings.Repeat("1,", 300) + "\n", []string{"logfile.many-columns"}},
		"no workbook":      {"PK\x03\x04 and nothing more", []string{"logfile.bad-sheet"}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := loadText(c.text, logfile.Mapping{}, "Europe/Berlin")
			var got []string
			for _, f := range fault.AllOf(err) {
				got = append(got, f.Code.Name())
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("%v, want %v", got, c.want)
			}
		})
	}
}

func TestWorkbooksAreRead(t *testing.T) {
	f := excelize.NewFile()
	for i, cell := range []any{"Site", "Mill"} {
		_ = f.SetCellValue("Sheet1", fmt.Sprintf("%c1", 'A'+i), cell)
	}
	_ = f.SetSheetRow("Sheet1", "A2", &[]any{"Time", "State", "Flow m3/h"})
	for i := range 30 {
		stamp := time.Date(2026, 3, 4, 10, 0, i, 0, time.UTC)
		_ = f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", 3+i), &[]any{stamp, "OK", 36 + float64(i)/8})
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	got, err := loadText(b.String(), logfile.Mapping{}, "Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	if n := len(got.Points.Micro); n != 30 || !time.UnixMicro(got.Points.Micro[1]).Equal(at("2026-03-04T09:00:01Z")) ||
		math.Abs(got.Points.Value[8]-37.0/3600) > 1e-12 {
		t.Errorf("%d rows, %v", n, got.Points)
	}
}

func TestAveragingInTheHeader(t *testing.T) {
	for line, want := range map[string]logfile.Averaging{
		"Averaging: trailing mean 30 s":     {Kind: "trailing", Seconds: 30},
		"Averaging none":                    {Kind: "none"},
		"Damping (exponential) 0.5 min":     {Kind: "exponential", Seconds: 30},
		"Averaging time 10 s":               {Kind: "unknown", Seconds: 10},
		"Filter: centred, 12 s, three taps": {Kind: "centred", Seconds: 12},
	} {
		got, err := loadText(line+"\nTime;Flow L/s\n"+rows(20, "2026-03-04 10:00:%02d;2.5"), logfile.Mapping{}, "UTC")
		if err != nil || got.Mapping.Averaging == nil || *got.Mapping.Averaging != want {
			t.Errorf("%q: %v, %v", line, got.Mapping.Averaging, err)
		}
	}
}

func TestMapsAreHeldStrictly(t *testing.T) {
	for text, want := range map[string]string{
		`{`:                                  "logfile.bad-map",
		`{"colour":"red"}`:                   "logfile.bad-map",
		`{"date_order":"dym"}`:               "logfile.bad-word",
		`{"zone":"Mars/North"}`:              "logfile.bad-zone",
		`{"reference":{"delimiter":"dash"}}`: "logfile.bad-word",
		`{"search_s":-1}`:                    "trace.bad-search",
	} {
		_, err := logfile.ParsePairMap([]byte(text))
		if l := fault.AllOf(err); len(l) == 0 || l[0].Code.Name() != want {
			t.Errorf("%s: %v, want %s", text, err, want)
		}
	}
	m, err := logfile.ParsePairMap([]byte(`{"date_order":"mdy","value_column":3}`))
	if err != nil || m.Reference.DateOrder != "mdy" || m.Meter.ValueColumn != "3" {
		t.Errorf("%+v, %v", m, err)
	}
}
