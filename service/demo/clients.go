package demo

import (
	"context"

	"rillmark/domain"
	"rillmark/service/registry"
)

// clients are invented; each stands for a kind of work: drinking water, food, paper,
// cooling, irrigation, fire protection, district heating.
var clients = []registry.AddClient{
	{
		Name: "Withybeck Water Trust", Address: "Pump House\n4 Mill Lane\nWithybeck",
		ContactName: "Joan Marlock", ContactEmail: "joan.marlock@withybeck.example", ContactPhone: "01632 960101",
		Note: "Verifies its network meters once a year, before the dry season. Order number on every certificate.",
	},
	{
		Name: "Grangeloam Dairy", Address: "Creamery Road\nGrangeloam",
		ContactName: "Piet Ravensworth", ContactEmail: "p.ravensworth@grangeloam.example", ContactPhone: "01632 960214",
		Note: "Hygiene rules: site induction, hair net, no glass. Work between production and cleaning only.",
	},
	{
		Name: "Tarnhollow Paper", Address: "Mill Race 1\nTarnhollow",
		ContactName: "Greet Ambelow", ContactEmail: "g.ambelow@tarnhollow.example", ContactPhone: "01632 960326",
		Note: "Pays its water by these meters: adjusting needs the works engineer's word in writing.",
	},
	{
		Name: "Port Ellerby Cooling", Address: "North Quay 11\nPort Ellerby",
		ContactName: "Sunniva Holt", ContactEmail: "s.holt@ellerbycooling.example", ContactPhone: "01632 960377",
	},
	{
		Name: "Dunmarrow Growers", Address: "Sluice Farm\nDunmarrow",
		ContactName: "Anselm Okeridge", ContactEmail: "anselm@dunmarrow.example", ContactPhone: "01632 960412",
		Note: "Pumps run at night from April to September; ask for a day run in advance.",
	},
	{
		Name: "Stonepetal Storage", Address: "Works Gate 2\nStonepetal",
		ContactName: "Arjun Lockhart", ContactEmail: "arjun.lockhart@stonepetal.example", ContactPhone: "01632 960458",
		Note: "Permit to work from the control room for every line. Portable equipment only with the permit's consent.",
	},
	{
		Name: "Cragwell District Heat", Address: "Boiler House\nCinder Row 3\nCragwell",
		ContactName: "Odile Farrant", ContactEmail: "o.farrant@cragwellheat.example", ContactPhone: "01632 960533",
		Note: "Bills its network by this meter. No shutdown between October and April.",
	},
}

func (l *load) clients(ctx context.Context) error {
	for i, c := range clients {
		c.Operation, c.ID = operation(clientWrite, i), idOf[domain.ClientKind](clientRow, i)
		if _, err := l.Registry.AddClient(ctx, as(tomas), c); err != nil {
			return err
		}
	}
	return nil
}
