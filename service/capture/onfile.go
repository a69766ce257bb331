package capture

import (
	"math"
	"strings"

	"rillmark/calc/fault"
	"rillmark/domain/sheet"
)

// How far a value may be from what is on file before it is pointed out: common practice, no
// source. A wall wears, a straight length is paced.
const (
	fileDiameter = 0.01
	fileWall     = 0.10
	fileStraight = 0.25
)

// AgainstFile says where the survey differs from what the register has of the point's pipe;
// the field is the value's name. One of the two is wrong, or the pipe was changed.
func (w *Work) AgainstFile() fault.List {
	survey := w.Facts.Sheet.Now()
	var l fault.List
	compare := func(n sheet.Name, now, file *float64, text *string, share float64) {
		if now != nil && file != nil && text != nil && *file > 0 && math.Abs(*now / *file - 1) > share {
			l = append(l, OnFileOther.At(string(n), *text))
		}
	}
	number := func(n sheet.Name) *float64 {
		if v := survey[n]; v.Count > 0 {
			return &v.Number
		}
		return nil
	}
	if outside, from, known := survey.Diameter(); known {
		compare(from, &outside, w.Outside, w.OutsideText, fileDiameter)
	}
	compare(sheet.Wall, number(sheet.Wall), w.WallOnFile, w.WallText, fileWall)
	compare(sheet.MeterStraightBefore, number(sheet.MeterStraightBefore), w.BeforeOnFile, w.BeforeText, fileStraight)
	compare(sheet.MeterStraightAfter, number(sheet.MeterStraightAfter), w.AfterOnFile, w.AfterText, fileStraight)
	if material := survey.Text(sheet.PipeMaterial); material != "" && w.otherMaterial(material) {
		l = append(l, OnFileOther.At(string(sheet.PipeMaterial), w.Pipe))
	}
	return l
}

// otherMaterial reports whether the pipe on file names a material that the method knows, and
// not this one.
func (w *Work) otherMaterial(material string) bool {
	text := strings.ToLower(w.Pipe)
	if strings.Contains(text, strings.ToLower(material)) {
		return false
	}
	for _, m := range w.Facts.Method.Content.Materials {
		if strings.Contains(text, strings.ToLower(m.Name)) {
			return true
		}
	}
	return false
}
