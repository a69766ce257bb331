package registry_test

import (
	"testing"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/register"
	"rillmark/service/registry"
	"rillmark/service/store/storetest"
)

func TestMeterIsKeptAndListed(t *testing.T) {
	g := newGround(t)
	ctx := t.Context()
	a := g.addMeter(g.client, "B-2")
	g.addMeter(g.client, "a-1")
	g.addMeter(g.client, "c-3")
	g.addMeter(g.addClient("Brackwell Dairies"), "B-2")
	_, err := g.Install(ctx, actor, install(a, g.points[1], "2024-03-01T09:00"))
	g.must(err)

	var serials []string
	filter := registry.Filter{Limit: 2}
	for {
		page, err := g.Meters(ctx, actor, g.client, filter)
		g.must(err)
		for _, m := range page.Items {
			serials = append(serials, m.Serial)
			if (m.PointTag != nil) != (m.ID == a) || m.ID == a && *m.SiteName != "Fenwick Lane" {
				t.Errorf("%s is at %v", m.Serial, m.PointTag)
			}
		}
		if page.Next == "" {
			break
		}
		filter.After = page.Next
	}
	if len(serials) != 3 || serials[0] != "a-1" || serials[1] != "B-2" || serials[2] != "c-3" {
		t.Errorf("listed: %v", serials)
	}
	found, err := g.Meters(ctx, actor, g.client, registry.Filter{Search: "norrland"})
	g.must(err)
	if len(found.Items) != 3 {
		t.Errorf("%d meters of the maker", len(found.Items))
	}

	_, err = g.AddMeter(ctx, actor, registry.AddMeter{Operation: storetest.Operation(), ID: newID[domain.MeterKind](), ClientID: g.client, MeterTexts: meter("b-2")})
	wantFault(t, "a serial number twice", err, domain.Taken, register.SerialTaken)
	_, err = g.AddMeter(ctx, actor, registry.AddMeter{Operation: storetest.Operation(), ID: newID[domain.MeterKind](), ClientID: newID[domain.ClientKind](), MeterTexts: meter("x")})
	if domain.KindOf(err) != domain.NotFound {
		t.Errorf("a meter of nobody: %v", err)
	}
	change := registry.ChangeMeter{Operation: storetest.Operation(), ID: a, Version: 1, MeterTexts: meter("B-2")}
	change.Firmware = "4.2"
	_, err = g.ChangeMeter(ctx, actor, change)
	g.must(err)
	change.Operation = storetest.Operation()
	if _, err = g.ChangeMeter(ctx, actor, change); domain.KindOf(err) != domain.Stale {
		t.Errorf("on an old version: %v", err)
	}
	auditor := access.Actor{Person: newID[domain.PersonKind](), Roles: []access.Role{access.Auditor}}
	if _, err = g.ChangeMeter(ctx, auditor, change); domain.KindOf(err) != domain.Forbidden {
		t.Errorf("an auditor changes a meter: %v", err)
	}
}

func TestIndicationIsKeptAsEntered(t *testing.T) {
	g := newGround(t)
	ctx := t.Context()
	m := g.addMeter(g.client, "B-2")
	id := newID[domain.IndicationKind]()
	loop := register.IndicationTexts{Name: "Loop", Way: "current", Unit: "m³/h", LowSignal: "4 mA", HighSignal: "20 mA",
		FlowAtLow: "0 m³/h", FlowAtHigh: "360 m3/h", UpdateInterval: "500 ms"}
	_, err := g.AddIndication(ctx, actor, registry.AddIndication{Operation: storetest.Operation(), ID: id, MeterID: m, IndicationTexts: loop})
	g.must(err)
	kept, err := g.Indication(ctx, actor, id)
	g.must(err)
	if *kept.FlowAtHigh != 0.1 || *kept.FlowAtHighEntered != "360 m3/h" || *kept.LowSignal != 0.004 || *kept.UpdateInterval != 0.5 {
		t.Errorf("kept: %+v", kept)
	}
	if kept.Texts() != (register.IndicationTexts{Name: "Loop", Way: "current", Unit: "m³/h", LowSignal: "4 mA", HighSignal: "20 mA",
		FlowAtLow: "0 m³/h", FlowAtHigh: "360 m3/h", UpdateInterval: "0.5 s"}) {
		t.Errorf("given back: %+v", kept.Texts())
	}
	_, err = g.AddIndication(ctx, actor, registry.AddIndication{Operation: storetest.Operation(), ID: newID[domain.IndicationKind](), MeterID: m,
		IndicationTexts: register.IndicationTexts{Name: "LOOP", Way: "display", Unit: "L/s"}})
	wantFault(t, "a name twice", err, domain.Taken, register.IndicationNameTaken)
	changed := kept.Texts()
	changed.FlowAtHigh = "400 m3/h"
	_, err = g.ChangeIndication(ctx, actor, registry.ChangeIndication{Operation: storetest.Operation(), ID: id, Version: 1, IndicationTexts: changed})
	g.must(err)
	all, err := g.Indications(ctx, actor, m)
	g.must(err)
	if len(all) != 1 || all[0].Version != 2 || *all[0].FlowAtHighEntered != "400 m3/h" {
		t.Errorf("indications: %+v", all)
	}
}
