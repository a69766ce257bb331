-- What the migrations add up to, written from the catalogues; do not edit.
-- The roles are made by "database init" beforehand; whatever does not name its owner
-- belongs to rillmark_owner.

-- Extensions
CREATE EXTENSION btree_gist WITH SCHEMA public;

-- Schemas
CREATE SCHEMA audit;
GRANT USAGE ON SCHEMA audit TO rillmark_app;
GRANT USAGE ON SCHEMA audit TO rillmark_read;
COMMENT ON SCHEMA audit IS 'The chained audit trail of the company; the application may append and read, nothing else.';
GRANT USAGE ON SCHEMA public TO PUBLIC;

-- Domains
CREATE DOMAIN public.finite AS double precision;
ALTER DOMAIN public.finite ADD CONSTRAINT finite_number CHECK (((VALUE > '-Infinity'::double precision) AND (VALUE < 'Infinity'::double precision)));
COMMENT ON DOMAIN public.finite IS 'A number that is neither NaN nor infinite; a plain CHECK (x > 0) would accept both.';

CREATE DOMAIN public.sha256 AS bytea;
ALTER DOMAIN public.sha256 ADD CONSTRAINT sha256_length CHECK ((octet_length(VALUE) = 32));
COMMENT ON DOMAIN public.sha256 IS 'A SHA-256 hash, 32 bytes.';

-- Tables and views
CREATE TABLE audit.event (
    seq bigint NOT NULL,
    at timestamp with time zone NOT NULL,
    payload text NOT NULL,
    prev_hash public.sha256 NOT NULL,
    hash public.sha256 NOT NULL
);
ALTER TABLE audit.event ADD CONSTRAINT event_pk PRIMARY KEY (seq);
ALTER TABLE audit.event ADD CONSTRAINT event_no_fork UNIQUE (prev_hash);
CREATE INDEX event_by_action ON audit.event USING btree ("substring"(payload, '^\{"action":"([^"]{1,200})"'::text), seq);
CREATE INDEX event_by_actor ON audit.event USING btree ("substring"(payload, '^\{"action":"[^"]{1,200}","actor":"([^"]{1,200})"'::text), seq);
CREATE INDEX event_by_time ON audit.event USING btree (at);
GRANT SELECT ON TABLE audit.event TO rillmark_app;
GRANT SELECT ON TABLE audit.event TO rillmark_read;
COMMENT ON TABLE audit.event IS 'What was done: the exact canonical text (RFC 8785) that was hashed, chained to the event before.';
COMMENT ON COLUMN audit.event.payload IS 'Canonical JSON with ids, not names; never jsonb, which would rewrite it.';

CREATE TABLE audit.head (
    one boolean DEFAULT true NOT NULL,
    chain_id uuid NOT NULL,
    seq bigint NOT NULL,
    hash public.sha256 NOT NULL
);
ALTER TABLE audit.head ADD CONSTRAINT head_pk PRIMARY KEY (one);
ALTER TABLE audit.head ADD CONSTRAINT head_one CHECK (one);
GRANT SELECT ON TABLE audit.head TO rillmark_app;
GRANT SELECT ON TABLE audit.head TO rillmark_read;
COMMENT ON TABLE audit.head IS 'The one row that serialises appends: number and hash of the newest event.';

CREATE TABLE audit.subject (
    kind text NOT NULL,
    id uuid NOT NULL,
    seq bigint NOT NULL
);
ALTER TABLE audit.subject ADD CONSTRAINT subject_pk PRIMARY KEY (kind, id, seq);
CREATE INDEX subject_by_event ON audit.subject USING btree (seq);
GRANT SELECT ON TABLE audit.subject TO rillmark_app;
GRANT SELECT ON TABLE audit.subject TO rillmark_read;
COMMENT ON TABLE audit.subject IS 'Index of the trail by thing: every history page reads it. Made from the payload, so it can be made again.';

