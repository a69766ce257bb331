-- What makes a result a certificate: approval by a second person, and issued documents
-- that never change. States are derived from rows.
CREATE FUNCTION sheet_rows(task uuid) RETURNS bigint LANGUAGE sql STABLE AS $$
    SELECT (SELECT count(*) FROM survey_value x WHERE x.task_id = task) + (SELECT count(*) FROM mounting x WHERE x.task_id = task)
         + (SELECT count(*) FROM setup_check x WHERE x.task_id = task) + (SELECT count(*) FROM zero_check x WHERE x.task_id = task)
         + (SELECT count(*) FROM run_plan x WHERE x.task_id = task) + (SELECT count(*) FROM run x WHERE x.task_id = task)
         + (SELECT count(*) FROM reading x WHERE x.task_id = task) + (SELECT count(*) FROM reading_indication x WHERE x.task_id = task)
         + (SELECT count(*) FROM set_aside x WHERE x.task_id = task) + (SELECT count(*) FROM control_note x WHERE x.task_id = task)
         + (SELECT count(*) FROM adjustment x WHERE x.task_id = task) + (SELECT count(*) FROM task_note x WHERE x.task_id = task)
$$;
COMMENT ON FUNCTION sheet_rows IS 'How many rows a work sheet has. Rows are only ever added, so the same number is the same sheet.';

ALTER TABLE evaluation ADD CONSTRAINT evaluation_as_approved UNIQUE (id, client_id, task_id, input, evaluated_by);

CREATE TABLE approval (
    id            uuid        NOT NULL CONSTRAINT approval_pk PRIMARY KEY,
    client_id     uuid        NOT NULL,
    task_id       uuid        NOT NULL,
    evaluation_id uuid        NOT NULL CONSTRAINT approval_once UNIQUE,
    input         sha256      NOT NULL,
    evaluated_by  uuid        NOT NULL,
    approved_by   uuid        NOT NULL CONSTRAINT approval_person_fk REFERENCES person (id),
    remark        text        NOT NULL CONSTRAINT approval_remark_length CHECK (length(remark) <= 2000),
    at            timestamptz NOT NULL,
    CONSTRAINT approval_evaluation_fk FOREIGN KEY (evaluation_id, client_id, task_id, input, evaluated_by)
        REFERENCES evaluation (id, client_id, task_id, input, evaluated_by),
    CONSTRAINT approval_four_eyes CHECK (approved_by <> evaluated_by),
    CONSTRAINT approval_as_certified UNIQUE (id, client_id, task_id, evaluation_id)
);
COMMENT ON TABLE approval IS 'A second person''s judgement that an evaluation may become a certificate: immutable, once for each evaluation.';
COMMENT ON COLUMN approval.remark IS 'What the approver found worth noting, such as deviations that were accepted.';
CREATE INDEX approval_by_task ON approval (task_id, at);

-- What is stated is dated by the hour at which it is written; only the invented company, whose
-- database carries the mark, tells a story that began earlier.
CREATE FUNCTION stated_now(at timestamptz) RETURNS void LANGUAGE plpgsql STABLE AS $$
BEGIN
    IF at NOT BETWEEN transaction_timestamp() - interval '5 minutes' AND clock_timestamp() AND to_regnamespace('rillmark_demo') IS NULL THEN
        RAISE EXCEPTION 'dated %, which is not now', at USING ERRCODE = 'check_violation', CONSTRAINT = 'stated_now';
    END IF;
END $$;
COMMENT ON FUNCTION stated_now IS 'Refuses to date an approval, a certificate or a withdrawal back or forward.';

CREATE FUNCTION approval_check() RETURNS trigger LANGUAGE plpgsql AS $$
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
END $$;
CREATE TRIGGER approval_check BEFORE INSERT ON approval FOR EACH ROW EXECUTE FUNCTION approval_check();
ALTER TABLE approval ENABLE ALWAYS TRIGGER approval_check;

