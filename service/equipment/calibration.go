package equipment

import (
	"context"
	"encoding/hex"
	"io"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/service/store"
)

// Document is the certificate of a calibration as it came: a file of at most
// LargestDocument bytes, with its SHA-256, by which a repeated command is known.
type Document struct {
	SHA256    string
	MediaType string
	Size      int64
	File      io.ReadSeeker
}

// LargestDocument bounds a calibration's document in bytes.
const LargestDocument = 20 << 20

// Codes of documents.
var (
	DocumentTooLarge = fault.Define("equipment.document-too-large", fault.C("limit_mib"))
	DocumentForm     = fault.Define("equipment.document-form")
)

// documentForms are the media types that a document may have: what laboratories send.
var documentForms = map[string]bool{"application/pdf": true, "image/jpeg": true, "image/png": true, "application/xml": true, "text/xml": true}

// AddCalibration is the command to add a calibration of an item.
type AddCalibration struct {
	Operation domain.OperationID   `json:"operation" form:"operation"`
	ID        domain.CalibrationID `json:"id" form:"id"`
	KitID     domain.KitID         `json:"kit_id" form:"kit_id"`
	Document  *Document            `json:"-"`
	SHA256    string               `json:"document_sha256"` // of the document, filled in by AddCalibration
	kit.CalibrationTexts
}

// CalibrationRow is a calibration with the words that a page needs.
type CalibrationRow struct {
	kit.Calibration
	Entered  []kit.EnteredPoint
	KitTag   string
	PairTag  string
	CableTag string
	Document bool
}

// Calibrations returns the calibrations in which an item takes part, the newest first.
func (s *Service) Calibrations(ctx context.Context, a access.Actor, item domain.KitID) ([]CalibrationRow, error) {
	if err := access.May(a, access.SeeKit); err != nil {
		return nil, err
	}
	list, err := store.Calibrations(ctx, s.store, []string{item.String()})
	if err != nil {
		return nil, domain.Wrap("calibrations", err)
	}
	rows, err := s.worded(ctx, list)
	return rows, domain.Wrap("calibrations", err)
}

// Calibration returns one calibration.
func (s *Service) Calibration(ctx context.Context, a access.Actor, id domain.CalibrationID) (CalibrationRow, error) {
	if err := access.May(a, access.SeeKit); err != nil {
		return CalibrationRow{}, err
	}
	c, err := store.Calibration(ctx, s.store, id)
	if err != nil {
		return CalibrationRow{}, domain.Wrap("calibration", err)
	}
	rows, err := s.worded(ctx, []kit.Calibration{c})
	if err != nil {
		return CalibrationRow{}, domain.Wrap("calibration", err)
	}
	return rows[0], nil
}

type wordsRow struct {
	ID       domain.CalibrationID `db:"id"`
	KitTag   string               `db:"kit_tag"`
	PairTag  string               `db:"pair_tag"`
	CableTag string               `db:"cable_tag"`
	Document bool                 `db:"document"`
}

type enteredRow struct {
	CalibrationID domain.CalibrationID `db:"calibration_id"`
	kit.Point
	AtEntered       string `db:"at_entered"`
	ErrorEntered    string `db:"error_entered"`
	ExpandedEntered string `db:"expanded_entered"`
}

// worded adds tags and the points as they were typed.
func (s *Service) worded(ctx context.Context, list []kit.Calibration) ([]CalibrationRow, error) {
	ids := make([]string, len(list))
	for i, c := range list {
		ids[i] = c.ID.String()
	}
	words, err := store.Rows[wordsRow](ctx, s.store, `SELECT c.id, k.tag AS kit_tag, coalesce(p.tag, '') AS pair_tag, coalesce(b.tag, '') AS cable_tag,
		c.document IS NOT NULL AS document
		FROM calibration c JOIN kit_item k ON k.id = c.kit_id LEFT JOIN kit_item p ON p.id = c.pair_id LEFT JOIN kit_item b ON b.id = c.cable_id
		WHERE c.id = ANY($1::uuid[])`, ids)
	if err != nil {
		return nil, err
	}
	points, err := store.Rows[enteredRow](ctx, s.store, `SELECT calibration_id, n, at_value, error, expanded_uncertainty, coverage_factor,
		at_entered, error_entered, expanded_entered FROM calibration_point WHERE calibration_id = ANY($1::uuid[]) ORDER BY calibration_id, n`, ids)
	if err != nil {
		return nil, err
	}
	rows := make([]CalibrationRow, len(list))
	for i, c := range list {
		rows[i].Calibration = c
		for _, w := range words {
			if w.ID == c.ID {
				rows[i].KitTag, rows[i].PairTag, rows[i].CableTag, rows[i].Document = w.KitTag, w.PairTag, w.CableTag, w.Document
			}
		}
		for _, p := range points {
			if p.CalibrationID == c.ID {
				rows[i].Entered = append(rows[i].Entered, kit.EnteredPoint{Point: p.Point, AtEntered: p.AtEntered, ErrorEntered: p.ErrorEntered, ExpandedEntered: p.ExpandedEntered})
			}
		}
	}
	return rows, nil
}

