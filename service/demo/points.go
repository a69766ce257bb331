package demo

import "rillmark/domain/register"

// points name their site by its place in sites. Dimensions are written as people write
// them on the sheet: some in inches, some with a comma.
var points = []struct {
	site  int
	texts register.PointTexts
}{
	{0, register.PointTexts{
		Tag: "FT-101", Name: "Raw water inlet", Fluid: "River water", Pipe: "Ductile iron, cement lined",
		OutsideDiameter: "429 mm", Wall: "9.9 mm", StraightBefore: "6.5 m", StraightAfter: "2.2 m",
	}},
	{0, register.PointTexts{
		Tag: "FT-140", Name: "Treated water to network", Fluid: "Drinking water", Pipe: "Carbon steel, epoxy lined",
		OutsideDiameter: "323.9 mm", Wall: "7.1 mm", StraightBefore: "3.3 m", StraightAfter: "1.6 m",
		Note: "The straight length before the meter is short after the 2019 bypass was built.",
	}},
	{0, register.PointTexts{
		Tag: "FT-155", Name: "Filter backwash", Fluid: "Drinking water", Pipe: "Stainless steel 1.4404",
		OutsideDiameter: "219,1 mm", Wall: "3,0 mm", StraightBefore: "2,4 m", StraightAfter: "1,1 m",
	}},
	{1, register.PointTexts{
		Tag: "FT-07", Name: "Rising main", Fluid: "Drinking water", Pipe: "Carbon steel, schedule 40",
		OutsideDiameter: "8.625 in", Wall: "0.322 in", StraightBefore: "9 ft 10 in", StraightAfter: "4 ft",
	}},
	{2, register.PointTexts{
		Tag: "FIT-C2", Name: "Chilled water to plate cooler", Fluid: "Water with 25 % propylene glycol", Pipe: "Stainless steel 1.4301",
		OutsideDiameter: "104 mm", Wall: "2 mm", StraightBefore: "1.3 m", StraightAfter: "0.6 m",
	}},
	{2, register.PointTexts{
		Tag: "FIT-W1", Name: "Town water intake", Fluid: "Drinking water", Pipe: "Galvanised steel",
		OutsideDiameter: "88.9 mm", Wall: "4 mm", StraightBefore: "1 m", StraightAfter: "0.5 m",
	}},
	{3, register.PointTexts{
		Tag: "HM-01", Name: "District supply, north loop", Fluid: "Heating water", Pipe: "Carbon steel",
		OutsideDiameter: "273.0 mm", Wall: "6.3 mm", StraightBefore: "5.6 m", StraightAfter: "2 m",
		Note: "Insulation has a removable cover over 0.8 m of pipe.",
	}},
	{3, register.PointTexts{
		Tag: "HM-02", Name: "District return, north loop", Fluid: "Heating water", Pipe: "Carbon steel",
		OutsideDiameter: "273.0 mm", Wall: "6.3 mm", StraightBefore: "4.1 m", StraightAfter: "1.5 m",
	}},
	{4, register.PointTexts{
		Tag: "FQ-2201", Name: "Cooling water to reactor", Fluid: "Water", Pipe: "Carbon steel, schedule 40",
		OutsideDiameter: "6 5/8 in", Wall: "7.11 mm", StraightBefore: "2.5 m", StraightAfter: "1 m",
	}},
	{4, register.PointTexts{
		Tag: "FQ-2204", Name: "Effluent to treatment", Fluid: "Waste water", Pipe: "Polyethylene PE 100",
		OutsideDiameter: "250 mm", Wall: "14.8 mm", StraightBefore: "4 m", StraightAfter: "1.25 m",
	}},
}
