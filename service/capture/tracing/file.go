package tracing

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"strings"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/capture"
	"rillmark/service/store"
)

// Role says whose file it is. The zero value is nobody's.
type Role string

// The roles.
const (
	Reference Role = "reference" // the clamped reference meter
	Meter     Role = "meter"     // an indication of the meter under test
)

// File is a logger's file as it came.
type File struct {
	ID           domain.LogFileID     `db:"id"`
	ClientID     domain.ClientID      `db:"client_id"`
	TaskID       domain.TaskID        `db:"task_id"`
	Role         Role                 `db:"role"`
	IndicationID *domain.IndicationID `db:"indication_id"`
	Indication   string               `db:"indication"` // its name; empty of the reference
	Name         string               `db:"name"`
	Size         int64                `db:"size"`
	SHA256       string               `db:"sha256"` // hexadecimal
	By           domain.PersonID      `db:"by"`
	CapturedAt   time.Time            `db:"captured_at"`
	ReceivedAt   time.Time            `db:"received_at"`
}

const fileColumns = `f.id, f.client_id, f.task_id, f.role, f.indication_id, coalesce(i.name, '') AS indication, f.name, f.size,
	encode(f.sha256::bytea, 'hex') AS sha256, f.by, f.captured_at, f.received_at
	FROM log_file f LEFT JOIN indication i ON i.id = f.indication_id`

// Files are the files of a task, the oldest first.
func (s *Service) Files(ctx context.Context, a access.Actor, task domain.TaskID) ([]File, error) {
	if err := see(a); err != nil {
		return nil, err
	}
	all, err := store.Rows[File](ctx, s.store, "SELECT "+fileColumns+" WHERE f.task_id = $1 ORDER BY f.received_at, f.id", task)
	return all, domain.Wrap("log-files", err)
}

// FileOf is one file.
func (s *Service) FileOf(ctx context.Context, a access.Actor, id domain.LogFileID) (File, error) {
	if err := see(a); err != nil {
		return File{}, err
	}
	f, err := s.file(ctx, s.store, id)
	return f, domain.Wrap("log-file", err)
}

func (s *Service) file(ctx context.Context, q store.Querier, id domain.LogFileID) (File, error) {
	return store.Row[File](ctx, q, "log_file", "SELECT "+fileColumns+" WHERE f.id = $1", id)
}

// Upload is the command to keep a file. IndicationID is of a meter's file alone.
type Upload struct {
	capture.At
	ID           domain.LogFileID    `json:"id" form:"id"`
	Role         string              `json:"role" form:"role"`
	IndicationID domain.IndicationID `json:"indication_id" form:"indication_id"`
	Name         string              `json:"name" form:"name"`
	File         io.ReadSeeker       `json:"-" form:"-"`
}

// toldFile is a file as the trail tells it.
type toldFile struct {
	Role       Role      `db:"role"`
	Name       string    `db:"name"`
	Size       int64     `db:"size"`
	SHA256     string    `db:"sha256"`
	CapturedAt time.Time `db:"captured_at"`
}

// Upload keeps a file of a task as it is. It is read twice: to name it by its hash and to
// write it, in parts, so that memory does not grow with it.
func (s *Service) Upload(ctx context.Context, a access.Actor, c Upload) (capture.Written, error) {
	const action = "log-file.add"
	if err := access.May(a, access.FillSheet); err != nil {
		return capture.Written{}, err
	}
	f, sum, err := c.validate()
	if err != nil {
		return capture.Written{}, domain.Wrap(action, err)
	}
	request := struct {
		Upload
		SHA256 string `json:"sha256"`
	}{c, f.SHA256}
	return s.capture.Record(ctx, a, action, c.At, request, false, func(ctx context.Context, r capture.Row) (capture.Written, error) {
		if err := itsMeter(ctx, r, f); err != nil {
			return capture.Written{}, err
		}
		if err := r.PutHashed(ctx, "person:"+r.Stamp.By.String(), "application/octet-stream", sum, f.Size, c.File); err != nil {
			return capture.Written{}, err
		}
		r.Wrote(audit.Kind("log_file"), f.ID, toldFile{f.Role, f.Name, f.Size, f.SHA256, r.Stamp.CapturedAt})
		return capture.Written{ID: f.ID.String()}, r.Run(ctx, `INSERT INTO log_file (id, client_id, task_id, role, indication_id, name, size, sha256,
				by, captured_at, received_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`,
			f.ID, r.Stamp.ClientID, r.Stamp.TaskID, f.Role, f.IndicationID, f.Name, f.Size, sum[:], r.Stamp.By, r.Stamp.CapturedAt, r.Stamp.ReceivedAt)
	})
}

// validate checks what was said of the file, and measures it.
func (c Upload) validate() (f File, sum [32]byte, err error) {
	var check domain.Check
	f = File{ID: c.ID, Role: Role(c.Role), Name: lastName(c.Name)}
	if !f.ID.Valid() {
		check.Add(domain.NotAnID.At("id"))
	}
	switch {
	case f.Role != Reference && f.Role != Meter:
		check.Add(UnknownRole.At("role"))
	case f.Role == Meter && !c.IndicationID.Valid():
		check.Add(domain.Required.At("indication_id"))
	case f.Role == Meter:
		f.IndicationID = &c.IndicationID
	}
	check.Line("name", f.Name, 255, true)
	if c.File == nil {
		check.Add(FileMissing.At("file"))
	}
	if err := check.Err(); err != nil {
		return f, sum, err
	}
	h := sha256.New()
	if _, err := c.File.Seek(0, io.SeekStart); err != nil {
		return f, sum, fmt.Errorf("log file: %w", err)
	}
	if f.Size, err = io.Copy(h, io.LimitReader(c.File, MaxFile+1)); err != nil {
		return f, sum, fmt.Errorf("log file: %w", err)
	}
	switch {
	case f.Size == 0:
		return f, sum, domain.Refuse(domain.Invalid, FileEmpty.At("file"))
	case f.Size > MaxFile:
		return f, sum, domain.Refuse(domain.TooLarge, FileTooLarge.At("file", MaxFile>>20))
	}
	h.Sum(sum[:0])
	f.SHA256 = hex.EncodeToString(sum[:])
	return f, sum, nil
}

// lastName is the file's name without the folders that some browsers send along.
func lastName(name string) string {
	name = domain.Line(strings.ReplaceAll(name, `\`, "/"))
	return name[strings.LastIndexByte(name, '/')+1:]
}

// itsMeter looks whether the indication is one of the meter of the task.
func itsMeter(ctx context.Context, r capture.Row, f File) error {
	if f.IndicationID == nil {
		return nil
	}
	its, err := store.Scalars[bool](ctx, r, `SELECT EXISTS (SELECT FROM task t JOIN installation n ON n.id = t.installation_id
		JOIN indication i ON i.meter_id = n.meter_id WHERE t.id = $1 AND i.id = $2)`, r.Stamp.TaskID, *f.IndicationID)
	if err == nil && !its[0] {
		return domain.Refuse(domain.Invalid, NotItsMeter.At("indication_id"))
	}
	return err
}
