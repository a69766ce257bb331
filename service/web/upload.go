package web

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"

	"rillmark/service/equipment"
)

// fieldsBesideFile reads a form with a file. All of it stays in memory, within the route's
// limit: nothing is put on this machine's disk.
func (x *exchange) fieldsBesideFile() (url.Values, error) {
	if err := x.r.ParseMultipartForm(x.route.bodyLimit()); err != nil {
		x.formErr = bodyError(err, x.route.bodyLimit())
		return x.form, x.formErr
	}
	x.take(x.r.MultipartForm.Value)
	return x.form, nil
}

// document returns the file of the field, nil where none was chosen. What it is is found
// from its first bytes, not believed from its name.
func (x *exchange) document(field string) (*equipment.Document, error) {
	if x.r.MultipartForm == nil {
		return nil, nil
	}
	file, header, err := x.r.FormFile(field)
	switch {
	case errors.Is(err, http.ErrMissingFile) || err == nil && header.Size == 0:
		return nil, nil
	case err != nil:
		return nil, bodyError(err, x.route.bodyLimit())
	}
	return describe(file, header)
}

func describe(file multipart.File, header *multipart.FileHeader) (*equipment.Document, error) {
	first := make([]byte, 512)
	n, err := io.ReadFull(file, first)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, err
	}
	media, _, _ := strings.Cut(http.DetectContentType(first[:n]), ";")
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	h := sha256.New()
	if _, err := io.Copy(h, file); err != nil {
		return nil, err
	}
	return &equipment.Document{SHA256: hex.EncodeToString(h.Sum(nil)), MediaType: media, Size: header.Size, File: file}, nil
}
