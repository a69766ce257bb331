package demo

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/register"
	"rillmark/service/registry"
)

// installation is one meter at one point: that of its place in meters, at the meter's own
// point. removed is the zero value while it is there.
type installation struct {
	meter   int
	at      string // site time
	by, why string
	removed removal
}

type removal struct{ at, by, why string }

const commissioned = "commissioned with the line"

// installations are in the order in which they were made. The first meter of the condenser
// supply was replaced; that of the town water was away for an overhaul.
var installations = []installation{
	{20, "2011-05-09T10:00", "Ellerby Pipework", commissioned,
		removal{"2023-03-14T08:20", "Ellerby Pipework", "liner torn, found when the error had grown to −6 %"}},
	{13, "2023-03-14T14:30", "Ellerby Pipework", "replaces 171-0308; same length between flanges, new earthing rings", removal{}},
	{5, "2016-09-20T09:15", "Dairy maintenance", commissioned,
		removal{"2022-01-17T07:40", "Dairy maintenance", "to the maker: display dark"}},
	{5, "2022-01-31T16:10", "Dairy maintenance", "back from the maker, new display board; a spool piece was in its place", removal{}},
	{0, "2018-06-12T11:00", "Withybeck mains crew", commissioned, removal{}},
	{1, "2015-10-05T10:30", "Withybeck mains crew", commissioned, removal{}},
	{2, "2019-04-02T13:00", "Withybeck mains crew", "new meter with the bypass", removal{}},
	{3, "2019-04-03T09:00", "Withybeck mains crew", commissioned, removal{}},
	{4, "2020-11-24T09:30", "Withybeck mains crew", "replaces a meter that was never recorded", removal{}},
	{6, "2017-03-08T08:00", "Dairy maintenance", commissioned, removal{}},
	{7, "2017-03-08T10:00", "Dairy maintenance", commissioned, removal{}},
	{8, "2021-08-19T15:20", "Dairy maintenance", commissioned, removal{}},
	{9, "2013-02-11T12:00", "Mill fitters", commissioned, removal{}},
	{10, "2013-02-12T12:00", "Mill fitters", commissioned, removal{}},
	{11, "2014-07-01T09:00", "Mill fitters", commissioned, removal{}},
	{12, "2014-07-01T11:00", "Mill fitters", commissioned, removal{}},
	{14, "2023-03-15T10:00", "Ellerby Pipework", "added to check the supply", removal{}},
	{15, "2012-12-03T10:00", "Ellerby Pipework", commissioned, removal{}},
	{16, "2022-02-21T10:45", "Dunmarrow pump hands", commissioned, removal{}},
	{17, "2009-03-30T09:00", "Dunmarrow pump hands", commissioned, removal{}},
	{18, "2016-05-18T10:00", "Terminal fire brigade", commissioned, removal{}},
	{19, "2008-10-27T10:00", "Terminal fire brigade", commissioned, removal{}},
	{21, "2021-06-15T11:00", "Cragwell fitters", commissioned, removal{}},
	{22, "2020-02-04T09:40", "Dairy maintenance", commissioned, removal{}},
	{23, "2019-09-11T14:00", "Ellerby Pipework", commissioned, removal{}},
	{24, "2018-04-26T08:30", "Terminal instrument shop", commissioned, removal{}},
}

func (l *load) installations(ctx context.Context) error {
	for i, n := range installations {
		id := idOf[domain.InstallationKind](installationRow, i)
		_, err := l.Registry.Install(ctx, as(tomas), registry.Install{Operation: operation(installationWrite, i), ID: id,
			MeterID: idOf[domain.MeterKind](meterRow, n.meter), PointID: idOf[domain.PointKind](pointRow, meters[n.meter].point),
			InstallTexts: register.InstallTexts{InstalledAt: n.at, InstalledBy: n.by, InstallReason: n.why}})
		if err != nil {
			return err
		}
		if n.removed == (removal{}) {
			continue
		}
		_, err = l.Registry.ChangeInstallation(ctx, as(tomas), registry.ChangeInstallation{Operation: operation(removalWrite, i), ID: id, Version: 1,
			RemoveTexts: register.RemoveTexts{InstalledAt: n.at, RemovedAt: n.removed.at, RemovedBy: n.removed.by, RemoveReason: n.removed.why}})
		if err != nil {
			return err
		}
	}
	return nil
}
