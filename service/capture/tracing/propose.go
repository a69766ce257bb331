package tracing

import (
	"context"
	"encoding/hex"
	"io"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/logfile"
	"rillmark/service/logfile/chunk"
	"rillmark/service/store"
)

// Reading is how a file is proposed to be read, for a person to confirm or change.
type Reading struct {
	File       File
	Zone       string // the site's
	Proposal   logfile.Proposal
	Remembered *ColumnMap // the company's map that answered what the person has not; nil: none
	Read       *Decoded   // what comes out; nil while questions are open, and of a file above MaxPreview
}

// Decoded is what a file holds when it is read as proposed.
type Decoded struct {
	Report      logfile.Report
	First, Last time.Time
	Interval    float64       // s
	Envelope    []chunk.Range // flow, m³/s
}

// Propose proposes how to read a file: what given says is taken as it is, then what the
// company has remembered of the layout, the rest is found in the file or asked. Nothing is
// written.
func (s *Service) Propose(ctx context.Context, a access.Actor, id domain.LogFileID, given logfile.Mapping) (Reading, error) {
	if err := see(a); err != nil {
		return Reading{}, err
	}
	r, source, err := s.reading(ctx, id, given)
	if err == nil && r.Proposal.Complete() && r.File.Size <= MaxPreview {
		r.Read, err = decoded(source, r.Proposal.Mapping)
	}
	return r, domain.Wrap("log-file.propose", err)
}

func (s *Service) reading(ctx context.Context, id domain.LogFileID, given logfile.Mapping) (r Reading, source logfile.Source, err error) {
	if r.File, err = s.file(ctx, s.store, id); err != nil {
		return r, source, err
	}
	if r.Zone, err = s.zoneOf(ctx, s.store, r.File.TaskID); err != nil {
		return r, source, err
	}
	if source, err = s.open(ctx, s.store, r.File, given.Sheet); err != nil {
		return r, source, err
	}
	bare, err := source.Propose(logfile.Mapping{Sheet: given.Sheet}, r.Zone)
	if err != nil { // it needs the person's help to be read at all
		r.Proposal, err = source.Propose(given, r.Zone)
		return r, source, err
	}
	if r.Remembered, err = remembered(ctx, s.store, bare.Fingerprint); err != nil {
		return r, source, err
	}
	if r.Remembered != nil {
		given = given.Over(r.Remembered.Mapping)
	}
	r.Proposal, err = source.Propose(given, r.Zone)
	r.Proposal.Fingerprint = bare.Fingerprint
	return r, source, err
}

// opener opens stored files: the store, or a transaction.
type opener interface {
	OpenBlob(ctx context.Context, sum [32]byte) (*store.BlobFile, error)
}

func (s *Service) open(ctx context.Context, from opener, f File, sheet string) (logfile.Source, error) {
	blob, err := openFile(ctx, from, f)
	if err != nil {
		return logfile.Source{}, err
	}
	return logfile.SourceOf(blob, f.Size, sheet)
}

func openFile(ctx context.Context, from opener, f File) (*store.BlobFile, error) {
	var sum [32]byte
	if _, err := hex.Decode(sum[:], []byte(f.SHA256)); err != nil {
		return nil, err
	}
	return from.OpenBlob(ctx, sum)
}

func decoded(source logfile.Source, m logfile.Mapping) (*Decoded, error) {
	p, err := logfile.Pack(source, m, func(logfile.Piece) error { return nil })
	if err != nil {
		return nil, err
	}
	return &Decoded{p.Report, time.UnixMicro(p.First).UTC(), time.UnixMicro(p.Last).UTC(), p.Interval, p.Envelope}, nil
}

// Content writes the file to w as it came.
func (s *Service) Content(ctx context.Context, a access.Actor, id domain.LogFileID, w io.Writer) error {
	if err := see(a); err != nil {
		return err
	}
	f, err := s.file(ctx, s.store, id)
	if err != nil {
		return domain.Wrap("log-file.content", err)
	}
	var sum [32]byte
	if _, err := hex.Decode(sum[:], []byte(f.SHA256)); err != nil {
		return domain.Wrap("log-file.content", err)
	}
	_, err = s.store.GetBlob(ctx, sum, w)
	return domain.Wrap("log-file.content", err)
}
