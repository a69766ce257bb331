package demo

import (
	"time"

	"rillmark/domain/sheet"
)

// place is where a reference sat: straight lengths with what disturbs before and after, and
// what lies between it and the meter.
func place(position, distance string, side string, before, disturbed, after, disturbedAfter string, between, betweenNote string) []value {
	list := []value{
		from(sheet.Measured, sheet.ReferencePosition, position), from(sheet.Measured, sheet.Distance, distance), from(sheet.Measured, sheet.Side, side),
		from(sheet.Measured, sheet.StraightBefore, before), from(sheet.Measured, sheet.DisturbanceBefore, disturbed),
		from(sheet.Measured, sheet.StraightAfter, after), from(sheet.Measured, sheet.DisturbanceAfter, disturbedAfter),
		from(sheet.Measured, sheet.Between, between),
	}
	if betweenNote != "" {
		list = append(list, from(sheet.Measured, sheet.BetweenNote, betweenNote))
	}
	return list
}

// water is the fluid at its temperature and pressure; the pipe is full.
func water(thermometer int, temperature, pressure string) []value {
	return liquid(thermometer, temperature, pressure, from(sheet.Client, sheet.Fluid, "water"))
}

// liquid is any fluid with what it needs, at its temperature and pressure; the pipe is full.
func liquid(thermometer int, temperature, pressure string, what ...value) []value {
	return together(what, by(thermometer, sheet.Temperature, temperature),
		[]value{from(sheet.Nameplate, sheet.Pressure, pressure), from(sheet.Measured, sheet.PipeFull, sheet.FullYes)})
}

func madeOf(source sheet.Source, material string) []value {
	return []value{from(source, sheet.PipeMaterial, material)}
}

// epoxy is a thin lining by the client's word.
var epoxy = []value{from(sheet.Client, sheet.LinerMaterial, "epoxy"), from(sheet.Client, sheet.LinerThickness, "0.4 mm"),
	from(sheet.Standard, sheet.LinerSoundSpeed, "2600 m/s")}

const single, none = "single elbow", "none near"

