package recheck

import (
	"context"
	"encoding/hex"
	"errors"
	"io"

	"rillmark/domain"
	"rillmark/service/store"
)

// files reads every file part by part and compares it with the hash that names it.
func (c *check) files(ctx context.Context) error {
	type row struct {
		Hash  []byte `db:"sha256"`
		Whole bool   `db:"whole"` // parts are numbered from 0 without a gap and add up to the size
	}
	for after := []byte{}; ; {
		rows, err := store.Rows[row](ctx, c.Store, `
			SELECT b.sha256::bytea AS sha256,
			       coalesce(p.bytes, 0) = b.size AND coalesce(p.most + 1, 0) = coalesce(p.parts, 0) AS whole
			FROM blob b LEFT JOIN LATERAL (
				SELECT sum(octet_length(data)) AS bytes, max(n) AS most, count(*) AS parts FROM blob_part x WHERE x.sha256 = b.sha256) p ON true
			WHERE b.sha256 > $1 ORDER BY b.sha256 LIMIT $2`, after, page)
		if err != nil {
			return err
		}
		for _, r := range rows {
			if err := c.file(ctx, r.Hash, r.Whole); err != nil {
				return err
			}
		}
		if len(rows) < page {
			return nil
		}
		after = rows[len(rows)-1].Hash
	}
}

func (c *check) file(ctx context.Context, hash []byte, whole bool) error {
	name := "file " + hex.EncodeToString(hash)
	_, err := c.Store.GetBlob(ctx, [32]byte(hash), io.Discard)
	switch {
	case errors.Is(err, store.ErrBlobBroken), domain.KindOf(err) == domain.NotFound:
		c.found(FileBroken.At(name))
	case err != nil:
		return err
	case !whole:
		c.found(FileParts.At(name))
	}
	c.sum.Files++
	if c.sum.Files%page == 0 {
		c.progress("files", c.sum.Files)
	}
	return nil
}
