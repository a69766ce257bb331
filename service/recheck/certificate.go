package recheck

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"time"

	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/store"
)

// issued is a certificate with what it was made from.
type issued struct {
	kept
	CertificateID domain.CertificateID `db:"certificate_id"`
	Year          int                  `db:"year"`
	Serial        int                  `db:"serial"`
	Kind          string               `db:"kind"`
	Snapshot      []byte               `db:"snapshot"`
	Document      []byte               `db:"document"`
	Hash          []byte               `db:"content_hash"`
	Prepared      []byte               `db:"prepared"`
	Code          string               `db:"check_code"`
	CodeHash      []byte               `db:"check_hash"`
	Client        string               `db:"client_name"`
	Judged        string               `db:"verdict"`
	IssuedAt      time.Time            `db:"issued_at"`
	OwnWork       bool                 `db:"own_work"`
}

const issuedQuery = "SELECT " + keptColumns + `, c.id AS certificate_id, c.year, c.serial, c.kind, c.snapshot::bytea AS snapshot, c.document::bytea AS document,
	c.content::bytea AS content_hash, p.snapshot::bytea AS prepared, p.check_code, c.check_hash::bytea AS check_hash, c.client_name, c.verdict, c.issued_at,
	EXISTS (SELECT FROM evaluation_contributor k WHERE k.evaluation_id = v.id AND k.person_id = a.approved_by) AS own_work
	FROM certificate c JOIN preparation p ON p.id = c.preparation_id JOIN approval a ON a.id = c.approval_id
	JOIN evaluation v ON v.id = c.evaluation_id JOIN method_edition d ON d.id = v.method_edition_id
	WHERE (c.year, c.serial) > ($1, $2) ORDER BY c.year, c.serial LIMIT $3`

// certificates checks each issued document, oldest first.
func (c *check) certificates(ctx context.Context) error {
	for year, serial := 0, 0; ; {
		const few = 50 // each holds a whole result
		rows, err := store.Rows[issued](ctx, c.Store, issuedQuery, year, serial, few)
		if err != nil {
			return err
		}
		for _, i := range rows {
			if err := c.certificate(ctx, i); err != nil {
				return err
			}
			c.sum.Certificates++
		}
		c.progress("certificates", c.sum.Certificates)
		if len(rows) < few {
			return nil
		}
		year, serial = rows[len(rows)-1].Year, rows[len(rows)-1].Serial
	}
}

func (i issued) number() certificate.Number {
	return certificate.Number{Year: i.Year, Serial: i.Serial}
}

func (i issued) name() string { return "certificate " + i.number().String() }

func (c *check) certificate(ctx context.Context, i issued) error {
	if i.OwnWork {
		c.found(ColumnOther.At(i.name(), "approved_by"))
	}
	if err := c.toldCertificate(ctx, i); err != nil {
		return err
	}
	text, ok, err := c.blob(ctx, i.Snapshot)
	if err != nil || !ok {
		return err // the file was reported
	}
	s, err := certificate.Parse(text)
	if err != nil {
		c.found(SnapshotBroken.At(i.name(), err.Error()))
		return nil
	}
	if canonical, err := s.Canonical(); err != nil || !bytes.Equal(canonical, text) {
		c.found(SnapshotBroken.At(i.name(), "it is not in its canonical form"))
	}
	c.columns(i, s)
	if err := c.prepared(ctx, i); err != nil {
		return err
	}
	c.drawn(ctx, i, s)
	return c.recomputed(ctx, i, s)
}

// columns compares what stands beside the snapshot with what stands in it.
func (c *check) columns(i issued, s certificate.Snapshot) {
	code := sha256.Sum256([]byte(i.Code))
	content, err := s.ContentHash()
	for what, right := range map[string]bool{
		"content":     err == nil && content == hex.EncodeToString(i.Hash),
		"number":      s.Number == i.number().String(),
		"kind":        string(s.Kind) == i.Kind,
		"issued_at":   s.Dates.Issued.At == i.IssuedAt.UTC().Format(time.RFC3339),
		"check_code":  strings.HasSuffix(s.CheckAddress, "/"+i.Code) && bytes.Equal(code[:], i.CodeHash),
		"client_name": s.Client.Name == i.Client,
		"verdict":     s.Verdict() == i.Judged,
		"evaluation":  s.Editions.Evaluation == hex.EncodeToString(i.Input),
	} {
		if !right {
			c.found(ColumnOther.At(i.name(), what))
		}
	}
}

