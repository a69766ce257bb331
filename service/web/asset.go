package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"regexp"
	"strings"
)

// assetRoot is where assets are served. A name holds a hash of its content, so a browser
// may keep it for ever and never shows an old one with a new page.
const assetRoot = "/asset/"

// sheets are the style sheets in the order in which they are joined to one file.
var sheets = []string{"token", "font", "base", "frame", "field", "part", "sheet", "uplot", "trace", "print"}

var mediaTypes = map[string]string{
	".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml",
	".woff2": "font/woff2", ".txt": "text/plain; charset=utf-8",
}

type asset struct {
	mediaType string
	plain     []byte
	zipped    []byte // nil where packing does not pay
}

// assets are the embedded files by the name a template uses and by the address served.
type assets struct {
	address map[string]string
	content map[string]asset
}

// openAssets reads every file below asset; the style sheets become one, "look.css", with
// its references put to the hashed names.
func openAssets(fsys fs.FS) (*assets, error) {
	a := &assets{address: map[string]string{}, content: map[string]asset{}}
	err := fs.WalkDir(fsys, "asset", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) == ".css" {
			return err
		}
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			return err
		}
		return a.add(strings.TrimPrefix(name, "asset/"), data)
	})
	if err != nil {
		return nil, fmt.Errorf("assets: %w", err)
	}
	if err := a.join(fsys); err != nil {
		return nil, fmt.Errorf("assets: %w", err)
	}
	return a, nil
}

var reference = regexp.MustCompile(`url\("([^"]+)"\)`)

func (a *assets) join(fsys fs.FS) error {
	var all bytes.Buffer
	for _, s := range sheets {
		data, err := fs.ReadFile(fsys, "asset/style/"+s+".css")
		if err != nil {
			return err
		}
		all.Write(data)
	}
	var lost []string
	sheet := reference.ReplaceAllFunc(all.Bytes(), func(url []byte) []byte {
		name := string(reference.FindSubmatch(url)[1])
		address, known := a.address[name]
		if !known {
			lost = append(lost, name)
		}
		return []byte(`url("` + address + `")`)
	})
	if len(lost) > 0 {
		return fmt.Errorf("the style sheets refer to files that are not there: %v", lost)
	}
	return a.add("look.css", sheet)
}

func (a *assets) add(name string, data []byte) error {
	mediaType, known := mediaTypes[path.Ext(name)]
	if !known {
		return fmt.Errorf("%s: no media type for its extension", name)
	}
	sum := sha256.Sum256(data)
	ext := path.Ext(name)
	address := assetRoot + strings.TrimSuffix(name, ext) + "." + hex.EncodeToString(sum[:6]) + ext
	a.address[name] = address
	a.content[address] = asset{mediaType, data, packed(ext, data)}
	return nil
}

func packed(ext string, data []byte) []byte {
	if ext == ".woff2" {
		return nil
	}
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil
	}
	if _, err := w.Write(data); err != nil || w.Close() != nil || b.Len() >= len(data) {
		return nil
	}
	return b.Bytes()
}

// href returns the address of the asset a template names. An unknown name is an error,
// which the test that renders every page finds.
func (a *assets) href(name string) (string, error) {
	address, known := a.address[name]
	if !known {
		return "", fmt.Errorf("no asset %q", name)
	}
	return address, nil
}

// serve answers a request for an asset; it reports false when there is none of that name.
func (a *assets) serve(w http.ResponseWriter, r *http.Request) bool {
	found, known := a.content[r.URL.Path]
	if !known {
		return false
	}
	h := w.Header()
	h.Set("Content-Type", found.mediaType)
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	body := found.plain
	if found.zipped != nil {
		h.Set("Vary", "Accept-Encoding")
		if strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
			h.Set("Content-Encoding", "gzip")
			body = found.zipped
		}
	}
	h.Set("Content-Length", fmt.Sprint(len(body)))
	if r.Method != http.MethodHead {
		_, _ = w.Write(body) // a reader that went away is no fault of ours
	}
	return true
}