CREATE TABLE public.adjustment (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    number integer NOT NULL,
    indication_id uuid,
    parameter text NOT NULL,
    kind text NOT NULL,
    old_entered text NOT NULL,
    new_entered text NOT NULL,
    old_value public.finite,
    new_value public.finite,
    permission text NOT NULL,
    seal_before text NOT NULL,
    seal_after text NOT NULL,
    reason text NOT NULL,
    corrects uuid,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_pk PRIMARY KEY (id);
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_corrected_once UNIQUE (corrects);
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_number_once UNIQUE (task_id, number);
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_of_task UNIQUE (id, task_id);
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_kind CHECK ((kind = ANY (ARRAY['multiplier'::text, 'pulses-per-volume'::text, 'zero'::text, 'span'::text, 'other'::text])));
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_new_length CHECK (((length(new_entered) >= 1) AND (length(new_entered) <= 100)));
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_number CHECK ((number >= 1));
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_old_length CHECK (((length(old_entered) >= 1) AND (length(old_entered) <= 100)));
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_parameter_length CHECK (((length(parameter) >= 1) AND (length(parameter) <= 100)));
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_permission_length CHECK (((length(permission) >= 1) AND (length(permission) <= 200)));
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_reason_length CHECK (((length(reason) >= 1) AND (length(reason) <= 1000)));
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_seal_after_length CHECK ((length(seal_after) <= 60));
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_seal_before_length CHECK ((length(seal_before) <= 60));
ALTER TABLE public.adjustment ENABLE ROW LEVEL SECURITY;
CREATE POLICY adjustment_company ON public.adjustment FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY adjustment_portal ON public.adjustment FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY adjustment_read ON public.adjustment FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.adjustment TO rillmark_app;
GRANT SELECT ON TABLE public.adjustment TO rillmark_read;
COMMENT ON TABLE public.adjustment IS 'One parameter of the meter changed: old, new, with whose permission, and the seals before and after.';
COMMENT ON COLUMN public.adjustment.corrects IS 'The row whose text was mistyped; the adjustment itself was made once, when that row says.';

CREATE TABLE public.agreement (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    point_id uuid NOT NULL,
    method_edition_id uuid NOT NULL,
    order_number text NOT NULL,
    rule text NOT NULL,
    guard_factor public.finite NOT NULL,
    no_statement_ratio public.finite,
    overall_rule text NOT NULL,
    adjusting_allowed boolean NOT NULL,
    interval_months integer,
    interval_printed boolean NOT NULL,
    public_shows text NOT NULL,
    agreed_by text NOT NULL,
    agreed_on date NOT NULL,
    replaces uuid,
    consent text,
    note text NOT NULL,
    by text NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.agreement ADD CONSTRAINT agreement_pk PRIMARY KEY (id);
ALTER TABLE public.agreement ADD CONSTRAINT agreement_of_client UNIQUE (id, client_id);
ALTER TABLE public.agreement ADD CONSTRAINT agreement_agreed_by_length CHECK (((length(agreed_by) >= 1) AND (length(agreed_by) <= 200)));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_consent_length CHECK (((length(consent) >= 1) AND (length(consent) <= 1000)));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_guard_factor CHECK (((guard_factor)::double precision >= (0)::double precision));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_interval CHECK (((interval_months >= 1) AND (interval_months <= 240)));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_no_statement_ratio CHECK (((no_statement_ratio)::double precision > (0)::double precision));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_note_length CHECK ((length(note) <= 4000));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_order_number_length CHECK (((length(order_number) >= 1) AND (length(order_number) <= 60)));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_overall_rule CHECK ((overall_rule = ANY (ARRAY['worst-point'::text, 'mean-error'::text])));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_public_shows CHECK ((public_shows = ANY (ARRAY['status'::text, 'client-and-point'::text, 'verdict'::text])));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_replaced_with_consent CHECK (((replaces IS NULL) = (consent IS NULL)));
ALTER TABLE public.agreement ADD CONSTRAINT agreement_rule CHECK ((rule = ANY (ARRAY['simple'::text, 'guard-band'::text, 'non-binary'::text])));
CREATE INDEX agreement_by_point ON public.agreement USING btree (point_id, received_at DESC);
ALTER TABLE public.agreement ENABLE ROW LEVEL SECURITY;
CREATE POLICY agreement_company ON public.agreement FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY agreement_portal ON public.agreement FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY agreement_read ON public.agreement FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.agreement TO rillmark_app;
GRANT SELECT ON TABLE public.agreement TO rillmark_read;
COMMENT ON TABLE public.agreement IS 'What is agreed with the client for a point before measuring; immutable. A later change is a new row that names the old one and the client''s dated consent.';
COMMENT ON COLUMN public.agreement.no_statement_ratio IS 'No statement of conformity where U is more than this part of the limit''s half-width.';

CREATE TABLE public.agreement_limit (
    agreement_id uuid NOT NULL,
    client_id uuid NOT NULL,
    n integer NOT NULL,
    phase text NOT NULL,
    from_flow public.finite NOT NULL,
    from_entered text NOT NULL,
    to_flow public.finite,
    to_entered text,
    kind text NOT NULL,
    lower_limit public.finite,
    upper_limit public.finite,
    span public.finite,
    combine text,
    other_kind text,
    other_limit public.finite,
    other_span public.finite
);
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_pk PRIMARY KEY (agreement_id, n);
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_combine CHECK ((combine = ANY (ARRAY['sum'::text, 'greater'::text])));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_from CHECK (((from_flow)::double precision >= (0)::double precision));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_kind CHECK ((kind = ANY (ARRAY['reading'::text, 'span'::text, 'flow'::text])));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_n CHECK ((n >= 1));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_order CHECK (((lower_limit)::double precision < (upper_limit)::double precision));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_other CHECK (((other_limit)::double precision > (0)::double precision));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_other_kind CHECK (((other_kind = ANY (ARRAY['reading'::text, 'span'::text, 'flow'::text])) AND (other_kind <> kind)));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_other_span CHECK (((other_span)::double precision > (0)::double precision));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_other_span_given CHECK (((NOT (other_kind IS DISTINCT FROM 'span'::text)) = (other_span IS NOT NULL)));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_other_whole CHECK ((((combine IS NULL) = (other_kind IS NULL)) AND ((combine IS NULL) = (other_limit IS NULL))));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_phase CHECK ((phase = ANY (ARRAY['before'::text, 'after'::text, 'adjust-if'::text])));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_some CHECK (((lower_limit IS NOT NULL) OR (upper_limit IS NOT NULL)));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_span CHECK (((span)::double precision > (0)::double precision));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_span_given CHECK (((kind = 'span'::text) = (span IS NOT NULL)));
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_to CHECK ((((to_flow)::double precision > (from_flow)::double precision) AND ((to_flow IS NULL) = (to_entered IS NULL))));
ALTER TABLE public.agreement_limit ENABLE ROW LEVEL SECURITY;
CREATE POLICY agreement_limit_company ON public.agreement_limit FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY agreement_limit_portal ON public.agreement_limit FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY agreement_limit_read ON public.agreement_limit FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.agreement_limit TO rillmark_app;
GRANT SELECT ON TABLE public.agreement_limit TO rillmark_read;
COMMENT ON TABLE public.agreement_limit IS 'Limits of error by flow zone: relative for reading and span (0.02 = 2 %), m3/s for flow; zones in m3/s, an open end has no to_flow.';
COMMENT ON COLUMN public.agreement_limit.combine IS 'How a second term, other_limit in other_kind, goes with the first on every side that has a limit: sum, both together; greater, the wider of the two.';

CREATE TABLE public.alignment (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    reference_id uuid NOT NULL,
    meter_id uuid NOT NULL,
    from_at timestamp with time zone NOT NULL,
    to_at timestamp with time zone NOT NULL,
    reference_averaging text NOT NULL,
    reference_averaging_s public.finite NOT NULL,
    meter_averaging text NOT NULL,
    meter_averaging_s public.finite NOT NULL,
    search_s public.finite NOT NULL,
    signals_found boolean NOT NULL,
    signals_lag_s public.finite,
    signals_uncertainty_s public.finite,
    signals_reason text NOT NULL,
    how text NOT NULL,
    found boolean NOT NULL,
    lag_s public.finite,
    uncertainty_s public.finite,
    drift public.finite,
    middle_at timestamp with time zone,
    note text NOT NULL,
    reason text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.alignment ADD CONSTRAINT alignment_pk PRIMARY KEY (id);
ALTER TABLE public.alignment ADD CONSTRAINT alignment_in_task UNIQUE (id, task_id);
ALTER TABLE public.alignment ADD CONSTRAINT alignment_as_signals CHECK (((how <> 'signals'::text) OR (found = signals_found)));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_how CHECK ((how = ANY (ARRAY['signals'::text, 'clock-note'::text, 'nudged'::text])));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_in_order CHECK ((from_at < to_at));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_lag_where_found CHECK (((found = (lag_s IS NOT NULL)) AND (found = (uncertainty_s IS NOT NULL)) AND (found = (drift IS NOT NULL)) AND (found = (middle_at IS NOT NULL))));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_meter_averaging CHECK ((meter_averaging = ANY (ARRAY['none'::text, 'trailing'::text, 'centred'::text, 'exponential'::text, 'unknown'::text])));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_meter_averaging_s CHECK (((meter_averaging_s)::double precision >= (0)::double precision));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_note_length CHECK ((length(note) <= 4000));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_nudged_why CHECK (((how <> 'nudged'::text) OR (reason <> ''::text)));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_of_two CHECK ((reference_id <> meter_id));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_reason_length CHECK ((length(reason) <= 1000));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_reference_averaging CHECK ((reference_averaging = ANY (ARRAY['none'::text, 'trailing'::text, 'centred'::text, 'exponential'::text, 'unknown'::text])));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_reference_averaging_s CHECK (((reference_averaging_s)::double precision >= (0)::double precision));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_search CHECK (((search_s)::double precision > (0)::double precision));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_signals_reason_length CHECK ((length(signals_reason) <= 2000));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_signals_uncertainty CHECK (((signals_uncertainty_s)::double precision >= (0)::double precision));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_signals_where_found CHECK (((signals_found = (signals_uncertainty_s IS NOT NULL)) AND (signals_found OR (signals_reason <> ''::text))));
ALTER TABLE public.alignment ADD CONSTRAINT alignment_uncertainty CHECK (((uncertainty_s)::double precision >= (0)::double precision));
CREATE INDEX alignment_by_task ON public.alignment USING btree (task_id, received_at);
ALTER TABLE public.alignment ENABLE ROW LEVEL SECURITY;
CREATE POLICY alignment_company ON public.alignment FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY alignment_portal ON public.alignment FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY alignment_read ON public.alignment FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.alignment TO rillmark_app;
GRANT SELECT ON TABLE public.alignment TO rillmark_read;
COMMENT ON TABLE public.alignment IS 'What is to be added to the stamps of the meter''s series to put them on the reference''s clock, how that was decided and by whom, and what the signals said. The newest of two series holds.';
COMMENT ON COLUMN public.alignment.signals_reason IS 'Why the signals told no lag, as code and arguments in JSON; empty where they did.';
COMMENT ON COLUMN public.alignment.lag_s IS 'At middle_at of the reference''s clock; drift is seconds of lag for each second of it. Null where no lag was found: stretches then count by being steady.';
COMMENT ON COLUMN public.alignment.uncertainty_s IS 'Expanded, about 95 %.';
COMMENT ON COLUMN public.alignment.note IS 'Of a clock note: what both loggers and the clock showed, as canonical JSON.';

CREATE TABLE public.approval (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    evaluation_id uuid NOT NULL,
    input public.sha256 NOT NULL,
    evaluated_by uuid NOT NULL,
    approved_by uuid NOT NULL,
    remark text NOT NULL,
    at timestamp with time zone NOT NULL
);
ALTER TABLE public.approval ADD CONSTRAINT approval_pk PRIMARY KEY (id);
ALTER TABLE public.approval ADD CONSTRAINT approval_as_certified UNIQUE (id, client_id, task_id, evaluation_id);
ALTER TABLE public.approval ADD CONSTRAINT approval_once UNIQUE (evaluation_id);
ALTER TABLE public.approval ADD CONSTRAINT approval_four_eyes CHECK ((approved_by <> evaluated_by));
ALTER TABLE public.approval ADD CONSTRAINT approval_remark_length CHECK ((length(remark) <= 2000));
CREATE INDEX approval_by_task ON public.approval USING btree (task_id, at);
ALTER TABLE public.approval ENABLE ROW LEVEL SECURITY;
CREATE POLICY approval_company ON public.approval FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY approval_portal ON public.approval FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY approval_read ON public.approval FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.approval TO rillmark_app;
GRANT SELECT ON TABLE public.approval TO rillmark_read;
COMMENT ON TABLE public.approval IS 'A second person''s judgement that an evaluation may become a certificate: immutable, once for each evaluation.';
COMMENT ON COLUMN public.approval.remark IS 'What the approver found worth noting, such as deviations that were accepted.';

CREATE TABLE public.authorisation (
    id uuid NOT NULL,
    person_id uuid NOT NULL,
    method_id uuid NOT NULL,
    act text NOT NULL,
    during tstzrange NOT NULL,
    ground text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.authorisation ADD CONSTRAINT authorisation_pk PRIMARY KEY (id);
ALTER TABLE public.authorisation ADD CONSTRAINT authorisation_once_at_a_time EXCLUDE USING gist (person_id WITH =, method_id WITH =, act WITH =, during WITH &&);
ALTER TABLE public.authorisation ADD CONSTRAINT authorisation_act CHECK ((act = ANY (ARRAY['perform'::text, 'review'::text, 'authorise'::text])));
ALTER TABLE public.authorisation ADD CONSTRAINT authorisation_ground_length CHECK (((length(ground) >= 1) AND (length(ground) <= 1000)));
ALTER TABLE public.authorisation ADD CONSTRAINT authorisation_starts CHECK (((NOT isempty(during)) AND (NOT lower_inf(during))));
ALTER TABLE public.authorisation ADD CONSTRAINT authorisation_version CHECK ((version >= 1));
GRANT INSERT, SELECT ON TABLE public.authorisation TO rillmark_app;
GRANT SELECT ON TABLE public.authorisation TO rillmark_read;
GRANT UPDATE (during, version, changed_at) ON TABLE public.authorisation TO rillmark_app;
COMMENT ON TABLE public.authorisation IS 'Who may perform, review or authorise work by a method, from when to when, and on what ground.';

CREATE TABLE public.blob (
    sha256 public.sha256 NOT NULL,
    size bigint NOT NULL,
    media_type text NOT NULL,
    by text NOT NULL,
    at timestamp with time zone NOT NULL
);
ALTER TABLE public.blob ADD CONSTRAINT blob_pk PRIMARY KEY (sha256);
ALTER TABLE public.blob ADD CONSTRAINT blob_by CHECK ((by <> ''::text));
ALTER TABLE public.blob ADD CONSTRAINT blob_media_type CHECK ((media_type <> ''::text));
ALTER TABLE public.blob ADD CONSTRAINT blob_size CHECK ((size >= 0));
GRANT INSERT, SELECT ON TABLE public.blob TO rillmark_app;
GRANT SELECT ON TABLE public.blob TO rillmark_read;
COMMENT ON TABLE public.blob IS 'A file, named by the hash of its content; immutable.';

CREATE TABLE public.blob_part (
    sha256 public.sha256 NOT NULL,
    n integer NOT NULL,
    data bytea NOT NULL
);
ALTER TABLE public.blob_part ALTER COLUMN data SET STORAGE EXTERNAL;
ALTER TABLE public.blob_part ADD CONSTRAINT blob_part_pk PRIMARY KEY (sha256, n);
ALTER TABLE public.blob_part ADD CONSTRAINT blob_part_n CHECK ((n >= 0));
ALTER TABLE public.blob_part ADD CONSTRAINT blob_part_size CHECK (((octet_length(data) >= 1) AND (octet_length(data) <= 1048576)));
GRANT INSERT, SELECT ON TABLE public.blob_part TO rillmark_app;
GRANT SELECT ON TABLE public.blob_part TO rillmark_read;
COMMENT ON TABLE public.blob_part IS 'The file''s bytes in parts of at most 1 MiB, numbered from 0.';

CREATE TABLE public.booking (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    visit_id uuid NOT NULL,
    during tstzrange NOT NULL,
    person_id uuid,
    kit_id uuid,
    released boolean DEFAULT false NOT NULL
);
ALTER TABLE public.booking ADD CONSTRAINT booking_pk PRIMARY KEY (id);
ALTER TABLE public.booking ADD CONSTRAINT booking_kit_one_visit EXCLUDE USING gist (kit_id WITH =, during WITH &&) WHERE ((NOT released));
ALTER TABLE public.booking ADD CONSTRAINT booking_person_one_visit EXCLUDE USING gist (person_id WITH =, during WITH &&) WHERE ((NOT released));
ALTER TABLE public.booking ADD CONSTRAINT booking_of_one CHECK ((num_nonnulls(person_id, kit_id) = 1));
CREATE INDEX booking_by_visit ON public.booking USING btree (visit_id);
ALTER TABLE public.booking ENABLE ROW LEVEL SECURITY;
CREATE POLICY booking_company ON public.booking FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY booking_portal ON public.booking FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY booking_read ON public.booking FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.booking TO rillmark_app;
GRANT SELECT ON TABLE public.booking TO rillmark_read;
GRANT UPDATE (during, released) ON TABLE public.booking TO rillmark_app;
COMMENT ON TABLE public.booking IS 'A person or a piece of kit for a visit; follows the visit''s time and cannot drift from it. Released when the visit is cancelled or the crew changes.';

CREATE TABLE public.calibration (
    id uuid NOT NULL,
    kit_id uuid NOT NULL,
    pair_id uuid,
    cable_id uuid,
    quantity text NOT NULL,
    certificate_number text NOT NULL,
    laboratory text NOT NULL,
    route text NOT NULL,
    calibrated_on date NOT NULL,
    valid tstzrange NOT NULL,
    document public.sha256,
    least_inside_diameter public.finite,
    most_inside_diameter public.finite,
    least_velocity public.finite,
    most_velocity public.finite,
    least_reynolds public.finite,
    most_reynolds public.finite,
    traverses smallint[],
    by text NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.calibration ADD CONSTRAINT calibration_pk PRIMARY KEY (id);
ALTER TABLE public.calibration ADD CONSTRAINT calibration_with_its_validity UNIQUE (id, valid);
ALTER TABLE public.calibration ADD CONSTRAINT calibration_certificate_number_length CHECK (((length(certificate_number) >= 1) AND (length(certificate_number) <= 100)));
ALTER TABLE public.calibration ADD CONSTRAINT calibration_diameters CHECK ((((least_inside_diameter)::double precision > (0)::double precision) AND ((least_inside_diameter)::double precision <= (most_inside_diameter)::double precision)));
ALTER TABLE public.calibration ADD CONSTRAINT calibration_laboratory_length CHECK (((length(laboratory) >= 1) AND (length(laboratory) <= 200)));
ALTER TABLE public.calibration ADD CONSTRAINT calibration_quantity CHECK ((quantity = ANY (ARRAY['flow'::text, 'length'::text, 'temperature'::text, 'time'::text, 'current'::text])));
ALTER TABLE public.calibration ADD CONSTRAINT calibration_ranges_of_flow CHECK (((quantity <> 'flow'::text) OR ((least_inside_diameter IS NOT NULL) AND (least_velocity IS NOT NULL) AND (traverses IS NOT NULL))));
ALTER TABLE public.calibration ADD CONSTRAINT calibration_reynolds CHECK ((((least_reynolds)::double precision >= (0)::double precision) AND ((least_reynolds)::double precision <= (most_reynolds)::double precision)));
ALTER TABLE public.calibration ADD CONSTRAINT calibration_route CHECK ((route = ANY (ARRAY['national-institute'::text, 'accredited'::text, 'documented'::text, 'in-house'::text])));
ALTER TABLE public.calibration ADD CONSTRAINT calibration_valid_bounded CHECK (((NOT isempty(valid)) AND (NOT lower_inf(valid)) AND (NOT upper_inf(valid))));
ALTER TABLE public.calibration ADD CONSTRAINT calibration_velocities CHECK ((((least_velocity)::double precision >= (0)::double precision) AND ((least_velocity)::double precision <= (most_velocity)::double precision)));
GRANT INSERT, SELECT ON TABLE public.calibration TO rillmark_app;
GRANT SELECT ON TABLE public.calibration TO rillmark_read;
COMMENT ON TABLE public.calibration IS 'One calibration of one item, for a reference meter with its transducer pair and cable; immutable. A later one does not shorten it.';
COMMENT ON COLUMN public.calibration.valid IS 'From when to when results may rest on it; evaluations tie to it.';

CREATE TABLE public.calibration_point (
    calibration_id uuid NOT NULL,
    n integer NOT NULL,
    at_value public.finite NOT NULL,
    at_entered text NOT NULL,
    error public.finite NOT NULL,
    error_entered text NOT NULL,
    expanded_uncertainty public.finite NOT NULL,
    expanded_entered text NOT NULL,
    coverage_factor public.finite NOT NULL
);
ALTER TABLE public.calibration_point ADD CONSTRAINT calibration_point_pk PRIMARY KEY (calibration_id, n);
ALTER TABLE public.calibration_point ADD CONSTRAINT calibration_point_value_once UNIQUE (calibration_id, at_value);
ALTER TABLE public.calibration_point ADD CONSTRAINT calibration_point_k CHECK (((coverage_factor)::double precision >= (1)::double precision));
ALTER TABLE public.calibration_point ADD CONSTRAINT calibration_point_n CHECK ((n >= 1));
ALTER TABLE public.calibration_point ADD CONSTRAINT calibration_point_u_positive CHECK (((expanded_uncertainty)::double precision > (0)::double precision));
GRANT INSERT, SELECT ON TABLE public.calibration_point TO rillmark_app;
GRANT SELECT ON TABLE public.calibration_point TO rillmark_read;
COMMENT ON TABLE public.calibration_point IS 'Error and expanded uncertainty at one value. For flow: at_value is the velocity in m/s, error and U are relative (0.004 = 0.4 %); otherwise all in the SI unit of the quantity.';

CREATE TABLE public.certificate (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    point_id uuid NOT NULL,
    evaluation_id uuid NOT NULL,
    approval_id uuid NOT NULL,
    preparation_id uuid NOT NULL,
    kind text NOT NULL,
    amends uuid,
    year integer NOT NULL,
    serial integer NOT NULL,
    zone text NOT NULL,
    snapshot public.sha256 NOT NULL,
    document public.sha256 NOT NULL,
    content public.sha256 NOT NULL,
    check_hash public.sha256 NOT NULL,
    public_shows text NOT NULL,
    client_name text NOT NULL,
    point_name text NOT NULL,
    meter_name text NOT NULL,
    verdict text NOT NULL,
    issued_by uuid NOT NULL,
    issued_at timestamp with time zone NOT NULL
);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_pk PRIMARY KEY (id);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_check_hash_once UNIQUE (check_hash);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_number_once UNIQUE (year, serial);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_of_task UNIQUE (id, client_id, task_id);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_token_once UNIQUE (preparation_id);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_amends_another CHECK ((amends <> id));
ALTER TABLE public.certificate ADD CONSTRAINT certificate_amends_told CHECK (((kind = 'certificate'::text) = (amends IS NULL)));
ALTER TABLE public.certificate ADD CONSTRAINT certificate_public_shows CHECK ((public_shows = ANY (ARRAY['status'::text, 'client-and-point'::text, 'verdict'::text])));
ALTER TABLE public.certificate ADD CONSTRAINT certificate_serial CHECK ((serial >= 1));
ALTER TABLE public.certificate ADD CONSTRAINT certificate_year CHECK (((year)::numeric = EXTRACT(year FROM timezone(zone, issued_at))));
CREATE INDEX certificate_by_client ON public.certificate USING btree (client_id, issued_at DESC);
CREATE INDEX certificate_by_point ON public.certificate USING btree (point_id, issued_at DESC);
CREATE UNIQUE INDEX certificate_first_once ON public.certificate USING btree (task_id) WHERE (kind = 'certificate'::text);
CREATE UNIQUE INDEX certificate_reissued_once ON public.certificate USING btree (amends) WHERE (kind = 're-issue'::text);
ALTER TABLE public.certificate ENABLE ROW LEVEL SECURITY;
CREATE POLICY certificate_company ON public.certificate FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY certificate_portal ON public.certificate FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY certificate_read ON public.certificate FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.certificate TO rillmark_app;
GRANT SELECT ON TABLE public.certificate TO rillmark_read;
COMMENT ON TABLE public.certificate IS 'An issued document: immutable. Superseded when a re-issue names it, withdrawn when a withdrawal does.';
COMMENT ON COLUMN public.certificate.check_hash IS 'SHA-256 of the code in the check page''s address.';

CREATE TABLE public.certificate_withdrawal (
    certificate_id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    reason text NOT NULL,
    withdrawn_by uuid NOT NULL,
    at timestamp with time zone NOT NULL
);
ALTER TABLE public.certificate_withdrawal ADD CONSTRAINT certificate_withdrawal_pk PRIMARY KEY (certificate_id);
ALTER TABLE public.certificate_withdrawal ADD CONSTRAINT certificate_withdrawal_reason_length CHECK (((length(reason) >= 1) AND (length(reason) <= 1000)));
ALTER TABLE public.certificate_withdrawal ENABLE ROW LEVEL SECURITY;
CREATE POLICY certificate_withdrawal_company ON public.certificate_withdrawal FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY certificate_withdrawal_portal ON public.certificate_withdrawal FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY certificate_withdrawal_read ON public.certificate_withdrawal FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.certificate_withdrawal TO rillmark_app;
GRANT SELECT ON TABLE public.certificate_withdrawal TO rillmark_read;
COMMENT ON TABLE public.certificate_withdrawal IS 'A certificate taken back, with the reason that the check page shows.';

CREATE TABLE public.client (
    id uuid NOT NULL,
    client_id uuid GENERATED ALWAYS AS (id) STORED NOT NULL,
    name text NOT NULL,
    address text NOT NULL,
    contact_name text NOT NULL,
    contact_email text NOT NULL,
    contact_phone text NOT NULL,
    note text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.client ADD CONSTRAINT client_pk PRIMARY KEY (id);
ALTER TABLE public.client ADD CONSTRAINT client_address_length CHECK ((length(address) <= 1000));
ALTER TABLE public.client ADD CONSTRAINT client_contact_email_length CHECK ((length(contact_email) <= 254));
ALTER TABLE public.client ADD CONSTRAINT client_contact_name_length CHECK ((length(contact_name) <= 200));
ALTER TABLE public.client ADD CONSTRAINT client_contact_phone_length CHECK ((length(contact_phone) <= 60));
ALTER TABLE public.client ADD CONSTRAINT client_name_length CHECK (((length(name) >= 1) AND (length(name) <= 200)));
ALTER TABLE public.client ADD CONSTRAINT client_note_length CHECK ((length(note) <= 4000));
ALTER TABLE public.client ADD CONSTRAINT client_version CHECK ((version >= 1));
CREATE UNIQUE INDEX client_name_once ON public.client USING btree (lower(name));
ALTER TABLE public.client ENABLE ROW LEVEL SECURITY;
CREATE POLICY client_company ON public.client FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY client_portal ON public.client FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY client_read ON public.client FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.client TO rillmark_app;
GRANT SELECT ON TABLE public.client TO rillmark_read;
GRANT UPDATE (name, address, contact_name, contact_email, contact_phone, note, version, changed_at) ON TABLE public.client TO rillmark_app;
GRANT SELECT (id, client_id, name, address, contact_name, contact_email, contact_phone, version, created_at, changed_at) ON TABLE public.client TO rillmark_portal;
COMMENT ON TABLE public.client IS 'A customer of the service company.';

CREATE TABLE public.column_map (
    id uuid NOT NULL,
    fingerprint public.sha256 NOT NULL,
    version integer NOT NULL,
    mapping text NOT NULL,
    by uuid,
    at timestamp with time zone NOT NULL
);
ALTER TABLE public.column_map ADD CONSTRAINT column_map_pk PRIMARY KEY (id);
ALTER TABLE public.column_map ADD CONSTRAINT column_map_version_once UNIQUE (fingerprint, version);
ALTER TABLE public.column_map ADD CONSTRAINT column_map_mapping_length CHECK (((length(mapping) >= 2) AND (length(mapping) <= 20000)));
ALTER TABLE public.column_map ADD CONSTRAINT column_map_version CHECK ((version >= 1));
GRANT INSERT, SELECT ON TABLE public.column_map TO rillmark_app;
GRANT SELECT ON TABLE public.column_map TO rillmark_read;
COMMENT ON TABLE public.column_map IS 'How the company reads files of one layout: the newest version of a fingerprint is proposed. It belongs to the company, not to a client.';
COMMENT ON COLUMN public.column_map.fingerprint IS 'Hash of delimiter and headings: files of one logger set up alike have the same.';

CREATE TABLE public.control_note (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    kind text NOT NULL,
    what text NOT NULL,
    done_by text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.control_note ADD CONSTRAINT control_note_pk PRIMARY KEY (id);
ALTER TABLE public.control_note ADD CONSTRAINT control_note_done_by_length CHECK ((length(done_by) <= 200));
ALTER TABLE public.control_note ADD CONSTRAINT control_note_kind CHECK ((kind = ANY (ARRAY['inhibited'::text, 'restored'::text, 'nothing-controlled'::text])));
ALTER TABLE public.control_note ADD CONSTRAINT control_note_told CHECK (((kind = 'nothing-controlled'::text) OR ((what <> ''::text) AND (done_by <> ''::text))));
ALTER TABLE public.control_note ADD CONSTRAINT control_note_what_length CHECK ((length(what) <= 1000));
ALTER TABLE public.control_note ENABLE ROW LEVEL SECURITY;
CREATE POLICY control_note_company ON public.control_note FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY control_note_portal ON public.control_note FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY control_note_read ON public.control_note FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.control_note TO rillmark_app;
GRANT SELECT ON TABLE public.control_note TO rillmark_read;
COMMENT ON TABLE public.control_note IS 'What the meter''s signal controls, who put it in manual or inhibited it and when, and who restored it.';

CREATE TABLE public.credential (
    person_id uuid NOT NULL,
    password text NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.credential ADD CONSTRAINT credential_pk PRIMARY KEY (person_id);
ALTER TABLE public.credential ADD CONSTRAINT credential_argon2id CHECK ((password ~~ '$argon2id$%'::text));
GRANT INSERT, SELECT, UPDATE ON TABLE public.credential TO rillmark_app;
COMMENT ON TABLE public.credential IS 'The argon2id hash of a person''s password; the application''s role alone reads it.';

CREATE TABLE public.equipment_set (
    id uuid NOT NULL,
    name text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.equipment_set ADD CONSTRAINT equipment_set_pk PRIMARY KEY (id);
ALTER TABLE public.equipment_set ADD CONSTRAINT equipment_set_name_length CHECK (((length(name) >= 1) AND (length(name) <= 100)));
ALTER TABLE public.equipment_set ADD CONSTRAINT equipment_set_version CHECK ((version >= 1));
CREATE UNIQUE INDEX equipment_set_name_once ON public.equipment_set USING btree (lower(name));
GRANT INSERT, SELECT ON TABLE public.equipment_set TO rillmark_app;
GRANT SELECT ON TABLE public.equipment_set TO rillmark_read;
GRANT UPDATE (name, version, changed_at) ON TABLE public.equipment_set TO rillmark_app;
COMMENT ON TABLE public.equipment_set IS 'Equipment that travels together.';

CREATE TABLE public.equipment_set_item (
    set_id uuid NOT NULL,
    kit_id uuid NOT NULL,
    during tstzrange NOT NULL
);
ALTER TABLE public.equipment_set_item ADD CONSTRAINT equipment_set_item_pk PRIMARY KEY (set_id, kit_id, during);
ALTER TABLE public.equipment_set_item ADD CONSTRAINT equipment_set_item_one_set EXCLUDE USING gist (kit_id WITH =, during WITH &&);
ALTER TABLE public.equipment_set_item ADD CONSTRAINT equipment_set_item_starts CHECK (((NOT isempty(during)) AND (NOT lower_inf(during))));
GRANT INSERT, SELECT ON TABLE public.equipment_set_item TO rillmark_app;
GRANT SELECT ON TABLE public.equipment_set_item TO rillmark_read;
GRANT UPDATE (during) ON TABLE public.equipment_set_item TO rillmark_app;
COMMENT ON TABLE public.equipment_set_item IS 'Which item was in which set from when to when.';

CREATE TABLE public.evaluation (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    number integer NOT NULL,
    method_edition_id uuid NOT NULL,
    agreement_id uuid NOT NULL,
    input public.sha256 NOT NULL,
    sheet_rows bigint NOT NULL,
    facts public.sha256 NOT NULL,
    result text NOT NULL,
    conformity boolean NOT NULL,
    calc_edition text NOT NULL,
    program_version text NOT NULL,
    evaluated_by uuid NOT NULL,
    at timestamp with time zone NOT NULL
);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_pk PRIMARY KEY (id);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_as_approved UNIQUE (id, client_id, task_id, input, evaluated_by);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_input_once UNIQUE (task_id, input);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_number_once UNIQUE (task_id, number);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_of_client UNIQUE (id, client_id);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_with_its_author UNIQUE (id, evaluated_by);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_calc_edition CHECK ((calc_edition <> ''::text));
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_number CHECK ((number >= 1));
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_program_version CHECK ((program_version <> ''::text));
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_sheet_rows CHECK ((sheet_rows >= 1));
ALTER TABLE public.evaluation ENABLE ROW LEVEL SECURITY;
CREATE POLICY evaluation_company ON public.evaluation FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY evaluation_portal ON public.evaluation FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY evaluation_read ON public.evaluation FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.evaluation TO rillmark_app;
GRANT SELECT ON TABLE public.evaluation TO rillmark_read;
COMMENT ON TABLE public.evaluation IS 'The result of the one pure function on a task''s facts; a new fact makes a new one. Conformity false: for information, no statement.';
COMMENT ON COLUMN public.evaluation.input IS 'Hash of facts, calc edition and method edition: the same input is never evaluated twice.';
COMMENT ON COLUMN public.evaluation.sheet_rows IS 'How many rows the work sheet had: a sheet with more is newer than the evaluation.';

CREATE TABLE public.evaluation_contributor (
    evaluation_id uuid NOT NULL,
    client_id uuid NOT NULL,
    person_id uuid NOT NULL
);
ALTER TABLE public.evaluation_contributor ADD CONSTRAINT evaluation_contributor_pk PRIMARY KEY (evaluation_id, person_id);
ALTER TABLE public.evaluation_contributor ENABLE ROW LEVEL SECURITY;
CREATE POLICY evaluation_contributor_company ON public.evaluation_contributor FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY evaluation_contributor_portal ON public.evaluation_contributor FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY evaluation_contributor_read ON public.evaluation_contributor FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.evaluation_contributor TO rillmark_app;
GRANT SELECT ON TABLE public.evaluation_contributor TO rillmark_read;
COMMENT ON TABLE public.evaluation_contributor IS 'Who took readings, adjusted or evaluated: none of them may approve.';

CREATE TABLE public.evaluation_kit (
    evaluation_id uuid NOT NULL,
    client_id uuid NOT NULL,
    calibration_id uuid NOT NULL,
    valid tstzrange NOT NULL,
    first_used timestamp with time zone NOT NULL,
    last_used timestamp with time zone NOT NULL
);
ALTER TABLE public.evaluation_kit ADD CONSTRAINT evaluation_kit_pk PRIMARY KEY (evaluation_id, calibration_id);
ALTER TABLE public.evaluation_kit ADD CONSTRAINT evaluation_kit_was_valid CHECK (((valid @> first_used) AND (valid @> last_used) AND (first_used <= last_used)));
ALTER TABLE public.evaluation_kit ENABLE ROW LEVEL SECURITY;
CREATE POLICY evaluation_kit_company ON public.evaluation_kit FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY evaluation_kit_portal ON public.evaluation_kit FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY evaluation_kit_read ON public.evaluation_kit FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.evaluation_kit TO rillmark_app;
GRANT SELECT ON TABLE public.evaluation_kit TO rillmark_read;
COMMENT ON TABLE public.evaluation_kit IS 'The calibrations on which an evaluation stands, each valid when the runs that used it were made.';

CREATE TABLE public.indication (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    meter_id uuid NOT NULL,
    name text NOT NULL,
    way text NOT NULL,
    unit text NOT NULL,
    resolution public.finite,
    resolution_entered text,
    low_signal public.finite,
    high_signal public.finite,
    flow_at_low public.finite,
    flow_at_low_entered text,
    flow_at_high public.finite,
    flow_at_high_entered text,
    pulse_volume public.finite,
    pulse_volume_entered text,
    update_interval_s public.finite,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.indication ADD CONSTRAINT indication_pk PRIMARY KEY (id);
ALTER TABLE public.indication ADD CONSTRAINT indication_of_client UNIQUE (id, client_id);
ALTER TABLE public.indication ADD CONSTRAINT indication_flow_at_high_as_entered CHECK (((flow_at_high IS NULL) = (flow_at_high_entered IS NULL)));
ALTER TABLE public.indication ADD CONSTRAINT indication_flow_at_low_as_entered CHECK (((flow_at_low IS NULL) = (flow_at_low_entered IS NULL)));
ALTER TABLE public.indication ADD CONSTRAINT indication_name_length CHECK (((length(name) >= 1) AND (length(name) <= 60)));
ALTER TABLE public.indication ADD CONSTRAINT indication_pulse_volume_as_entered CHECK (((pulse_volume IS NULL) = (pulse_volume_entered IS NULL)));
ALTER TABLE public.indication ADD CONSTRAINT indication_pulse_volume_positive CHECK (((pulse_volume)::double precision > (0)::double precision));
ALTER TABLE public.indication ADD CONSTRAINT indication_resolution_as_entered CHECK (((resolution IS NULL) = (resolution_entered IS NULL)));
ALTER TABLE public.indication ADD CONSTRAINT indication_resolution_positive CHECK (((resolution)::double precision > (0)::double precision));
ALTER TABLE public.indication ADD CONSTRAINT indication_scaling CHECK (((way <> 'current'::text) OR (((low_signal)::double precision < (high_signal)::double precision) AND ((flow_at_low)::double precision < (flow_at_high)::double precision))));
ALTER TABLE public.indication ADD CONSTRAINT indication_unit_length CHECK (((length(unit) >= 1) AND (length(unit) <= 30)));
ALTER TABLE public.indication ADD CONSTRAINT indication_update_interval CHECK (((update_interval_s)::double precision >= (0)::double precision));
ALTER TABLE public.indication ADD CONSTRAINT indication_version CHECK ((version >= 1));
ALTER TABLE public.indication ADD CONSTRAINT indication_way CHECK ((way = ANY (ARRAY['display'::text, 'pulse'::text, 'current'::text, 'bus'::text, 'control-system'::text])));
CREATE UNIQUE INDEX indication_name_once ON public.indication USING btree (meter_id, lower(name));
ALTER TABLE public.indication ENABLE ROW LEVEL SECURITY;
CREATE POLICY indication_company ON public.indication FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY indication_portal ON public.indication FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY indication_read ON public.indication FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.indication TO rillmark_app;
GRANT SELECT ON TABLE public.indication TO rillmark_portal;
GRANT SELECT ON TABLE public.indication TO rillmark_read;
GRANT UPDATE (name, way, unit, resolution, resolution_entered, low_signal, high_signal, flow_at_low, flow_at_low_entered, flow_at_high, flow_at_high_entered, pulse_volume, pulse_volume_entered, update_interval_s, version, changed_at) ON TABLE public.indication TO rillmark_app;
COMMENT ON TABLE public.indication IS 'One way in which a meter shows its flow, so that sensor, output and scaling errors can be told apart.';
COMMENT ON COLUMN public.indication.resolution IS 'Smallest step in m3/s.';
COMMENT ON COLUMN public.indication.low_signal IS 'Ampere, with way current: the signal at flow_at_low (m3/s).';

CREATE TABLE public.installation (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    meter_id uuid NOT NULL,
    point_id uuid NOT NULL,
    slot smallint DEFAULT 1 NOT NULL,
    during tstzrange NOT NULL,
    installed_by text NOT NULL,
    install_reason text NOT NULL,
    removed_by text,
    remove_reason text,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.installation ADD CONSTRAINT installation_pk PRIMARY KEY (id);
ALTER TABLE public.installation ADD CONSTRAINT installation_of_client UNIQUE (id, client_id);
ALTER TABLE public.installation ADD CONSTRAINT installation_meter_one_place EXCLUDE USING gist (meter_id WITH =, during WITH &&);
ALTER TABLE public.installation ADD CONSTRAINT installation_slot_one_meter EXCLUDE USING gist (point_id WITH =, slot WITH =, during WITH &&);
ALTER TABLE public.installation ADD CONSTRAINT installation_end_told CHECK (((upper_inf(during) = (removed_by IS NULL)) AND ((removed_by IS NULL) = (remove_reason IS NULL))));
ALTER TABLE public.installation ADD CONSTRAINT installation_install_reason_length CHECK (((length(install_reason) >= 1) AND (length(install_reason) <= 1000)));
ALTER TABLE public.installation ADD CONSTRAINT installation_installed_by_length CHECK (((length(installed_by) >= 1) AND (length(installed_by) <= 200)));
ALTER TABLE public.installation ADD CONSTRAINT installation_remove_reason_length CHECK (((length(remove_reason) >= 1) AND (length(remove_reason) <= 1000)));
ALTER TABLE public.installation ADD CONSTRAINT installation_removed_by_length CHECK (((length(removed_by) >= 1) AND (length(removed_by) <= 200)));
ALTER TABLE public.installation ADD CONSTRAINT installation_slot CHECK ((slot >= 1));
ALTER TABLE public.installation ADD CONSTRAINT installation_starts CHECK (((NOT isempty(during)) AND (NOT lower_inf(during))));
ALTER TABLE public.installation ADD CONSTRAINT installation_version CHECK ((version >= 1));
ALTER TABLE public.installation ENABLE ROW LEVEL SECURITY;
CREATE POLICY installation_company ON public.installation FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY installation_portal ON public.installation FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY installation_read ON public.installation FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.installation TO rillmark_app;
GRANT SELECT ON TABLE public.installation TO rillmark_portal;
GRANT SELECT ON TABLE public.installation TO rillmark_read;
GRANT UPDATE (during, removed_by, remove_reason, version, changed_at) ON TABLE public.installation TO rillmark_app;
COMMENT ON TABLE public.installation IS 'One meter at one measuring point from one time to another: who installed it, who removed it, and why.';

CREATE TABLE public.kept_entry (
    id uuid NOT NULL,
    person_id uuid NOT NULL,
    path text NOT NULL,
    form text NOT NULL,
    at timestamp with time zone NOT NULL
);
ALTER TABLE public.kept_entry ADD CONSTRAINT kept_entry_pk PRIMARY KEY (id);
ALTER TABLE public.kept_entry ADD CONSTRAINT kept_entry_path CHECK (((path ~~ '/%'::text) AND (length(path) <= 2000)));
ALTER TABLE public.kept_entry ADD CONSTRAINT kept_entry_size CHECK ((length(form) <= 262144));
CREATE INDEX kept_entry_by_person ON public.kept_entry USING btree (person_id, at);
GRANT DELETE, INSERT, SELECT ON TABLE public.kept_entry TO rillmark_app;
COMMENT ON TABLE public.kept_entry IS 'A form sent on an ended session, kept for the same person and offered again after login; deleted when sent or thrown away.';

CREATE TABLE public.kit_item (
    id uuid NOT NULL,
    kind text NOT NULL,
    tag text NOT NULL,
    maker text NOT NULL,
    model text NOT NULL,
    serial text NOT NULL,
    firmware text NOT NULL,
    works_by text,
    takes_spacing boolean,
    least_snr_db public.finite,
    resolution public.finite,
    resolution_entered text,
    averaging_s public.finite,
    wave text,
    wedge_angle public.finite,
    wedge_sound_speed public.finite,
    exit_offset public.finite,
    frequency public.finite,
    graduation public.finite,
    out_of_service_at timestamp with time zone,
    out_of_service_why text,
    note text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_pk PRIMARY KEY (id);
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_averaging CHECK (((averaging_s)::double precision >= (0)::double precision));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_exit_offset CHECK (((exit_offset)::double precision >= (0)::double precision));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_firmware_length CHECK ((length(firmware) <= 60));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_frequency CHECK (((frequency)::double precision > (0)::double precision));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_graduation CHECK (((graduation)::double precision > (0)::double precision));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_kind CHECK ((kind = ANY (ARRAY['reference-meter'::text, 'transducer-pair'::text, 'cable'::text, 'wall-gauge'::text, 'thermometer'::text, 'tape'::text, 'calliper'::text, 'loop-calibrator'::text, 'clock'::text])));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_maker_length CHECK ((length(maker) <= 100));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_model_length CHECK ((length(model) <= 100));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_note_length CHECK ((length(note) <= 4000));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_out_of_service_told CHECK (((out_of_service_at IS NULL) = (out_of_service_why IS NULL)));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_out_of_service_why_length CHECK (((length(out_of_service_why) >= 1) AND (length(out_of_service_why) <= 1000)));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_pair_complete CHECK (((kind <> 'transducer-pair'::text) OR ((wave IS NOT NULL) AND (wedge_angle IS NOT NULL) AND (wedge_sound_speed IS NOT NULL) AND (exit_offset IS NOT NULL))));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_reference_complete CHECK (((kind <> 'reference-meter'::text) OR ((works_by IS NOT NULL) AND (takes_spacing IS NOT NULL))));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_resolution_as_entered CHECK (((resolution IS NULL) = (resolution_entered IS NULL)));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_resolution_positive CHECK (((resolution)::double precision > (0)::double precision));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_serial_length CHECK ((length(serial) <= 60));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_tag_length CHECK (((length(tag) >= 1) AND (length(tag) <= 40)));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_version CHECK ((version >= 1));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_wave CHECK ((wave = ANY (ARRAY['shear'::text, 'longitudinal'::text])));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_wedge_angle CHECK ((((wedge_angle)::double precision > (0)::double precision) AND ((wedge_angle)::double precision < (1.5708)::double precision)));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_wedge_sound_speed CHECK (((wedge_sound_speed)::double precision > (0)::double precision));
ALTER TABLE public.kit_item ADD CONSTRAINT kit_item_works_by CHECK ((works_by = ANY (ARRAY['transit-time'::text, 'entered-sound-speed'::text])));
CREATE UNIQUE INDEX kit_item_tag_once ON public.kit_item USING btree (lower(tag));
GRANT INSERT, SELECT ON TABLE public.kit_item TO rillmark_app;
GRANT SELECT ON TABLE public.kit_item TO rillmark_read;
GRANT UPDATE (kind, tag, maker, model, serial, firmware, works_by, takes_spacing, least_snr_db, resolution, resolution_entered, averaging_s, wave, wedge_angle, wedge_sound_speed, exit_offset, frequency, graduation, out_of_service_at, out_of_service_why, note, version, changed_at) ON TABLE public.kit_item TO rillmark_app;
COMMENT ON TABLE public.kit_item IS 'A piece of the company''s measuring equipment. SI units: radian, m/s, m, Hz; resolution in the unit of what it measures.';

CREATE TABLE public.log_file (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    role text NOT NULL,
    indication_id uuid,
    name text NOT NULL,
    size bigint NOT NULL,
    sha256 public.sha256 NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.log_file ADD CONSTRAINT log_file_pk PRIMARY KEY (id);
ALTER TABLE public.log_file ADD CONSTRAINT log_file_in_task UNIQUE (id, task_id);
ALTER TABLE public.log_file ADD CONSTRAINT log_file_name_length CHECK (((length(name) >= 1) AND (length(name) <= 255)));
ALTER TABLE public.log_file ADD CONSTRAINT log_file_of_what CHECK (((role = 'meter'::text) = (indication_id IS NOT NULL)));
ALTER TABLE public.log_file ADD CONSTRAINT log_file_role CHECK ((role = ANY (ARRAY['reference'::text, 'meter'::text])));
ALTER TABLE public.log_file ADD CONSTRAINT log_file_size CHECK ((size >= 1));
CREATE INDEX log_file_by_task ON public.log_file USING btree (task_id, received_at);
ALTER TABLE public.log_file ENABLE ROW LEVEL SECURITY;
CREATE POLICY log_file_company ON public.log_file FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY log_file_portal ON public.log_file FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY log_file_read ON public.log_file FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.log_file TO rillmark_app;
GRANT SELECT ON TABLE public.log_file TO rillmark_read;
COMMENT ON TABLE public.log_file IS 'A logger''s file as it came: its content is the file of that hash.';
COMMENT ON COLUMN public.log_file.role IS 'Whether the reference wrote it or an indication of the meter under test.';

CREATE TABLE public.login_device (
    token public.sha256 NOT NULL,
    person_id uuid NOT NULL,
    created_at timestamp with time zone NOT NULL
);
ALTER TABLE public.login_device ADD CONSTRAINT login_device_pk PRIMARY KEY (token);
GRANT DELETE, INSERT, SELECT ON TABLE public.login_device TO rillmark_app;
COMMENT ON TABLE public.login_device IS 'A browser from which the person has logged in before: it has a throttle of its own, so strangers guessing at the account cannot shut its owner out.';

CREATE TABLE public.login_throttle (
    kind text NOT NULL,
    key text NOT NULL,
    failures public.finite NOT NULL,
    at timestamp with time zone NOT NULL,
    until timestamp with time zone NOT NULL
);
ALTER TABLE public.login_throttle ADD CONSTRAINT login_throttle_pk PRIMARY KEY (kind, key);
ALTER TABLE public.login_throttle ADD CONSTRAINT login_throttle_failures CHECK (((failures)::double precision >= (0)::double precision));
ALTER TABLE public.login_throttle ADD CONSTRAINT login_throttle_kind CHECK ((kind = ANY (ARRAY['account'::text, 'address'::text, 'device'::text])));
GRANT DELETE, INSERT, SELECT, UPDATE ON TABLE public.login_throttle TO rillmark_app;
COMMENT ON TABLE public.login_throttle IS 'Failed logins by account, address and known device; failures fade with time, waits are bounded.';

CREATE TABLE public.measuring_point (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    site_id uuid NOT NULL,
    tag text NOT NULL,
    name text NOT NULL,
    fluid text NOT NULL,
    pipe text NOT NULL,
    outside_diameter public.finite,
    outside_diameter_entered text,
    wall public.finite,
    wall_entered text,
    straight_before public.finite,
    straight_before_entered text,
    straight_after public.finite,
    straight_after_entered text,
    note text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_pk PRIMARY KEY (id);
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_of_client UNIQUE (id, client_id);
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_fluid_length CHECK ((length(fluid) <= 100));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_name_length CHECK ((length(name) <= 200));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_note_length CHECK ((length(note) <= 4000));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_outside_diameter_as_entered CHECK (((outside_diameter IS NULL) = (outside_diameter_entered IS NULL)));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_outside_diameter_positive CHECK (((outside_diameter)::double precision > (0)::double precision));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_pipe_length CHECK ((length(pipe) <= 200));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_straight_after_as_entered CHECK (((straight_after IS NULL) = (straight_after_entered IS NULL)));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_straight_after_positive CHECK (((straight_after)::double precision >= (0)::double precision));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_straight_before_as_entered CHECK (((straight_before IS NULL) = (straight_before_entered IS NULL)));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_straight_before_positive CHECK (((straight_before)::double precision >= (0)::double precision));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_tag_length CHECK (((length(tag) >= 1) AND (length(tag) <= 60)));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_version CHECK ((version >= 1));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_wall_as_entered CHECK (((wall IS NULL) = (wall_entered IS NULL)));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_wall_positive CHECK (((wall)::double precision > (0)::double precision));
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_wall_within_radius CHECK (((outside_diameter IS NULL) OR (wall IS NULL) OR (((2)::double precision * (wall)::double precision) < (outside_diameter)::double precision)));
CREATE UNIQUE INDEX measuring_point_tag_once ON public.measuring_point USING btree (site_id, lower(tag));
ALTER TABLE public.measuring_point ENABLE ROW LEVEL SECURITY;
CREATE POLICY measuring_point_company ON public.measuring_point FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY measuring_point_portal ON public.measuring_point FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY measuring_point_read ON public.measuring_point FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.measuring_point TO rillmark_app;
GRANT SELECT ON TABLE public.measuring_point TO rillmark_read;
GRANT UPDATE (tag, name, fluid, pipe, outside_diameter, outside_diameter_entered, wall, wall_entered, straight_before, straight_before_entered, straight_after, straight_after_entered, note, version, changed_at) ON TABLE public.measuring_point TO rillmark_app;
GRANT SELECT (id, client_id, site_id, tag, name, fluid, pipe, outside_diameter, outside_diameter_entered, wall, wall_entered, straight_before, straight_before_entered, straight_after, straight_after_entered, version, created_at, changed_at) ON TABLE public.measuring_point TO rillmark_portal;
COMMENT ON TABLE public.measuring_point IS 'A place in the plant where flow is measured.';
COMMENT ON COLUMN public.measuring_point.outside_diameter IS 'Metres; the text as entered stands beside it, both or neither.';
COMMENT ON COLUMN public.measuring_point.wall IS 'Metres.';
COMMENT ON COLUMN public.measuring_point.straight_before IS 'Metres of straight pipe upstream of the meter.';
COMMENT ON COLUMN public.measuring_point.straight_after IS 'Metres of straight pipe downstream of the meter.';

CREATE TABLE public.meter (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    principle text NOT NULL,
    maker text NOT NULL,
    model text NOT NULL,
    serial text NOT NULL,
    firmware text NOT NULL,
    nominal_size text NOT NULL,
    measurand text NOT NULL,
    note text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.meter ADD CONSTRAINT meter_pk PRIMARY KEY (id);
ALTER TABLE public.meter ADD CONSTRAINT meter_of_client UNIQUE (id, client_id);
ALTER TABLE public.meter ADD CONSTRAINT meter_firmware_length CHECK ((length(firmware) <= 60));
ALTER TABLE public.meter ADD CONSTRAINT meter_maker_length CHECK ((length(maker) <= 100));
ALTER TABLE public.meter ADD CONSTRAINT meter_measurand CHECK ((measurand = ANY (ARRAY['volume'::text, 'mass'::text, 'base-volume'::text])));
ALTER TABLE public.meter ADD CONSTRAINT meter_model_length CHECK ((length(model) <= 100));
ALTER TABLE public.meter ADD CONSTRAINT meter_nominal_size_length CHECK ((length(nominal_size) <= 40));
ALTER TABLE public.meter ADD CONSTRAINT meter_note_length CHECK ((length(note) <= 4000));
ALTER TABLE public.meter ADD CONSTRAINT meter_principle_length CHECK (((length(principle) >= 1) AND (length(principle) <= 100)));
ALTER TABLE public.meter ADD CONSTRAINT meter_serial_length CHECK (((length(serial) >= 1) AND (length(serial) <= 60)));
ALTER TABLE public.meter ADD CONSTRAINT meter_version CHECK ((version >= 1));
CREATE UNIQUE INDEX meter_serial_once ON public.meter USING btree (client_id, lower(maker), lower(serial));
ALTER TABLE public.meter ENABLE ROW LEVEL SECURITY;
CREATE POLICY meter_company ON public.meter FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY meter_portal ON public.meter FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY meter_read ON public.meter FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.meter TO rillmark_app;
GRANT SELECT ON TABLE public.meter TO rillmark_read;
GRANT UPDATE (principle, maker, model, serial, firmware, nominal_size, measurand, note, version, changed_at) ON TABLE public.meter TO rillmark_app;
GRANT SELECT (id, client_id, principle, maker, model, serial, firmware, nominal_size, measurand, version, created_at, changed_at) ON TABLE public.meter TO rillmark_portal;
COMMENT ON TABLE public.meter IS 'An installed flow meter that is, or will be, verified.';
COMMENT ON COLUMN public.meter.measurand IS 'What it measures: volume, mass, or volume at base conditions.';

CREATE TABLE public.method (
    id uuid NOT NULL,
    number text NOT NULL,
    title text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.method ADD CONSTRAINT method_pk PRIMARY KEY (id);
ALTER TABLE public.method ADD CONSTRAINT method_number_once UNIQUE (number);
ALTER TABLE public.method ADD CONSTRAINT method_number_length CHECK (((length(number) >= 1) AND (length(number) <= 30)));
ALTER TABLE public.method ADD CONSTRAINT method_title_length CHECK (((length(title) >= 1) AND (length(title) <= 200)));
ALTER TABLE public.method ADD CONSTRAINT method_version CHECK ((version >= 1));
GRANT INSERT, SELECT ON TABLE public.method TO rillmark_app;
GRANT SELECT ON TABLE public.method TO rillmark_read;
GRANT UPDATE (title, version, changed_at) ON TABLE public.method TO rillmark_app;
COMMENT ON TABLE public.method IS 'A numbered procedure of the company.';

CREATE TABLE public.method_edition (
    id uuid NOT NULL,
    method_id uuid NOT NULL,
    edition integer NOT NULL,
    content text NOT NULL,
    in_force tstzrange NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.method_edition ADD CONSTRAINT method_edition_pk PRIMARY KEY (id);
ALTER TABLE public.method_edition ADD CONSTRAINT method_edition_once UNIQUE (method_id, edition);
ALTER TABLE public.method_edition ADD CONSTRAINT method_edition_one_in_force EXCLUDE USING gist (method_id WITH =, in_force WITH &&);
ALTER TABLE public.method_edition ADD CONSTRAINT method_edition_in_force CHECK (((NOT isempty(in_force)) AND (NOT lower_inf(in_force))));
ALTER TABLE public.method_edition ADD CONSTRAINT method_edition_number CHECK ((edition >= 1));
ALTER TABLE public.method_edition ADD CONSTRAINT method_edition_size CHECK (((length(content) >= 2) AND (length(content) <= 200000)));
ALTER TABLE public.method_edition ADD CONSTRAINT method_edition_version CHECK ((version >= 1));
GRANT INSERT, SELECT ON TABLE public.method_edition TO rillmark_app;
GRANT SELECT ON TABLE public.method_edition TO rillmark_read;
GRANT UPDATE (content, in_force, version, changed_at) ON TABLE public.method_edition TO rillmark_app;
COMMENT ON TABLE public.method_edition IS 'One edition: budget template with scopes, number and length of runs, criteria, default uncertainties by source, statements.';
COMMENT ON COLUMN public.method_edition.content IS 'Canonical JSON of domain/method.Content; text, so that its hash stays its hash. Frozen once an agreement or task names it.';

CREATE TABLE public.migration (
    number integer NOT NULL,
    done_at timestamp with time zone DEFAULT clock_timestamp() NOT NULL,
    file public.sha256
);
ALTER TABLE public.migration ADD CONSTRAINT migration_pk PRIMARY KEY (number);
GRANT SELECT ON TABLE public.migration TO rillmark_app;
GRANT SELECT ON TABLE public.migration TO rillmark_read;
COMMENT ON TABLE public.migration IS 'One row for each finished migration, written by the migration itself as its last statement: a killed one has none.';
COMMENT ON COLUMN public.migration.file IS 'Hash of the up file that made it, filled in by the migrator: tells a database made by an earlier draft.';

CREATE TABLE public.mounting (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    number integer NOT NULL,
    reference_id uuid NOT NULL,
    pair_id uuid NOT NULL,
    cable_id uuid,
    tape_id uuid,
    traverses integer NOT NULL,
    clock_position text NOT NULL,
    recommended public.finite,
    spacing public.finite NOT NULL,
    spacing_entered text NOT NULL,
    basis text NOT NULL,
    note text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_pk PRIMARY KEY (id);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_in_task UNIQUE (id, task_id);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_number_once UNIQUE (task_id, number);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_basis_size CHECK ((length(basis) <= 20000));
ALTER TABLE public.mounting ADD CONSTRAINT mounting_clock_position_length CHECK ((length(clock_position) <= 40));
ALTER TABLE public.mounting ADD CONSTRAINT mounting_note_length CHECK ((length(note) <= 1000));
ALTER TABLE public.mounting ADD CONSTRAINT mounting_number CHECK ((number >= 1));
ALTER TABLE public.mounting ADD CONSTRAINT mounting_traverses CHECK (((traverses >= 1) AND (traverses <= 20)));
ALTER TABLE public.mounting ENABLE ROW LEVEL SECURITY;
CREATE POLICY mounting_company ON public.mounting FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY mounting_portal ON public.mounting FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY mounting_read ON public.mounting FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.mounting TO rillmark_app;
GRANT SELECT ON TABLE public.mounting TO rillmark_read;
COMMENT ON TABLE public.mounting IS 'Transducers placed once. Spacing in metres as actually set; basis is the canonical JSON of the inputs from which the recommended one was computed. Recommended is null where the survey was not complete.';

CREATE TABLE public.numbering (
    year integer NOT NULL,
    last integer NOT NULL
);
ALTER TABLE public.numbering ADD CONSTRAINT numbering_pk PRIMARY KEY (year);
ALTER TABLE public.numbering ADD CONSTRAINT numbering_last CHECK ((last >= 1));
ALTER TABLE public.numbering ADD CONSTRAINT numbering_year CHECK (((year >= 2000) AND (year <= 9999)));
GRANT SELECT ON TABLE public.numbering TO rillmark_app;
GRANT SELECT ON TABLE public.numbering TO rillmark_read;
COMMENT ON TABLE public.numbering IS 'The last certificate number of each calendar year; moved by inserting a certificate and in no other way.';

CREATE TABLE public.operation (
    id uuid NOT NULL,
    actor text NOT NULL,
    action text NOT NULL,
    request public.sha256 NOT NULL,
    outcome text NOT NULL,
    at timestamp with time zone NOT NULL
);
ALTER TABLE public.operation ADD CONSTRAINT operation_pk PRIMARY KEY (id);
ALTER TABLE public.operation ADD CONSTRAINT operation_action CHECK ((action <> ''::text));
ALTER TABLE public.operation ADD CONSTRAINT operation_actor CHECK ((actor <> ''::text));
GRANT INSERT, SELECT ON TABLE public.operation TO rillmark_app;
GRANT SELECT ON TABLE public.operation TO rillmark_read;
COMMENT ON TABLE public.operation IS 'Every accepted command once, with its outcome: sent twice it happens once, and a lost answer can be asked for again.';
COMMENT ON COLUMN public.operation.request IS 'Hash of the command without its secrets: the same id with another content is refused.';

CREATE TABLE public.person (
    id uuid NOT NULL,
    login text NOT NULL,
    name text NOT NULL,
    roles text[] NOT NULL,
    disabled_at timestamp with time zone,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL,
    lengths text DEFAULT 'metric'::text NOT NULL
);
ALTER TABLE public.person ADD CONSTRAINT person_pk PRIMARY KEY (id);
ALTER TABLE public.person ADD CONSTRAINT person_login_once UNIQUE (login);
ALTER TABLE public.person ADD CONSTRAINT person_lengths CHECK ((lengths = ANY (ARRAY['metric'::text, 'inch'::text])));
ALTER TABLE public.person ADD CONSTRAINT person_login_form CHECK ((login ~ '^[a-z0-9][a-z0-9._-]{0,62}$'::text));
ALTER TABLE public.person ADD CONSTRAINT person_name_length CHECK (((length(name) >= 1) AND (length(name) <= 200)));
ALTER TABLE public.person ADD CONSTRAINT person_roles_known CHECK ((roles <@ ARRAY['administrator'::text, 'coordinator'::text, 'technician'::text, 'approver'::text, 'auditor'::text]));
ALTER TABLE public.person ADD CONSTRAINT person_version CHECK ((version >= 1));
GRANT INSERT, SELECT ON TABLE public.person TO rillmark_app;
GRANT UPDATE (login, name, roles, disabled_at, version, changed_at, lengths) ON TABLE public.person TO rillmark_app;
GRANT SELECT (id, roles, disabled_at, version, created_at, changed_at, lengths) ON TABLE public.person TO rillmark_read;
COMMENT ON TABLE public.person IS 'A person of the service company; never deleted, disabled instead.';
COMMENT ON COLUMN public.person.login IS 'The name typed at the door, lower case.';
COMMENT ON COLUMN public.person.lengths IS 'In which units the person is shown lengths beside those entered.';

CREATE TABLE public.preparation (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    evaluation_id uuid NOT NULL,
    approval_id uuid NOT NULL,
    kind text NOT NULL,
    amends uuid,
    snapshot public.sha256 NOT NULL,
    content public.sha256 NOT NULL,
    token public.sha256 NOT NULL,
    check_code text NOT NULL,
    prepared_by uuid NOT NULL,
    at timestamp with time zone NOT NULL,
    expires_at timestamp with time zone NOT NULL
);
ALTER TABLE public.preparation ADD CONSTRAINT preparation_pk PRIMARY KEY (id);
ALTER TABLE public.preparation ADD CONSTRAINT preparation_as_issued UNIQUE (id, client_id, task_id, evaluation_id, approval_id, kind, content);
ALTER TABLE public.preparation ADD CONSTRAINT preparation_check_code_once UNIQUE (check_code);
ALTER TABLE public.preparation ADD CONSTRAINT preparation_token_once UNIQUE (token);
ALTER TABLE public.preparation ADD CONSTRAINT preparation_amends_told CHECK (((kind = 'certificate'::text) = (amends IS NULL)));
ALTER TABLE public.preparation ADD CONSTRAINT preparation_check_code_length CHECK (((length(check_code) >= 26) AND (length(check_code) <= 64)));
ALTER TABLE public.preparation ADD CONSTRAINT preparation_expires CHECK ((expires_at > at));
ALTER TABLE public.preparation ADD CONSTRAINT preparation_kind CHECK ((kind = ANY (ARRAY['certificate'::text, 'amendment'::text, 're-issue'::text])));
ALTER TABLE public.preparation ENABLE ROW LEVEL SECURITY;
CREATE POLICY preparation_company ON public.preparation FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY preparation_portal ON public.preparation FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY preparation_read ON public.preparation FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.preparation TO rillmark_app;
GRANT SELECT ON TABLE public.preparation TO rillmark_read;
COMMENT ON TABLE public.preparation IS 'A snapshot frozen for issue, with the hash of the token that issues it once.';
COMMENT ON COLUMN public.preparation.content IS 'Hash of the snapshot without number, date of issue and check address.';
COMMENT ON COLUMN public.preparation.check_code IS 'The random part of the check page''s address; at least 128 bits.';

CREATE TABLE public.private_text (
    id uuid NOT NULL,
    text text,
    at timestamp with time zone NOT NULL
);
ALTER TABLE public.private_text ADD CONSTRAINT private_text_pk PRIMARY KEY (id);
ALTER TABLE public.private_text ADD CONSTRAINT private_text_length CHECK ((length(text) <= 10000));
GRANT INSERT, SELECT ON TABLE public.private_text TO rillmark_app;
COMMENT ON TABLE public.private_text IS 'Names and addresses of persons as they stood in a change: the audit trail holds the id, the text here can be erased (set to null).';

CREATE TABLE public.reading (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    run_id uuid NOT NULL,
    number integer NOT NULL,
    reference public.finite NOT NULL,
    reference_entered text NOT NULL,
    corrects uuid,
    reason text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.reading ADD CONSTRAINT reading_pk PRIMARY KEY (id);
ALTER TABLE public.reading ADD CONSTRAINT reading_corrected_once UNIQUE (corrects);
ALTER TABLE public.reading ADD CONSTRAINT reading_in_task UNIQUE (id, task_id);
ALTER TABLE public.reading ADD CONSTRAINT reading_corrected_why CHECK (((corrects IS NULL) OR (reason <> ''::text)));
ALTER TABLE public.reading ADD CONSTRAINT reading_number CHECK ((number >= 1));
ALTER TABLE public.reading ADD CONSTRAINT reading_reason_length CHECK ((length(reason) <= 1000));
CREATE UNIQUE INDEX reading_number_once ON public.reading USING btree (run_id, number) WHERE (corrects IS NULL);
ALTER TABLE public.reading ENABLE ROW LEVEL SECURITY;
CREATE POLICY reading_company ON public.reading FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY reading_portal ON public.reading FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY reading_read ON public.reading FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.reading TO rillmark_app;
GRANT SELECT ON TABLE public.reading TO rillmark_read;
COMMENT ON TABLE public.reading IS 'One reading of the reference, m3/s, with the text as typed.';

CREATE TABLE public.reading_indication (
    reading_id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    indication_id uuid NOT NULL,
    value public.finite NOT NULL,
    entered text NOT NULL
);
ALTER TABLE public.reading_indication ADD CONSTRAINT reading_indication_pk PRIMARY KEY (reading_id, indication_id);
ALTER TABLE public.reading_indication ENABLE ROW LEVEL SECURITY;
CREATE POLICY reading_indication_company ON public.reading_indication FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY reading_indication_portal ON public.reading_indication FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY reading_indication_read ON public.reading_indication FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.reading_indication TO rillmark_app;
GRANT SELECT ON TABLE public.reading_indication TO rillmark_read;
COMMENT ON TABLE public.reading_indication IS 'What one indication of the meter showed at a reading: m3/s after scaling, and the text as typed.';

CREATE TABLE public.run (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    mounting_id uuid NOT NULL,
    phase text NOT NULL,
    number integer NOT NULL,
    flow_point integer NOT NULL,
    note text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL,
    interval_s public.finite,
    averaging_s public.finite
);
ALTER TABLE public.run ADD CONSTRAINT run_pk PRIMARY KEY (id);
ALTER TABLE public.run ADD CONSTRAINT run_in_task UNIQUE (id, task_id);
ALTER TABLE public.run ADD CONSTRAINT run_number_once UNIQUE (task_id, phase, number);
ALTER TABLE public.run ADD CONSTRAINT run_averaging CHECK (((averaging_s)::double precision >= (0)::double precision));
ALTER TABLE public.run ADD CONSTRAINT run_flow_point CHECK ((flow_point >= 1));
ALTER TABLE public.run ADD CONSTRAINT run_interval CHECK (((interval_s)::double precision > (0)::double precision));
ALTER TABLE public.run ADD CONSTRAINT run_note_length CHECK ((length(note) <= 1000));
ALTER TABLE public.run ADD CONSTRAINT run_number CHECK ((number >= 1));
ALTER TABLE public.run ADD CONSTRAINT run_phase CHECK ((phase = ANY (ARRAY['before'::text, 'after'::text])));
ALTER TABLE public.run ADD CONSTRAINT run_sampled CHECK (((interval_s IS NULL) = (averaging_s IS NULL)));
ALTER TABLE public.run ENABLE ROW LEVEL SECURITY;
CREATE POLICY run_company ON public.run FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY run_portal ON public.run FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY run_read ON public.run FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.run TO rillmark_app;
GRANT SELECT ON TABLE public.run TO rillmark_read;
COMMENT ON TABLE public.run IS 'Readings of reference and meter over one steady flow; numbered within before and after adjustment.';
COMMENT ON COLUMN public.run.interval_s IS 'Seconds between readings of a run that comes from loggers'' files; null: as planned.';
COMMENT ON COLUMN public.run.averaging_s IS 'Seconds that tie such readings together; null: as planned.';

CREATE TABLE public.run_plan (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    phase text NOT NULL,
    flow_points integer NOT NULL,
    runs integer NOT NULL,
    seconds public.finite NOT NULL,
    interval_s public.finite NOT NULL,
    averaging_s public.finite NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_pk PRIMARY KEY (id);
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_fixed UNIQUE (task_id, phase);
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_averaging CHECK (((averaging_s)::double precision >= (0)::double precision));
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_flow_points CHECK (((flow_points >= 1) AND (flow_points <= 30)));
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_interval CHECK (((interval_s)::double precision > (0)::double precision));
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_phase CHECK ((phase = ANY (ARRAY['before'::text, 'after'::text])));
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_runs CHECK (((runs >= 1) AND (runs <= 50)));
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_seconds CHECK (((seconds)::double precision > (0)::double precision));
ALTER TABLE public.run_plan ENABLE ROW LEVEL SECURITY;
CREATE POLICY run_plan_company ON public.run_plan FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY run_plan_portal ON public.run_plan FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY run_plan_read ON public.run_plan FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.run_plan TO rillmark_app;
GRANT SELECT ON TABLE public.run_plan TO rillmark_read;
COMMENT ON TABLE public.run_plan IS 'Number and length of the runs, fixed before the first; extra runs are added, never substituted.';

CREATE TABLE public.security_log (
    id bigint GENERATED ALWAYS AS IDENTITY NOT NULL,
    at timestamp with time zone DEFAULT clock_timestamp() NOT NULL,
    event text NOT NULL,
    person_id uuid,
    address text NOT NULL,
    detail text NOT NULL
);
ALTER TABLE public.security_log ADD CONSTRAINT security_log_pk PRIMARY KEY (id);
ALTER TABLE public.security_log ADD CONSTRAINT security_log_detail CHECK ((length(detail) <= 1000));
ALTER TABLE public.security_log ADD CONSTRAINT security_log_event CHECK ((event <> ''::text));
CREATE INDEX security_log_by_person ON public.security_log USING btree (person_id, id DESC);
GRANT INSERT, SELECT ON TABLE public.security_log TO rillmark_app;
GRANT SELECT ON TABLE public.security_log TO rillmark_read;
COMMENT ON TABLE public.security_log IS 'Logins, failed logins and refused access: unchained, inserts only.';

CREATE TABLE public.series (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    log_file_id uuid NOT NULL,
    column_map_id uuid,
    mapping text NOT NULL,
    zone text NOT NULL,
    unit text NOT NULL,
    counter boolean NOT NULL,
    averaging text NOT NULL,
    averaging_s public.finite NOT NULL,
    rows bigint NOT NULL,
    points bigint NOT NULL,
    report text NOT NULL,
    codec integer NOT NULL,
    chunks integer NOT NULL,
    first_at timestamp with time zone NOT NULL,
    last_at timestamp with time zone NOT NULL,
    interval_s public.finite NOT NULL,
    resolution public.finite NOT NULL,
    envelope bytea NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.series ADD CONSTRAINT series_pk PRIMARY KEY (id);
ALTER TABLE public.series ADD CONSTRAINT series_in_task UNIQUE (id, task_id);
ALTER TABLE public.series ADD CONSTRAINT series_of_client UNIQUE (id, client_id);
ALTER TABLE public.series ADD CONSTRAINT series_averaging CHECK ((averaging = ANY (ARRAY['none'::text, 'trailing'::text, 'centred'::text, 'exponential'::text, 'unknown'::text])));
ALTER TABLE public.series ADD CONSTRAINT series_averaging_s CHECK (((averaging_s)::double precision >= (0)::double precision));
ALTER TABLE public.series ADD CONSTRAINT series_chunks CHECK ((chunks >= 1));
ALTER TABLE public.series ADD CONSTRAINT series_codec CHECK ((codec >= 1));
ALTER TABLE public.series ADD CONSTRAINT series_envelope_size CHECK ((octet_length(envelope) <= 65536));
ALTER TABLE public.series ADD CONSTRAINT series_in_order CHECK ((first_at <= last_at));
ALTER TABLE public.series ADD CONSTRAINT series_interval CHECK (((interval_s)::double precision >= (0)::double precision));
ALTER TABLE public.series ADD CONSTRAINT series_mapping_length CHECK (((length(mapping) >= 2) AND (length(mapping) <= 20000)));
ALTER TABLE public.series ADD CONSTRAINT series_points CHECK (((points >= 1) AND (points <= rows)));
ALTER TABLE public.series ADD CONSTRAINT series_resolution CHECK (((resolution)::double precision >= (0)::double precision));
ALTER TABLE public.series ADD CONSTRAINT series_rows CHECK ((rows >= 1));
ALTER TABLE public.series ADD CONSTRAINT series_unit_length CHECK (((length(unit) >= 1) AND (length(unit) <= 60)));
ALTER TABLE public.series ADD CONSTRAINT series_zone_length CHECK (((length(zone) >= 1) AND (length(zone) <= 60)));
CREATE INDEX series_by_task ON public.series USING btree (task_id, received_at);
ALTER TABLE public.series ENABLE ROW LEVEL SECURITY;
CREATE POLICY series_company ON public.series FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY series_portal ON public.series FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY series_read ON public.series FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.series TO rillmark_app;
GRANT SELECT ON TABLE public.series TO rillmark_read;
COMMENT ON TABLE public.series IS 'One channel decoded from a logger''s file under a column map that a person confirmed. Decoded again under another map it is a new row; the newest of a file holds.';
COMMENT ON COLUMN public.series.counter IS 'True: the values are volumes of a counter that runs on, m3; false: flows, m3/s.';
COMMENT ON COLUMN public.series.report IS 'What became of the rows, as JSON: how many were dropped for which reason.';
COMMENT ON COLUMN public.series.resolution IS 'The smallest step in which the values are written, in their SI unit; 0: not known.';
COMMENT ON COLUMN public.series.envelope IS 'Least and greatest flow over at most 500 ranges of time, for drawing.';

CREATE TABLE public.series_chunk (
    series_id uuid NOT NULL,
    client_id uuid NOT NULL,
    n integer NOT NULL,
    points integer NOT NULL,
    first_at timestamp with time zone NOT NULL,
    last_at timestamp with time zone NOT NULL,
    outline bytea NOT NULL,
    hash public.sha256 NOT NULL,
    data bytea NOT NULL
);
ALTER TABLE public.series_chunk ALTER COLUMN data SET STORAGE EXTERNAL;
ALTER TABLE public.series_chunk ALTER COLUMN outline SET STORAGE MAIN;
ALTER TABLE public.series_chunk ADD CONSTRAINT series_chunk_pk PRIMARY KEY (series_id, n);
ALTER TABLE public.series_chunk ADD CONSTRAINT series_chunk_in_order CHECK ((first_at <= last_at));
ALTER TABLE public.series_chunk ADD CONSTRAINT series_chunk_n CHECK ((n >= 0));
ALTER TABLE public.series_chunk ADD CONSTRAINT series_chunk_outline_size CHECK ((octet_length(outline) <= 16384));
ALTER TABLE public.series_chunk ADD CONSTRAINT series_chunk_points CHECK (((points >= 1) AND (points <= 16384)));
ALTER TABLE public.series_chunk ADD CONSTRAINT series_chunk_size CHECK (((octet_length(data) >= 1) AND (octet_length(data) <= 1048576)));
ALTER TABLE public.series_chunk ENABLE ROW LEVEL SECURITY;
CREATE POLICY series_chunk_company ON public.series_chunk FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY series_chunk_portal ON public.series_chunk FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY series_chunk_read ON public.series_chunk FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.series_chunk TO rillmark_app;
GRANT SELECT ON TABLE public.series_chunk TO rillmark_read;
COMMENT ON TABLE public.series_chunk IS 'The points of a series in chunks, numbered from 0 in order of time; codec and hash are those of the package chunk. A series'' row comes after its chunks, when they are counted: the key is looked at then.';
COMMENT ON COLUMN public.series_chunk.outline IS 'Least and greatest flow over at most 64 ranges of the chunk, for drawing without unpacking.';

CREATE TABLE public.session (
    id uuid NOT NULL,
    token public.sha256 NOT NULL,
    person_id uuid NOT NULL,
    address text NOT NULL,
    agent text NOT NULL,
    created_at timestamp with time zone NOT NULL,
    seen_at timestamp with time zone NOT NULL,
    idle_until timestamp with time zone NOT NULL,
    ends_at timestamp with time zone NOT NULL,
    revoked_at timestamp with time zone
);
ALTER TABLE public.session ADD CONSTRAINT session_pk PRIMARY KEY (id);
ALTER TABLE public.session ADD CONSTRAINT session_token_once UNIQUE (token);
ALTER TABLE public.session ADD CONSTRAINT session_agent_length CHECK ((length(agent) <= 300));
CREATE INDEX session_by_person ON public.session USING btree (person_id, created_at DESC);
GRANT INSERT, SELECT ON TABLE public.session TO rillmark_app;
GRANT UPDATE (seen_at, idle_until, revoked_at) ON TABLE public.session TO rillmark_app;
COMMENT ON TABLE public.session IS 'A login on one device. The row stays after its end, so that a late form still knows whose it was.';
COMMENT ON COLUMN public.session.token IS 'Hash of the random token in the cookie; the token itself is nowhere here.';

CREATE TABLE public.set_aside (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    run_id uuid NOT NULL,
    reading_id uuid,
    taken_back boolean NOT NULL,
    reason text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.set_aside ADD CONSTRAINT set_aside_pk PRIMARY KEY (id);
ALTER TABLE public.set_aside ADD CONSTRAINT set_aside_reason_length CHECK (((length(reason) >= 1) AND (length(reason) <= 1000)));
CREATE INDEX set_aside_by_task ON public.set_aside USING btree (task_id, received_at);
ALTER TABLE public.set_aside ENABLE ROW LEVEL SECURITY;
CREATE POLICY set_aside_company ON public.set_aside FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY set_aside_portal ON public.set_aside FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY set_aside_read ON public.set_aside FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.set_aside TO rillmark_app;
GRANT SELECT ON TABLE public.set_aside TO rillmark_read;
COMMENT ON TABLE public.set_aside IS 'A run, or one reading of it, set aside with a reason, or taken back in with one; the last row holds.';

CREATE TABLE public.setup_check (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    mounting_id uuid NOT NULL,
    moment text NOT NULL,
    snr_db public.finite,
    signal text NOT NULL,
    sound_speed public.finite,
    sound_speed_entered text,
    transit_up public.finite,
    transit_up_entered text,
    transit_down public.finite,
    transit_down_entered text,
    outcome text NOT NULL,
    basis text NOT NULL,
    kept_because text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_pk PRIMARY KEY (id);
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_basis_size CHECK ((length(basis) <= 20000));
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_kept_because_length CHECK ((length(kept_because) <= 1000));
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_moment CHECK ((moment = ANY (ARRAY['before'::text, 'after'::text])));
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_outcome CHECK ((outcome = ANY (ARRAY['passed'::text, 'failed'::text, 'inconclusive'::text, 'not-made'::text])));
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_signal_length CHECK ((length(signal) <= 200));
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_sound_speed CHECK (((sound_speed)::double precision > (0)::double precision));
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_sound_speed_as_entered CHECK (((sound_speed_entered IS NULL) OR (sound_speed IS NOT NULL)));
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_transit_both CHECK (((transit_up IS NULL) = (transit_down IS NULL)));
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_transit_down CHECK (((transit_down)::double precision > (0)::double precision));
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_transit_up CHECK (((transit_up)::double precision > (0)::double precision));
ALTER TABLE public.setup_check ENABLE ROW LEVEL SECURITY;
CREATE POLICY setup_check_company ON public.setup_check FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY setup_check_portal ON public.setup_check FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY setup_check_read ON public.setup_check FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.setup_check TO rillmark_app;
GRANT SELECT ON TABLE public.setup_check TO rillmark_read;
COMMENT ON TABLE public.setup_check IS 'Signal and sound speed of a mounting, before the first run and after the last; the outcome as computed then, with its basis. A failed check stays.';

CREATE TABLE public.site (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    name text NOT NULL,
    address text NOT NULL,
    time_zone text NOT NULL,
    access_note text NOT NULL,
    safety_note text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.site ADD CONSTRAINT site_pk PRIMARY KEY (id);
ALTER TABLE public.site ADD CONSTRAINT site_of_client UNIQUE (id, client_id);
ALTER TABLE public.site ADD CONSTRAINT site_access_note_length CHECK ((length(access_note) <= 4000));
ALTER TABLE public.site ADD CONSTRAINT site_address_length CHECK ((length(address) <= 1000));
ALTER TABLE public.site ADD CONSTRAINT site_name_length CHECK (((length(name) >= 1) AND (length(name) <= 200)));
ALTER TABLE public.site ADD CONSTRAINT site_safety_note_length CHECK ((length(safety_note) <= 4000));
ALTER TABLE public.site ADD CONSTRAINT site_time_zone_length CHECK (((length(time_zone) >= 1) AND (length(time_zone) <= 64)));
ALTER TABLE public.site ADD CONSTRAINT site_version CHECK ((version >= 1));
CREATE UNIQUE INDEX site_name_once ON public.site USING btree (client_id, lower(name));
ALTER TABLE public.site ENABLE ROW LEVEL SECURITY;
CREATE POLICY site_company ON public.site FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY site_portal ON public.site FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY site_read ON public.site FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.site TO rillmark_app;
GRANT SELECT ON TABLE public.site TO rillmark_portal;
GRANT SELECT ON TABLE public.site TO rillmark_read;
GRANT UPDATE (name, address, time_zone, access_note, safety_note, version, changed_at) ON TABLE public.site TO rillmark_app;
COMMENT ON TABLE public.site IS 'One of a client''s places.';
COMMENT ON COLUMN public.site.time_zone IS 'IANA name; dates of work there are told in it.';

CREATE TABLE public.stretch (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    alignment_id uuid NOT NULL,
    run_id uuid,
    from_at timestamp with time zone NOT NULL,
    to_at timestamp with time zone NOT NULL,
    result text NOT NULL,
    reason text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.stretch ADD CONSTRAINT stretch_pk PRIMARY KEY (id);
ALTER TABLE public.stretch ADD CONSTRAINT stretch_run_once UNIQUE (run_id);
ALTER TABLE public.stretch ADD CONSTRAINT stretch_in_order CHECK ((from_at < to_at));
ALTER TABLE public.stretch ADD CONSTRAINT stretch_reason_length CHECK ((length(reason) <= 1000));
ALTER TABLE public.stretch ADD CONSTRAINT stretch_result_length CHECK ((length(result) <= 4000));
ALTER TABLE public.stretch ADD CONSTRAINT stretch_taken_or_why_not CHECK (((run_id IS NOT NULL) OR (reason <> ''::text)));
CREATE INDEX stretch_by_task ON public.stretch USING btree (task_id, from_at);
ALTER TABLE public.stretch ENABLE ROW LEVEL SECURITY;
CREATE POLICY stretch_company ON public.stretch FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY stretch_portal ON public.stretch FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY stretch_read ON public.stretch FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.stretch TO rillmark_app;
GRANT SELECT ON TABLE public.stretch TO rillmark_read;
COMMENT ON TABLE public.stretch IS 'A stretch of two aligned series, on the reference''s clock: taken as the run that it names, or set aside with the reason.';
COMMENT ON COLUMN public.stretch.result IS 'What the two series said of each other over it when it was decided, as JSON.';

CREATE TABLE public.survey_value (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    name text NOT NULL,
    "position" text NOT NULL,
    value public.finite,
    entered text NOT NULL,
    source text NOT NULL,
    kit_id uuid,
    corrects uuid,
    reason text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_pk PRIMARY KEY (id);
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_corrected_once UNIQUE (corrects);
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_in_task UNIQUE (id, task_id);
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_corrected_why CHECK (((corrects IS NULL) OR (reason <> ''::text)));
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_entered_length CHECK (((length(entered) >= 1) AND (length(entered) <= 1000)));
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_name_length CHECK (((length(name) >= 1) AND (length(name) <= 60)));
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_position_length CHECK ((length("position") <= 60));
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_reason_length CHECK ((length(reason) <= 1000));
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_source CHECK ((source = ANY (ARRAY['measured'::text, 'standard'::text, 'nameplate'::text, 'client'::text, 'assumed'::text])));
CREATE INDEX survey_value_by_task ON public.survey_value USING btree (task_id, received_at);
ALTER TABLE public.survey_value ENABLE ROW LEVEL SECURITY;
CREATE POLICY survey_value_company ON public.survey_value FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY survey_value_portal ON public.survey_value FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY survey_value_read ON public.survey_value FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.survey_value TO rillmark_app;
GRANT SELECT ON TABLE public.survey_value TO rillmark_read;
COMMENT ON TABLE public.survey_value IS 'One value of the pipe survey as of the day: number in SI where it is one, the text as entered always, its source, instrument, who and when.';
COMMENT ON COLUMN public.survey_value."position" IS 'Where on the pipe: a clock position for wall readings, a direction for diameters, empty otherwise.';

CREATE TABLE public.task (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    visit_id uuid NOT NULL,
    point_id uuid NOT NULL,
    installation_id uuid NOT NULL,
    agreement_id uuid NOT NULL,
    created_at timestamp with time zone NOT NULL
);
ALTER TABLE public.task ADD CONSTRAINT task_pk PRIMARY KEY (id);
ALTER TABLE public.task ADD CONSTRAINT task_of_client UNIQUE (id, client_id);
ALTER TABLE public.task ADD CONSTRAINT task_once UNIQUE (visit_id, installation_id);
CREATE INDEX task_by_point ON public.task USING btree (point_id, created_at DESC);
ALTER TABLE public.task ENABLE ROW LEVEL SECURITY;
CREATE POLICY task_company ON public.task FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY task_portal ON public.task FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY task_read ON public.task FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.task TO rillmark_app;
GRANT SELECT ON TABLE public.task TO rillmark_read;
GRANT UPDATE (agreement_id) ON TABLE public.task TO rillmark_app;
COMMENT ON TABLE public.task IS 'The work on one meter at one measuring point in one visit, under the agreement that held when it was made.';

CREATE TABLE public.task_note (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    kind text NOT NULL,
    text text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.task_note ADD CONSTRAINT task_note_pk PRIMARY KEY (id);
ALTER TABLE public.task_note ADD CONSTRAINT task_note_kind CHECK ((kind = ANY (ARRAY['not-adjusted'::text, 'not-possible'::text, 'partly-done'::text, 'finished'::text, 'deviation'::text, 'condition'::text, 'sent-back'::text])));
ALTER TABLE public.task_note ADD CONSTRAINT task_note_text_length CHECK (((length(text) >= 1) AND (length(text) <= 2000)));
CREATE INDEX task_note_by_task ON public.task_note USING btree (task_id, received_at);
ALTER TABLE public.task_note ENABLE ROW LEVEL SECURITY;
CREATE POLICY task_note_company ON public.task_note FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY task_note_portal ON public.task_note FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY task_note_read ON public.task_note FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.task_note TO rillmark_app;
GRANT SELECT ON TABLE public.task_note TO rillmark_read;
COMMENT ON TABLE public.task_note IS 'What a person says of a task: not adjusted, not possible, finished, a deviation from the method; with the reason.';

CREATE TABLE public.visit (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    site_id uuid NOT NULL,
    during tstzrange NOT NULL,
    note text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    changed_at timestamp with time zone NOT NULL
);
ALTER TABLE public.visit ADD CONSTRAINT visit_pk PRIMARY KEY (id);
ALTER TABLE public.visit ADD CONSTRAINT visit_of_client UNIQUE (id, client_id);
ALTER TABLE public.visit ADD CONSTRAINT visit_with_its_time UNIQUE (id, client_id, during);
ALTER TABLE public.visit ADD CONSTRAINT visit_during CHECK (((NOT isempty(during)) AND (NOT lower_inf(during)) AND (NOT upper_inf(during))));
ALTER TABLE public.visit ADD CONSTRAINT visit_note_length CHECK ((length(note) <= 4000));
ALTER TABLE public.visit ADD CONSTRAINT visit_version CHECK ((version >= 1));
CREATE INDEX visit_by_time ON public.visit USING gist (during);
ALTER TABLE public.visit ENABLE ROW LEVEL SECURITY;
CREATE POLICY visit_company ON public.visit FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY visit_portal ON public.visit FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY visit_read ON public.visit FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.visit TO rillmark_app;
GRANT SELECT ON TABLE public.visit TO rillmark_read;
GRANT UPDATE (during, note, version, changed_at) ON TABLE public.visit TO rillmark_app;
COMMENT ON TABLE public.visit IS 'One trip to one site by one crew.';

CREATE TABLE public.visit_step (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    visit_id uuid NOT NULL,
    step text NOT NULL,
    reason text NOT NULL,
    by text NOT NULL,
    at timestamp with time zone NOT NULL
);
ALTER TABLE public.visit_step ADD CONSTRAINT visit_step_pk PRIMARY KEY (id);
ALTER TABLE public.visit_step ADD CONSTRAINT visit_step_cancelled_why CHECK (((step <> ALL (ARRAY['cancelled'::text, 'sent-back'::text])) OR (reason <> ''::text)));
ALTER TABLE public.visit_step ADD CONSTRAINT visit_step_known CHECK ((step = ANY (ARRAY['confirmed'::text, 'arrived'::text, 'left'::text, 'sent-back'::text, 'closed'::text, 'cancelled'::text])));
ALTER TABLE public.visit_step ADD CONSTRAINT visit_step_reason_length CHECK ((length(reason) <= 1000));
CREATE INDEX visit_step_by_visit ON public.visit_step USING btree (visit_id, at);
ALTER TABLE public.visit_step ENABLE ROW LEVEL SECURITY;
CREATE POLICY visit_step_company ON public.visit_step FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY visit_step_portal ON public.visit_step FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY visit_step_read ON public.visit_step FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.visit_step TO rillmark_app;
GRANT SELECT ON TABLE public.visit_step TO rillmark_read;
COMMENT ON TABLE public.visit_step IS 'What happened to a visit, in order; its state is derived from the last.';

CREATE TABLE public.zero_check (
    id uuid NOT NULL,
    client_id uuid NOT NULL,
    task_id uuid NOT NULL,
    mounting_id uuid NOT NULL,
    moment text NOT NULL,
    possible boolean NOT NULL,
    isolated_by text NOT NULL,
    tightness text NOT NULL,
    cutoff_off boolean NOT NULL,
    seconds public.finite,
    mean_velocity public.finite,
    mean_entered text,
    u_velocity public.finite,
    u_entered text,
    action text NOT NULL,
    by uuid NOT NULL,
    captured_at timestamp with time zone NOT NULL,
    received_at timestamp with time zone NOT NULL
);
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_pk PRIMARY KEY (id);
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_action_length CHECK ((length(action) <= 1000));
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_complete CHECK (((NOT possible) OR ((isolated_by <> ''::text) AND (tightness <> ''::text) AND (seconds IS NOT NULL) AND (mean_velocity IS NOT NULL) AND (u_velocity IS NOT NULL))));
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_impossible_why CHECK ((possible OR (action <> ''::text)));
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_isolated_by_length CHECK ((length(isolated_by) <= 200));
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_moment CHECK ((moment = ANY (ARRAY['before'::text, 'after'::text])));
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_seconds CHECK (((seconds)::double precision > (0)::double precision));
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_tightness_length CHECK ((length(tightness) <= 1000));
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_u CHECK (((u_velocity)::double precision >= (0)::double precision));
ALTER TABLE public.zero_check ENABLE ROW LEVEL SECURITY;
CREATE POLICY zero_check_company ON public.zero_check FOR ALL TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY zero_check_portal ON public.zero_check FOR SELECT TO rillmark_portal USING ((client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid));
CREATE POLICY zero_check_read ON public.zero_check FOR SELECT TO rillmark_read USING (true);
GRANT INSERT, SELECT ON TABLE public.zero_check TO rillmark_app;
GRANT SELECT ON TABLE public.zero_check TO rillmark_read;
COMMENT ON TABLE public.zero_check IS 'Reading at no flow: who isolated the line and how tightness was shown; m/s.';

-- Foreign keys
ALTER TABLE audit.subject ADD CONSTRAINT subject_event_fk FOREIGN KEY (seq) REFERENCES audit.event(seq);
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_corrects_fk FOREIGN KEY (corrects, task_id) REFERENCES public.adjustment(id, task_id);
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_indication_fk FOREIGN KEY (indication_id, client_id) REFERENCES public.indication(id, client_id);
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.adjustment ADD CONSTRAINT adjustment_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.agreement ADD CONSTRAINT agreement_method_edition_fk FOREIGN KEY (method_edition_id) REFERENCES public.method_edition(id);
ALTER TABLE public.agreement ADD CONSTRAINT agreement_point_fk FOREIGN KEY (point_id, client_id) REFERENCES public.measuring_point(id, client_id);
ALTER TABLE public.agreement ADD CONSTRAINT agreement_replaces_fk FOREIGN KEY (replaces, client_id) REFERENCES public.agreement(id, client_id);
ALTER TABLE public.agreement_limit ADD CONSTRAINT agreement_limit_agreement_fk FOREIGN KEY (agreement_id, client_id) REFERENCES public.agreement(id, client_id);
ALTER TABLE public.alignment ADD CONSTRAINT alignment_meter_fk FOREIGN KEY (meter_id, task_id) REFERENCES public.series(id, task_id);
ALTER TABLE public.alignment ADD CONSTRAINT alignment_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.alignment ADD CONSTRAINT alignment_reference_fk FOREIGN KEY (reference_id, task_id) REFERENCES public.series(id, task_id);
ALTER TABLE public.alignment ADD CONSTRAINT alignment_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.approval ADD CONSTRAINT approval_evaluation_fk FOREIGN KEY (evaluation_id, client_id, task_id, input, evaluated_by) REFERENCES public.evaluation(id, client_id, task_id, input, evaluated_by);
ALTER TABLE public.approval ADD CONSTRAINT approval_person_fk FOREIGN KEY (approved_by) REFERENCES public.person(id);
ALTER TABLE public.authorisation ADD CONSTRAINT authorisation_method_fk FOREIGN KEY (method_id) REFERENCES public.method(id);
ALTER TABLE public.authorisation ADD CONSTRAINT authorisation_person_fk FOREIGN KEY (person_id) REFERENCES public.person(id);
ALTER TABLE public.blob_part ADD CONSTRAINT blob_part_blob_fk FOREIGN KEY (sha256) REFERENCES public.blob(sha256);
ALTER TABLE public.booking ADD CONSTRAINT booking_kit_fk FOREIGN KEY (kit_id) REFERENCES public.kit_item(id);
ALTER TABLE public.booking ADD CONSTRAINT booking_person_fk FOREIGN KEY (person_id) REFERENCES public.person(id);
ALTER TABLE public.booking ADD CONSTRAINT booking_visit_fk FOREIGN KEY (visit_id, client_id, during) REFERENCES public.visit(id, client_id, during) ON UPDATE CASCADE;
ALTER TABLE public.calibration ADD CONSTRAINT calibration_cable_fk FOREIGN KEY (cable_id) REFERENCES public.kit_item(id);
ALTER TABLE public.calibration ADD CONSTRAINT calibration_document_fk FOREIGN KEY (document) REFERENCES public.blob(sha256);
ALTER TABLE public.calibration ADD CONSTRAINT calibration_kit_fk FOREIGN KEY (kit_id) REFERENCES public.kit_item(id);
ALTER TABLE public.calibration ADD CONSTRAINT calibration_pair_fk FOREIGN KEY (pair_id) REFERENCES public.kit_item(id);
ALTER TABLE public.calibration_point ADD CONSTRAINT calibration_point_calibration_fk FOREIGN KEY (calibration_id) REFERENCES public.calibration(id);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_amends_fk FOREIGN KEY (amends, client_id, task_id) REFERENCES public.certificate(id, client_id, task_id);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_document_fk FOREIGN KEY (document) REFERENCES public.blob(sha256);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_person_fk FOREIGN KEY (issued_by) REFERENCES public.person(id);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_point_fk FOREIGN KEY (point_id, client_id) REFERENCES public.measuring_point(id, client_id);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_preparation_fk FOREIGN KEY (preparation_id, client_id, task_id, evaluation_id, approval_id, kind, content) REFERENCES public.preparation(id, client_id, task_id, evaluation_id, approval_id, kind, content);
ALTER TABLE public.certificate ADD CONSTRAINT certificate_snapshot_fk FOREIGN KEY (snapshot) REFERENCES public.blob(sha256);
ALTER TABLE public.certificate_withdrawal ADD CONSTRAINT certificate_withdrawal_certificate_fk FOREIGN KEY (certificate_id, client_id, task_id) REFERENCES public.certificate(id, client_id, task_id);
ALTER TABLE public.certificate_withdrawal ADD CONSTRAINT certificate_withdrawal_person_fk FOREIGN KEY (withdrawn_by) REFERENCES public.person(id);
ALTER TABLE public.column_map ADD CONSTRAINT column_map_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.control_note ADD CONSTRAINT control_note_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.control_note ADD CONSTRAINT control_note_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.credential ADD CONSTRAINT credential_person_fk FOREIGN KEY (person_id) REFERENCES public.person(id);
ALTER TABLE public.equipment_set_item ADD CONSTRAINT equipment_set_item_kit_fk FOREIGN KEY (kit_id) REFERENCES public.kit_item(id);
ALTER TABLE public.equipment_set_item ADD CONSTRAINT equipment_set_item_set_fk FOREIGN KEY (set_id) REFERENCES public.equipment_set(id);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_agreement_fk FOREIGN KEY (agreement_id, client_id) REFERENCES public.agreement(id, client_id);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_facts_fk FOREIGN KEY (facts) REFERENCES public.blob(sha256);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_method_edition_fk FOREIGN KEY (method_edition_id) REFERENCES public.method_edition(id);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_person_fk FOREIGN KEY (evaluated_by) REFERENCES public.person(id);
ALTER TABLE public.evaluation ADD CONSTRAINT evaluation_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.evaluation_contributor ADD CONSTRAINT evaluation_contributor_evaluation_fk FOREIGN KEY (evaluation_id, client_id) REFERENCES public.evaluation(id, client_id);
ALTER TABLE public.evaluation_contributor ADD CONSTRAINT evaluation_contributor_person_fk FOREIGN KEY (person_id) REFERENCES public.person(id);
ALTER TABLE public.evaluation_kit ADD CONSTRAINT evaluation_kit_calibration_fk FOREIGN KEY (calibration_id, valid) REFERENCES public.calibration(id, valid);
ALTER TABLE public.evaluation_kit ADD CONSTRAINT evaluation_kit_evaluation_fk FOREIGN KEY (evaluation_id, client_id) REFERENCES public.evaluation(id, client_id);
ALTER TABLE public.indication ADD CONSTRAINT indication_meter_fk FOREIGN KEY (meter_id, client_id) REFERENCES public.meter(id, client_id);
ALTER TABLE public.installation ADD CONSTRAINT installation_meter_fk FOREIGN KEY (meter_id, client_id) REFERENCES public.meter(id, client_id);
ALTER TABLE public.installation ADD CONSTRAINT installation_point_fk FOREIGN KEY (point_id, client_id) REFERENCES public.measuring_point(id, client_id);
ALTER TABLE public.kept_entry ADD CONSTRAINT kept_entry_person_fk FOREIGN KEY (person_id) REFERENCES public.person(id);
ALTER TABLE public.log_file ADD CONSTRAINT log_file_blob_fk FOREIGN KEY (sha256) REFERENCES public.blob(sha256);
ALTER TABLE public.log_file ADD CONSTRAINT log_file_indication_fk FOREIGN KEY (indication_id, client_id) REFERENCES public.indication(id, client_id);
ALTER TABLE public.log_file ADD CONSTRAINT log_file_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.log_file ADD CONSTRAINT log_file_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.login_device ADD CONSTRAINT login_device_person_fk FOREIGN KEY (person_id) REFERENCES public.person(id);
ALTER TABLE public.measuring_point ADD CONSTRAINT measuring_point_site_fk FOREIGN KEY (site_id, client_id) REFERENCES public.site(id, client_id);
ALTER TABLE public.meter ADD CONSTRAINT meter_client_fk FOREIGN KEY (client_id) REFERENCES public.client(id);
ALTER TABLE public.method_edition ADD CONSTRAINT method_edition_method_fk FOREIGN KEY (method_id) REFERENCES public.method(id);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_cable_fk FOREIGN KEY (cable_id) REFERENCES public.kit_item(id);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_pair_fk FOREIGN KEY (pair_id) REFERENCES public.kit_item(id);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_reference_fk FOREIGN KEY (reference_id) REFERENCES public.kit_item(id);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_tape_fk FOREIGN KEY (tape_id) REFERENCES public.kit_item(id);
ALTER TABLE public.mounting ADD CONSTRAINT mounting_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.preparation ADD CONSTRAINT preparation_approval_fk FOREIGN KEY (approval_id, client_id, task_id, evaluation_id) REFERENCES public.approval(id, client_id, task_id, evaluation_id);
ALTER TABLE public.preparation ADD CONSTRAINT preparation_person_fk FOREIGN KEY (prepared_by) REFERENCES public.person(id);
ALTER TABLE public.preparation ADD CONSTRAINT preparation_snapshot_fk FOREIGN KEY (snapshot) REFERENCES public.blob(sha256);
ALTER TABLE public.reading ADD CONSTRAINT reading_corrects_fk FOREIGN KEY (corrects, task_id) REFERENCES public.reading(id, task_id);
ALTER TABLE public.reading ADD CONSTRAINT reading_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.reading ADD CONSTRAINT reading_run_fk FOREIGN KEY (run_id, task_id) REFERENCES public.run(id, task_id);
ALTER TABLE public.reading ADD CONSTRAINT reading_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.reading_indication ADD CONSTRAINT reading_indication_indication_fk FOREIGN KEY (indication_id, client_id) REFERENCES public.indication(id, client_id);
ALTER TABLE public.reading_indication ADD CONSTRAINT reading_indication_reading_fk FOREIGN KEY (reading_id, task_id) REFERENCES public.reading(id, task_id);
ALTER TABLE public.reading_indication ADD CONSTRAINT reading_indication_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.run ADD CONSTRAINT run_mounting_fk FOREIGN KEY (mounting_id, task_id) REFERENCES public.mounting(id, task_id);
ALTER TABLE public.run ADD CONSTRAINT run_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.run ADD CONSTRAINT run_plan_fk FOREIGN KEY (task_id, phase) REFERENCES public.run_plan(task_id, phase);
ALTER TABLE public.run ADD CONSTRAINT run_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.run_plan ADD CONSTRAINT run_plan_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.security_log ADD CONSTRAINT security_log_person_fk FOREIGN KEY (person_id) REFERENCES public.person(id);
ALTER TABLE public.series ADD CONSTRAINT series_column_map_fk FOREIGN KEY (column_map_id) REFERENCES public.column_map(id);
ALTER TABLE public.series ADD CONSTRAINT series_log_file_fk FOREIGN KEY (log_file_id, task_id) REFERENCES public.log_file(id, task_id);
ALTER TABLE public.series ADD CONSTRAINT series_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.series ADD CONSTRAINT series_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.series_chunk ADD CONSTRAINT series_chunk_series_fk FOREIGN KEY (series_id, client_id) REFERENCES public.series(id, client_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE public.session ADD CONSTRAINT session_person_fk FOREIGN KEY (person_id) REFERENCES public.person(id);
ALTER TABLE public.set_aside ADD CONSTRAINT set_aside_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.set_aside ADD CONSTRAINT set_aside_reading_fk FOREIGN KEY (reading_id, task_id) REFERENCES public.reading(id, task_id);
ALTER TABLE public.set_aside ADD CONSTRAINT set_aside_run_fk FOREIGN KEY (run_id, task_id) REFERENCES public.run(id, task_id);
ALTER TABLE public.set_aside ADD CONSTRAINT set_aside_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_mounting_fk FOREIGN KEY (mounting_id, task_id) REFERENCES public.mounting(id, task_id);
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.setup_check ADD CONSTRAINT setup_check_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.site ADD CONSTRAINT site_client_fk FOREIGN KEY (client_id) REFERENCES public.client(id);
ALTER TABLE public.stretch ADD CONSTRAINT stretch_alignment_fk FOREIGN KEY (alignment_id, task_id) REFERENCES public.alignment(id, task_id);
ALTER TABLE public.stretch ADD CONSTRAINT stretch_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.stretch ADD CONSTRAINT stretch_run_fk FOREIGN KEY (run_id, task_id) REFERENCES public.run(id, task_id);
ALTER TABLE public.stretch ADD CONSTRAINT stretch_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_corrects_fk FOREIGN KEY (corrects, task_id) REFERENCES public.survey_value(id, task_id);
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_kit_fk FOREIGN KEY (kit_id) REFERENCES public.kit_item(id);
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.survey_value ADD CONSTRAINT survey_value_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.task ADD CONSTRAINT task_agreement_fk FOREIGN KEY (agreement_id, client_id) REFERENCES public.agreement(id, client_id);
ALTER TABLE public.task ADD CONSTRAINT task_installation_fk FOREIGN KEY (installation_id, client_id) REFERENCES public.installation(id, client_id);
ALTER TABLE public.task ADD CONSTRAINT task_point_fk FOREIGN KEY (point_id, client_id) REFERENCES public.measuring_point(id, client_id);
ALTER TABLE public.task ADD CONSTRAINT task_visit_fk FOREIGN KEY (visit_id, client_id) REFERENCES public.visit(id, client_id);
ALTER TABLE public.task_note ADD CONSTRAINT task_note_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.task_note ADD CONSTRAINT task_note_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);
ALTER TABLE public.visit ADD CONSTRAINT visit_site_fk FOREIGN KEY (site_id, client_id) REFERENCES public.site(id, client_id);
ALTER TABLE public.visit_step ADD CONSTRAINT visit_step_visit_fk FOREIGN KEY (visit_id, client_id) REFERENCES public.visit(id, client_id);
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_mounting_fk FOREIGN KEY (mounting_id, task_id) REFERENCES public.mounting(id, task_id);
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_person_fk FOREIGN KEY (by) REFERENCES public.person(id);
ALTER TABLE public.zero_check ADD CONSTRAINT zero_check_task_fk FOREIGN KEY (task_id, client_id) REFERENCES public.task(id, client_id);

-- Functions and procedures
CREATE OR REPLACE FUNCTION audit.append(p_payload text)
 RETURNS bigint
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
DECLARE
    h  audit.head;
    n  bigint;
    t  timestamptz;
    nh bytea;
BEGIN
    SELECT * INTO STRICT h FROM audit.head WHERE one FOR UPDATE;
    n := h.seq + 1;
    t := clock_timestamp();
    nh := audit.leaf(h.chain_id, n, t, p_payload, h.hash);
    INSERT INTO audit.event (seq, at, payload, prev_hash, hash) VALUES (n, t, p_payload, h.hash, nh);
    INSERT INTO audit.subject (kind, id, seq)
        SELECT DISTINCT s ->> 0, (s ->> 1)::uuid, n FROM jsonb_array_elements(p_payload::jsonb -> 'subjects') AS s;
    UPDATE audit.head SET seq = n, hash = nh WHERE one;
    RETURN n;
END $function$;
REVOKE ALL ON FUNCTION audit.append(text) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION audit.append(text) TO rillmark_app;
COMMENT ON FUNCTION audit.append(text) IS 'Adds one event and its subjects; holds the head until COMMIT, so it must be the last statement.';

CREATE OR REPLACE FUNCTION audit.deny()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION '% is append-only (%)', TG_TABLE_NAME, TG_OP USING ERRCODE = 'insufficient_privilege';
END $function$;
REVOKE ALL ON FUNCTION audit.deny() FROM PUBLIC;

CREATE OR REPLACE FUNCTION audit.leaf(chain uuid, seq bigint, at timestamp with time zone, payload text, prev bytea)
 RETURNS bytea
 LANGUAGE sql
 STABLE PARALLEL SAFE
AS $function$
    SELECT sha256('\x00'::bytea || convert_to('rillmark/audit/1', 'UTF8') || uuid_send(chain) || int8send(seq)
        || int8send((extract(epoch FROM at) * 1000000)::bigint)
        || prev || sha256(convert_to(payload, 'UTF8')))
$function$;
REVOKE ALL ON FUNCTION audit.leaf(uuid,bigint,timestamp with time zone,text,bytea) FROM PUBLIC;
COMMENT ON FUNCTION audit.leaf(uuid,bigint,timestamp with time zone,text,bytea) IS 'Hash of one event: version tag and fixed-width fields, so that no two events share a preimage.';

CREATE OR REPLACE FUNCTION audit.subjects_in(payload text)
 RETURNS TABLE(kind text, id text)
 LANGUAGE plpgsql
 STABLE
AS $function$
BEGIN
    RETURN QUERY SELECT DISTINCT s ->> 0, s ->> 1 FROM jsonb_array_elements(payload::jsonb -> 'subjects') AS s;
EXCEPTION WHEN data_exception THEN NULL;
END $function$;
REVOKE ALL ON FUNCTION audit.subjects_in(text) FROM PUBLIC;
COMMENT ON FUNCTION audit.subjects_in(text) IS 'The things that an event names; none in a text that is no event any more, so that checking the trail does not stop at it.';

CREATE OR REPLACE FUNCTION audit.verify(p_from bigint DEFAULT '-9223372036854775808'::bigint, p_upto bigint DEFAULT '9223372036854775807'::bigint, OUT bad_seq bigint, OUT why text)
 RETURNS SETOF record
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    WITH h AS (SELECT chain_id, seq, hash FROM audit.head),
    e AS (SELECT seq, at, payload, prev_hash, hash FROM audit.event WHERE seq BETWEEN p_from AND p_upto),
    w AS (
        SELECT l.seq, l.prev_hash, lag(l.seq, 1, 0) OVER o AS seq_before,
               coalesce(lag(l.hash) OVER o, decode(repeat('00', 32), 'hex')) AS hash_before
        FROM (SELECT seq, prev_hash, hash FROM e
              UNION ALL
              (SELECT seq, prev_hash, hash FROM audit.event WHERE seq < p_from ORDER BY seq DESC LIMIT 1)) l
        WINDOW o AS (ORDER BY l.seq)),
    found AS (
        SELECT w.seq, 'gap' AS why FROM w WHERE w.seq >= p_from AND w.seq <> w.seq_before + 1
        UNION ALL
        SELECT w.seq, 'link' FROM w WHERE w.seq >= p_from AND w.prev_hash <> w.hash_before
        UNION ALL
        SELECT e.seq, 'hash' FROM e, h WHERE e.hash <> audit.leaf(h.chain_id, e.seq, e.at, e.payload, e.prev_hash)
        UNION ALL
        SELECT h.seq, 'head' FROM h
        WHERE h.seq BETWEEN p_from AND p_upto
          AND (h.seq <> coalesce((SELECT max(x.seq) FROM audit.event x), 0)
               OR (h.seq > 0 AND NOT EXISTS (SELECT FROM audit.event x WHERE x.seq = h.seq AND x.hash = h.hash)))
        UNION ALL
        SELECT coalesce(a.seq, b.seq), 'subject'
        FROM (SELECT e.seq, s.kind, s.id FROM e, audit.subjects_in(e.payload) AS s) a
        FULL JOIN (SELECT seq, kind, id::text AS id FROM audit.subject WHERE seq BETWEEN p_from AND p_upto) b USING (seq, kind, id)
        WHERE a.seq IS NULL OR b.seq IS NULL)
    SELECT f.seq, f.why FROM found f ORDER BY f.seq, f.why LIMIT 100
$function$;
REVOKE ALL ON FUNCTION audit.verify(bigint,bigint) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION audit.verify(bigint,bigint) TO rillmark_app;
GRANT EXECUTE ON FUNCTION audit.verify(bigint,bigint) TO rillmark_read;
COMMENT ON FUNCTION audit.verify(bigint,bigint) IS 'Recomputes the links and the subject index of the events in the range; no row means whole. A cut tail with a rewound head is found by comparing with a printed head hash only.';

CREATE OR REPLACE FUNCTION public.approval_check()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    PERFORM FROM task WHERE id = NEW.task_id FOR NO KEY UPDATE; -- captures lock it too
    PERFORM stated_now(NEW.at);
    IF EXISTS (SELECT FROM evaluation_contributor c WHERE c.evaluation_id = NEW.evaluation_id AND c.person_id = NEW.approved_by) THEN
        RAISE EXCEPTION 'the approver contributed to the result' USING ERRCODE = 'check_violation', CONSTRAINT = 'approval_four_eyes';
    END IF;
    IF NOT EXISTS (SELECT FROM evaluation v JOIN method_edition e ON e.id = v.method_edition_id
                   JOIN authorisation a ON a.method_id = e.method_id
                   WHERE v.id = NEW.evaluation_id AND a.person_id = NEW.approved_by AND a.act = 'authorise' AND a.during @> NEW.at) THEN
        RAISE EXCEPTION 'the approver is not authorised for the method' USING ERRCODE = 'check_violation', CONSTRAINT = 'approval_authorised';
    END IF;
    IF (SELECT v.sheet_rows FROM evaluation v WHERE v.id = NEW.evaluation_id) <> sheet_rows(NEW.task_id) THEN
        RAISE EXCEPTION 'the work sheet is newer than the evaluation' USING ERRCODE = 'check_violation', CONSTRAINT = 'approval_of_all_facts';
    END IF;
    RETURN NEW;
END $function$;
REVOKE ALL ON FUNCTION public.approval_check() FROM PUBLIC;

CREATE OR REPLACE FUNCTION public.certificate_check()
 RETURNS trigger
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'public'
AS $function$
DECLARE next integer;
BEGIN
    PERFORM FROM task WHERE id = NEW.task_id FOR NO KEY UPDATE; -- captures, withdrawals and other issues lock it too
    PERFORM stated_now(NEW.issued_at);
    IF (SELECT v.sheet_rows FROM evaluation v WHERE v.id = NEW.evaluation_id) <> sheet_rows(NEW.task_id) THEN
        RAISE EXCEPTION 'the work sheet is newer than the evaluation' USING ERRCODE = 'check_violation', CONSTRAINT = 'approval_of_all_facts';
    END IF;
    IF EXISTS (SELECT FROM certificate c WHERE c.amends = NEW.amends AND c.kind = 're-issue') THEN
        RAISE EXCEPTION 'another certificate stands in its place' USING ERRCODE = 'unique_violation', CONSTRAINT = 'certificate_reissued_once';
    END IF;
    INSERT INTO numbering AS n (year, last) VALUES (NEW.year, 1) ON CONFLICT (year) DO UPDATE SET last = n.last + 1 RETURNING n.last INTO next;
    IF NEW.serial <> next THEN
        RAISE EXCEPTION 'number % of % is next', next, NEW.year USING ERRCODE = 'check_violation', CONSTRAINT = 'certificate_number_next';
    END IF;
    RETURN NEW;
END $function$;
REVOKE ALL ON FUNCTION public.certificate_check() FROM PUBLIC;

CREATE OR REPLACE FUNCTION public.check_certificate(code_hash bytea)
 RETURNS TABLE(year integer, serial integer, issued_at timestamp with time zone, zone text, status text, since timestamp with time zone, reason text, replaced_year integer, replaced_serial integer, document bytea, client_name text, point_name text, meter_name text, verdict text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'public'
AS $function$
    SELECT c.year, c.serial, c.issued_at, c.zone,
           CASE WHEN w.certificate_id IS NOT NULL THEN 'withdrawn' WHEN r.id IS NOT NULL THEN 'superseded' ELSE 'issued' END,
           coalesce(w.at, r.issued_at), coalesce(w.reason, ''), r.year, r.serial, c.document::bytea,
           CASE WHEN c.public_shows <> 'status' THEN c.client_name ELSE '' END,
           CASE WHEN c.public_shows <> 'status' THEN c.point_name ELSE '' END,
           CASE WHEN c.public_shows <> 'status' THEN c.meter_name ELSE '' END,
           CASE WHEN c.public_shows = 'verdict' THEN c.verdict ELSE '' END
    FROM certificate c
    LEFT JOIN certificate_withdrawal w ON w.certificate_id = c.id
    LEFT JOIN certificate r ON r.amends = c.id AND r.kind = 're-issue'
    WHERE c.check_hash = code_hash
$function$;
REVOKE ALL ON FUNCTION public.check_certificate(bytea) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION public.check_certificate(bytea) TO rillmark_app;
GRANT EXECUTE ON FUNCTION public.check_certificate(bytea) TO rillmark_portal;

CREATE OR REPLACE FUNCTION public.immutable_row()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION '% is never changed', TG_TABLE_NAME USING ERRCODE = 'insufficient_privilege';
END $function$;
REVOKE ALL ON FUNCTION public.immutable_row() FROM PUBLIC;
COMMENT ON FUNCTION public.immutable_row() IS 'Keeps even the tables'' owner from changing what was stated.';

CREATE OR REPLACE PROCEDURE public.secure_client_table(IN name text)
 LANGUAGE plpgsql
AS $procedure$
BEGIN
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', name);
    EXECUTE format('CREATE POLICY %I ON %I TO rillmark_app USING (true) WITH CHECK (true)', name || '_company', name);
    EXECUTE format('CREATE POLICY %I ON %I FOR SELECT TO rillmark_read USING (true)', name || '_read', name);
    EXECUTE format('CREATE POLICY %I ON %I FOR SELECT TO rillmark_portal
        USING (client_id = nullif(current_setting(''rillmark.client_id'', true), '''')::uuid)', name || '_portal', name);
END $procedure$;
REVOKE ALL ON PROCEDURE public.secure_client_table(text) FROM PUBLIC;
COMMENT ON PROCEDURE public.secure_client_table(text) IS 'Used by migrations: row-level security for a table whose rows belong to a client.';

CREATE OR REPLACE FUNCTION public.sheet_rows(task uuid)
 RETURNS bigint
 LANGUAGE sql
 STABLE
AS $function$
    SELECT (SELECT count(*) FROM survey_value x WHERE x.task_id = task) + (SELECT count(*) FROM mounting x WHERE x.task_id = task)
         + (SELECT count(*) FROM setup_check x WHERE x.task_id = task) + (SELECT count(*) FROM zero_check x WHERE x.task_id = task)
         + (SELECT count(*) FROM run_plan x WHERE x.task_id = task) + (SELECT count(*) FROM run x WHERE x.task_id = task)
         + (SELECT count(*) FROM reading x WHERE x.task_id = task) + (SELECT count(*) FROM reading_indication x WHERE x.task_id = task)
         + (SELECT count(*) FROM set_aside x WHERE x.task_id = task) + (SELECT count(*) FROM control_note x WHERE x.task_id = task)
         + (SELECT count(*) FROM adjustment x WHERE x.task_id = task) + (SELECT count(*) FROM task_note x WHERE x.task_id = task)
$function$;
REVOKE ALL ON FUNCTION public.sheet_rows(uuid) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION public.sheet_rows(uuid) TO rillmark_app;
GRANT EXECUTE ON FUNCTION public.sheet_rows(uuid) TO rillmark_read;
COMMENT ON FUNCTION public.sheet_rows(uuid) IS 'How many rows a work sheet has. Rows are only ever added, so the same number is the same sheet.';

CREATE OR REPLACE FUNCTION public.stated_now(at timestamp with time zone)
 RETURNS void
 LANGUAGE plpgsql
 STABLE
AS $function$
BEGIN
    IF at NOT BETWEEN transaction_timestamp() - interval '5 minutes' AND clock_timestamp() AND to_regnamespace('rillmark_demo') IS NULL THEN
        RAISE EXCEPTION 'dated %, which is not now', at USING ERRCODE = 'check_violation', CONSTRAINT = 'stated_now';
    END IF;
END $function$;
REVOKE ALL ON FUNCTION public.stated_now(timestamp with time zone) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION public.stated_now(timestamp with time zone) TO rillmark_app;
COMMENT ON FUNCTION public.stated_now(timestamp with time zone) IS 'Refuses to date an approval, a certificate or a withdrawal back or forward.';

CREATE OR REPLACE FUNCTION public.withdrawal_check()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    PERFORM FROM task WHERE id = NEW.task_id FOR NO KEY UPDATE;
    PERFORM stated_now(NEW.at);
    IF EXISTS (SELECT FROM certificate c WHERE c.amends = NEW.certificate_id AND c.kind = 're-issue') THEN
        RAISE EXCEPTION 'another certificate stands in its place' USING ERRCODE = 'check_violation', CONSTRAINT = 'certificate_withdrawal_of_issued';
    END IF;
    RETURN NEW;
END $function$;
REVOKE ALL ON FUNCTION public.withdrawal_check() FROM PUBLIC;

-- Triggers
CREATE TRIGGER event_append_only BEFORE DELETE OR UPDATE ON audit.event FOR EACH ROW EXECUTE FUNCTION audit.deny();
ALTER TABLE audit.event ENABLE ALWAYS TRIGGER event_append_only;

CREATE TRIGGER event_no_truncate BEFORE TRUNCATE ON audit.event FOR EACH STATEMENT EXECUTE FUNCTION audit.deny();
ALTER TABLE audit.event ENABLE ALWAYS TRIGGER event_no_truncate;

CREATE TRIGGER approval_check BEFORE INSERT ON public.approval FOR EACH ROW EXECUTE FUNCTION public.approval_check();
ALTER TABLE public.approval ENABLE ALWAYS TRIGGER approval_check;

CREATE TRIGGER approval_immutable BEFORE DELETE OR UPDATE ON public.approval FOR EACH ROW EXECUTE FUNCTION public.immutable_row();
ALTER TABLE public.approval ENABLE ALWAYS TRIGGER approval_immutable;

CREATE TRIGGER approval_not_emptied BEFORE TRUNCATE ON public.approval FOR EACH STATEMENT EXECUTE FUNCTION public.immutable_row();
ALTER TABLE public.approval ENABLE ALWAYS TRIGGER approval_not_emptied;

CREATE TRIGGER certificate_check BEFORE INSERT ON public.certificate FOR EACH ROW EXECUTE FUNCTION public.certificate_check();
ALTER TABLE public.certificate ENABLE ALWAYS TRIGGER certificate_check;

CREATE TRIGGER certificate_immutable BEFORE DELETE OR UPDATE ON public.certificate FOR EACH ROW EXECUTE FUNCTION public.immutable_row();
ALTER TABLE public.certificate ENABLE ALWAYS TRIGGER certificate_immutable;

CREATE TRIGGER certificate_not_emptied BEFORE TRUNCATE ON public.certificate FOR EACH STATEMENT EXECUTE FUNCTION public.immutable_row();
ALTER TABLE public.certificate ENABLE ALWAYS TRIGGER certificate_not_emptied;

CREATE TRIGGER certificate_withdrawal_immutable BEFORE DELETE OR UPDATE ON public.certificate_withdrawal FOR EACH ROW EXECUTE FUNCTION public.immutable_row();
ALTER TABLE public.certificate_withdrawal ENABLE ALWAYS TRIGGER certificate_withdrawal_immutable;

CREATE TRIGGER certificate_withdrawal_not_emptied BEFORE TRUNCATE ON public.certificate_withdrawal FOR EACH STATEMENT EXECUTE FUNCTION public.immutable_row();
ALTER TABLE public.certificate_withdrawal ENABLE ALWAYS TRIGGER certificate_withdrawal_not_emptied;

CREATE TRIGGER withdrawal_check BEFORE INSERT ON public.certificate_withdrawal FOR EACH ROW EXECUTE FUNCTION public.withdrawal_check();
ALTER TABLE public.certificate_withdrawal ENABLE ALWAYS TRIGGER withdrawal_check;

CREATE TRIGGER preparation_immutable BEFORE DELETE OR UPDATE ON public.preparation FOR EACH ROW EXECUTE FUNCTION public.immutable_row();
ALTER TABLE public.preparation ENABLE ALWAYS TRIGGER preparation_immutable;

CREATE TRIGGER preparation_not_emptied BEFORE TRUNCATE ON public.preparation FOR EACH STATEMENT EXECUTE FUNCTION public.immutable_row();
ALTER TABLE public.preparation ENABLE ALWAYS TRIGGER preparation_not_emptied;
