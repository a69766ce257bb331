package capture

import (
	"context"
	"encoding/hex"
	"reflect"
	"slices"
	"time"

	"rillmark/calc/conformity"
	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

const valueColumns = `id, client_id, task_id, name, position, value, entered, source, kit_id, corrects, reason, by, captured_at, received_at`

// readSheet reads every row of the work sheet.
func (s *Service) readSheet(ctx context.Context, w *Work, id domain.TaskID) (err error) {
	all := &w.Facts.Sheet
	if all.Survey, err = store.Rows[sheet.SurveyValue](ctx, s.store, "SELECT "+valueColumns+" FROM survey_value WHERE task_id = $1 ORDER BY received_at, id", id); err != nil {
		return err
	}
	if all.Mountings, err = store.Rows[sheet.Mounting](ctx, s.store, `SELECT id, client_id, task_id, number, reference_id, pair_id, cable_id, tape_id,
		traverses, clock_position, recommended, spacing, spacing_entered, basis, note, by, captured_at, received_at
		FROM mounting WHERE task_id = $1 ORDER BY number`, id); err != nil {
		return err
	}
	if all.SetupChecks, err = store.Rows[sheet.SetupCheck](ctx, s.store, "SELECT "+checkColumns+" FROM setup_check WHERE task_id = $1 ORDER BY captured_at, id", id); err != nil {
		return err
	}
	if all.ZeroChecks, err = store.Rows[sheet.ZeroCheck](ctx, s.store, `SELECT id, client_id, task_id, mounting_id, moment, possible, isolated_by, tightness,
		cutoff_off, seconds, mean_velocity, mean_entered, u_velocity, u_entered, action, by, captured_at, received_at
		FROM zero_check WHERE task_id = $1 ORDER BY captured_at, id`, id); err != nil {
		return err
	}
	return s.readRuns(ctx, all, id)
}

func (s *Service) readRuns(ctx context.Context, all *sheet.Sheet, id domain.TaskID) (err error) {
	if all.Plans, err = store.Rows[sheet.RunPlan](ctx, s.store, `SELECT id, client_id, task_id, phase, flow_points, runs, seconds, interval_s, averaging_s,
		by, captured_at, received_at FROM run_plan WHERE task_id = $1 ORDER BY phase DESC`, id); err != nil {
		return err
	}
	if all.Runs, err = store.Rows[sheet.Run](ctx, s.store, `SELECT id, client_id, task_id, mounting_id, phase, number, flow_point, note, interval_s, averaging_s,
		by, captured_at, received_at FROM run WHERE task_id = $1 ORDER BY phase DESC, number`, id); err != nil {
		return err
	}
	if err = s.readReadings(ctx, all, id); err != nil {
		return err
	}
	if all.SetAsides, err = store.Rows[sheet.SetAside](ctx, s.store, `SELECT id, client_id, task_id, run_id, reading_id, taken_back, reason, by, captured_at, received_at
		FROM set_aside WHERE task_id = $1 ORDER BY captured_at, id`, id); err != nil {
		return err
	}
	if all.Controls, err = store.Rows[sheet.ControlNote](ctx, s.store, `SELECT id, client_id, task_id, kind, what, done_by, by, captured_at, received_at
		FROM control_note WHERE task_id = $1 ORDER BY captured_at, id`, id); err != nil {
		return err
	}
	if all.Adjustments, err = store.Rows[sheet.Adjustment](ctx, s.store, `SELECT id, client_id, task_id, number, indication_id, parameter, kind, old_entered, new_entered,
		old_value, new_value, permission, seal_before, seal_after, reason, corrects, by, captured_at, received_at
		FROM adjustment WHERE task_id = $1 ORDER BY number`, id); err != nil {
		return err
	}
	all.Notes, err = store.Rows[sheet.TaskNote](ctx, s.store, `SELECT id, client_id, task_id, kind, text, by, captured_at, received_at
		FROM task_note WHERE task_id = $1 ORDER BY captured_at, id`, id)
	return err
}

func (s *Service) readReadings(ctx context.Context, all *sheet.Sheet, id domain.TaskID) (err error) {
	if all.Readings, err = store.Rows[sheet.Reading](ctx, s.store, `SELECT id, client_id, task_id, run_id, number, reference, reference_entered, corrects, reason,
		by, captured_at, received_at FROM reading WHERE task_id = $1 ORDER BY run_id, number, id`, id); err != nil {
		return err
	}
	type shown struct {
		ReadingID domain.ReadingID `db:"reading_id"`
		sheet.Shown
	}
	rows, err := store.Rows[shown](ctx, s.store, `SELECT reading_id, indication_id, value, entered FROM reading_indication WHERE task_id = $1
		ORDER BY reading_id, indication_id`, id)
	if err != nil {
		return err
	}
	at := map[domain.ReadingID]int{}
	for i, r := range all.Readings {
		at[r.ID] = i
	}
	for _, row := range rows {
		if i, there := at[row.ReadingID]; there {
			all.Readings[i].Indications = append(all.Readings[i].Indications, row.Shown)
		}
	}
	return nil
}

func (s *Service) readMethod(ctx context.Context, w *Work, _ domain.TaskID) error {
	type edition struct {
		MethodID domain.MethodID `db:"method_id"`
		Number   string          `db:"number"`
		Edition  int             `db:"edition"`
		Content  string          `db:"content"`
	}
	e, err := store.Row[edition](ctx, s.store, "method edition", `SELECT e.method_id, m.number, e.edition, e.content
		FROM method_edition e JOIN method m ON m.id = e.method_id WHERE e.id = $1`, w.Edition)
	if err != nil {
		return err
	}
	content, err := method.Parse([]byte(e.Content))
	w.Facts.Method = evaluation.Method{ID: e.MethodID, EditionID: w.Edition, Number: e.Number, Edition: e.Edition, Content: content}
	return err
}

func (s *Service) readAgreement(ctx context.Context, w *Work, _ domain.TaskID) error {
	type terms struct {
		Rule             string   `db:"rule"`
		GuardFactor      float64  `db:"guard_factor"`
		NoStatementRatio *float64 `db:"no_statement_ratio"`
		OverallRule      string   `db:"overall_rule"`
		AdjustingAllowed bool     `db:"adjusting_allowed"`
	}
	t, err := store.Row[terms](ctx, s.store, "agreement", `SELECT rule, guard_factor, no_statement_ratio, overall_rule, adjusting_allowed
		FROM agreement WHERE id = $1`, w.AgreementID)
	if err != nil {
		return err
	}
	a := evaluation.Agreement{ID: w.AgreementID, Rule: t.Rule, GuardFactor: t.GuardFactor, NoStatementRatio: t.NoStatementRatio,
		OverallRule: evaluation.OverallRule(t.OverallRule), AdjustingAllowed: t.AdjustingAllowed}
	type limit struct {
		N     int      `db:"n"`
		Phase string   `db:"phase"`
		From  float64  `db:"from_flow"`
		To    *float64 `db:"to_flow"`
		Kind  string   `db:"kind"`
		Lower *float64 `db:"lower_limit"`
		Upper *float64 `db:"upper_limit"`
		Span  *float64 `db:"span"`
		method.Second
	}
	limits, err := store.Rows[limit](ctx, s.store, `SELECT n, phase, from_flow, to_flow, kind, lower_limit, upper_limit, span,
		combine, other_kind, other_limit, other_span FROM agreement_limit WHERE agreement_id = $1 ORDER BY n`, w.AgreementID)
	for _, l := range limits {
		a.Limits = append(a.Limits, evaluation.Limit{N: l.N, Phase: evaluation.LimitPhase(l.Phase), FromFlow: l.From, ToFlow: l.To,
			Kind: evaluation.LimitKind(l.Kind), Lower: l.Lower, Upper: l.Upper, Span: l.Span,
			Combine: conformity.Combination(domain.Optional(l.Combine)), OtherKind: evaluation.LimitKind(domain.Optional(l.OtherKind)),
			Other: l.Other, OtherSpan: l.OtherSpan})
	}
	w.Facts.Agreement = a
	return err
}

// readPeople reads the names of crew, of all who wrote on the sheet and of who approved,
// and who is authorised for the method.
func (s *Service) readPeople(ctx context.Context, w *Work, task domain.TaskID) (err error) {
	if w.Crew, err = store.Scalars[domain.PersonID](ctx, s.store, `SELECT person_id FROM booking
		WHERE visit_id = $1 AND person_id IS NOT NULL AND NOT released ORDER BY id`, w.VisitID); err != nil {
		return err
	}
	ids := append(slices.Clone(w.Crew), writers(w.Facts.Sheet)...)
	type who struct {
		ID   domain.PersonID `db:"id"`
		Name string          `db:"name"`
	}
	people, err := store.Rows[who](ctx, s.store, `SELECT id, name FROM person
		WHERE id = ANY($1) OR id IN (SELECT approved_by FROM approval WHERE task_id = $2)`, ids, task)
	if err != nil {
		return err
	}
	for _, p := range people {
		w.People[p.ID] = p.Name
	}
	type authorisation struct {
		PersonID domain.PersonID `db:"person_id"`
		MethodID domain.MethodID `db:"method_id"`
		Act      string          `db:"act"`
		From     time.Time       `db:"from_time"`
		To       *time.Time      `db:"to_time"`
	}
	rows, err := store.Rows[authorisation](ctx, s.store, `SELECT person_id, method_id, act, lower(during) AS from_time, upper(during) AS to_time
		FROM authorisation WHERE method_id = $1 AND person_id = ANY($2) ORDER BY id`, w.Facts.Method.ID, ids)
	named := writers(w.Facts.Sheet)
	for _, r := range rows {
		one := evaluation.Authorisation{PersonID: r.PersonID, MethodID: r.MethodID, Act: evaluation.Act(r.Act), From: r.From, To: r.To}
		w.authorisations = append(w.authorisations, one)
		if slices.Contains(named, r.PersonID) {
			w.Facts.Authorisations = append(w.Facts.Authorisations, one)
		}
	}
	return err
}

func writers(s sheet.Sheet) []domain.PersonID {
	var all []domain.PersonID
	each(&s, func(stamp sheet.Stamp) { all = append(all, stamp.By) })
	return all
}

// each calls do with the stamp of every row of the sheet.
func each(s *sheet.Sheet, do func(sheet.Stamp)) {
	lists := reflect.ValueOf(s).Elem()
	for i := range lists.NumField() {
		for j := range lists.Field(i).Len() {
			do(lists.Field(i).Index(j).FieldByName("Stamp").Interface().(sheet.Stamp))
		}
	}
}

func (s *Service) readEvaluations(ctx context.Context, w *Work, id domain.TaskID) (err error) {
	type kept struct {
		Evaluated
		Sum        []byte `db:"sum"`
		IsApproved bool   `db:"approved"`
	}
	rows, err := store.Rows[kept](ctx, s.store, `SELECT id, number, '' AS input, input AS sum, conformity, evaluated_by, at,
		       EXISTS (SELECT FROM approval a WHERE a.evaluation_id = evaluation.id) AS approved
		FROM evaluation WHERE task_id = $1 ORDER BY number DESC`, id)
	for _, r := range rows {
		r.Evaluated.Input = hex.EncodeToString(r.Sum)
		r.Evaluated.Approved = r.IsApproved
		w.Evaluations = append(w.Evaluations, r.Evaluated)
	}
	return err
}

// inUTC turns every time below a pointer to UTC: the same instant has one text, on
// whatever machine the facts are hashed.
func inUTC(v any) { utc(reflect.ValueOf(v)) }

var timeType = reflect.TypeFor[time.Time]()

func utc(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			utc(v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			utc(v.Index(i))
		}
	case reflect.Struct:
		if v.Type() == timeType {
			v.Set(reflect.ValueOf(v.Interface().(time.Time).UTC()))
			return
		}
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				utc(v.Field(i))
			}
		}
	}
}
