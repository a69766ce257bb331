package store

import (
	"strings"

	"rillmark/domain/sheet"
)

// LastWord is an expression over a table of tasks called t: the kind of the last note that
// says how the work ended on site, or that it was sent back; null where there is none.
var LastWord = `(SELECT w.kind FROM task_note w WHERE w.task_id = t.id AND w.kind IN (` + quotedLastWords() + `)
	ORDER BY w.captured_at DESC, w.id DESC LIMIT 1)`

// TaskOpen is a condition over a table of tasks called t: nobody has said the last word.
var TaskOpen = "coalesce(" + LastWord + ", '" + string(sheet.SentBack) + "') = '" + string(sheet.SentBack) + "'"

func quotedLastWords() string {
	words := make([]string, len(sheet.LastWords))
	for i, w := range sheet.LastWords {
		words[i] = "'" + string(w) + "'"
	}
	return strings.Join(words, ", ")
}
