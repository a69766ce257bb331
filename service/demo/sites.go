package demo

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/service/registry"
)

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
	{1, registry.AddSite{
		Name: "Grangeloam creamery", Address: "Creamery Road\nGrangeloam", TimeZone: "Europe/London",
		AccessNote: "Induction at reception, 20 minutes. Pipe bridge by scissor lift, book it with maintenance.",
		SafetyNote: "Hot cleaning lines up to 85 °C; ammonia plant next door, follow the site's alarm plan.",
	}},
	{2, registry.AddSite{
		Name: "Tarnhollow mill, water house", Address: "Mill Race 1\nTarnhollow", TimeZone: "Europe/Amsterdam",
		AccessNote: "Report to the shift leader of machine 2. No mobile signal in the cellar.",
		SafetyNote: "Forklift traffic in the hall; steam lines without insulation in the cellar. The operator changes flows, nobody else.",
	}},
	{3, registry.AddSite{
		Name: "North Quay chiller house", Address: "North Quay 11\nPort Ellerby", TimeZone: "Europe/Dublin",
		AccessNote: "Ring the control room. Parking on the quay side.",
		SafetyNote: "Chillers start without warning. Older insulation is listed in the asbestos register; do not open it yourself.",
	}},
	{4, registry.AddSite{
		Name: "Dunmarrow canal intake", Address: "Towpath\nDunmarrow", TimeZone: "Europe/London",
		AccessNote: "Unstaffed. Ask for the gate code the day before.",
		SafetyNote: "Open water beside the path. Pumps start by the weather station; the grower puts them in manual before work.",
	}},
	{5, registry.AddSite{
		Name: "Stonepetal terminal, fire pump house", Address: "Works Gate 2\nStonepetal", TimeZone: "Europe/Amsterdam",
		AccessNote: "Passport at gate 2, escort to the pump house.",
		SafetyNote: "The fire main stays in service: the terminal's fire officer decides what may be isolated. Explosive-atmosphere zone beyond the yellow line: no portable electronics there without the site's permit.",
	}},
	{6, registry.AddSite{
		Name: "Cragwell heat station", Address: "Cinder Row 3\nCragwell", TimeZone: "Europe/London",
		AccessNote: "Ring the control room from the yard. Key for the pipe cellar against signature.",
		SafetyNote: "Flow line up to 125 °C under pressure: hot surfaces, hot couplant, lagging taken off by the site alone. Two people in the cellar.",
	}},
	{1, registry.AddSite{
		Name: "Grangeloam cold store", Address: "Creamery Road, gate 4\nGrangeloam", TimeZone: "Europe/London",
		AccessNote: "Sign in with the refrigeration engineer.",
		SafetyNote: "Coolant pipes below 0 °C: ice on lagging and floor. Ammonia plant behind the wall, follow the site's alarm plan.",
	}},
	{3, registry.AddSite{
		Name: "North Quay sea-water pump house", Address: "Outer mole\nPort Ellerby", TimeZone: "Europe/Dublin",
		AccessNote: "Pass from the harbour office; tide table beside the door.",
		SafetyNote: "Wet grating over open intake bays: life jacket and a second person. Pumps start by level.",
	}},
	{5, registry.AddSite{
		Name: "Stonepetal jetty 2, crude transfer", Address: "Works Gate 5\nStonepetal", TimeZone: "Europe/Amsterdam",
		AccessNote: "Passport at gate 5, escort to the jetty head. No work while a ship is moored.",
		SafetyNote: "Explosive-atmosphere zone: no portable electronics without the terminal's permit and its gas test. The terminal's operator opens and shuts valves, nobody else.",
	}},
}

func (l *load) sites(ctx context.Context) error {
	for i, site := range sites {
		add := site.add
		add.Operation, add.ID = operation(siteWrite, i), idOf[domain.SiteKind](siteRow, i)
		add.ClientID = idOf[domain.ClientKind](clientRow, site.client)
		if _, err := l.Registry.AddSite(ctx, as(tomas), add); err != nil {
			return err
		}
	}
	return nil
}

// zoneOf is the time zone of a site.
func zoneOf(site int) (*time.Location, error) { return time.LoadLocation(sites[site].add.TimeZone) }