// prepared compares what was issued with what was frozen.
func (c *check) prepared(ctx context.Context, i issued) error {
	text, ok, err := c.blob(ctx, i.Prepared)
	if err != nil || !ok {
		return err
	}
	s, err := certificate.Parse(text)
	if err != nil {
		c.found(SnapshotBroken.At(i.name(), err.Error()))
		return nil
	}
	if content, err := s.ContentHash(); err != nil || content != hex.EncodeToString(i.Hash) {
		c.found(SnapshotOther.At(i.name(), "what was prepared"))
	}
	return nil
}

// toldCertificate compares the certificate with what the trail told when it was issued.
func (c *check) toldCertificate(ctx context.Context, i issued) error {
	payloads, err := store.Scalars[string](ctx, c.Store, `SELECT e.payload FROM audit.subject s JOIN audit.event e ON e.seq = s.seq
		WHERE s.kind = 'certificate' AND s.id = $1 ORDER BY s.seq LIMIT 1`, i.CertificateID)
	if err != nil {
		return err
	}
	said := map[string]string{}
	for _, p := range payloads {
		event, err := audit.Parse(p)
		if err != nil {
			break // the chain was reported
		}
		for _, change := range event.Changes {
			for _, f := range change.Fields {
				if change.ID == i.CertificateID.String() && f.After != nil && f.After.Text != nil {
					said[f.Name] = *f.After.Text
				}
			}
		}
	}
	for what, is := range map[string]string{"number": i.number().String(), "snapshot": hex.EncodeToString(i.Snapshot), "document": hex.EncodeToString(i.Document)} {
		if said[what] != is {
			c.found(TrailOther.At(i.name(), what))
		}
	}
	return nil
}

// drawn draws what this very version of the program drew once more.
func (c *check) drawn(ctx context.Context, i issued, s certificate.Snapshot) {
	if c.Render == nil || s.Editions.Version != c.Version || ctx.Err() != nil {
		return
	}
	pdf, err := c.Render(s)
	if sum := sha256.Sum256(pdf); err != nil || !bytes.Equal(sum[:], i.Document) {
		c.found(DocumentOther.At(i.name()))
	}
	c.sum.Drawn++
}

// recomputed evaluates the facts again and compares what the document shows of the result.
func (c *check) recomputed(ctx context.Context, i issued, s certificate.Snapshot) error {
	facts, result, ok, err := c.again(ctx, i.kept)
	if err != nil || !ok {
		return err
	}
	now, err := rebuilt(s, facts, result)
	if err != nil {
		c.found(SnapshotOther.At(i.name(), err.Error()))
		return nil
	}
	switch at, how := difference("", generic(shown(s)), generic(shown(now))); how {
	case same:
		c.sum.Same++
	case digits:
		c.sum.Digits++
		c.remark(DigitsDiffer.At(i.name(), at))
	case printed:
		c.sum.Printed++
		c.found(PrintedDiffers.At(i.name(), at))
	case verdict:
		c.sum.Verdict++
		c.found(VerdictDiffers.At(i.name(), at))
	}
	return nil
}

// shown is what a document shows of a result, without the words around it.
func shown(s certificate.Snapshot) any {
	type run struct {
		Phase         string
		N             int
		Taken, UsedOf int
		Used          bool
		Reference     certificate.Figure
		Errors        []certificate.Figure
	}
	out := struct {
		Conformity  bool                 `json:"conformity"`
		Indications []certificate.Result `json:"indications"`
		Bores       []certificate.Figure `json:"bores"`
		Runs        []run                `json:"runs"`
	}{Conformity: s.Conformity, Indications: s.Indications}
	for _, m := range s.Setup.Mountings {
		out.Bores = append(out.Bores, m.Bore, m.Recommended)
	}
	for _, r := range s.Runs {
		out.Runs = append(out.Runs, run{r.Phase, r.N, r.Taken, r.UsedOf, r.Used, r.Reference, r.Errors})
	}
	return out
}

// rebuilt is the snapshot made again, in the units that the document has.
func rebuilt(s certificate.Snapshot, facts evaluation.Facts, result evaluation.Result) (certificate.Snapshot, error) {
	zone, err := time.LoadLocation(s.Place.Zone)
	if err != nil {
		return certificate.Snapshot{}, err
	}
	return certificate.Build(certificate.Paper{Kind: s.Kind, FlowUnit: flowUnit(s), Zone: zone}, facts, result)
}

// flowUnit is the unit in which the document shows flows.
func flowUnit(s certificate.Snapshot) string {
	for _, i := range s.Indications {
		for _, p := range i.Phases {
			for _, point := range p.Points {
				return point.Reference.Unit
			}
		}
	}
	return "m³/h"
}
