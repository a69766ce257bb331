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
