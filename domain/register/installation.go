package register

import (
	"time"

	"rillmark/domain"
)

// Installation is one meter at one measuring point from one time to another. RemovedAt is
// nil while it is there.
type Installation struct {
	ID            domain.InstallationID `db:"id"`
	ClientID      domain.ClientID       `db:"client_id"`
	MeterID       domain.MeterID        `db:"meter_id" audit:"text"`
	PointID       domain.PointID        `db:"point_id" audit:"text"`
	Slot          int                   `db:"slot" audit:"text"`
	InstalledAt   time.Time             `db:"installed_at" audit:"text"`
	RemovedAt     *time.Time            `db:"removed_at" audit:"text"`
	InstalledBy   string                `db:"installed_by" audit:"private"`
	InstallReason string                `db:"install_reason" audit:"text"`
	RemovedBy     *string               `db:"removed_by" audit:"private"`
	RemoveReason  *string               `db:"remove_reason" audit:"text"`
	Version       int64                 `db:"version"`
	CreatedAt     time.Time             `db:"created_at"`
	ChangedAt     time.Time             `db:"changed_at"`
}

// InstallTexts says that a meter was installed, as typed; times are those of the site. An
// installation of long ago is noted together with its end.
type InstallTexts struct {
	Slot          string `json:"slot" form:"slot"`
	InstalledAt   string `json:"installed_at" form:"installed_at"`
	InstalledBy   string `json:"installed_by" form:"installed_by"`
	InstallReason string `json:"install_reason" form:"install_reason"`
	RemovedAt     string `json:"removed_at" form:"removed_at"`
	RemovedBy     string `json:"removed_by" form:"removed_by"`
	RemoveReason  string `json:"remove_reason" form:"remove_reason"`
}

// RemoveTexts says that a meter was removed, or corrects when it was there.
type RemoveTexts struct {
	InstalledAt  string `json:"installed_at" form:"installed_at"`
	RemovedAt    string `json:"removed_at" form:"removed_at"`
	RemovedBy    string `json:"removed_by" form:"removed_by"`
	RemoveReason string `json:"remove_reason" form:"remove_reason"`
}

// MostSlots bounds how many meters stand at one measuring point beside each other.
const MostSlots = 9

// Install puts what was typed into a new installation; zone is the site's.
func (i Installation) Install(t InstallTexts, zone *time.Location) (Installation, error) {
	var check domain.Check
	i.Slot = 1
	if n := check.Whole("slot", t.Slot, 1, MostSlots); n != nil {
		i.Slot = *n
	}
	i.InstalledAt = check.Time("installed_at", t.InstalledAt, zone, true)
	i.InstalledBy, i.InstallReason = domain.Line(t.InstalledBy), domain.Lines(t.InstallReason)
	check.Line("installed_by", i.InstalledBy, 200, true)
	check.Lines("install_reason", i.InstallReason, 1000, true)
	i.readRemoval(&check, t.RemovedAt, t.RemovedBy, t.RemoveReason, zone)
	return i, check.Err()
}

// Remove puts the removal, and a correction of when it was installed, into the
// installation; zone is the site's. An empty time of removal says that it is still there.
func (i Installation) Remove(t RemoveTexts, zone *time.Location) (Installation, error) {
	var check domain.Check
	i.InstalledAt = check.Time("installed_at", t.InstalledAt, zone, true)
	i.readRemoval(&check, t.RemovedAt, t.RemovedBy, t.RemoveReason, zone)
	return i, check.Err()
}

// readRemoval reads when, by whom and why the meter was removed: all three, or none.
func (i *Installation) readRemoval(check *domain.Check, when, by, why string, zone *time.Location) {
	i.RemovedAt, i.RemovedBy, i.RemoveReason = nil, nil, nil
	by, why = domain.Line(by), domain.Lines(why)
	if domain.Line(when) == "" {
		if by != "" || why != "" {
			check.Add(domain.Required.At("removed_at"))
		}
		return
	}
	at := check.Time("removed_at", when, zone, true)
	check.Line("removed_by", by, 200, true)
	check.Lines("remove_reason", why, 1000, true)
	if !at.IsZero() && !i.InstalledAt.IsZero() && !at.After(i.InstalledAt) {
		check.Add(domain.EndsBefore.At("removed_at"))
	}
	i.RemovedAt, i.RemovedBy, i.RemoveReason = &at, &by, &why
}

// At reports whether the meter was there at the time.
func (i Installation) At(t time.Time) bool {
	return !t.Before(i.InstalledAt) && (i.RemovedAt == nil || t.Before(*i.RemovedAt))
}

// Texts gives the removal back as a form takes it, with times in the zone.
func (i Installation) Texts(zone *time.Location) RemoveTexts {
	t := RemoveTexts{InstalledAt: i.InstalledAt.In(zone).Format(domain.TimeLayout),
		RemovedBy: domain.Optional(i.RemovedBy), RemoveReason: domain.Optional(i.RemoveReason)}
	if i.RemovedAt != nil {
		t.RemovedAt = i.RemovedAt.In(zone).Format(domain.TimeLayout)
	}
	return t
}
