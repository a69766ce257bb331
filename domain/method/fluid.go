package method

import (
	"slices"
	"strings"

	"rillmark/calc/fault"
	"rillmark/calc/fluid"
)

// The codes of the company's fluids.
var (
	// FluidTaken: a table has the name of a fluid that is known without one.
	FluidTaken = fault.Define("method.fluid-taken", fault.T("name"))
)

// FluidTable is a fluid that the company knows by a table of its own, as from a supplier or
// a laboratory: properties over temperature at the pressure it works at.
type FluidTable struct {
	Name                string          `json:"name"`
	Rows                []FluidTableRow `json:"rows"`                 // temperatures rising strictly
	StandardUncertainty float64         `json:"standard_uncertainty"` // of every value, relative
	Basis               string          `json:"basis"`
}

// FluidTableRow is one line; a property that is left out in one row is not known in any.
type FluidTableRow struct {
	Celsius          float64 `json:"temperature_c"`
	Density          float64 `json:"density_kg_m3,omitempty"`
	DynamicViscosity float64 `json:"dynamic_viscosity_pa_s,omitempty"`
	SoundSpeed       float64 `json:"sound_speed_m_s,omitempty"`
}

// Fluid returns the company's table of a fluid, and whether there is one. Case is of no
// matter.
func (c Content) Fluid(name string) (*fluid.Table, bool) {
	i := slices.IndexFunc(c.Fluids, func(f FluidTable) bool { return strings.EqualFold(f.Name, name) })
	if i < 0 {
		return nil, false
	}
	return c.Fluids[i].table(), true
}

// FluidNames returns every fluid that can be surveyed: water, the company's tables, then
// the others that are known without one.
func (c Content) FluidNames() []string {
	names := fluid.LiquidNames()[:1] // water
	for _, f := range c.Fluids {
		names = append(names, f.Name)
	}
	return append(names, fluid.LiquidNames()[1:]...)
}

func (f FluidTable) table() *fluid.Table {
	const zeroC = 273.15
	t := fluid.Table{Source: f.Basis, RelativeUncertainty: f.StandardUncertainty}
	for _, r := range f.Rows {
		t.Rows = append(t.Rows, fluid.TableRow{Kelvins: r.Celsius + zeroC, Density: r.Density, DynamicViscosity: r.DynamicViscosity, SoundSpeed: r.SoundSpeed})
	}
	return &t
}

func (c Content) validateFluids(l *fault.List) {
	var names []string
	for i, f := range c.Fluids {
		path := at("fluids", i)
		word(l, path+".name", f.Name)
		once(l, path+".name", &names, strings.ToLower(f.Name))
		word(l, path+".basis", f.Basis)
		notNegative(l, path+".standard_uncertainty", f.StandardUncertainty)
		if slices.Contains(fluid.LiquidNames(), strings.ToLower(f.Name)) {
			*l = append(*l, FluidTaken.At(path+".name", f.Name))
		}
		for _, one := range fault.AllOf(f.table().Validate()) {
			*l = append(*l, one.In(path+".rows"))
		}
	}
}
