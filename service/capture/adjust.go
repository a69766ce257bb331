package capture

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
)

// Adjust is the command to record one parameter of the meter changed, or to correct what was
// mistyped of it: then Corrects names that row.
type Adjust struct {
	At
	ID           domain.AdjustmentID `json:"id" form:"id"`
	IndicationID domain.IndicationID `json:"indication_id" form:"indication_id"` // zero: it acts on all
	Parameter    string              `json:"parameter" form:"parameter"`
	Kind         string              `json:"kind" form:"kind"`
	Old          string              `json:"old_entered" form:"old_entered"`
	New          string              `json:"new_entered" form:"new_entered"`
	Permission   string              `json:"permission" form:"permission"`
	SealBefore   string              `json:"seal_before" form:"seal_before"`
	SealAfter    string              `json:"seal_after" form:"seal_after"`
	Reason       string              `json:"reason" form:"reason"`
	Corrects     domain.AdjustmentID `json:"corrects" form:"corrects"` // the row that was mistyped
}

// Adjust records an adjustment. Where the difference found is not significant the reason
// is what lets it go on; it is asked of every adjustment.
func (s *Service) Adjust(ctx context.Context, a access.Actor, c Adjust) (Written, error) {
	row := sheet.Adjustment{ID: c.ID, Number: 1, IndicationID: orNil(c.IndicationID), Parameter: domain.Line(c.Parameter),
		Kind: sheet.AdjustmentKind(c.Kind), OldEntered: domain.Line(c.Old), NewEntered: domain.Line(c.New),
		OldValue: plainNumber(c.Old), NewValue: plainNumber(c.New), Permission: domain.Line(c.Permission),
		SealBefore: domain.Line(c.SealBefore), SealAfter: domain.Line(c.SealAfter), Reason: domain.Lines(c.Reason), Corrects: orNil(c.Corrects), Stamp: standIn}
	if err := checked(c.ID, row.Validate()); err != nil {
		return Written{}, domain.Wrap("adjustment.add", err)
	}
	return preparing(ctx, s, a, "adjustment.add", c.At, c, func(w *Work) (sheet.Adjustment, error) {
		if row.IndicationID != nil {
			if _, there := w.Indication(row.IndicationID.String()); !there {
				return row, domain.Refuse(domain.Invalid, domain.NoSuchThing.At("indication_id", "indication"))
			}
		}
		return row, nil
	}, (*pen).putAdjustment)
}

func (p *pen) putAdjustment(ctx context.Context, row sheet.Adjustment) (Written, error) {
	var err error
	if row.Corrects != nil {
		if err := p.correctable(ctx, "adjustment", row.Corrects.UUID); err != nil {
			return Written{}, err
		}
	}
	if row.Number, err = p.next(ctx, "SELECT coalesce(max(number), 0) FROM adjustment WHERE task_id = $1", p.task.ID); err != nil {
		return Written{}, err
	}
	row.Stamp = p.stamp()
	p.wrote("adjustment", row.ID, row)
	return Written{row.ID.String(), row.Number}, p.Run(ctx, `INSERT INTO adjustment (id, client_id, task_id, number, indication_id, parameter, kind,
			old_entered, new_entered, old_value, new_value, permission, seal_before, seal_after, reason, corrects, by, captured_at, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19)`,
		row.ID, row.ClientID, row.TaskID, row.Number, row.IndicationID, row.Parameter, row.Kind, row.OldEntered, row.NewEntered,
		row.OldValue, row.NewValue, row.Permission, row.SealBefore, row.SealAfter, row.Reason, row.Corrects, row.By, row.CapturedAt, row.ReceivedAt)
}