CREATE TABLE preparation (
    id            uuid        NOT NULL CONSTRAINT preparation_pk PRIMARY KEY,
    client_id     uuid        NOT NULL,
    task_id       uuid        NOT NULL,
    evaluation_id uuid        NOT NULL,
    approval_id   uuid        NOT NULL,
    kind          text        NOT NULL CONSTRAINT preparation_kind CHECK (kind IN ('certificate', 'amendment', 're-issue')),
    amends        uuid,
    snapshot      sha256      NOT NULL CONSTRAINT preparation_snapshot_fk REFERENCES blob (sha256),
    content       sha256      NOT NULL,
    token         sha256      NOT NULL CONSTRAINT preparation_token_once UNIQUE,
    check_code    text        NOT NULL CONSTRAINT preparation_check_code_length CHECK (length(check_code) BETWEEN 26 AND 64) CONSTRAINT preparation_check_code_once UNIQUE,
    prepared_by   uuid        NOT NULL CONSTRAINT preparation_person_fk REFERENCES person (id),
    at            timestamptz NOT NULL,
    expires_at    timestamptz NOT NULL CONSTRAINT preparation_expires CHECK (expires_at > at),
    CONSTRAINT preparation_approval_fk FOREIGN KEY (approval_id, client_id, task_id, evaluation_id) REFERENCES approval (id, client_id, task_id, evaluation_id),
    CONSTRAINT preparation_amends_told CHECK ((kind = 'certificate') = (amends IS NULL)),
    CONSTRAINT preparation_as_issued UNIQUE (id, client_id, task_id, evaluation_id, approval_id, kind, content)
);
COMMENT ON TABLE preparation IS 'A snapshot frozen for issue, with the hash of the token that issues it once.';
COMMENT ON COLUMN preparation.content IS 'Hash of the snapshot without number, date of issue and check address.';
COMMENT ON COLUMN preparation.check_code IS 'The random part of the check page''s address; at least 128 bits.';

CREATE TABLE numbering (
    year integer NOT NULL CONSTRAINT numbering_pk PRIMARY KEY CONSTRAINT numbering_year CHECK (year BETWEEN 2000 AND 9999),
    last integer NOT NULL CONSTRAINT numbering_last CHECK (last >= 1)
);
COMMENT ON TABLE numbering IS 'The last certificate number of each calendar year; moved by inserting a certificate and in no other way.';

CREATE TABLE certificate (
    id             uuid        NOT NULL CONSTRAINT certificate_pk PRIMARY KEY,
    client_id      uuid        NOT NULL,
    task_id        uuid        NOT NULL,
    point_id       uuid        NOT NULL,
    evaluation_id  uuid        NOT NULL,
    approval_id    uuid        NOT NULL,
    preparation_id uuid        NOT NULL CONSTRAINT certificate_token_once UNIQUE,
    kind           text        NOT NULL,
    amends         uuid,
    year           integer     NOT NULL,
    serial         integer     NOT NULL CONSTRAINT certificate_serial CHECK (serial >= 1),
    zone           text        NOT NULL,
    snapshot       sha256      NOT NULL CONSTRAINT certificate_snapshot_fk REFERENCES blob (sha256),
    document       sha256      NOT NULL CONSTRAINT certificate_document_fk REFERENCES blob (sha256),
    content        sha256      NOT NULL,
    check_hash     sha256      NOT NULL CONSTRAINT certificate_check_hash_once UNIQUE,
    public_shows   text        NOT NULL CONSTRAINT certificate_public_shows CHECK (public_shows IN ('status', 'client-and-point', 'verdict')),
    client_name    text        NOT NULL,
    point_name     text        NOT NULL,
    meter_name     text        NOT NULL,
    verdict        text        NOT NULL,
    issued_by      uuid        NOT NULL CONSTRAINT certificate_person_fk REFERENCES person (id),
    issued_at      timestamptz NOT NULL,
    CONSTRAINT certificate_preparation_fk FOREIGN KEY (preparation_id, client_id, task_id, evaluation_id, approval_id, kind, content)
        REFERENCES preparation (id, client_id, task_id, evaluation_id, approval_id, kind, content),
    CONSTRAINT certificate_point_fk FOREIGN KEY (point_id, client_id) REFERENCES measuring_point (id, client_id),
    CONSTRAINT certificate_number_once UNIQUE (year, serial),
    CONSTRAINT certificate_year CHECK (year = extract(year FROM timezone(zone, issued_at))),
    CONSTRAINT certificate_of_task UNIQUE (id, client_id, task_id),
    CONSTRAINT certificate_amends_fk FOREIGN KEY (amends, client_id, task_id) REFERENCES certificate (id, client_id, task_id),
    CONSTRAINT certificate_amends_told CHECK ((kind = 'certificate') = (amends IS NULL)),
    CONSTRAINT certificate_amends_another CHECK (amends <> id)
);
COMMENT ON TABLE certificate IS 'An issued document: immutable. Superseded when a re-issue names it, withdrawn when a withdrawal does.';
COMMENT ON COLUMN certificate.check_hash IS 'SHA-256 of the code in the check page''s address.';
CREATE UNIQUE INDEX certificate_first_once ON certificate (task_id) WHERE kind = 'certificate';
CREATE UNIQUE INDEX certificate_reissued_once ON certificate (amends) WHERE kind = 're-issue';
CREATE INDEX certificate_by_client ON certificate (client_id, issued_at DESC);
CREATE INDEX certificate_by_point ON certificate (point_id, issued_at DESC);

