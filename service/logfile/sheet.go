package logfile

import (
	"bytes"
	"strings"

	"github.com/xuri/excelize/v2"
)

// isSheet tells an XLSX, which is a ZIP file, from text.
func isSheet(head []byte) bool { return bytes.HasPrefix(head, []byte("PK\x03\x04")) }

// flatten turns a sheet of an XLSX into text with tabs, in which numbers and dates stand
// as the file holds them, dates as serial days: from there a sheet is read as any text.
func flatten(data []byte, sheet string) ([]byte, error) {
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: MaxSheet, UnzipXMLSizeLimit: MaxSheet})
	if err != nil {
		return nil, CodeSheet.At("")
	}
	defer f.Close() //nolint:errcheck // it was only read
	if props, err := f.GetWorkbookProps(); err == nil && props.Date1904 != nil && *props.Date1904 {
		return nil, CodeSheet1904.At("")
	}
	if names := f.GetSheetList(); sheet == "" && len(names) > 0 {
		sheet = names[0]
	}
	rows, err := f.Rows(sheet)
	if err != nil {
		return nil, CodeSheet.At("sheet")
	}
	defer rows.Close() //nolint:errcheck // it was only read
	plain := strings.NewReplacer("\t", " ", "\n", " ", "\r", " ", `"`, " ")
	var out bytes.Buffer
	widest := 0
	for rows.Next() {
		cells, err := rows.Columns()
		if err != nil {
			return nil, CodeSheet.At("")
		}
		if len(cells) > MaxColumns {
			return nil, CodeManyColumns.At("", len(cells), MaxColumns)
		}
		widest = max(widest, len(cells))
		for i := range widest {
			if i > 0 {
				out.WriteByte('\t')
			}
			if i < len(cells) {
				_, _ = plain.WriteString(&out, cells[i])
			}
		}
		out.WriteByte('\n')
		if out.Len() > MaxSheet {
			return nil, CodeTooLarge.At("", MaxSheet>>20)
		}
	}
	if err := rows.Error(); err != nil {
		return nil, CodeSheet.At("")
	}
	return out.Bytes(), nil
}
