package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"hash"
	"io"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
)

// BlobFile reads anywhere in a stored file, one part in memory at a time. It is not for use
// by several goroutines at once.
type BlobFile struct {
	ctx  context.Context
	q    rowQuerier
	sum  [32]byte
	size int64

	n    int // the part that is held, −1: none
	part []byte

	hash hash.Hash
	next int // the part that the hash waits for
}

// OpenBlob opens the file of that hash. Its parts are read outside any transaction.
func (s *Store) OpenBlob(ctx context.Context, sum [32]byte) (*BlobFile, error) {
	return openBlob(ctx, s.pool, sum)
}

// OpenBlob opens the file of that hash; its parts are read in the transaction, so that a
// write that reads a file needs no second connection.
func (tx *Tx) OpenBlob(ctx context.Context, sum [32]byte) (*BlobFile, error) {
	return openBlob(ctx, tx.Tx, sum)
}

func openBlob(ctx context.Context, q rowQuerier, sum [32]byte) (*BlobFile, error) {
	f := &BlobFile{ctx: ctx, q: q, sum: sum, n: -1, hash: sha256.New()}
	err := q.QueryRow(ctx, "SELECT size FROM blob WHERE sha256 = $1", sum[:]).Scan(&f.size)
	return f, notFound(err, "file")
}

// Size is the file's size in bytes.
func (f *BlobFile) Size() int64 { return f.size }

// ReadAt implements io.ReaderAt.
func (f *BlobFile) ReadAt(b []byte, from int64) (n int, err error) {
	for n < len(b) {
		if from >= f.size {
			return n, io.EOF
		}
		if err := f.load(int(from / PartSize)); err != nil {
			return n, err
		}
		in := int(from % PartSize)
		if in >= len(f.part) {
			return n, ErrBlobBroken
		}
		k := copy(b[n:], f.part[in:])
		n, from = n+k, from+int64(k)
	}
	return n, nil
}

func (f *BlobFile) load(n int) error {
	if f.n == n {
		return nil
	}
	var part []byte
	err := f.q.QueryRow(f.ctx, "SELECT data FROM blob_part WHERE sha256 = $1 AND n = $2", f.sum[:], n).Scan(&part)
	if errors.Is(err, pgx.ErrNoRows) {
		return ErrBlobBroken
	} else if err != nil {
		return mapError(err)
	}
	f.n, f.part = n, part
	if n == f.next {
		f.hash.Write(part)
		f.next++
	}
	return nil
}

// Check reads what was not read yet and holds the whole to the hash. After a reading from
// the beginning to the end it reads nothing again.
func (f *BlobFile) Check() error {
	for parts := int((f.size + PartSize - 1) / PartSize); f.next < parts; {
		f.n = -1
		if err := f.load(f.next); err != nil {
			return err
		}
	}
	if !bytes.Equal(f.hash.Sum(nil), f.sum[:]) {
		return domain.Wrap("blob", ErrBlobBroken)
	}
	return nil
}
