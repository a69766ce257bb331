package recheck_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/capture"
	"rillmark/service/document"
	"rillmark/service/issuing"
	"rillmark/service/issuing/issuingtest"
	"rillmark/service/recheck"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

const root = "../.."

// look runs the check under the reading role and returns the codes found, each once.
func look(t *testing.T, db storetest.DB) (recheck.Summary, []string) {
	t.Helper()
	s := db.Open(t, store.Reader)
	sheets := capture.New(capture.Config{Store: s, IDs: storetest.IDs()})
	var codes []string
	sum, err := recheck.Run(t.Context(), recheck.Config{Store: s, Version: issuingtest.Version, Render: document.Render,
		Observed: func(ctx context.Context, f evaluation.Facts) (evaluation.Facts, error) {
			return sheets.Reread(ctx, access.System("recheck"), f)
		},
		Report: func(f recheck.Finding) {
			code := strings.TrimPrefix(f.Code.Name(), "recheck.")
			if f.Remark {
				code = "remark:" + code
			}
			if !slices.Contains(codes, code) {
				codes = append(codes, code)
			}
		}})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(codes)
	return sum, codes
}

// three issues a certificate, a re-issue and an amendment of that, and withdraws the last.
func three(t *testing.T) *issuingtest.Office {
	t.Helper()
	o := issuingtest.Open(t, storetest.Clone(t), root)
	first := o.Certified()
	second := o.Issued(certificate.Reissue, first)
	third := o.Issued(certificate.Amendment, second)
	if _, err := o.Issuing.Withdraw(t.Context(), o.Approver, issuing.Withdraw{Operation: issuingtest.ID[domain.OperationKind](), ID: third, Reason: "A wrong picture."}); err != nil {
		t.Fatal(err)
	}
	return o
}

func TestWhole(t *testing.T) {
	o := three(t)
	sum, codes := look(t, o.DB)
	if len(codes) > 0 || sum.Findings != 0 {
		t.Errorf("found %v in what is whole", codes)
	}
	if sum.Certificates != 3 || sum.Same != 3 || sum.Drawn != 3 || sum.Evaluations != 1 || sum.Files < 7 || sum.Rows < 50 || sum.Head.Seq == 0 {
		t.Errorf("summary %+v", sum)
	}
	// What is captured later is no finding.
	if _, err := o.Capture.NoteTask(t.Context(), o.Technician, capture.NoteTask{At: capture.At{Operation: issuingtest.ID[domain.OperationKind](), TaskID: o.Task},
		ID: issuingtest.ID[domain.TaskNoteKind](), Kind: "deviation", Text: "The gauge was read by torchlight."}); err != nil {
		t.Fatal(err)
	}
	if _, codes := look(t, o.DB); len(codes) > 0 {
		t.Errorf("found %v after a late note", codes)
	}
}

