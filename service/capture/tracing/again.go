package tracing

import (
	"context"
	"errors"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/logfile"
	"rillmark/service/logfile/chunk"
	"rillmark/service/store"
)

// What DecodeAgain finds.
var (
	ChunkGone      = fault.Define("tracing.chunk-gone", fault.C("chunk"))
	ChunkBroken    = fault.Define("tracing.chunk-broken", fault.C("chunk"))
	ChunkDiffers   = fault.Define("tracing.chunk-differs", fault.C("chunk"))
	ChunksMore     = fault.Define("tracing.chunks-more", fault.C("chunks"), fault.C("expected"))
	FileUnreadable = fault.Define("tracing.file-unreadable")
)

// errStop ends a decoding at the first thing found.
var errStop = errors.New("found")

// DecodeAgain decodes a series' file once more as it was confirmed, and compares with the
// chunks that are kept, each of which is held to its hash besides. It returns the first
// thing that differs, nil where nothing does. It reads only; memory does not grow with the
// file.
func (s *Service) DecodeAgain(ctx context.Context, a access.Actor, id domain.SeriesID) (*fault.Fault, error) {
	if err := see(a); err != nil {
		return nil, err
	}
	found, err := s.decodeAgain(ctx, id)
	return found, domain.Wrap("series.decode-again", err)
}

func (s *Service) decodeAgain(ctx context.Context, id domain.SeriesID) (found *fault.Fault, err error) {
	c, err := s.channel(ctx, id)
	if err != nil {
		return nil, err
	}
	f, err := s.file(ctx, s.store, c.FileID)
	if err != nil {
		return nil, err
	}
	source, err := s.open(ctx, s.store, f, c.Mapping.Sheet)
	n := 0
	if err == nil {
		_, err = logfile.Pack(source, c.Mapping, func(p logfile.Piece) error {
			if found, err = s.compareChunk(ctx, id, n, p); err != nil {
				return err
			}
			if n++; found != nil {
				return errStop
			}
			return nil
		})
	}
	switch {
	case errors.Is(err, errStop):
		return found, nil
	case errors.Is(err, store.ErrBlobBroken) || domain.KindOf(err) == domain.Invalid:
		unreadable := FileUnreadable.At("")
		return &unreadable, nil
	case err != nil:
		return nil, err
	}
	kept, err := store.Scalars[int](ctx, s.store, "SELECT count(*)::int FROM series_chunk WHERE series_id = $1", id)
	if err == nil && kept[0] != n {
		more := ChunksMore.At("", kept[0], n)
		return &more, nil
	}
	return nil, err
}

func (s *Service) compareChunk(ctx context.Context, id domain.SeriesID, n int, p logfile.Piece) (*fault.Fault, error) {
	rows, err := store.Rows[chunkRow](ctx, s.store, "SELECT points, first_at, last_at, hash::bytea AS hash, data FROM series_chunk WHERE series_id = $1 AND n = $2", id, n)
	if err != nil {
		return nil, err
	}
	say := func(code *fault.Code) (*fault.Fault, error) {
		f := code.At("", n+1)
		return &f, nil
	}
	if len(rows) == 0 {
		return say(ChunkGone)
	}
	r := rows[0]
	kept := chunk.Chunk{Points: r.Points, First: r.First.UnixMicro(), Last: r.Last.UnixMicro(), Data: r.Data}
	copy(kept.Hash[:], r.Hash)
	if _, _, err := kept.Unpack(); err != nil {
		return say(ChunkBroken)
	}
	if kept.Hash != p.Hash || kept.Points != p.Points || kept.First != p.First || kept.Last != p.Last {
		return say(ChunkDiffers)
	}
	return nil, nil
}