// DocumentOf writes the document of a calibration to w and returns its media type. An
// error after writing has begun says that the file is broken.
func (s *Service) DocumentOf(ctx context.Context, a access.Actor, id domain.CalibrationID, w io.Writer) (mediaType string, err error) {
	if err := access.May(a, access.SeeKit); err != nil {
		return "", err
	}
	found, err := store.Scalars[[]byte](ctx, s.store, "SELECT document::bytea FROM calibration WHERE id = $1 AND document IS NOT NULL", id)
	if err != nil {
		return "", domain.Wrap("document", err)
	}
	if len(found) == 0 {
		return "", domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "document"))
	}
	mediaType, err = s.store.GetBlob(ctx, [32]byte(found[0]), w)
	return mediaType, domain.Wrap("document", err)
}

// AddCalibration adds a calibration.
func (s *Service) AddCalibration(ctx context.Context, a access.Actor, c AddCalibration) (Written, error) {
	if err := access.May(a, access.ChangeKit); err != nil {
		return Written{}, err
	}
	item, err := findItem(ctx, s.store, c.KitID, "")
	if err != nil {
		return Written{}, domain.Wrap("calibration.add", err)
	}
	calibration, points, problems := kit.ReadCalibration(item.Kind, c.CalibrationTexts, s.zone)
	calibration.ID, calibration.KitID = c.ID, item.ID
	var check domain.Check
	check.Merge(problems)
	if err := s.checkSet(ctx, &check, calibration); err != nil {
		return Written{}, domain.Wrap("calibration.add", err)
	}
	c.SHA256 = ""
	if c.Document != nil {
		c.SHA256 = c.Document.SHA256
		c.Document.check(&check)
	}
	if err := domain.New(c.ID.Valid(), check.Err()); err != nil {
		return Written{}, domain.Wrap("calibration.add", err)
	}
	command := store.Command{Actor: a, Action: "calibration.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		return insertCalibration(ctx, tx, a, calibration, points, c.Document)
	})
}

func (d *Document) check(check *domain.Check) {
	if d.Size > LargestDocument {
		check.Add(DocumentTooLarge.At("document", LargestDocument>>20))
	}
	if !documentForms[d.MediaType] {
		check.Add(DocumentForm.At("document"))
	}
}

// checkSet looks that the pair is a pair and the cable a cable.
func (s *Service) checkSet(ctx context.Context, check *domain.Check, c kit.Calibration) error {
	for _, with := range []struct {
		id    *domain.KitID
		kind  kit.Kind
		fault fault.Fault
	}{{c.PairID, kit.TransducerPair, kit.PairKind.At("pair_id")}, {c.CableID, kit.Cable, kit.CableKind.At("cable_id")}} {
		if with.id == nil {
			continue
		}
		item, err := findItem(ctx, s.store, *with.id, "")
		if domain.KindOf(err) == domain.NotFound && err != nil || err == nil && item.Kind != with.kind {
			check.Add(with.fault)
		} else if err != nil {
			return err
		}
	}
	return nil
}

func insertCalibration(ctx context.Context, tx *store.Tx, a access.Actor, c kit.Calibration, points []kit.EnteredPoint, d *Document) (Written, error) {
	var document []byte
	told := toldPoints{Points: kit.TellPoints(points)}
	if d != nil {
		sum, err := tx.PutBlob(ctx, a.Name(), d.MediaType, d.File)
		if err != nil {
			return Written{}, err
		}
		document, told.Document = sum[:], hex.EncodeToString(sum[:])
	}
	if err := tx.Run(ctx, `INSERT INTO calibration (id, kit_id, pair_id, cable_id, quantity, certificate_number, laboratory, route,
		calibrated_on, valid, document, least_inside_diameter, most_inside_diameter, least_velocity, most_velocity,
		least_reynolds, most_reynolds, traverses, by, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, tstzrange($10, $11), $12, $13, $14, $15, $16, $17, $18, $19, $20, $21)`,
		c.ID, c.KitID, c.PairID, c.CableID, c.Quantity, c.CertificateNumber, c.Laboratory, c.Route, c.CalibratedOn.Format(time.DateOnly),
		c.ValidFrom, c.ValidTo, document, c.LeastInsideDiameter, c.MostInsideDiameter, c.LeastVelocity, c.MostVelocity,
		c.LeastReynolds, c.MostReynolds, c.Traverses, a.Name(), tx.Now); err != nil {
		return Written{}, err
	}
	for _, p := range points {
		if err := tx.Run(ctx, `INSERT INTO calibration_point (calibration_id, n, at_value, at_entered, error, error_entered,
			expanded_uncertainty, expanded_entered, coverage_factor) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			c.ID, p.N, p.At, p.AtEntered, p.Error, p.ErrorEntered, p.Expanded, p.ExpandedEntered, p.K); err != nil {
			return Written{}, err
		}
	}
	tx.Changed(audit.Calibration, c.ID, 1, nil, c)
	tx.Changed(audit.Calibration, c.ID, 1, nil, told)
	for _, id := range []*domain.KitID{&c.KitID, c.PairID, c.CableID} {
		if id != nil {
			tx.Concerns(audit.KitItem, id)
		}
	}
	return Written{ID: c.ID.String(), Version: 1}, nil
}

// toldPoints is what the trail tells of a calibration beside its row.
type toldPoints struct {
	Points   string `db:"points" audit:"text"`
	Document string `db:"document" audit:"text"`
}