// forge changes what is stored as somebody would who owns the machine: past every trigger
// and foreign key. A test that changes nothing fails.
func forge(t *testing.T, db storetest.DB, sql string) {
	t.Helper()
	conn := db.Connect(t, "")
	tx, err := conn.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback(context.Background()) //nolint:errcheck // after COMMIT it does nothing
	rows, err := tx.Query(t.Context(), "SELECT format('ALTER TABLE %I.%I DISABLE TRIGGER ALL', schemaname, tablename) FROM pg_tables WHERE schemaname IN ('public', 'audit')")
	if err != nil {
		t.Fatal(err)
	}
	statements, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range statements {
		if _, err := tx.Exec(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	tag, err := tx.Exec(t.Context(), sql)
	if err != nil || tag.RowsAffected() == 0 {
		t.Fatalf("%s: %d rows, %v", sql, tag.RowsAffected(), err)
	}
	if err := tx.Commit(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// flipped is SQL that flips the lowest bit of one byte in the middle of a file's first part.
func flipped(which string) string {
	return `UPDATE blob_part SET data = set_byte(data, length(data)/2, get_byte(data, length(data)/2) # 1)
		WHERE n = 0 AND sha256 = (SELECT ` + which + ` LIMIT 1)`
}

func TestOneFlippedByteIsFound(t *testing.T) {
	if testing.Short() {
		t.Skip("makes a database for each forgery")
	}
	o := three(t)
	for _, c := range []struct {
		name, sql, undo string
		want            []string
	}{
		{"snapshot", flipped("snapshot FROM certificate ORDER BY serial"), "same", []string{"file-broken"}},
		{"document", flipped("document FROM certificate ORDER BY serial DESC"), "same", []string{"file-broken"}},
		{"what was prepared", flipped("snapshot FROM preparation ORDER BY at"), "same", []string{"file-broken"}},
		{"facts", flipped("facts FROM evaluation"), "same", []string{"file-broken"}},
		{"a reading's sign bit", "UPDATE reading SET reference = -reference WHERE id = (SELECT min(id::text)::uuid FROM reading)", "same", []string{"row-changed"}},
		{"a reading's text", "UPDATE reading SET reference_entered = overlay(reference_entered PLACING chr(ascii(reference_entered) # 1) FROM 1 FOR 1) WHERE id = (SELECT min(id::text)::uuid FROM reading)",
			"same", []string{"row-changed"}},
		{"what the meter showed", "UPDATE reading_indication SET entered = overlay(entered PLACING chr(ascii(entered) # 1) FROM 1 FOR 1) WHERE reading_id = (SELECT min(id::text)::uuid FROM reading)",
			"same", []string{"row-changed"}},
		{"when a reading came in", "UPDATE reading SET received_at = received_at + interval '1 microsecond' WHERE id = (SELECT min(id::text)::uuid FROM reading)",
			"UPDATE reading SET received_at = received_at - interval '1 microsecond' WHERE id = (SELECT min(id::text)::uuid FROM reading)", []string{"row-untold"}},
		{"a survey value's source", "UPDATE survey_value SET source = 'assumed' WHERE name = 'outside-diameter' AND source = 'measured'",
			"UPDATE survey_value SET source = 'measured' WHERE name = 'outside-diameter' AND source = 'assumed'", []string{"row-changed"}},
		{"a calibration's error", "UPDATE calibration_point SET error = error + 0.0001 WHERE n = 1", "UPDATE calibration_point SET error = error - 0.0001 WHERE n = 1", []string{"row-changed"}},
		{"until when a calibration holds", "UPDATE calibration SET valid = tstzrange(lower(valid), upper(valid) + interval '1 day')",
			"UPDATE calibration SET valid = tstzrange(lower(valid), upper(valid) - interval '1 day')", []string{"row-changed"}},
		{"an agreed limit", "UPDATE agreement_limit SET upper_limit = upper_limit * 2", "UPDATE agreement_limit SET upper_limit = upper_limit / 2", []string{"row-changed"}},
		{"an audit event", "UPDATE audit.event SET payload = overlay(payload PLACING chr(ascii(substr(payload, 20)) # 1) FROM 20 FOR 1) WHERE seq = 5",
			"same", []string{"trail-broken"}},
		{"an audit event's time", "UPDATE audit.event SET at = at + interval '1 microsecond' WHERE seq = 7", "UPDATE audit.event SET at = at - interval '1 microsecond' WHERE seq = 7", []string{"trail-broken"}},
		{"the result that was kept", `UPDATE evaluation SET result = regexp_replace(result, '("error":-?0\.00)(\d)', '\19')`, "", []string{"result-changed"}},
		{"a verdict beside the snapshot", "UPDATE certificate SET verdict = 'fail' WHERE serial = 1", "UPDATE certificate SET verdict = 'pass' WHERE serial = 1", []string{"column-other"}},
		{"a number", "UPDATE certificate SET serial = 4 WHERE serial = 3", "UPDATE certificate SET serial = 3 WHERE serial = 4",
			[]string{"column-other", "number-gap", "number-last", "trail-other"}},
		{"the numbering", "UPDATE numbering SET last = 4", "UPDATE numbering SET last = 3", []string{"number-last"}},
		{"the approver", "INSERT INTO evaluation_contributor SELECT evaluation_id, client_id, approved_by FROM approval", "DELETE FROM evaluation_contributor c USING approval a WHERE c.person_id = a.approved_by", []string{"column-other"}},
		{"when it was approved", "UPDATE approval SET at = at - interval '1 day'", "UPDATE approval SET at = at + interval '1 day'", []string{"row-untold"}},
		{"a certificate that is gone", "DELETE FROM certificate WHERE serial = 3", "", []string{"certificate-gone", "number-last"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			forge(t, o.DB, c.sql)
			_, codes := look(t, o.DB)
			for _, w := range c.want {
				if !slices.Contains(codes, w) {
					t.Errorf("found %v, want %v among it", codes, c.want)
				}
			}
			switch c.undo {
			case "":
			case "same": // twice flipped is not flipped
				forge(t, o.DB, c.sql)
			default:
				forge(t, o.DB, c.undo)
			}
		})
	}
}
