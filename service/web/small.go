package web

import (
	"net/http"

	"rillmark/domain"
)

// health tells a supervisor whether the program can do its work: the database answers.
func (w *Web) health(x *exchange) error {
	if err := x.Records.Ping(x.ctx()); err != nil {
		return err
	}
	x.gin.Data(http.StatusOK, "text/plain; charset=utf-8", []byte("ok\n"))
	return nil
}

func (w *Web) asset(x *exchange) error {
	if !x.view.assets.serve(x.gin.Writer, x.r) {
		return domain.Refuse(domain.NotFound, NoSuchPage.At(""))
	}
	return nil
}

// favicon answers browsers that ask for the old name whatever a page says.
func (w *Web) favicon(x *exchange) error {
	address, err := x.view.assets.href("mark/icon.svg")
	if err != nil {
		return err
	}
	x.gin.Header("Location", address)
	x.gin.Status(http.StatusFound)
	return nil
}

func (w *Web) parts(x *exchange) error {
	b := x.base(showParts(base{}, x.Book).Heading)
	return x.page(http.StatusOK, "parts", showParts(b, x.Book))
}
