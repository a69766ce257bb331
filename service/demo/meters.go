package demo

import (
	"context"
	"slices"

	"rillmark/domain"
	"rillmark/domain/register"
	"rillmark/service/registry"
)

// meter is a meter with the ways in which it shows its flow. It belongs to the client of
// the point where it is, or was.
type meter struct {
	point       int
	texts       register.MeterTexts
	indications []register.IndicationTexts
}

// The invented makers' meters, by principle.
func magnetic(size, serial string) register.MeterTexts {
	return register.MeterTexts{Principle: "electromagnetic", Maker: "Brackwater Instruments", Model: "BE " + size[3:], Serial: serial,
		Firmware: "3.4", NominalSize: size, Measurand: "volume"}
}

func turbine(size, serial string) register.MeterTexts {
	return register.MeterTexts{Principle: "turbine", Maker: "Hollin & Crake", Model: "T" + size[3:], Serial: serial, NominalSize: size, Measurand: "volume"}
}

func ultrasonic(size, serial string) register.MeterTexts {
	return register.MeterTexts{Principle: "ultrasonic, two paths", Maker: "Lanternhaugh", Model: "U2-" + size[3:], Serial: serial,
		Firmware: "1.19", NominalSize: size, Measurand: "volume"}
}

func display(resolution string) register.IndicationTexts {
	return register.IndicationTexts{Name: "Display", Way: "display", Unit: "m³/h", Resolution: resolution, UpdateInterval: "1 s"}
}

// loop and pulses are read to 0.001 mA and to 0.0001 Hz; resolution is what that makes of
// the flow.
func loop(most, resolution string) register.IndicationTexts {
	return register.IndicationTexts{Name: "Current output", Way: "current", Unit: "m³/h", Resolution: resolution, LowSignal: "4 mA", HighSignal: "20 mA",
		FlowAtLow: "0 m³/h", FlowAtHigh: most}
}

func pulses(factor, resolution string) register.IndicationTexts {
	return register.IndicationTexts{Name: "Pulse output", Way: "pulse", Unit: "m³", Resolution: resolution, PulseVolume: factor}
}

func system(resolution string) register.IndicationTexts {
	return register.IndicationTexts{Name: "Control system", Way: "control-system", Unit: "m³/h", Resolution: resolution, UpdateInterval: "5 s"}
}

type shows = []register.IndicationTexts

// meters are those of the points in their order, one that was replaced, and those of the
// points that came later.
var meters = []meter{
	{0, ultrasonic("DN 800", "L2-00731"), shows{display("1 m³/h"), loop("6000 m³/h", "0.4 m³/h"), system("1 m³/h")}},
	{1, magnetic("DN 600", "210-4471"), shows{display("1 m³/h"), loop("3000 m³/h", "0.2 m³/h")}},
	{2, magnetic("DN 300", "210-3902"), shows{display("0.1 m³/h"), loop("600 m³/h", "0.04 m³/h")}},
	{3, magnetic("DN 200", "210-3907"), shows{display("0.1 m³/h")}},
	{4, turbine("DN 50", "HC 88120"), shows{pulses("10 L", "0.004 m³/h")}},
	{5, magnetic("DN 80", "198-1105"), shows{display("0.01 m³/h"), pulses("100 pulses/m³", "0.004 m³/h")}},
	{6, magnetic("DN 100", "198-1140"), shows{display("0.01 m³/h")}},
	{7, magnetic("DN 65", "198-1141"), shows{display("0.01 m³/h")}},
	{8, turbine("DN 50", "HC 90233"), shows{display("0.01 m³/h"), pulses("1 L", "0.0004 m³/h")}},
	{9, magnetic("DN 150", "205-0087"), shows{display("0.1 m³/h")}},
	{10, magnetic("DN 100", "205-0091"), shows{display("0.01 m³/h"), loop("60 m³/h", "0.004 m³/h")}},
	{11, turbine("DN 80", "HC 71504"), shows{display("0.01 m³/h"), pulses("10 L", "0.004 m³/h")}},
	{12, turbine("DN 50", "HC 71511"), shows{display("0.01 m³/h")}},
	{13, magnetic("DN 400", "223-0015"), shows{display("1 m³/h"), loop("1500 m³/h", "0.1 m³/h"), system("1 m³/h")}},
	{14, ultrasonic("DN 400", "L2-00955"), shows{display("1 m³/h"), loop("1500 m³/h", "0.1 m³/h")}},
	{15, magnetic("DN 250", "187-2210"), shows{display("0.1 m³/h"), pulses("1 m³", "0.4 m³/h")}},
	{16, ultrasonic("DN 500", "L2-01102"), shows{display("1 m³/h"), loop("1200 m³/h", "0.08 m³/h")}},
	{17, turbine("DN 200", "HC 60077"), shows{display("0.1 m³/h"), pulses("100 L", "0.04 m³/h")}},
	{18, magnetic("DN 200", "192-0664"), shows{display("0.1 m³/h")}},
	{19, turbine("DN 150", "HC 55419"), shows{display("0.1 m³/h"), pulses("100 L", "0.04 m³/h")}},
	{13, magnetic("DN 400", "171-0308"), shows{display("1 m³/h"), loop("1500 m³/h", "0.1 m³/h")}},
	{heatFlow, ultrasonic("DN 200", "L2-01344"), shows{display("0.1 m³/h")}},
	{coldStore, magnetic("DN 100", "231-0702"), shows{display("0.01 m³/h")}},
	{seaIntake, magnetic("DN 350", "228-0119"), shows{display("1 m³/h")}},
	{crudeLine, turbine("DN 200", "HC 97051"), shows{display("0.1 m³/h")}},
}

// meterAt is the meter at a point, by its place in meters: of two the later one, which
// stands first.
func meterAt(point int) int {
	return slices.IndexFunc(meters, func(m meter) bool { return m.point == point })
}

func (l *load) meters(ctx context.Context) error {
	for i, m := range meters {
		id := idOf[domain.MeterKind](meterRow, i)
		_, err := l.Registry.AddMeter(ctx, as(tomas), registry.AddMeter{Operation: operation(meterWrite, i), ID: id,
			ClientID: idOf[domain.ClientKind](clientRow, clientOf(m.point)), MeterTexts: m.texts})
		if err != nil {
			return err
		}
		for j, texts := range m.indications {
			_, err := l.Registry.AddIndication(ctx, as(tomas), registry.AddIndication{Operation: operation(indicationWrite, i*perThing+j),
				ID: indicationID(i, j), MeterID: id, IndicationTexts: texts})
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// indicationID is the id of the j-th indication of a meter.
func indicationID(meter, j int) domain.IndicationID {
	return idOf[domain.IndicationKind](indicationRow, meter*perThing+j)
}
