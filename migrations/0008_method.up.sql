-- How the company measures and decides: methods in editions, who is authorised for them,
-- and what is agreed with the client for a measuring point.
CREATE TABLE method (
    id         uuid        NOT NULL CONSTRAINT method_pk PRIMARY KEY,
    number     text        NOT NULL CONSTRAINT method_number_length CHECK (length(number) BETWEEN 1 AND 30) CONSTRAINT method_number_once UNIQUE,
    title      text        NOT NULL CONSTRAINT method_title_length CHECK (length(title) BETWEEN 1 AND 200),
    version    bigint      NOT NULL CONSTRAINT method_version CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    changed_at timestamptz NOT NULL
);
COMMENT ON TABLE method IS 'A numbered procedure of the company.';
CREATE TABLE method_edition (
    id         uuid        NOT NULL CONSTRAINT method_edition_pk PRIMARY KEY,
    method_id  uuid        NOT NULL CONSTRAINT method_edition_method_fk REFERENCES method (id),
    edition    integer     NOT NULL CONSTRAINT method_edition_number CHECK (edition >= 1),
    content    text        NOT NULL CONSTRAINT method_edition_size CHECK (length(content) BETWEEN 2 AND 200000),
    in_force   tstzrange   NOT NULL CONSTRAINT method_edition_in_force CHECK (NOT isempty(in_force) AND NOT lower_inf(in_force)),
    version    bigint      NOT NULL CONSTRAINT method_edition_version CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    changed_at timestamptz NOT NULL,
    CONSTRAINT method_edition_once UNIQUE (method_id, edition),
    CONSTRAINT method_edition_one_in_force EXCLUDE USING gist (method_id WITH =, in_force WITH &&)
);
COMMENT ON TABLE method_edition IS 'One edition: budget template with scopes, number and length of runs, criteria, default uncertainties by source, statements.';
COMMENT ON COLUMN method_edition.content IS 'Canonical JSON of domain/method.Content; text, so that its hash stays its hash. Frozen once an agreement or task names it.';

CREATE TABLE authorisation (
    id         uuid        NOT NULL CONSTRAINT authorisation_pk PRIMARY KEY,
    person_id  uuid        NOT NULL CONSTRAINT authorisation_person_fk REFERENCES person (id),
    method_id  uuid        NOT NULL CONSTRAINT authorisation_method_fk REFERENCES method (id),
    act        text        NOT NULL CONSTRAINT authorisation_act CHECK (act IN ('perform', 'review', 'authorise')),
    during     tstzrange   NOT NULL CONSTRAINT authorisation_starts CHECK (NOT isempty(during) AND NOT lower_inf(during)),
    ground     text        NOT NULL CONSTRAINT authorisation_ground_length CHECK (length(ground) BETWEEN 1 AND 1000),
    version    bigint      NOT NULL CONSTRAINT authorisation_version CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    changed_at timestamptz NOT NULL,
    CONSTRAINT authorisation_once_at_a_time EXCLUDE USING gist (person_id WITH =, method_id WITH =, act WITH =, during WITH &&)
);
COMMENT ON TABLE authorisation IS 'Who may perform, review or authorise work by a method, from when to when, and on what ground.';

CREATE TABLE agreement (
    id                 uuid        NOT NULL CONSTRAINT agreement_pk PRIMARY KEY,
    client_id          uuid        NOT NULL,
    point_id           uuid        NOT NULL,
    method_edition_id  uuid        NOT NULL CONSTRAINT agreement_method_edition_fk REFERENCES method_edition (id),
    order_number       text        NOT NULL CONSTRAINT agreement_order_number_length CHECK (length(order_number) BETWEEN 1 AND 60),
    rule               text        NOT NULL CONSTRAINT agreement_rule CHECK (rule IN ('simple', 'guard-band', 'non-binary')),
    guard_factor       finite      NOT NULL CONSTRAINT agreement_guard_factor CHECK (guard_factor >= 0),
    no_statement_ratio finite      CONSTRAINT agreement_no_statement_ratio CHECK (no_statement_ratio > 0),
    overall_rule       text        NOT NULL CONSTRAINT agreement_overall_rule CHECK (overall_rule IN ('worst-point', 'mean-error')),
    adjusting_allowed  boolean     NOT NULL,
    interval_months    integer     CONSTRAINT agreement_interval CHECK (interval_months BETWEEN 1 AND 240),
    interval_printed   boolean     NOT NULL,
    public_shows       text        NOT NULL CONSTRAINT agreement_public_shows CHECK (public_shows IN ('status', 'client-and-point', 'verdict')),
    agreed_by          text        NOT NULL CONSTRAINT agreement_agreed_by_length CHECK (length(agreed_by) BETWEEN 1 AND 200),
    agreed_on          date        NOT NULL,
    replaces           uuid,
    consent            text        CONSTRAINT agreement_consent_length CHECK (length(consent) BETWEEN 1 AND 1000),
    note               text        NOT NULL CONSTRAINT agreement_note_length CHECK (length(note) <= 4000),
    by                 text        NOT NULL,
    received_at        timestamptz NOT NULL,
    CONSTRAINT agreement_point_fk FOREIGN KEY (point_id, client_id) REFERENCES measuring_point (id, client_id),
    CONSTRAINT agreement_of_client UNIQUE (id, client_id),
    CONSTRAINT agreement_replaces_fk FOREIGN KEY (replaces, client_id) REFERENCES agreement (id, client_id),
    CONSTRAINT agreement_replaced_with_consent CHECK ((replaces IS NULL) = (consent IS NULL))
);
COMMENT ON TABLE agreement IS 'What is agreed with the client for a point before measuring; immutable. A later change is a new row that names the old one and the client''s dated consent.';
COMMENT ON COLUMN agreement.no_statement_ratio IS 'No statement of conformity where U is more than this part of the limit''s half-width.';
CREATE INDEX agreement_by_point ON agreement (point_id, received_at DESC);

