package document

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
)

// complaint is how each of the page library's own error texts begins. The library writes
// them in a standard font, as they are; a client's words in the embedded fonts are written
// in UTF-16 and never match.
var complaint = []byte("(could not")

// holdsComplaint reports whether a page of the PDF holds one of the library's error texts:
// it prints them in the place of a picture it cannot draw, and reports no error.
func holdsComplaint(pdf []byte) (bool, error) {
	for rest := pdf; ; {
		head, after, found := bytes.Cut(rest, []byte("stream\n"))
		if !found {
			return false, nil
		}
		content, next, found := bytes.Cut(after, []byte("\nendstream"))
		if !found {
			return false, fmt.Errorf("a stream without an end")
		}
		if last := bytes.LastIndex(head, []byte("<<")); last >= 0 && isPage(head[last:]) {
			text := content
			if bytes.Contains(head[last:], []byte("/FlateDecode")) {
				var err error
				if text, err = inflated(content); err != nil {
					return false, err
				}
			}
			if bytes.Contains(text, complaint) {
				return true, nil
			}
		}
		rest = next
	}
}

// isPage reports whether a stream's dictionary is that of a page's content: neither font
// nor picture.
func isPage(dictionary []byte) bool {
	return !bytes.Contains(dictionary, []byte("/Length1")) && !bytes.Contains(dictionary, []byte("/Subtype"))
}

func inflated(content []byte) ([]byte, error) {
	reader, err := zlib.NewReader(bytes.NewReader(content))
	if err != nil {
		return nil, fmt.Errorf("a page's content: %w", err)
	}
	text, err := io.ReadAll(reader)
	if err != nil {
		return nil, fmt.Errorf("a page's content: %w", err)
	}
	return text, nil
}
