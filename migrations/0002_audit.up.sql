-- The audit trail: one chain, inserts only, every column inside the hash. Order comes
-- from the row lock on the head, which is taken by the last statement of a write.
CREATE SCHEMA audit;
COMMENT ON SCHEMA audit IS 'The chained audit trail of the company; the application may append and read, nothing else.';

CREATE TABLE audit.head (
    one      boolean NOT NULL DEFAULT true CONSTRAINT head_pk PRIMARY KEY CONSTRAINT head_one CHECK (one),
    chain_id uuid    NOT NULL,
    seq      bigint  NOT NULL,
    hash     sha256  NOT NULL
);
COMMENT ON TABLE audit.head IS 'The one row that serialises appends: number and hash of the newest event.';
INSERT INTO audit.head (chain_id, seq, hash) VALUES (gen_random_uuid(), 0, decode(repeat('00', 32), 'hex'));

CREATE TABLE audit.event (
    seq       bigint      NOT NULL CONSTRAINT event_pk PRIMARY KEY,
    at        timestamptz NOT NULL,
    payload   text        NOT NULL,
    prev_hash sha256      NOT NULL CONSTRAINT event_no_fork UNIQUE,
    hash      sha256      NOT NULL
);
COMMENT ON TABLE audit.event IS 'What was done: the exact canonical text (RFC 8785) that was hashed, chained to the event before.';
COMMENT ON COLUMN audit.event.payload IS 'Canonical JSON with ids, not names; never jsonb, which would rewrite it.';

-- What was done and by whom, as the canonical text says it: its keys are sorted, so these
-- two stand first. Nothing is found in a text that is no event, and nothing stops at it.
CREATE INDEX event_by_action ON audit.event (substring(payload FROM '^\{"action":"([^"]{1,200})"'), seq);
CREATE INDEX event_by_actor ON audit.event (substring(payload FROM '^\{"action":"[^"]{1,200}","actor":"([^"]{1,200})"'), seq);
CREATE INDEX event_by_time ON audit.event (at);

CREATE TABLE audit.subject (
    kind text   NOT NULL,
    id   uuid   NOT NULL,
    seq  bigint NOT NULL CONSTRAINT subject_event_fk REFERENCES audit.event (seq),
    CONSTRAINT subject_pk PRIMARY KEY (kind, id, seq)
);
CREATE INDEX subject_by_event ON audit.subject (seq);
COMMENT ON TABLE audit.subject IS 'Index of the trail by thing: every history page reads it. Made from the payload, so it can be made again.';

CREATE FUNCTION audit.leaf(chain uuid, seq bigint, at timestamptz, payload text, prev bytea) RETURNS bytea
LANGUAGE sql STABLE PARALLEL SAFE AS $$
    SELECT sha256('\x00'::bytea || convert_to('rillmark/audit/1', 'UTF8') || uuid_send(chain) || int8send(seq)
        || int8send((extract(epoch FROM at) * 1000000)::bigint)
        || prev || sha256(convert_to(payload, 'UTF8')))
$$;
COMMENT ON FUNCTION audit.leaf IS 'Hash of one event: version tag and fixed-width fields, so that no two events share a preimage.';

CREATE FUNCTION audit.append(p_payload text) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
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
END $$;
COMMENT ON FUNCTION audit.append IS 'Adds one event and its subjects; holds the head until COMMIT, so it must be the last statement.';

CREATE FUNCTION audit.deny() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is append-only (%)', TG_TABLE_NAME, TG_OP USING ERRCODE = 'insufficient_privilege';
END $$;
CREATE TRIGGER event_append_only BEFORE UPDATE OR DELETE ON audit.event FOR EACH ROW EXECUTE FUNCTION audit.deny();
CREATE TRIGGER event_no_truncate BEFORE TRUNCATE ON audit.event FOR EACH STATEMENT EXECUTE FUNCTION audit.deny();
ALTER TABLE audit.event ENABLE ALWAYS TRIGGER event_append_only;
ALTER TABLE audit.event ENABLE ALWAYS TRIGGER event_no_truncate;

CREATE FUNCTION audit.subjects_in(payload text) RETURNS TABLE (kind text, id text)
LANGUAGE plpgsql STABLE AS $$
BEGIN
    RETURN QUERY SELECT DISTINCT s ->> 0, s ->> 1 FROM jsonb_array_elements(payload::jsonb -> 'subjects') AS s;
EXCEPTION WHEN data_exception THEN NULL;
END $$;
COMMENT ON FUNCTION audit.subjects_in IS 'The things that an event names; none in a text that is no event any more, so that checking the trail does not stop at it.';

CREATE FUNCTION audit.verify(p_from bigint DEFAULT -9223372036854775808, p_upto bigint DEFAULT 9223372036854775807,
    OUT bad_seq bigint, OUT why text) RETURNS SETOF record
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
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
$$;
COMMENT ON FUNCTION audit.verify IS 'Recomputes the links and the subject index of the events in the range; no row means whole. A cut tail with a rewound head is found by comparing with a printed head hash only.';

REVOKE ALL ON ALL FUNCTIONS IN SCHEMA audit FROM PUBLIC;
GRANT USAGE ON SCHEMA audit TO rillmark_app, rillmark_read;
GRANT SELECT ON audit.head, audit.event, audit.subject TO rillmark_app, rillmark_read;
GRANT EXECUTE ON FUNCTION audit.append(text) TO rillmark_app;
GRANT EXECUTE ON FUNCTION audit.verify(bigint, bigint) TO rillmark_app, rillmark_read;

INSERT INTO migration (number) VALUES (2);
