-- Trips to sites: who goes, with what, to which measuring points. States are derived
-- from rows; nothing here stores one.
CREATE TABLE visit (
    id         uuid        NOT NULL CONSTRAINT visit_pk PRIMARY KEY,
    client_id  uuid        NOT NULL,
    site_id    uuid        NOT NULL,
    during     tstzrange   NOT NULL CONSTRAINT visit_during CHECK (NOT isempty(during) AND NOT lower_inf(during) AND NOT upper_inf(during)),
    note       text        NOT NULL CONSTRAINT visit_note_length CHECK (length(note) <= 4000),
    version    bigint      NOT NULL CONSTRAINT visit_version CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    changed_at timestamptz NOT NULL,
    CONSTRAINT visit_site_fk FOREIGN KEY (site_id, client_id) REFERENCES site (id, client_id),
    CONSTRAINT visit_of_client UNIQUE (id, client_id),
    CONSTRAINT visit_with_its_time UNIQUE (id, client_id, during)
);
COMMENT ON TABLE visit IS 'One trip to one site by one crew.';
CREATE INDEX visit_by_time ON visit USING gist (during);

CREATE TABLE booking (
    id        uuid      NOT NULL CONSTRAINT booking_pk PRIMARY KEY,
    client_id uuid      NOT NULL,
    visit_id  uuid      NOT NULL,
    during    tstzrange NOT NULL,
    person_id uuid      CONSTRAINT booking_person_fk REFERENCES person (id),
    kit_id    uuid      CONSTRAINT booking_kit_fk REFERENCES kit_item (id),
    released  boolean   NOT NULL DEFAULT false,
    CONSTRAINT booking_visit_fk FOREIGN KEY (visit_id, client_id, during) REFERENCES visit (id, client_id, during) ON UPDATE CASCADE,
    CONSTRAINT booking_of_one CHECK (num_nonnulls(person_id, kit_id) = 1),
    CONSTRAINT booking_person_one_visit EXCLUDE USING gist (person_id WITH =, during WITH &&) WHERE (NOT released),
    CONSTRAINT booking_kit_one_visit EXCLUDE USING gist (kit_id WITH =, during WITH &&) WHERE (NOT released)
);
COMMENT ON TABLE booking IS 'A person or a piece of kit for a visit; follows the visit''s time and cannot drift from it. Released when the visit is cancelled or the crew changes.';
CREATE INDEX booking_by_visit ON booking (visit_id);

CREATE TABLE visit_step (
    id         uuid        NOT NULL CONSTRAINT visit_step_pk PRIMARY KEY,
    client_id  uuid        NOT NULL,
    visit_id   uuid        NOT NULL,
    step       text        NOT NULL CONSTRAINT visit_step_known CHECK (step IN ('confirmed', 'arrived', 'left', 'sent-back', 'closed', 'cancelled')),
    reason     text        NOT NULL CONSTRAINT visit_step_reason_length CHECK (length(reason) <= 1000),
    by         text        NOT NULL,
    at         timestamptz NOT NULL,
    CONSTRAINT visit_step_visit_fk FOREIGN KEY (visit_id, client_id) REFERENCES visit (id, client_id),
    CONSTRAINT visit_step_cancelled_why CHECK (step NOT IN ('cancelled', 'sent-back') OR reason <> '')
);
COMMENT ON TABLE visit_step IS 'What happened to a visit, in order; its state is derived from the last.';
CREATE INDEX visit_step_by_visit ON visit_step (visit_id, at);

CREATE TABLE task (
    id              uuid        NOT NULL CONSTRAINT task_pk PRIMARY KEY,
    client_id       uuid        NOT NULL,
    visit_id        uuid        NOT NULL,
    point_id        uuid        NOT NULL,
    installation_id uuid        NOT NULL,
    agreement_id    uuid        NOT NULL,
    created_at      timestamptz NOT NULL,
    CONSTRAINT task_visit_fk FOREIGN KEY (visit_id, client_id) REFERENCES visit (id, client_id),
    CONSTRAINT task_point_fk FOREIGN KEY (point_id, client_id) REFERENCES measuring_point (id, client_id),
    CONSTRAINT task_installation_fk FOREIGN KEY (installation_id, client_id) REFERENCES installation (id, client_id),
    CONSTRAINT task_agreement_fk FOREIGN KEY (agreement_id, client_id) REFERENCES agreement (id, client_id),
    CONSTRAINT task_of_client UNIQUE (id, client_id),
    CONSTRAINT task_once UNIQUE (visit_id, installation_id)
);
COMMENT ON TABLE task IS 'The work on one meter at one measuring point in one visit, under the agreement that held when it was made.';
CREATE INDEX task_by_point ON task (point_id, created_at DESC);

GRANT SELECT, INSERT ON visit, booking, visit_step, task TO rillmark_app;
GRANT UPDATE (during, note, version, changed_at) ON visit TO rillmark_app;
GRANT UPDATE (during, released) ON booking TO rillmark_app;
GRANT UPDATE (agreement_id) ON task TO rillmark_app;
GRANT SELECT ON visit, booking, visit_step, task TO rillmark_read;
CALL secure_client_table('visit');
CALL secure_client_table('booking');
CALL secure_client_table('visit_step');
CALL secure_client_table('task');

INSERT INTO migration (number) VALUES (9);
