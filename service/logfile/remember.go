package logfile

// Lasting returns what of a mapping holds for the next file of the same layout: not how
// long its header was, how its characters were coded, or which sheet it was; and the zone
// only where it is not the site's, which may be another one next time.
func (m Mapping) Lasting(zone string) Mapping {
	m.HeaderLines, m.Encoding, m.Sheet = nil, "", ""
	if m.Zone == zone {
		m.Zone = ""
	}
	return m
}

// Over returns the mapping with what it leaves empty filled in from another one.
func (m Mapping) Over(under Mapping) Mapping {
	take(&m.Encoding, under.Encoding)
	take(&m.Delimiter, under.Delimiter)
	take(&m.DecimalMark, under.DecimalMark)
	take(&m.Sheet, under.Sheet)
	take(&m.TimeForm, under.TimeForm)
	take(&m.DateOrder, under.DateOrder)
	take(&m.Zone, under.Zone)
	if m.HeaderLines == nil {
		m.HeaderLines = under.HeaderLines
	}
	if len(m.TimeColumns) == 0 {
		m.TimeColumns = under.TimeColumns
	}
	if m.ValueColumn == "" { // unit and counter belong to their column
		m.ValueColumn = under.ValueColumn
		take(&m.Unit, under.Unit)
		m.Counter = m.Counter || under.Counter
		if m.Modulus == 0 {
			m.Modulus = under.Modulus
		}
	}
	if m.Status == "" && len(m.Good) == 0 {
		m.Status, m.Good = under.Status, under.Good
	}
	if m.Averaging == nil {
		m.Averaging = under.Averaging
	}
	return m
}

func take[T ~string](to *T, from T) {
	if *to == "" {
		*to = from
	}
}
