package web

import (
	"errors"
	"mime/multipart"
	"net/http"

	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/web/part"
)

// mostLogFile is the largest logger file that a form takes; it is kept in memory while it
// comes. Larger ones are split, or come by another way than a phone.
const mostLogFile = 64 << 20

// logFileLimit is the largest body with a logger's file.
const logFileLimit = mostLogFile + 1<<20

// uploadBlock asks for the files: one form for the reference's, one for the meter's, the
// one that is there already folded.
func (x *exchange) uploadBlock(w *capture.Work, l logged, t *tried) block {
	b := block{ID: "load", Title: x.text("trace.load-title"), Lead: x.text("trace.load-lead")}
	first := true // one form stands open: a page sends one file, and a second one chosen would be lost
	for _, role := range []tracing.Role{tracing.Reference, tracing.Meter} {
		there := false
		for _, f := range l.files {
			there = there || f.Role == role
		}
		f := x.uploadForm(w, role, t)
		switch {
		case there:
			f.Summary = x.text("trace.another-" + string(role))
		case first:
			f.Title, first = x.text("trace.load-"+string(role)), false
		default:
			f.Summary = x.text("trace.load-" + string(role))
		}
		b.Forms = append(b.Forms, f)
	}
	return b
}

func (x *exchange) uploadForm(w *capture.Work, role tracing.Role, t *tried) sheetForm {
	fields := []field{}
	hidden := []string{"role", "form"}
	values := x.fresh("role", string(role), "form", "load-"+string(role))
	if role == tracing.Meter {
		if len(w.Indications) > 1 {
			var options []part.Option
			for _, i := range w.Indications {
				options = append(options, part.Option{Value: i.ID.String(), Words: i.Name})
			}
			fields = append(fields, field{name: "indication_id", label: "trace.which-indication", open: true, required: true, options: options})
		} else if len(w.Indications) == 1 {
			values.Set("indication_id", w.Indications[0].ID.String())
			hidden = append(hidden, "indication_id")
		}
	}
	fields = append(fields, field{name: "file", label: "trace.file", hint: "trace.file-hint", kind: part.File, required: true, accept: ".csv,.tsv,.txt,.log,.dat,.xlsx"})
	f := x.ask("load-"+string(role), tracePath(w, "files"), fields, values, hidden, t)
	f.Upload, f.Most, f.TooLarge = true, mostLogFile, x.Book.Fault(LogFileTooLarge.At("", mostLogFile>>20))
	f.Button.Deed = x.text("trace.load-deed-" + string(role))
	return f
}

// addLogFile keeps a file as it came and leads to how it is read.
func (w *Web) addLogFile(x *exchange) error {
	return captured(x, "load", func(c *tracing.Upload) (capture.Written, error) {
		if err := x.logFileOf(c); err != nil {
			return capture.Written{}, err
		}
		return w.Tracing.Upload(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, _ *tracing.Upload, done capture.Written) string {
		return tracePath(work, "files/"+done.ID)
	}, func(work *capture.Work, t *tried) error { return x.showTraces(work, t) })
}

// logFileOf puts the file that came with a form into the command; none is the command's to
// refuse.
func (x *exchange) logFileOf(c *tracing.Upload) error {
	if x.r.MultipartForm == nil {
		return nil
	}
	file, header, err := x.r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) || err == nil && header.Filename == "" {
		return nil
	}
	if err != nil {
		return bodyError(err, x.route.bodyLimit())
	}
	c.File, c.Name = multipart.File(file), header.Filename
	return nil
}

// tracePhase is the phase that runs from files belong to unless a person says otherwise.
func tracePhase(w *capture.Work) sheet.Phase {
	if len(w.Facts.Sheet.Adjustments) > 0 || len(w.Facts.Sheet.Taken(sheet.After)) > 0 {
		return sheet.After
	}
	return sheet.Before
}