CREATE TABLE certificate_withdrawal (
    certificate_id uuid        NOT NULL CONSTRAINT certificate_withdrawal_pk PRIMARY KEY,
    client_id      uuid        NOT NULL,
    task_id        uuid        NOT NULL,
    reason         text        NOT NULL CONSTRAINT certificate_withdrawal_reason_length CHECK (length(reason) BETWEEN 1 AND 1000),
    withdrawn_by   uuid        NOT NULL CONSTRAINT certificate_withdrawal_person_fk REFERENCES person (id),
    at             timestamptz NOT NULL,
    CONSTRAINT certificate_withdrawal_certificate_fk FOREIGN KEY (certificate_id, client_id, task_id) REFERENCES certificate (id, client_id, task_id)
);
COMMENT ON TABLE certificate_withdrawal IS 'A certificate taken back, with the reason that the check page shows.';

-- The next number and no other; one certificate is one step. Definer: the application may
-- not move the numbering by itself.
CREATE FUNCTION certificate_check() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, public AS $$
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
END $$;
REVOKE ALL ON FUNCTION certificate_check() FROM PUBLIC;
CREATE TRIGGER certificate_check BEFORE INSERT ON certificate FOR EACH ROW EXECUTE FUNCTION certificate_check();
ALTER TABLE certificate ENABLE ALWAYS TRIGGER certificate_check;

CREATE FUNCTION withdrawal_check() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM FROM task WHERE id = NEW.task_id FOR NO KEY UPDATE;
    PERFORM stated_now(NEW.at);
    IF EXISTS (SELECT FROM certificate c WHERE c.amends = NEW.certificate_id AND c.kind = 're-issue') THEN
        RAISE EXCEPTION 'another certificate stands in its place' USING ERRCODE = 'check_violation', CONSTRAINT = 'certificate_withdrawal_of_issued';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER withdrawal_check BEFORE INSERT ON certificate_withdrawal FOR EACH ROW EXECUTE FUNCTION withdrawal_check();
ALTER TABLE certificate_withdrawal ENABLE ALWAYS TRIGGER withdrawal_check;

CREATE FUNCTION immutable_row() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is never changed', TG_TABLE_NAME USING ERRCODE = 'insufficient_privilege';
END $$;
COMMENT ON FUNCTION immutable_row IS 'Keeps even the tables'' owner from changing what was stated.';
DO $$
DECLARE name text;
BEGIN
    FOREACH name IN ARRAY ARRAY['approval', 'preparation', 'certificate', 'certificate_withdrawal'] LOOP
        EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE OR DELETE ON %I FOR EACH ROW EXECUTE FUNCTION immutable_row()', name || '_immutable', name);
        EXECUTE format('CREATE TRIGGER %I BEFORE TRUNCATE ON %I FOR EACH STATEMENT EXECUTE FUNCTION immutable_row()', name || '_not_emptied', name);
        EXECUTE format('ALTER TABLE %I ENABLE ALWAYS TRIGGER %I', name, name || '_immutable');
        EXECUTE format('ALTER TABLE %I ENABLE ALWAYS TRIGGER %I', name, name || '_not_emptied');
        EXECUTE format('GRANT SELECT, INSERT ON %I TO rillmark_app', name);
        EXECUTE format('GRANT SELECT ON %I TO rillmark_read', name);
        CALL secure_client_table(name);
    END LOOP;
END $$;
GRANT SELECT ON numbering TO rillmark_app, rillmark_read;

-- What anyone who holds the code of a certificate may know. It is all that the clients' role
-- can do without a client.
CREATE FUNCTION check_certificate(code_hash bytea)
RETURNS TABLE (year integer, serial integer, issued_at timestamptz, zone text, status text, since timestamptz, reason text,
               replaced_year integer, replaced_serial integer, document bytea, client_name text, point_name text, meter_name text, verdict text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, public AS $$
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
$$;
REVOKE ALL ON FUNCTION check_certificate(bytea), sheet_rows(uuid), approval_check(), withdrawal_check(), immutable_row(), stated_now(timestamptz) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION stated_now(timestamptz) TO rillmark_app;
GRANT EXECUTE ON FUNCTION sheet_rows(uuid) TO rillmark_app, rillmark_read;
GRANT EXECUTE ON FUNCTION check_certificate(bytea) TO rillmark_portal, rillmark_app;

INSERT INTO migration (number) VALUES (12);
