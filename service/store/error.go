package store

import (
	"context"
	"errors"
	"net"
	"net/url"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/approval"
	"rillmark/domain/certificate"
	"rillmark/domain/kit"
	"rillmark/domain/method"
	"rillmark/domain/person"
	"rillmark/domain/register"
)

// constraints are the rules of the database that a person can run into, by name. Any
// other violation is a fault of ours: Go should have said it first, in a friendlier way.
var constraints = map[string]struct {
	kind  domain.Kind
	fault fault.Fault
}{
	"client_name_once":         {domain.Taken, register.NameTaken.At("name")},
	"site_name_once":           {domain.Taken, register.NameTaken.At("name")},
	"measuring_point_tag_once": {domain.Taken, register.TagTaken.At("tag")},
	"person_login_once":        {domain.Taken, person.LoginTaken.At("login")},
	"site_client_fk":           {domain.NotFound, domain.NoSuchThing.At("client_id", "client")},
	"measuring_point_site_fk":  {domain.NotFound, domain.NoSuchThing.At("site_id", "site")},

	"meter_serial_once":            {domain.Taken, register.SerialTaken.At("serial")},
	"meter_client_fk":              {domain.NotFound, domain.NoSuchThing.At("client_id", "client")},
	"indication_name_once":         {domain.Taken, register.IndicationNameTaken.At("name")},
	"installation_meter_fk":        {domain.Invalid, register.OfOtherClient.At("meter_id")},
	"installation_meter_one_place": {domain.Taken, register.MeterElsewhereSome.At("meter_id")},
	"installation_slot_one_meter":  {domain.Taken, register.SlotTakenBySome.At("installed_at")},

	// An id is made once, with its form; a second one with it is the same form with another operation.
	"client_pk":          {domain.Reused, domain.OperationReused.At("id")},
	"site_pk":            {domain.Reused, domain.OperationReused.At("id")},
	"measuring_point_pk": {domain.Reused, domain.OperationReused.At("id")},
	"person_pk":          {domain.Reused, domain.OperationReused.At("id")},
	"survey_value_pk":    {domain.Reused, domain.OperationReused.At("id")},
	"mounting_pk":        {domain.Reused, domain.OperationReused.At("id")},
	"setup_check_pk":     {domain.Reused, domain.OperationReused.At("id")},
	"zero_check_pk":      {domain.Reused, domain.OperationReused.At("id")},
	"run_plan_pk":        {domain.Reused, domain.OperationReused.At("id")},
	"run_pk":             {domain.Reused, domain.OperationReused.At("id")},
	"reading_pk":         {domain.Reused, domain.OperationReused.At("id")},
	"set_aside_pk":       {domain.Reused, domain.OperationReused.At("id")},
	"control_note_pk":    {domain.Reused, domain.OperationReused.At("id")},
	"adjustment_pk":      {domain.Reused, domain.OperationReused.At("id")},
	"task_note_pk":       {domain.Reused, domain.OperationReused.At("id")},
	"evaluation_pk":      {domain.Reused, domain.OperationReused.At("id")},
	"approval_pk":        {domain.Reused, domain.OperationReused.At("id")},
	"preparation_pk":     {domain.Reused, domain.OperationReused.At("id")},
	"certificate_pk":     {domain.Reused, domain.OperationReused.At("id")},

	"survey_value_kit_fk": {domain.Invalid, domain.NoSuchThing.At("kit_id", "kit")},

	"kit_item_tag_once":          {domain.Taken, kit.TagTaken.At("tag")},
	"equipment_set_name_once":    {domain.Taken, kit.SetNameTaken.At("name")},
	"equipment_set_item_one_set": {domain.Taken, kit.InSomeOtherSet.At("members")},

	"method_number_once":           {domain.Taken, method.NumberTaken.At("number")},
	"method_edition_one_in_force":  {domain.Taken, method.EditionsOverlap.At("in_force_from")},
	"method_edition_method_fk":     {domain.NotFound, domain.NoSuchThing.At("method_id", "method")},
	"authorisation_person_fk":      {domain.NotFound, domain.NoSuchThing.At("person_id", "person")},
	"authorisation_method_fk":      {domain.NotFound, domain.NoSuchThing.At("method_id", "method")},
	"authorisation_once_at_a_time": {domain.Taken, method.AuthorisedAlready.At("authorised_from")},

	"approval_four_eyes":               {domain.Forbidden, approval.OwnWork.At("")},
	"approval_authorised":              {domain.Forbidden, approval.NotAuthorised.At("", "")},
	"approval_of_all_facts":            {domain.Stale, approval.FactsNewer.At("")},
	"approval_once":                    {domain.Taken, approval.Done.At("")},
	"certificate_token_once":           {domain.Taken, certificate.IssuedAlready.At("token")},
	"certificate_first_once":           {domain.Taken, certificate.IssuedAlready.At("kind")},
	"certificate_reissued_once":        {domain.Taken, certificate.ReissuedAlready.At("")},
	"certificate_withdrawal_of_issued": {domain.Taken, certificate.ReissuedAlready.At("")},
	"certificate_withdrawal_pk":        {domain.Taken, certificate.WithdrawnAlready.At("")},

	"measuring_point_wall_within_radius": {domain.Invalid, register.WallTooThick.At("wall")},
}

