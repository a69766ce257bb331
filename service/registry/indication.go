package registry

import (
	"context"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/store"
)

// AddIndication is the command to add a way in which a meter shows its flow.
type AddIndication struct {
	Operation domain.OperationID  `json:"operation" form:"operation"`
	ID        domain.IndicationID `json:"id" form:"id"`
	MeterID   domain.MeterID      `json:"meter_id" form:"meter_id"`
	register.IndicationTexts
}

// ChangeIndication is the command to change one.
type ChangeIndication struct {
	Operation domain.OperationID  `json:"operation" form:"operation"`
	ID        domain.IndicationID `json:"id" form:"id"`
	Version   int64               `json:"version" form:"version"`
	register.IndicationTexts
}

const indicationColumns = `id, client_id, meter_id, name, way, unit, resolution, resolution_entered, low_signal, high_signal,
	flow_at_low, flow_at_low_entered, flow_at_high, flow_at_high_entered, pulse_volume, pulse_volume_entered,
	update_interval_s, version, created_at, changed_at`

// TooManyIndications says that a meter has as many indications as it may have.
var TooManyIndications = fault.Define("registry.too-many-indications", fault.C("most"))

// mostIndications bounds a meter's indications; more than these nobody reads at once.
const mostIndications = 50

// Indications returns a meter's indications by name, all of them.
func (s *Service) Indications(ctx context.Context, a access.Actor, of domain.MeterID) ([]register.Indication, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return nil, err
	}
	rows, err := store.Rows[register.Indication](ctx, s.store, "SELECT "+indicationColumns+
		" FROM indication WHERE meter_id = $1 ORDER BY lower(name), id", of)
	return rows, domain.Wrap("indications", err)
}

// Indication returns one.
func (s *Service) Indication(ctx context.Context, a access.Actor, id domain.IndicationID) (register.Indication, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return register.Indication{}, err
	}
	i, err := findIndication(ctx, s.store, id, "")
	return i, domain.Wrap("indication", err)
}

func findIndication(ctx context.Context, q store.Querier, id domain.IndicationID, lock string) (register.Indication, error) {
	return store.Row[register.Indication](ctx, q, "indication", "SELECT "+indicationColumns+" FROM indication WHERE id = $1"+lock, id)
}

// AddIndication adds an indication to a meter.
func (s *Service) AddIndication(ctx context.Context, a access.Actor, c AddIndication) (Written, error) {
	if err := access.May(a, access.ChangeMeter); err != nil {
		return Written{}, err
	}
	meter, err := findMeter(ctx, s.store, c.MeterID, "")
	if err != nil {
		return Written{}, domain.Wrap("indication.add", err)
	}
	i, problems := register.Indication{ID: c.ID, ClientID: meter.ClientID, MeterID: meter.ID, Version: 1}.Read(c.IndicationTexts, meter.Measurand)
	if err := domain.New(i.ID.Valid(), problems); err != nil {
		return Written{}, domain.Wrap("indication.add", err)
	}
	command := store.Command{Actor: a, Action: "indication.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if _, err := findMeter(ctx, tx, meter.ID, " FOR NO KEY UPDATE"); err != nil {
			return Written{}, err
		}
		there, err := store.Scalars[int](ctx, tx, "SELECT count(*)::int FROM indication WHERE meter_id = $1", meter.ID)
		if err != nil {
			return Written{}, err
		}
		if there[0] >= mostIndications {
			return Written{}, domain.Refuse(domain.Invalid, TooManyIndications.At("", mostIndications))
		}
		if err := tx.Run(ctx, "INSERT INTO indication ("+indicationColumns+`) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10,
			$11, $12, $13, $14, $15, $16, $17, $18, $19, $19)`,
			i.ID, i.ClientID, i.MeterID, i.Name, i.Way, i.Unit, i.Resolution, i.ResolutionEntered, i.LowSignal, i.HighSignal,
			i.FlowAtLow, i.FlowAtLowEntered, i.FlowAtHigh, i.FlowAtHighEntered, i.PulseVolume, i.PulseVolumeEntered,
			i.UpdateInterval, i.Version, tx.Now); err != nil {
			return Written{}, err
		}
		return indicationWritten(ctx, tx, nil, i)
	})
}

// ChangeIndication changes an indication. Runs keep the scaling that they were read with.
func (s *Service) ChangeIndication(ctx context.Context, a access.Actor, c ChangeIndication) (Written, error) {
	if err := access.May(a, access.ChangeMeter); err != nil {
		return Written{}, err
	}
	known, err := findIndication(ctx, s.store, c.ID, "")
	if err != nil {
		return Written{}, domain.Wrap("indication.change", err)
	}
	meter, err := findMeter(ctx, s.store, known.MeterID, "")
	if err != nil {
		return Written{}, domain.Wrap("indication.change", err)
	}
	read, err := register.Indication{}.Read(c.IndicationTexts, meter.Measurand)
	if err != nil {
		return Written{}, domain.Wrap("indication.change", err)
	}
	command := store.Command{Actor: a, Action: "indication.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := findIndication(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("indication", before)
		}
		after := read
		after.ID, after.ClientID, after.MeterID = before.ID, before.ClientID, before.MeterID
		after.Version, after.CreatedAt, after.ChangedAt = before.Version+1, before.CreatedAt, tx.Now
		if err := tx.Run(ctx, `UPDATE indication SET name = $2, way = $3, unit = $4, resolution = $5, resolution_entered = $6,
			low_signal = $7, high_signal = $8, flow_at_low = $9, flow_at_low_entered = $10, flow_at_high = $11,
			flow_at_high_entered = $12, pulse_volume = $13, pulse_volume_entered = $14, update_interval_s = $15,
			version = $16, changed_at = $17 WHERE id = $1`,
			after.ID, after.Name, after.Way, after.Unit, after.Resolution, after.ResolutionEntered, after.LowSignal, after.HighSignal,
			after.FlowAtLow, after.FlowAtLowEntered, after.FlowAtHigh, after.FlowAtHighEntered, after.PulseVolume,
			after.PulseVolumeEntered, after.UpdateInterval, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		return indicationWritten(ctx, tx, before, after)
	})
}

func indicationWritten(ctx context.Context, tx *store.Tx, before any, i register.Indication) (Written, error) {
	tx.Changed(audit.Indication, i.ID, i.Version, before, i)
	tx.Concerns(audit.Meter, i.MeterID)
	tx.Concerns(audit.Client, i.ClientID)
	return Written{ID: i.ID.String(), Version: i.Version}, concernsPoint(ctx, tx, i.MeterID)
}
