package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
)

// PartSize is the largest part of a file in bytes: 1 MiB.
const PartSize = 1 << 20

// PutBlob stores a file in parts under the hash of its content, and returns the hash. A
// file that is there already is not stored again. The reader is read from its start, once
// to hash and once to write.
func (tx *Tx) PutBlob(ctx context.Context, by, mediaType string, file io.ReadSeeker) ([32]byte, error) {
	var sum [32]byte
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return sum, fmt.Errorf("blob: %w", err)
	}
	h := sha256.New()
	size, err := io.Copy(h, file)
	if err != nil {
		return sum, fmt.Errorf("blob: %w", err)
	}
	h.Sum(sum[:0])
	return sum, tx.PutHashed(ctx, by, mediaType, sum, size, file)
}

// PutHashed is PutBlob for a file that was hashed before the transaction: a large one takes
// longer to hash than a transaction may stand idle. The file is held to the hash while it is
// written.
func (tx *Tx) PutHashed(ctx context.Context, by, mediaType string, sum [32]byte, size int64, file io.ReadSeeker) error {
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("blob: %w", err)
	}
	tag, err := tx.Tx.Exec(ctx, `INSERT INTO blob (sha256, size, media_type, by, at) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT (sha256) DO NOTHING`, sum[:], size, mediaType, by, tx.Now)
	if err != nil || tag.RowsAffected() == 0 {
		return mapError(err)
	}
	return tx.putParts(ctx, sum, file)
}

func (tx *Tx) putParts(ctx context.Context, sum [32]byte, file io.Reader) error {
	part, h := make([]byte, PartSize), sha256.New()
	for n := 0; ; n++ {
		got, err := io.ReadFull(file, part)
		if got > 0 {
			h.Write(part[:got])
			if err := tx.Run(ctx, "INSERT INTO blob_part (sha256, n, data) VALUES ($1, $2, $3)", sum[:], n, part[:got]); err != nil {
				return err
			}
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			break
		}
		if err != nil {
			return fmt.Errorf("blob: %w", err)
		}
	}
	if !bytes.Equal(h.Sum(nil), sum[:]) {
		return fmt.Errorf("blob: the file changed while it was written: %w", ErrBlobBroken)
	}
	return nil
}

// ErrBlobBroken says that a file's bytes are not those that its hash names.
var ErrBlobBroken = errors.New("the stored file does not match its hash")

// GetBlob writes the file of that hash to w, part by part, and checks it on the way. A
// broken file is told when its bytes have been written: look at the error before you trust them.
func (s *Store) GetBlob(ctx context.Context, sum [32]byte, w io.Writer) (mediaType string, err error) {
	return getBlob(ctx, s.pool, sum, w)
}

// rowQuerier is a pool or a transaction.
type rowQuerier interface {
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
}

func getBlob(ctx context.Context, q rowQuerier, sum [32]byte, w io.Writer) (mediaType string, err error) {
	var size int64
	err = q.QueryRow(ctx, "SELECT media_type, size FROM blob WHERE sha256 = $1", sum[:]).Scan(&mediaType, &size)
	if errors.Is(err, pgx.ErrNoRows) {
		return "", domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "file"))
	} else if err != nil {
		return "", mapError(err)
	}
	h := sha256.New()
	var written int64
	for n := 0; written < size; n++ {
		var part []byte
		err := q.QueryRow(ctx, "SELECT data FROM blob_part WHERE sha256 = $1 AND n = $2", sum[:], n).Scan(&part)
		if errors.Is(err, pgx.ErrNoRows) {
			return mediaType, ErrBlobBroken
		} else if err != nil {
			return mediaType, mapError(err)
		}
		h.Write(part)
		if _, err := w.Write(part); err != nil {
			return mediaType, fmt.Errorf("blob: %w", err)
		}
		written += int64(len(part))
	}
	if !bytes.Equal(h.Sum(nil), sum[:]) {
		return mediaType, ErrBlobBroken
	}
	return mediaType, nil
}