// tasks are those of the visits that were made, and of today's the one that is half done:
// it has no last word. The other one of today is untouched, and so not here.
var tasks = []task{
	{ // a year ago, by the earlier edition of the method
		visit: 0, point: networkWater, hour: 9, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "3 o'clock",
		survey: together(by(calliper1, sheet.OutsideDiameter, "323.8 mm", "324.1 mm"), by(gauge1, sheet.Wall, "7.11 mm", "7.05 mm", "7.14 mm", "7.08 mm"),
			madeOf(sheet.Client, "carbon steel"), epoxy, water(thermometer1, "10.4 °C", "5.2 bar gauge"),
			place("upstream of the bypass tee", "4.1 m", sheet.Upstream, "4.2 m", single, "3.4 m", "tee, straight through", sheet.BetweenClosed, "bypass valve shut; its bleed stayed dry")),
		zero:     &zero{"shift engineer Withybeck", "both valves shut, pressure held for ten minutes", "0.4 mm/s", "0.3 mm/s", "left as it is"},
		controls: [2]control{{"inhibited", "chlorine dosing follows this flow", "shift engineer Withybeck"}, {"restored", "chlorine dosing", "shift engineer Withybeck"}},
		flows:    []float64{120, 240, 400}, errors: []float64{0.006, 0.004, 0.003}, outputError: 0.0005,
		notes: []note{{"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Bypass open again, dosing in automatic."}},
	},
	{ // a plastic pipe, and a wall gauge out of calibration
		visit: 1, point: blockEast, hour: 10, reference: reference2, pair: pairPlastic, cable: cable2, tape: tape2, traverses: 2, clock: "9 o'clock",
		survey: together(by(tape2, sheet.Circumference, "786.0 mm"), []value{from(sheet.Nameplate, sheet.TapeThickness, "0.2 mm")},
			by(gauge2, sheet.Wall, "14.9 mm", "15.1 mm", "14.8 mm", "15.0 mm"), madeOf(sheet.Nameplate, "polyethylene"),
			water(thermometer2, "9.1 °C", "3.4 bar gauge"),
			place("behind the filter station", "6 m", sheet.Upstream, "4 m", single, "1.25 m", none, sheet.BetweenNothing, "")),
		zero:     &zero{"Anselm Okeridge", "pump off, valve to the block shut, no drip at the end drain", "−1.1 mm/s", "0.5 mm/s", "left as it is"},
		controls: [2]control{{"inhibited", "the pump follows this flow", "Anselm Okeridge"}, {"restored", "pump back in automatic", "Anselm Okeridge"}},
		flows:    []float64{60, 110, 160}, errors: []float64{-0.021, -0.012, -0.008},
		notes: []note{{"deviation", "The wall gauge's calibration had ended eight days before; readings taken all the same."},
			{"not-adjusted", "Not agreed."}, {"finished", "For information; the grower wants a second look in spring."}},
	},
	{ // too little straight pipe before the reference
		visit: 2, point: townWater, hour: 9, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "10 o'clock",
		survey: together(by(calliper1, sheet.OutsideDiameter, "88.8 mm", "89.0 mm"), by(gauge1, sheet.Wall, "4.02 mm", "3.95 mm", "4.06 mm", "3.99 mm"),
			madeOf(sheet.Client, "carbon steel"), water(thermometer1, "11.8 °C", "4.1 bar gauge"),
			place("the only straight pipe in the meter cupboard", "0.4 m", sheet.Upstream, "0.45 m", single, "0.45 m", none, sheet.BetweenNothing, "")),
		zeroWhy:  "The creamery cannot be without town water.",
		controls: [2]control{{"nothing-controlled", "", ""}},
		flows:    []float64{8, 15, 24}, errors: []float64{-0.012, -0.009, -0.011},
		notes: []note{{"condition", "0.45 m of straight pipe before the reference: the cupboard has no more."},
			{"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Cupboard locked, key at reception."}},
	},
	{ // one run set aside
		visit: 2, point: iceWater, hour: 12, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "3 o'clock",
		survey: together(by(calliper1, sheet.OutsideDiameter, "104.0 mm", "104.1 mm"), by(gauge1, sheet.Wall, "2.01 mm", "1.99 mm", "2.02 mm", "2.00 mm"),
			madeOf(sheet.Nameplate, "stainless steel"), water(thermometer1, "1.6 °C", "2.6 bar gauge"),
			place("pipe bridge, between the hangers", "1.6 m", sheet.Upstream, "1.3 m", single, "0.6 m", single, sheet.BetweenNothing, "")),
		zero:     &zero{"maintenance Grangeloam", "plate cooler valved off, pressure held for six minutes", "0.8 mm/s", "0.4 mm/s", "left as it is"},
		controls: [2]control{{"inhibited", "three-way valve of the cooler", "maintenance Grangeloam"}, {"restored", "three-way valve of the cooler", "maintenance Grangeloam"}},
		flows:    []float64{10, 22, 40}, errors: []float64{0.007, 0.005, 0.004},
		jolted: &jolted{flowPoint: 1, run: 1, by: 0.18, reason: "The second ice water pump started during the run: flow up by a fifth."},
		notes:  []note{{"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Insulation closed again."}},
	},
	{ // the drawing's wall was wrong
		visit: 3, point: freshWater, hour: 8, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "2 o'clock",
		picked: &picked{size: "6", schedule: "40", source: sheet.Client},
		survey: together(by(calliper1, sheet.OutsideDiameter, "168.2 mm", "168.5 mm"), madeOf(sheet.Client, "carbon steel"),
			water(thermometer1, "13.2 °C", "3.1 bar gauge"),
			place("cellar, after the strainer", "2.4 m", sheet.Upstream, "2.1 m", single, "1.3 m", single, sheet.BetweenNothing, "")),
		wall: 0.01093, regauged: by(gauge1, sheet.Wall, "10.90 mm", "10.97 mm", "10.88 mm", "10.99 mm"),
		zero:     &zero{"operator of machine 2", "gate valves shut before and behind, pressure held for five minutes", "0.5 mm/s", "0.3 mm/s", "left as it is"},
		controls: [2]control{{"inhibited", "level control of the fresh water tank", "operator of machine 2"}, {"restored", "level control of the fresh water tank", "operator of machine 2"}},
		flows:    []float64{25, 50, 90}, errors: []float64{-0.004, -0.002, 0.001},
		notes: []note{{"condition", "The pipe is extra strong; the drawing says schedule 40."}, {"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Done."}},
		late:  []note{{"deviation", "During the second flow point the operator held the flow by hand at the machine's valve."}},
	},
	{ // three per cent high, adjusted, good after
		visit: 3, point: showerWater, hour: 13, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "3 o'clock",
		survey: together(by(calliper1, sheet.OutsideDiameter, "114.2 mm", "114.3 mm"), by(gauge1, sheet.Wall, "3.04 mm", "3.08 mm", "3.03 mm", "3.06 mm"),
			madeOf(sheet.Nameplate, "stainless steel"), water(thermometer1, "18.4 °C", "6.0 bar gauge"),
			place("wall side of the header", "1.2 m", sheet.Upstream, "1.5 m", single, "0.8 m", none, sheet.BetweenNothing, "")),
		zero:     &zero{"operator of machine 2", "pump off, both valves shut, pressure held for five minutes", "0.6 mm/s", "0.3 mm/s", "left as it is"},
		controls: [2]control{{"inhibited", "the pump's speed follows this flow", "operator of machine 2"}, {"restored", "pump back in automatic", "operator of machine 2"}},
		flows:    []float64{15, 30, 45}, errors: []float64{0.032, 0.030, 0.029}, outputError: 0.001,
		adjust: &adjust{parameter: "sensor factor", old: "1.1043", new: "1.0715", factor: 1.0715 / 1.1043, permission: "Greet Ambelow, in writing", sealBefore: "T 0412", sealAfter: "SM 1187",
			reason: "Outside the limits agreed for adjusting at every flow point."},
		notes: []note{{"finished", "Sealed anew, pump in automatic."}},
	},
	{ // today, half done: the first flow point and one run of the second
		visit: 5, point: networkWater, takes: 95 * time.Minute, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "3 o'clock",
		survey: together(by(calliper1, sheet.OutsideDiameter, "323.9 mm", "324.0 mm"), by(gauge1, sheet.Wall, "7.08 mm", "7.04 mm", "7.12 mm", "7.07 mm"),
			madeOf(sheet.Client, "carbon steel"), epoxy, water(thermometer1, "9.7 °C", "5.1 bar gauge"),
			place("upstream of the bypass tee", "4.1 m", sheet.Upstream, "4.2 m", single, "3.4 m", "tee, straight through", sheet.BetweenClosed, "bypass valve shut; its bleed stayed dry")),
		zero:     &zero{"shift engineer Withybeck", "both valves shut, pressure held for ten minutes", "0.5 mm/s", "0.3 mm/s", "left as it is"},
		controls: [2]control{{"inhibited", "chlorine dosing follows this flow", "shift engineer Withybeck"}},
		flows:    []float64{120, 240, 400}, errors: []float64{0.013, 0.011, 0.010}, outputError: 0.0005,
		runs: 4,
	},
	{ // two loggers whose clocks differ; the meter's was without power for a while
		visit: 8, point: rinseWater, hour: 8, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "3 o'clock",
		survey: together(by(calliper1, sheet.OutsideDiameter, "70.0 mm", "70.1 mm"), by(gauge1, sheet.Wall, "2.01 mm", "1.98 mm", "2.02 mm", "2.00 mm"),
			madeOf(sheet.Nameplate, "stainless steel"), water(thermometer1, "14.8 °C", "3.4 bar gauge"),
			place("below the gangway", "0.9 m", sheet.Upstream, "1.0 m", single, "0.5 m", none, sheet.BetweenNothing, "")),
		zero:     &zero{"maintenance Grangeloam", "both butterfly valves shut, pressure held for six minutes", "0.5 mm/s", "0.3 mm/s", "left as it is"},
		controls: [2]control{{"inhibited", "rinsing sequence of line 4", "maintenance Grangeloam"}, {"restored", "rinsing sequence of line 4", "maintenance Grangeloam"}},
		flows:    []float64{5, 10, 17}, errors: []float64{0.009, 0.006, 0.005},
		logging: &logging{levels: []level{{13, 4 * time.Minute, 0}, {5, 16 * time.Minute, 1}, {10, 15 * time.Minute, 2}, {17, 20 * time.Minute, 3}},
			referenceLate: 2, meterLate: 96, reference: ostreyLog, meter: clipLog, pauseAt: 46 * time.Minute, pause: 4 * time.Minute,
			aside: "The valve was still being set."},
		notes: []note{{"condition", "The meter's logger lost its supply for four minutes during the third flow point."},
			{"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Line back in its sequence."}},
	},
	{ // a pump that cycles: the signals fit at many lags, a clock note serves
		visit: 9, point: boilerMakeUp, hour: 8, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "9 o'clock",
		survey: together(by(calliper1, sheet.OutsideDiameter, "60.3 mm", "60.4 mm"), by(gauge1, sheet.Wall, "3.90 mm", "3.94 mm", "3.88 mm", "3.92 mm"),
			madeOf(sheet.Client, "carbon steel"), water(thermometer1, "21.3 °C", "4.6 bar gauge"),
			place("between the softener and the tank", "0.9 m", sheet.Downstream, "0.9 m", single, "0.4 m", none, sheet.BetweenNothing, "")),
		zero:     &zero{"operator of machine 2", "pump off, both valves shut, pressure held for five minutes", "0.7 mm/s", "0.4 mm/s", "left as it is"},
		controls: [2]control{{"nothing-controlled", "", ""}},
		flows:    []float64{3.4, 7.6}, errors: []float64{-0.006, -0.004},
		logging: &logging{levels: []level{{3.4, 150 * time.Second, 1}, {7.6, 150 * time.Second, 2}}, turns: 9, note: true,
			referenceLate: -3, meterLate: 71, reference: ostreyLog, meter: clipLog.quick(5), aside: "The transducers were touched while the insulation was held aside."},
		notes: []note{{"condition", "The make-up pump cycles every five minutes; it cannot be held."},
			{"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Nothing was left open."}},
	},
	{ // above 100 °C: the pipe by its standard, carried to the flow's temperature; lagging came off for a hand's breadth only
		visit: 11, point: heatFlow, hour: 9, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "3 o'clock",
		picked: &picked{standard: "EN 10220", size: "DN 200", schedule: "6.3", source: sheet.Client},
		survey: together(madeOf(sheet.Client, "carbon steel"), liquid(thermometer1, "115.4 °C", "8.2 bar gauge", from(sheet.Client, sheet.Fluid, "water")),
			place("cellar, between the anchors", "3.1 m", sheet.Upstream, "5 m", single, "2.2 m", single, sheet.BetweenNothing, "")),
		zeroWhy: "the network cannot be shut in the heating season",
		flows:   []float64{90, 180, 260}, errors: []float64{0.011, 0.008, 0.007},
		notes: []note{{"condition", "Wall not gauged: the gauge's probe is made for 60 °C."}, {"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Lagging closed by the site."}},
	},
	{ // glycol: the company's table; the smallest flow lies in the transition and is for information
		visit: 12, point: coldStore, hour: 9, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "9 o'clock",
		picked: &picked{standard: "ASME B36.19M", size: "4", schedule: "10S", source: sheet.Nameplate},
		survey: together(by(calliper1, sheet.OutsideDiameter, "114.2 mm", "114.4 mm"), by(gauge1, sheet.Wall, "3.03 mm", "3.06 mm", "3.02 mm", "3.05 mm"),
			madeOf(sheet.Nameplate, "stainless steel"), liquid(thermometer1, "−3.8 °C", "2.9 bar gauge", from(sheet.Client, sheet.Fluid, coolant.Name)),
			place("corridor, behind the removable cover", "1.9 m", sheet.Upstream, "1.4 m", single, "0.7 m", none, sheet.BetweenNothing, "")),
		zero:     &zero{"refrigeration engineer", "pump off, both valves shut, pressure held for six minutes", "0.7 mm/s", "0.4 mm/s", "left as it is"},
		controls: [2]control{{"inhibited", "the brine pump follows this flow", "refrigeration engineer"}, {"restored", "pump back in automatic", "refrigeration engineer"}},
		flows:    []float64{13, 34, 56}, errors: []float64{0.009, 0.006, 0.005},
		notes: []note{{"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Cover closed again."}},
	},
	{ // sea water in polyethylene
		visit: 13, point: seaIntake, hour: 8, reference: reference2, pair: pairPlastic, cable: cable2, tape: tape2, traverses: 2, clock: "9 o'clock",
		picked: &picked{standard: "ISO 4427", size: "dn 355", schedule: "SDR 17", source: sheet.Nameplate},
		survey: together(by(tape2, sheet.Circumference, "1116.4 mm"), []value{from(sheet.Nameplate, sheet.TapeThickness, "0.2 mm")},
			by(gauge2, sheet.Wall, "21.6 mm", "21.9 mm", "21.5 mm", "21.8 mm"), madeOf(sheet.Nameplate, "polyethylene"),
			liquid(thermometer2, "13.1 °C", "2.1 bar gauge", from(sheet.Client, sheet.Fluid, "seawater"), from(sheet.Client, sheet.Salinity, "34.6 g/kg")),
			place("pump house, before the wall", "5.5 m", sheet.Upstream, "6.4 m", single, "2.6 m", single, sheet.BetweenNothing, "")),
		zero:     &zero{"harbour shift", "pump off, butterfly valves shut, pressure held for five minutes", "−0.9 mm/s", "0.4 mm/s", "left as it is"},
		controls: [2]control{{"nothing-controlled", "", ""}, {}},
		flows:    []float64{250, 500, 780}, errors: []float64{-0.012, -0.010, -0.009},
		notes: []note{{"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Done."}},
	},
	{ // crude oil: its table's sound speed is vague, so the set-up check reveals nothing
		visit: 14, point: crudeLine, hour: 10, reference: reference1, pair: pairSteel1, cable: cable1, tape: tape1, traverses: 2, clock: "2 o'clock",
		picked: &picked{size: "8", schedule: "40", source: sheet.Nameplate},
		survey: together(by(calliper1, sheet.OutsideDiameter, "219.0 mm", "219.2 mm"), by(gauge1, sheet.Wall, "8.11 mm", "8.17 mm", "8.09 mm", "8.15 mm"),
			madeOf(sheet.Nameplate, "carbon steel"), liquid(thermometer1, "27.6 °C", "6.4 bar gauge", from(sheet.Client, sheet.Fluid, "crude-oil"),
				from(sheet.Client, sheet.APIGravity, "32.1 °API"), from(sheet.Client, sheet.KinematicViscosity, "8.4 cSt")),
			place("jetty head, before the strainer", "7.2 m", sheet.Upstream, "4.3 m", single, "1.8 m", single, sheet.BetweenClosed, "drain valve shut and sealed")),
		zero:     &zero{"terminal operator", "line full, jetty and tank valves shut, pressure held for ten minutes", "0.5 mm/s", "0.3 mm/s", "left as it is"},
		controls: [2]control{{"inhibited", "batch counter of the loading computer", "terminal operator"}, {"restored", "batch counter of the loading computer", "terminal operator"}},
		flows:    []float64{110, 190, 290}, errors: []float64{0.004, 0.002, 0.001},
		notes: []note{{"condition", "API gravity and viscosity from the batch ticket of the day."}, {"not-adjusted", "Within what is agreed; left as it was."}, {"finished", "Permit handed back."}},
	},
}
