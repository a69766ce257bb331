package recheck

import (
	"context"

	"github.com/google/uuid"

	"rillmark/domain"
	"rillmark/service/store"
)

// series decodes the file of every logged series again and compares with what is kept.
func (c *check) series(ctx context.Context) error {
	if c.Decoded == nil {
		return nil
	}
	for after := uuid.Nil; ; {
		ids, err := store.Scalars[uuid.UUID](ctx, c.Store, "SELECT id FROM series WHERE id > $1 ORDER BY id LIMIT $2", after, page)
		if err != nil {
			return err
		}
		for _, id := range ids {
			found, err := c.Decoded(ctx, domain.SeriesID{UUID: id})
			if err != nil {
				return err
			}
			if found != nil {
				c.found(found.In("series " + id.String()))
			}
			c.sum.Series++
			c.progress("series", c.sum.Series)
		}
		if len(ids) < page {
			return nil
		}
		after = ids[len(ids)-1]
	}
}
