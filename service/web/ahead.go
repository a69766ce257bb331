package web

import (
	"net/http"
	"net/url"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/visit"
	"rillmark/service/equipment"
	"rillmark/service/web/part"
)

// setOptions are the equipment sets as choices, each with what is in it.
func (x *exchange) setOptions() ([]part.Option, error) {
	found, err := x.Equipment.Sets(x.ctx(), x.actor, equipment.Filter{Limit: mostToChoose})
	if err != nil {
		return nil, err
	}
	sets := make([]part.Option, len(found.Items))
	for i, s := range found.Items {
		sets[i] = part.Option{Value: s.ID.String(), Words: s.Name, More: x.text("visit.sets-more", "what", strings.Join(s.Tags, ", "))}
	}
	return sets, nil
}

// withSets adds what is in the sets that were ticked to the kit that was.
func (x *exchange) withSets(kit []domain.KitID, form url.Values) ([]domain.KitID, error) {
	for _, text := range form["sets"] {
		id, err := domain.ParseID[domain.EquipmentSetKind](text)
		if err != nil {
			return kit, domain.Refuse(domain.Invalid, domain.NotAnID.At("sets"))
		}
		_, items, err := x.Equipment.Set(x.ctx(), x.actor, id)
		if err != nil {
			return kit, err
		}
		for _, i := range items {
			kit = append(kit, i.ID)
		}
	}
	return kit, nil
}

// party is who and what shall go where, as a form has it.
type party struct {
	texts  visit.Texts
	zone   *time.Location
	people []domain.PersonID
	kit    []domain.KitID
	points []domain.PointID
}

// aheadOf names what of the party could not carry results then. It says nothing to those
// who have read it and book all the same, and to programs, which read it on the visit.
func (x *exchange) aheadOf(p party, form url.Values) (fault.List, error) {
	v, err := visit.Visit{}.Read(p.texts, p.zone)
	if err != nil || form.Get("anyway") != "" || x.wantsJSON() {
		return nil, nil // times that cannot be read are refused with everything else
	}
	return x.Planning.Ahead(x.ctx(), x.actor, v, p.people, p.kit, p.points, p.zone)
}

// warn shows a form again that was not saved yet, with what is to be known before.
func (x *exchange) warn(e entry, form url.Values, gaps fault.List) error {
	n := part.Notice{Act: true, Lead: x.text("entry.refused"), Text: x.text("visit.gaps")}
	for _, g := range gaps {
		n.Items = append(n.Items, x.Book.Fault(g))
	}
	e.notice = &n
	e.fields = append(e.fields, field{name: "anyway", label: "label.visit.anyway", several: true, open: true,
		options: []part.Option{{Value: "yes", Words: x.text("visit.gaps-anyway"), More: x.text("visit.gaps-anyway-more")}}})
	return x.page(http.StatusUnprocessableEntity, "entry", x.entryPage(e, form, nil))
}
