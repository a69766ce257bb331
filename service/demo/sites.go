package demo

import "rillmark/service/registry"

// sites name their client by its place in clients. What a note says about safety is this
// site's own rule as its owner gives it; the site's permit comes first.
var sites = []struct {
	client int
	add    registry.AddSite
}{
	{0, registry.AddSite{
		Name: "Withybeck treatment works", Address: "4 Mill Lane\nWithybeck", TimeZone: "Europe/London",
		AccessNote: "Gatehouse until 17:00. Valve chamber keys with the shift engineer.",
		SafetyNote: "Chambers are confined spaces: entry only under the site's permit, with its gas test and a second person at the top.",
	}},
	{0, registry.AddSite{
		Name: "Overmere pumping station", Address: "Reservoir Track\nOvermere", TimeZone: "Europe/London",
		AccessNote: "Unstaffed. Ask for the gate code the day before. No mobile signal below ground.",
		SafetyNote: "Pumps start without warning; the operator locks them off before work near couplings.",
	}},
	{1, registry.AddSite{
		Name: "Grangeloam creamery", Address: "Creamery Road\nGrangeloam", TimeZone: "Europe/London",
		AccessNote: "Induction at reception, 20 minutes. Pipe bridge by scissor lift, book it with maintenance.",
		SafetyNote: "Hot cleaning lines up to 85 °C; ammonia plant next door, follow the site's alarm plan.",
	}},
	{2, registry.AddSite{
		Name: "North Quay energy centre", Address: "North Quay 11\nPort Ellerby", TimeZone: "Europe/Dublin",
		AccessNote: "Ring the control room. Parking on the quay side.",
		SafetyNote: "Surfaces up to 110 °C under the insulation. Older insulation is listed in the asbestos register; do not open it yourself.",
	}},
	{3, registry.AddSite{
		Name: "Stonepetal works, line B", Address: "Works Gate 2\nStonepetal", TimeZone: "Europe/Amsterdam",
		AccessNote: "Passport at gate 2, escort to the unit.",
		SafetyNote: "Explosive-atmosphere zone around the solvent store: no portable electronics there without the site's hot-work permit.",
	}},
}
