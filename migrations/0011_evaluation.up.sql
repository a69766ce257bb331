-- What was concluded from what was observed: immutable, with the ground it stands on.
CREATE TABLE evaluation (
    id                uuid        NOT NULL CONSTRAINT evaluation_pk PRIMARY KEY,
    client_id         uuid        NOT NULL,
    task_id           uuid        NOT NULL,
    number            integer     NOT NULL CONSTRAINT evaluation_number CHECK (number >= 1),
    method_edition_id uuid        NOT NULL CONSTRAINT evaluation_method_edition_fk REFERENCES method_edition (id),
    agreement_id      uuid        NOT NULL,
    input             sha256      NOT NULL,
    sheet_rows        bigint      NOT NULL CONSTRAINT evaluation_sheet_rows CHECK (sheet_rows >= 1),
    facts             sha256      NOT NULL CONSTRAINT evaluation_facts_fk REFERENCES blob (sha256),
    result            text        NOT NULL,
    conformity        boolean     NOT NULL,
    calc_edition      text        NOT NULL CONSTRAINT evaluation_calc_edition CHECK (calc_edition <> ''),
    program_version   text        NOT NULL CONSTRAINT evaluation_program_version CHECK (program_version <> ''),
    evaluated_by      uuid        NOT NULL CONSTRAINT evaluation_person_fk REFERENCES person (id),
    at                timestamptz NOT NULL,
    CONSTRAINT evaluation_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT evaluation_agreement_fk FOREIGN KEY (agreement_id, client_id) REFERENCES agreement (id, client_id),
    CONSTRAINT evaluation_number_once UNIQUE (task_id, number),
    CONSTRAINT evaluation_input_once UNIQUE (task_id, input),
    CONSTRAINT evaluation_of_client UNIQUE (id, client_id),
    CONSTRAINT evaluation_with_its_author UNIQUE (id, evaluated_by)
);
COMMENT ON TABLE evaluation IS 'The result of the one pure function on a task''s facts; a new fact makes a new one. Conformity false: for information, no statement.';
COMMENT ON COLUMN evaluation.input IS 'Hash of facts, calc edition and method edition: the same input is never evaluated twice.';

COMMENT ON COLUMN evaluation.sheet_rows IS 'How many rows the work sheet had: a sheet with more is newer than the evaluation.';

CREATE TABLE evaluation_kit (
    evaluation_id  uuid        NOT NULL,
    client_id      uuid        NOT NULL,
    calibration_id uuid        NOT NULL,
    valid          tstzrange   NOT NULL,
    first_used     timestamptz NOT NULL,
    last_used      timestamptz NOT NULL,
    CONSTRAINT evaluation_kit_pk PRIMARY KEY (evaluation_id, calibration_id),
    CONSTRAINT evaluation_kit_evaluation_fk FOREIGN KEY (evaluation_id, client_id) REFERENCES evaluation (id, client_id),
    CONSTRAINT evaluation_kit_calibration_fk FOREIGN KEY (calibration_id, valid) REFERENCES calibration (id, valid),
    CONSTRAINT evaluation_kit_was_valid CHECK (valid @> first_used AND valid @> last_used AND first_used <= last_used)
);
COMMENT ON TABLE evaluation_kit IS 'The calibrations on which an evaluation stands, each valid when the runs that used it were made.';

CREATE TABLE evaluation_contributor (
    evaluation_id uuid NOT NULL,
    client_id     uuid NOT NULL,
    person_id     uuid NOT NULL CONSTRAINT evaluation_contributor_person_fk REFERENCES person (id),
    CONSTRAINT evaluation_contributor_pk PRIMARY KEY (evaluation_id, person_id),
    CONSTRAINT evaluation_contributor_evaluation_fk FOREIGN KEY (evaluation_id, client_id) REFERENCES evaluation (id, client_id)
);
COMMENT ON TABLE evaluation_contributor IS 'Who took readings, adjusted or evaluated: none of them may approve.';

GRANT SELECT, INSERT ON evaluation, evaluation_kit, evaluation_contributor TO rillmark_app;
GRANT SELECT ON evaluation, evaluation_kit, evaluation_contributor TO rillmark_read;
CALL secure_client_table('evaluation');
CALL secure_client_table('evaluation_kit');
CALL secure_client_table('evaluation_contributor');

INSERT INTO migration (number) VALUES (11);
