package fluid

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

// The codes of a company's table.
var (
	// TableShort: a table needs two rows or more.
	TableShort = fault.Define("fluid.table-short", fault.C("rows"))
	// TableOrder: the temperatures of a table do not increase strictly.
	TableOrder = fault.Define("fluid.table-order", fault.C("row"))
	// TableValue: a value of a table is not positive and finite.
	TableValue = fault.Define("fluid.table-value", fault.C("row"), fault.T("name"))
)

// TableRow is one line of a company's table; 0 stands for a property that is not given.
type TableRow struct {
	Kelvins, Density, DynamicViscosity, SoundSpeed float64
}

// Table is what a company knows of its fluid, at the pressure it works at.
type Table struct {
	Rows   []TableRow
	Source string // as the company names it; not empty, or nothing counts as known
	// RelativeUncertainty is the standard uncertainty of every value, relative; NaN where
	// the company states none.
	RelativeUncertainty float64
}

// At returns the properties at a temperature in kelvin, read between the rows by the
// curve that keeps their shape; pressure is not considered. A property that some row
// leaves out is not given.
//
// Valid between the first and the last row.
//
// Errors: TableShort, TableOrder, TableValue, TemperatureRange.
//
// Source: num.Shape.
func (t Table) At(kelvins float64) (Properties, error) {
	if err := t.Validate(); err != nil {
		return Properties{}, err
	}
	first, last := t.Rows[0].Kelvins, t.Rows[len(t.Rows)-1].Kelvins
	if !(kelvins >= first && kelvins <= last) {
		return Properties{}, TemperatureRange.At("temperature_C", kelvins-iceK, first-iceK, last-iceK)
	}
	var p Properties
	for _, column := range []struct {
		of func(TableRow) float64
		to *Property
	}{
		{func(r TableRow) float64 { return r.Density }, &p.Density},
		{func(r TableRow) float64 { return r.DynamicViscosity }, &p.DynamicViscosity},
		{func(r TableRow) float64 { return r.SoundSpeed }, &p.SoundSpeed},
	} {
		property, err := t.read(kelvins, column.of)
		if err != nil {
			return Properties{}, err
		}
		*column.to = property
	}
	return p, nil
}

func (t Table) read(kelvins float64, of func(TableRow) float64) (Property, error) {
	xs, ys := make([]float64, len(t.Rows)), make([]float64, len(t.Rows))
	for i, row := range t.Rows {
		xs[i], ys[i] = row.Kelvins, of(row)
		if ys[i] == 0 {
			return Property{}, nil
		}
	}
	curve, err := num.Shape(xs, ys)
	if err != nil {
		return Property{}, err
	}
	value, err := curve.At(kelvins)
	return Property{value, value * t.RelativeUncertainty, t.Source, Range{xs[0], xs[len(xs)-1], math.NaN(), math.NaN()}}, err
}

// Validate says what is wrong with the table.
//
// Errors: TableShort, TableOrder, TableValue.
func (t Table) Validate() error {
	if len(t.Rows) < 2 {
		return TableShort.At("table", len(t.Rows))
	}
	for i, row := range t.Rows {
		if i > 0 && !(row.Kelvins > t.Rows[i-1].Kelvins) {
			return TableOrder.At("table", i+1)
		}
		for k, v := range [...]float64{row.Density, row.DynamicViscosity, row.SoundSpeed} {
			if !(v >= 0) || math.IsInf(v, 1) {
				return TableValue.At("table", i+1, [...]string{"density_kg_m3", "dynamic_viscosity_Pa_s", "sound_speed_m_s"}[k])
			}
		}
	}
	return nil
}
