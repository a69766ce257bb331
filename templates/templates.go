// Package templates embeds what the program shows: page layouts, parts, pages, the
// catalogue of sentences, style sheets, scripts, fonts and the icon. It holds files
// only; service/web renders them and service/sentence reads the catalogue. The fonts
// are under the SIL Open Font License, whose texts lie beside them.
package templates

import "embed"

// Files holds the embedded files by their path below this folder: layout, part and
// page (html/template), text (go-i18n TOML), asset (served under hashed names).
//
//go:embed layout part page text asset
var Files embed.FS