// codes are the classes of database errors that have a kind of their own.
var codes = map[string]struct {
	kind  domain.Kind
	fault fault.Fault
}{
	"55P03": {domain.Busy, domain.TryAgain.At("")},     // lock_timeout
	"57014": {domain.Busy, domain.TryAgain.At("")},     // statement_timeout
	"25P03": {domain.Busy, domain.TryAgain.At("")},     // idle in transaction
	"40001": {domain.Busy, domain.TryAgain.At("")},     // serialisation, after the retries
	"40P01": {domain.Busy, domain.TryAgain.At("")},     // deadlock, after the retries
	"53300": {domain.Busy, domain.TryAgain.At("")},     // too many connections
	"57P01": {domain.Busy, domain.DatabaseAway.At("")}, // shutting down
	"57P02": {domain.Busy, domain.DatabaseAway.At("")}, // crashed
	"57P03": {domain.Busy, domain.DatabaseAway.At("")}, // starting up
	"53100": {domain.Full, domain.DiskFull.At("")},
	"22021": {domain.Invalid, domain.NotUTF8.At("")},
	"22P05": {domain.Invalid, domain.NotUTF8.At("")},
}

// mapError turns an error of the database into one with a kind. Errors that have a kind
// already, and those nobody foresaw, pass unchanged.
func mapError(err error) error {
	var known *domain.Error
	if err == nil || errors.As(err, &known) {
		return err
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		if c, found := constraints[pg.ConstraintName]; found {
			return &domain.Error{Kind: c.kind, Faults: fault.List{c.fault}, Cause: err}
		}
		if c, found := codes[pg.Code]; found {
			return &domain.Error{Kind: c.kind, Faults: fault.List{c.fault}, Cause: err}
		}
		return err
	}
	if away(err) {
		return &domain.Error{Kind: domain.Busy, Faults: fault.List{domain.DatabaseAway.At("")}, Cause: err}
	}
	return err
}

// away reports that the connection, not the statement, failed.
func away(err error) bool {
	var connect *pgconn.ConnectError
	var network net.Error
	switch {
	case errors.Is(err, context.Canceled):
		return false
	case errors.As(err, &connect), errors.As(err, &network):
		return true
	}
	text := err.Error()
	return strings.Contains(text, "conn closed") || strings.Contains(text, "unexpected EOF") || strings.Contains(text, "broken pipe")
}

// again reports that the same work may succeed when it is simply done again.
func again(err error) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && (pg.Code == "40001" || pg.Code == "40P01")
}

// notFound turns an absent row into the error that names the kind of thing.
func notFound(err error, kind string) error {
	if errors.Is(err, pgx.ErrNoRows) {
		return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", kind))
	}
	return mapError(err)
}

func asURLError(err error, u **url.Error) bool { return errors.As(err, u) }
