package store

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/kit"
)

// KitColumns are the columns of kit.Item, of a table called k.
const KitColumns = `k.id, k.kind, k.tag, k.maker, k.model, k.serial, k.firmware, k.works_by, k.takes_spacing, k.least_snr_db,
	k.resolution, k.resolution_entered, k.averaging_s, k.wave, k.wedge_angle, k.wedge_sound_speed, k.exit_offset, k.frequency,
	k.graduation, k.out_of_service_at, k.out_of_service_why, k.note, k.version, k.created_at, k.changed_at`

const calibrationColumns = `c.id, c.kit_id, c.pair_id, c.cable_id, c.quantity, c.certificate_number, c.laboratory, c.route,
	c.calibrated_on::timestamptz AS calibrated_on, lower(c.valid) AS valid_from, upper(c.valid) AS valid_to,
	c.least_inside_diameter, c.most_inside_diameter, c.least_velocity, c.most_velocity, c.least_reynolds, c.most_reynolds,
	c.traverses::int[] AS traverses`

// KitItems returns the items of the ids, by tag; ids that are unknown are left out.
func KitItems(ctx context.Context, q Querier, ids []string) ([]kit.Item, error) {
	return Rows[kit.Item](ctx, q, "SELECT "+KitColumns+" FROM kit_item k WHERE k.id = ANY($1::uuid[]) ORDER BY lower(k.tag), k.id", ids)
}

// Calibrations returns the calibrations in which the items take part, as reference, pair,
// cable or on their own, with their points; the newest first.
func Calibrations(ctx context.Context, q Querier, items []string) ([]kit.Calibration, error) {
	list, err := Rows[kit.Calibration](ctx, q, "SELECT "+calibrationColumns+` FROM calibration c
		WHERE c.kit_id = ANY($1::uuid[]) OR c.pair_id = ANY($1::uuid[]) OR c.cable_id = ANY($1::uuid[])
		ORDER BY upper(c.valid) DESC, c.id DESC LIMIT 2000`, items)
	if err != nil {
		return nil, err
	}
	return list, addPoints(ctx, q, list)
}

// Calibration returns one calibration with its points.
func Calibration(ctx context.Context, q Querier, id domain.CalibrationID) (kit.Calibration, error) {
	c, err := Row[kit.Calibration](ctx, q, "calibration", "SELECT "+calibrationColumns+" FROM calibration c WHERE c.id = $1", id)
	if err != nil {
		return c, err
	}
	list := []kit.Calibration{c}
	err = addPoints(ctx, q, list)
	return list[0], err
}

type pointRow struct {
	CalibrationID domain.CalibrationID `db:"calibration_id"`
	kit.Point
}

func addPoints(ctx context.Context, q Querier, list []kit.Calibration) error {
	place := make(map[domain.CalibrationID]int, len(list))
	ids := make([]string, len(list))
	for i, c := range list {
		place[c.ID], ids[i] = i, c.ID.String()
	}
	points, err := Rows[pointRow](ctx, q, `SELECT calibration_id, n, at_value, error, expanded_uncertainty, coverage_factor
		FROM calibration_point WHERE calibration_id = ANY($1::uuid[]) ORDER BY calibration_id, n`, ids)
	for _, p := range points {
		i := place[p.CalibrationID]
		list[i].Points = append(list[i].Points, p.Point)
	}
	return err
}
