package recheck

import (
	"context"
	"fmt"

	"rillmark/domain/certificate"
	"rillmark/service/store"
)

// numbers looks that the numbers of each year run from 1 without a gap or a double, up to
// the last that was given.
func (c *check) numbers(ctx context.Context) error {
	type step struct {
		Year   int `db:"year"`
		Serial int `db:"serial"`
		Before int `db:"before"`
	}
	steps, err := store.Rows[step](ctx, c.Store, `SELECT year, serial, before FROM (
			SELECT year, serial, lag(serial, 1, 0) OVER (PARTITION BY year ORDER BY serial) AS before FROM certificate) x
		WHERE serial <> before + 1 ORDER BY year, serial LIMIT 100`)
	if err != nil {
		return err
	}
	for _, s := range steps {
		number := certificate.Number{Year: s.Year, Serial: s.Serial}
		c.found(NumberGap.At("certificate "+number.String(), certificate.Number{Year: s.Year, Serial: s.Before + 1}.String()))
	}
	type last struct {
		Year    int `db:"year"`
		Last    int `db:"last"`
		Highest int `db:"highest"`
	}
	lasts, err := store.Rows[last](ctx, c.Store, `SELECT coalesce(n.year, x.year) AS year, coalesce(n.last, 0) AS last, coalesce(x.highest, 0) AS highest
		FROM numbering n FULL JOIN (SELECT year, max(serial) AS highest FROM certificate GROUP BY year) x ON x.year = n.year
		WHERE n.last IS DISTINCT FROM x.highest ORDER BY 1`)
	for _, l := range lasts {
		c.found(NumberLast.At(fmt.Sprintf("numbering %04d", l.Year), l.Last, l.Highest))
	}
	return err
}