CREATE TABLE agreement_limit (
    agreement_id uuid    NOT NULL,
    client_id    uuid    NOT NULL,
    n            integer NOT NULL CONSTRAINT agreement_limit_n CHECK (n >= 1),
    phase        text    NOT NULL CONSTRAINT agreement_limit_phase CHECK (phase IN ('before', 'after', 'adjust-if')),
    from_flow    finite  NOT NULL CONSTRAINT agreement_limit_from CHECK (from_flow >= 0),
    from_entered text    NOT NULL,
    to_flow      finite,
    to_entered   text,
    kind         text    NOT NULL CONSTRAINT agreement_limit_kind CHECK (kind IN ('reading', 'span', 'flow')),
    lower_limit  finite,
    upper_limit  finite,
    span         finite  CONSTRAINT agreement_limit_span CHECK (span > 0),
    combine      text    CONSTRAINT agreement_limit_combine CHECK (combine IN ('sum', 'greater')),
    other_kind   text    CONSTRAINT agreement_limit_other_kind CHECK (other_kind IN ('reading', 'span', 'flow') AND other_kind <> kind),
    other_limit  finite  CONSTRAINT agreement_limit_other CHECK (other_limit > 0),
    other_span   finite  CONSTRAINT agreement_limit_other_span CHECK (other_span > 0),
    CONSTRAINT agreement_limit_pk PRIMARY KEY (agreement_id, n),
    CONSTRAINT agreement_limit_agreement_fk FOREIGN KEY (agreement_id, client_id) REFERENCES agreement (id, client_id),
    CONSTRAINT agreement_limit_to CHECK (to_flow > from_flow AND (to_flow IS NULL) = (to_entered IS NULL)),
    CONSTRAINT agreement_limit_some CHECK (lower_limit IS NOT NULL OR upper_limit IS NOT NULL),
    CONSTRAINT agreement_limit_order CHECK (lower_limit < upper_limit),
    CONSTRAINT agreement_limit_span_given CHECK ((kind = 'span') = (span IS NOT NULL)),
    CONSTRAINT agreement_limit_other_whole CHECK ((combine IS NULL) = (other_kind IS NULL) AND (combine IS NULL) = (other_limit IS NULL)),
    CONSTRAINT agreement_limit_other_span_given CHECK ((other_kind IS NOT DISTINCT FROM 'span') = (other_span IS NOT NULL))
);
COMMENT ON TABLE agreement_limit IS 'Limits of error by flow zone: relative for reading and span (0.02 = 2 %), m3/s for flow; zones in m3/s, an open end has no to_flow.';
COMMENT ON COLUMN agreement_limit.combine IS 'How a second term, other_limit in other_kind, goes with the first on every side that has a limit: sum, both together; greater, the wider of the two.';

GRANT SELECT, INSERT ON method, method_edition, authorisation, agreement, agreement_limit TO rillmark_app;
GRANT UPDATE (title, version, changed_at) ON method TO rillmark_app;
GRANT UPDATE (content, in_force, version, changed_at) ON method_edition TO rillmark_app;
GRANT UPDATE (during, version, changed_at) ON authorisation TO rillmark_app;
GRANT SELECT ON method, method_edition, authorisation, agreement, agreement_limit TO rillmark_read;
CALL secure_client_table('agreement');
CALL secure_client_table('agreement_limit');

INSERT INTO migration (number) VALUES (8);
