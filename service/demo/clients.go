package demo

import "rillmark/service/registry"

// clients are invented; each stands for a kind of work: drinking water, food, district
// heating, chemicals.
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
		Name: "Port Ellerby Heat", Address: "North Quay 11\nPort Ellerby",
		ContactName: "Sunniva Holt", ContactEmail: "s.holt@ellerbyheat.example", ContactPhone: "01632 960377",
	},
	{
		Name: "Stonepetal Process Works", Address: "Works Gate 2\nStonepetal",
		ContactName: "Arjun Lockhart", ContactEmail: "arjun.lockhart@stonepetal.example", ContactPhone: "01632 960458",
		Note: "Permit to work from the control room for every line. Portable equipment only with the permit's consent.",
	},
}
