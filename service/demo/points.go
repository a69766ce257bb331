package demo

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/register"
	"rillmark/service/registry"
)

// points name their site by its place in sites. Dimensions are written as people write
// them on the sheet: some in inches, some with a comma.
var points = []struct {
	site  int
	texts register.PointTexts
}{
	{0, register.PointTexts{
		Tag: "FT-101", Name: "Raw water inlet", Fluid: "water", Pipe: "Carbon steel, cement mortar lined, DN 800",
		OutsideDiameter: "32 in", Wall: "9.53 mm", StraightBefore: "14 m", StraightAfter: "5 m",
	}},
	{0, register.PointTexts{
		Tag: "FT-120", Name: "Filter outlet", Fluid: "water", Pipe: "Ductile iron, cement mortar lined, DN 600",
		OutsideDiameter: "635 mm", Wall: "9.9 mm", StraightBefore: "6.5 m", StraightAfter: "3.2 m",
	}},
	{0, register.PointTexts{
		Tag: "FT-140", Name: "Treated water to network", Fluid: "water", Pipe: "Carbon steel, epoxy lined, DN 300",
		OutsideDiameter: "323.9 mm", Wall: "7.1 mm", StraightBefore: "3.3 m", StraightAfter: "1.6 m",
		Note: "The straight length before the meter is short after the 2019 bypass was built; the reference goes upstream of it.",
	}},
	{0, register.PointTexts{
		Tag: "FT-155", Name: "Filter backwash", Fluid: "water", Pipe: "Stainless steel 1.4404, DN 200",
		OutsideDiameter: "219,1 mm", Wall: "3,0 mm", StraightBefore: "2,4 m", StraightAfter: "1,1 m",
	}},
	{0, register.PointTexts{
		Tag: "FT-162", Name: "Service water", Fluid: "water", Pipe: "PVC, DN 50",
		OutsideDiameter: "63 mm", Wall: "3.0 mm", StraightBefore: "1.2 m", StraightAfter: "0.4 m",
	}},
	{1, register.PointTexts{
		Tag: "FIT-W1", Name: "Town water intake", Fluid: "water", Pipe: "Galvanised steel, DN 80",
		OutsideDiameter: "88.9 mm", Wall: "4 mm", StraightBefore: "0.45 m", StraightAfter: "0.5 m",
	}},
	{1, register.PointTexts{
		Tag: "FIT-C2", Name: "Ice water to plate cooler", Fluid: "water", Pipe: "Stainless steel 1.4301, DN 100",
		OutsideDiameter: "104 mm", Wall: "2 mm", StraightBefore: "1.3 m", StraightAfter: "0.6 m",
	}},
	{1, register.PointTexts{
		Tag: "FIT-P4", Name: "Rinse water", Fluid: "water", Pipe: "Stainless steel 1.4301, DN 65",
		OutsideDiameter: "70 mm", Wall: "2 mm", StraightBefore: "0.9 m", StraightAfter: "0.4 m",
	}},
	{1, register.PointTexts{
		Tag: "FIT-E1", Name: "Cooling tower make-up", Fluid: "water", Pipe: "Stainless steel 1.4301, DN 50",
		OutsideDiameter: "53 mm", Wall: "1.5 mm", StraightBefore: "0.6 m", StraightAfter: "0.3 m",
	}},
	{2, register.PointTexts{
		Tag: "FI-301", Name: "Fresh water to machine 2", Fluid: "water", Pipe: "Carbon steel, 6 in, schedule 40 by the drawing",
		OutsideDiameter: "6 5/8 in", Wall: "7.11 mm", StraightBefore: "2.1 m", StraightAfter: "1.3 m",
	}},
	{2, register.PointTexts{
		Tag: "FI-312", Name: "Shower water", Fluid: "water", Pipe: "Stainless steel, 4 in, DN 100",
		OutsideDiameter: "4 1/2 in", Wall: "3.05 mm", StraightBefore: "1.5 m", StraightAfter: "0.8 m",
	}},
	{2, register.PointTexts{
		Tag: "FI-340", Name: "Sealing water", Fluid: "water", Pipe: "Stainless steel, DN 80",
		OutsideDiameter: "88.9 mm", Wall: "3.2 mm", StraightBefore: "1.1 m", StraightAfter: "0.5 m",
	}},
	{2, register.PointTexts{
		Tag: "FI-355", Name: "Boiler feed make-up", Fluid: "water", Pipe: "Carbon steel, DN 50",
		OutsideDiameter: "60.3 mm", Wall: "3.91 mm", StraightBefore: "0.8 m", StraightAfter: "0.3 m",
	}},
	{3, register.PointTexts{
		Tag: "FQ-2201", Name: "Condenser water supply", Fluid: "water", Pipe: "Carbon steel, DN 400",
		OutsideDiameter: "16 in", Wall: "9.53 mm", StraightBefore: "6 m", StraightAfter: "2.5 m",
	}},
	{3, register.PointTexts{
		Tag: "FQ-2202", Name: "Condenser water return", Fluid: "water", Pipe: "Carbon steel, DN 400",
		OutsideDiameter: "16 in", Wall: "9.53 mm", StraightBefore: "4.4 m", StraightAfter: "2 m",
	}},
	{3, register.PointTexts{
		Tag: "FQ-2210", Name: "Chilled water, loop 1", Fluid: "water", Pipe: "Carbon steel, DN 250",
		OutsideDiameter: "273.0 mm", Wall: "6.3 mm", StraightBefore: "4.1 m", StraightAfter: "1.5 m",
		Note: "Insulation has a removable cover over 0.8 m of pipe.",
	}},
	{4, register.PointTexts{
		Tag: "M-1", Name: "Canal pump main", Fluid: "water", Pipe: "Glass-fibre reinforced plastic, DN 500",
		OutsideDiameter: "530 mm", Wall: "11 mm", StraightBefore: "8 m", StraightAfter: "3 m",
	}},
	{4, register.PointTexts{
		Tag: "M-2", Name: "Block east", Fluid: "water", Pipe: "Polyethylene PE 100, DN 225",
		OutsideDiameter: "250 mm", Wall: "14.8 mm", StraightBefore: "4 m", StraightAfter: "1.25 m",
	}},
	{5, register.PointTexts{
		Tag: "FM-1", Name: "Fire pump test line", Fluid: "water", Pipe: "Carbon steel, DN 200",
		OutsideDiameter: "8.625 in", Wall: "0.322 in", StraightBefore: "9 ft 10 in", StraightAfter: "4 ft",
	}},
	{5, register.PointTexts{
		Tag: "FM-2", Name: "Ring main make-up", Fluid: "water", Pipe: "Carbon steel, rubber lined, DN 150",
		OutsideDiameter: "168.3 mm", Wall: "4.5 mm", StraightBefore: "2 m", StraightAfter: "0.9 m",
	}},
	{6, register.PointTexts{
		Tag: "HF-10", Name: "Flow line to network", Fluid: "hot water, 115 °C", Pipe: "Carbon steel, EN 10220, DN 200",
		OutsideDiameter: "219.1 mm", Wall: "6.3 mm", StraightBefore: "5 m", StraightAfter: "2.2 m",
	}},
	{7, register.PointTexts{
		Tag: "FIT-G1", Name: "Coolant to store 3", Fluid: "coolant with ethylene glycol, 34 % by mass", Pipe: "Stainless steel, ASME B36.19M, 4 in, schedule 10S",
		OutsideDiameter: "4 1/2 in", Wall: "3.05 mm", StraightBefore: "1.4 m", StraightAfter: "0.7 m",
		Note: "Lagging has a removable cover; ice must be thawed before the transducers go on.",
	}},
	{8, register.PointTexts{
		Tag: "FQ-2301", Name: "Sea water to condensers", Fluid: "sea water", Pipe: "Polyethylene, ISO 4427, dn 355, SDR 17",
		OutsideDiameter: "355 mm", Wall: "21.1 mm", StraightBefore: "6.4 m", StraightAfter: "2.6 m",
	}},
	{9, register.PointTexts{
		Tag: "FX-520", Name: "Crude to tank 14", Fluid: "crude oil, 32 °API", Pipe: "Carbon steel, ASME B36.10M, 8 in, schedule 40",
		OutsideDiameter: "8.625 in", Wall: "0.322 in", StraightBefore: "14 ft", StraightAfter: "6 ft",
	}},
}

// The points that others name, by their places in points.
const (
	networkWater    = 2
	backwash        = 3
	townWater       = 5
	iceWater        = 6
	rinseWater      = 7
	freshWater      = 9
	showerWater     = 10
	sealingWater    = 11
	boilerMakeUp    = 12
	condenserSupply = 13
	condenserReturn = 14
	chilledWater    = 15
	canalMain       = 16
	blockEast       = 17
	fireTest        = 18
	fireMakeUp      = 19
	heatFlow        = 20
	coldStore       = 21
	seaIntake       = 22
	crudeLine       = 23
)

func (l *load) points(ctx context.Context) error {
	for i, p := range points {
		_, err := l.Registry.AddPoint(ctx, as(tomas), registry.AddPoint{
			Operation: operation(pointWrite, i), ID: idOf[domain.PointKind](pointRow, i),
			SiteID: idOf[domain.SiteKind](siteRow, p.site), PointTexts: p.texts,
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// clientOf is the client of a point, by its place in clients.
func clientOf(point int) int { return sites[points[point].site].client }
