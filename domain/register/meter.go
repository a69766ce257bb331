package register

import (
	"time"

	"rillmark/domain"
)

// Measurand says what a meter measures. The zero value is nothing.
type Measurand string

// The measurands.
const (
	Volume     Measurand = "volume"
	Mass       Measurand = "mass"
	BaseVolume Measurand = "base-volume" // volume at base conditions
)

// Measurands are all, in the order in which they are shown.
var Measurands = []Measurand{Volume, Mass, BaseVolume}

// Meter is an installed flow meter that is, or will be, verified. Where it is stands in
// its installations.
type Meter struct {
	ID          domain.MeterID  `db:"id"`
	ClientID    domain.ClientID `db:"client_id"`
	Principle   string          `db:"principle" audit:"text"`
	Maker       string          `db:"maker" audit:"text"`
	Model       string          `db:"model" audit:"text"`
	Serial      string          `db:"serial" audit:"text"`
	Firmware    string          `db:"firmware" audit:"text"`
	NominalSize string          `db:"nominal_size" audit:"text"`
	Measurand   Measurand       `db:"measurand" audit:"text"`
	Note        string          `db:"note" audit:"text"`
	Version     int64           `db:"version"`
	CreatedAt   time.Time       `db:"created_at"`
	ChangedAt   time.Time       `db:"changed_at"`
}

// MeterTexts is a meter as typed.
type MeterTexts struct {
	Principle   string `json:"principle" form:"principle"`
	Maker       string `json:"maker" form:"maker"`
	Model       string `json:"model" form:"model"`
	Serial      string `json:"serial" form:"serial"`
	Firmware    string `json:"firmware" form:"firmware"`
	NominalSize string `json:"nominal_size" form:"nominal_size"`
	Measurand   string `json:"measurand" form:"measurand"`
	Note        string `json:"note" form:"note"`
}

// Read puts the typed texts into the meter, tidied, and returns every problem, keyed by
// field.
func (m Meter) Read(t MeterTexts) (Meter, error) {
	m.Principle, m.Maker, m.Model = domain.Line(t.Principle), domain.Line(t.Maker), domain.Line(t.Model)
	m.Serial, m.Firmware, m.NominalSize = domain.Line(t.Serial), domain.Line(t.Firmware), domain.Line(t.NominalSize)
	m.Measurand, m.Note = Measurand(t.Measurand), domain.Lines(t.Note)
	var check domain.Check
	check.Line("principle", m.Principle, 100, true)
	check.Line("maker", m.Maker, 100, false)
	check.Line("model", m.Model, 100, false)
	check.Line("serial", m.Serial, 60, true)
	check.Line("firmware", m.Firmware, 60, false)
	check.Line("nominal_size", m.NominalSize, 40, false)
	domain.OneOf(&check, "measurand", m.Measurand, Measurands)
	check.Lines("note", m.Note, 4000, false)
	return m, check.Err()
}

// Texts gives the meter back as it was typed.
func (m Meter) Texts() MeterTexts {
	return MeterTexts{Principle: m.Principle, Maker: m.Maker, Model: m.Model, Serial: m.Serial, Firmware: m.Firmware,
		NominalSize: m.NominalSize, Measurand: string(m.Measurand), Note: m.Note}
}
