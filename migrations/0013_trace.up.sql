-- What loggers wrote: the file as it came, the series decoded from it in chunks, how the
-- clocks of two series were aligned, and which stretches became runs. Inserts only; a later
-- decision is a new row.
CREATE TABLE column_map (
    id          uuid        NOT NULL CONSTRAINT column_map_pk PRIMARY KEY,
    fingerprint sha256      NOT NULL,
    version     integer     NOT NULL CONSTRAINT column_map_version CHECK (version >= 1),
    mapping     text        NOT NULL CONSTRAINT column_map_mapping_length CHECK (length(mapping) BETWEEN 2 AND 20000),
    by          uuid        CONSTRAINT column_map_person_fk REFERENCES person (id),
    at          timestamptz NOT NULL,
    CONSTRAINT column_map_version_once UNIQUE (fingerprint, version)
);
COMMENT ON TABLE column_map IS 'How the company reads files of one layout: the newest version of a fingerprint is proposed. It belongs to the company, not to a client.';
COMMENT ON COLUMN column_map.fingerprint IS 'Hash of delimiter and headings: files of one logger set up alike have the same.';
GRANT SELECT, INSERT ON column_map TO rillmark_app;
GRANT SELECT ON column_map TO rillmark_read;

CREATE TABLE log_file (
    id            uuid        NOT NULL CONSTRAINT log_file_pk PRIMARY KEY,
    client_id     uuid        NOT NULL,
    task_id       uuid        NOT NULL,
    role          text        NOT NULL CONSTRAINT log_file_role CHECK (role IN ('reference', 'meter')),
    indication_id uuid,
    name          text        NOT NULL CONSTRAINT log_file_name_length CHECK (length(name) BETWEEN 1 AND 255),
    size          bigint      NOT NULL CONSTRAINT log_file_size CHECK (size >= 1),
    sha256        sha256      NOT NULL CONSTRAINT log_file_blob_fk REFERENCES blob (sha256),
    by            uuid        NOT NULL CONSTRAINT log_file_person_fk REFERENCES person (id),
    captured_at   timestamptz NOT NULL,
    received_at   timestamptz NOT NULL,
    CONSTRAINT log_file_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT log_file_indication_fk FOREIGN KEY (indication_id, client_id) REFERENCES indication (id, client_id),
    CONSTRAINT log_file_in_task UNIQUE (id, task_id),
    CONSTRAINT log_file_of_what CHECK ((role = 'meter') = (indication_id IS NOT NULL))
);
COMMENT ON TABLE log_file IS 'A logger''s file as it came: its content is the file of that hash.';
COMMENT ON COLUMN log_file.role IS 'Whether the reference wrote it or an indication of the meter under test.';
CREATE INDEX log_file_by_task ON log_file (task_id, received_at);

CREATE TABLE series (
    id             uuid        NOT NULL CONSTRAINT series_pk PRIMARY KEY,
    client_id      uuid        NOT NULL,
    task_id        uuid        NOT NULL,
    log_file_id    uuid        NOT NULL,
    column_map_id  uuid        CONSTRAINT series_column_map_fk REFERENCES column_map (id),
    mapping        text        NOT NULL CONSTRAINT series_mapping_length CHECK (length(mapping) BETWEEN 2 AND 20000),
    zone           text        NOT NULL CONSTRAINT series_zone_length CHECK (length(zone) BETWEEN 1 AND 60),
    unit           text        NOT NULL CONSTRAINT series_unit_length CHECK (length(unit) BETWEEN 1 AND 60),
    counter        boolean     NOT NULL,
    averaging      text        NOT NULL CONSTRAINT series_averaging CHECK (averaging IN ('none', 'trailing', 'centred', 'exponential', 'unknown')),
    averaging_s    finite      NOT NULL CONSTRAINT series_averaging_s CHECK (averaging_s >= 0),
    rows           bigint      NOT NULL CONSTRAINT series_rows CHECK (rows >= 1),
    points         bigint      NOT NULL CONSTRAINT series_points CHECK (points BETWEEN 1 AND rows),
    report         text        NOT NULL,
    codec          integer     NOT NULL CONSTRAINT series_codec CHECK (codec >= 1),
    chunks         integer     NOT NULL CONSTRAINT series_chunks CHECK (chunks >= 1),
    first_at       timestamptz NOT NULL,
    last_at        timestamptz NOT NULL,
    interval_s     finite      NOT NULL CONSTRAINT series_interval CHECK (interval_s >= 0),
    resolution     finite      NOT NULL CONSTRAINT series_resolution CHECK (resolution >= 0),
    envelope       bytea       NOT NULL CONSTRAINT series_envelope_size CHECK (octet_length(envelope) <= 65536),
    by             uuid        NOT NULL CONSTRAINT series_person_fk REFERENCES person (id),
    captured_at    timestamptz NOT NULL,
    received_at    timestamptz NOT NULL,
    CONSTRAINT series_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT series_log_file_fk FOREIGN KEY (log_file_id, task_id) REFERENCES log_file (id, task_id),
    CONSTRAINT series_in_task UNIQUE (id, task_id),
    CONSTRAINT series_of_client UNIQUE (id, client_id),
    CONSTRAINT series_in_order CHECK (first_at <= last_at)
);
COMMENT ON TABLE series IS 'One channel decoded from a logger''s file under a column map that a person confirmed. Decoded again under another map it is a new row; the newest of a file holds.';
COMMENT ON COLUMN series.counter IS 'True: the values are volumes of a counter that runs on, m3; false: flows, m3/s.';
COMMENT ON COLUMN series.report IS 'What became of the rows, as JSON: how many were dropped for which reason.';
COMMENT ON COLUMN series.resolution IS 'The smallest step in which the values are written, in their SI unit; 0: not known.';
COMMENT ON COLUMN series.envelope IS 'Least and greatest flow over at most 500 ranges of time, for drawing.';
CREATE INDEX series_by_task ON series (task_id, received_at);

CREATE TABLE series_chunk (
    series_id uuid        NOT NULL,
    client_id uuid        NOT NULL,
    n         integer     NOT NULL CONSTRAINT series_chunk_n CHECK (n >= 0),
    points    integer     NOT NULL CONSTRAINT series_chunk_points CHECK (points BETWEEN 1 AND 16384),
    first_at  timestamptz NOT NULL,
    last_at   timestamptz NOT NULL,
    outline   bytea       NOT NULL CONSTRAINT series_chunk_outline_size CHECK (octet_length(outline) <= 16384),
    hash      sha256      NOT NULL,
    data      bytea       NOT NULL CONSTRAINT series_chunk_size CHECK (octet_length(data) BETWEEN 1 AND 1048576),
    CONSTRAINT series_chunk_pk PRIMARY KEY (series_id, n),
    CONSTRAINT series_chunk_series_fk FOREIGN KEY (series_id, client_id) REFERENCES series (id, client_id) DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT series_chunk_in_order CHECK (first_at <= last_at)
);
COMMENT ON TABLE series_chunk IS 'The points of a series in chunks, numbered from 0 in order of time; codec and hash are those of the package chunk. A series'' row comes after its chunks, when they are counted: the key is looked at then.';
COMMENT ON COLUMN series_chunk.outline IS 'Least and greatest flow over at most 64 ranges of the chunk, for drawing without unpacking.';
ALTER TABLE series_chunk ALTER COLUMN data SET STORAGE EXTERNAL;
ALTER TABLE series_chunk ALTER COLUMN outline SET STORAGE MAIN;

CREATE TABLE alignment (
    id                    uuid        NOT NULL CONSTRAINT alignment_pk PRIMARY KEY,
    client_id             uuid        NOT NULL,
    task_id               uuid        NOT NULL,
    reference_id          uuid        NOT NULL,
    meter_id              uuid        NOT NULL,
    from_at               timestamptz NOT NULL,
    to_at                 timestamptz NOT NULL,
    reference_averaging   text        NOT NULL CONSTRAINT alignment_reference_averaging CHECK (reference_averaging IN ('none', 'trailing', 'centred', 'exponential', 'unknown')),
    reference_averaging_s finite      NOT NULL CONSTRAINT alignment_reference_averaging_s CHECK (reference_averaging_s >= 0),
    meter_averaging       text        NOT NULL CONSTRAINT alignment_meter_averaging CHECK (meter_averaging IN ('none', 'trailing', 'centred', 'exponential', 'unknown')),
    meter_averaging_s     finite      NOT NULL CONSTRAINT alignment_meter_averaging_s CHECK (meter_averaging_s >= 0),
    search_s              finite      NOT NULL CONSTRAINT alignment_search CHECK (search_s > 0),
    signals_found         boolean     NOT NULL,
    signals_lag_s         finite,
    signals_uncertainty_s finite      CONSTRAINT alignment_signals_uncertainty CHECK (signals_uncertainty_s >= 0),
    signals_reason        text        NOT NULL CONSTRAINT alignment_signals_reason_length CHECK (length(signals_reason) <= 2000),
    how                   text        NOT NULL CONSTRAINT alignment_how CHECK (how IN ('signals', 'clock-note', 'nudged')),
    found                 boolean     NOT NULL,
    lag_s                 finite,
    uncertainty_s         finite      CONSTRAINT alignment_uncertainty CHECK (uncertainty_s >= 0),
    drift                 finite,
    middle_at             timestamptz,
    note                  text        NOT NULL CONSTRAINT alignment_note_length CHECK (length(note) <= 4000),
    reason                text        NOT NULL CONSTRAINT alignment_reason_length CHECK (length(reason) <= 1000),
    by                    uuid        NOT NULL CONSTRAINT alignment_person_fk REFERENCES person (id),
    captured_at           timestamptz NOT NULL,
    received_at           timestamptz NOT NULL,
    CONSTRAINT alignment_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT alignment_reference_fk FOREIGN KEY (reference_id, task_id) REFERENCES series (id, task_id),
    CONSTRAINT alignment_meter_fk FOREIGN KEY (meter_id, task_id) REFERENCES series (id, task_id),
    CONSTRAINT alignment_in_task UNIQUE (id, task_id),
    CONSTRAINT alignment_of_two CHECK (reference_id <> meter_id),
    CONSTRAINT alignment_in_order CHECK (from_at < to_at),
    CONSTRAINT alignment_lag_where_found CHECK (found = (lag_s IS NOT NULL) AND found = (uncertainty_s IS NOT NULL)
        AND found = (drift IS NOT NULL) AND found = (middle_at IS NOT NULL)),
    CONSTRAINT alignment_signals_where_found CHECK (signals_found = (signals_uncertainty_s IS NOT NULL) AND (signals_found OR signals_reason <> '')),
    CONSTRAINT alignment_as_signals CHECK (how <> 'signals' OR found = signals_found),
    CONSTRAINT alignment_nudged_why CHECK (how <> 'nudged' OR reason <> '')
);
COMMENT ON TABLE alignment IS 'What is to be added to the stamps of the meter''s series to put them on the reference''s clock, how that was decided and by whom, and what the signals said. The newest of two series holds.';
COMMENT ON COLUMN alignment.lag_s IS 'At middle_at of the reference''s clock; drift is seconds of lag for each second of it. Null where no lag was found: stretches then count by being steady.';
COMMENT ON COLUMN alignment.uncertainty_s IS 'Expanded, about 95 %.';
COMMENT ON COLUMN alignment.note IS 'Of a clock note: what both loggers and the clock showed, as canonical JSON.';
COMMENT ON COLUMN alignment.signals_reason IS 'Why the signals told no lag, as code and arguments in JSON; empty where they did.';
CREATE INDEX alignment_by_task ON alignment (task_id, received_at);

ALTER TABLE run
    ADD COLUMN interval_s  finite CONSTRAINT run_interval CHECK (interval_s > 0),
    ADD COLUMN averaging_s finite CONSTRAINT run_averaging CHECK (averaging_s >= 0),
    ADD CONSTRAINT run_sampled CHECK ((interval_s IS NULL) = (averaging_s IS NULL));
COMMENT ON COLUMN run.interval_s IS 'Seconds between readings of a run that comes from loggers'' files; null: as planned.';
COMMENT ON COLUMN run.averaging_s IS 'Seconds that tie such readings together; null: as planned.';

CREATE TABLE stretch (
    id           uuid        NOT NULL CONSTRAINT stretch_pk PRIMARY KEY,
    client_id    uuid        NOT NULL,
    task_id      uuid        NOT NULL,
    alignment_id uuid        NOT NULL,
    run_id       uuid        CONSTRAINT stretch_run_once UNIQUE,
    from_at      timestamptz NOT NULL,
    to_at        timestamptz NOT NULL,
    result       text        NOT NULL CONSTRAINT stretch_result_length CHECK (length(result) <= 4000),
    reason       text        NOT NULL CONSTRAINT stretch_reason_length CHECK (length(reason) <= 1000),
    by           uuid        NOT NULL CONSTRAINT stretch_person_fk REFERENCES person (id),
    captured_at  timestamptz NOT NULL,
    received_at  timestamptz NOT NULL,
    CONSTRAINT stretch_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT stretch_alignment_fk FOREIGN KEY (alignment_id, task_id) REFERENCES alignment (id, task_id),
    CONSTRAINT stretch_run_fk FOREIGN KEY (run_id, task_id) REFERENCES run (id, task_id),
    CONSTRAINT stretch_in_order CHECK (from_at < to_at),
    CONSTRAINT stretch_taken_or_why_not CHECK (run_id IS NOT NULL OR reason <> '')
);
COMMENT ON TABLE stretch IS 'A stretch of two aligned series, on the reference''s clock: taken as the run that it names, or set aside with the reason.';
COMMENT ON COLUMN stretch.result IS 'What the two series said of each other over it when it was decided, as JSON.';
CREATE INDEX stretch_by_task ON stretch (task_id, from_at);

DO $$
DECLARE name text;
BEGIN
    FOREACH name IN ARRAY ARRAY['log_file', 'series', 'series_chunk', 'alignment', 'stretch'] LOOP
        EXECUTE format('GRANT SELECT, INSERT ON %I TO rillmark_app', name);
        EXECUTE format('GRANT SELECT ON %I TO rillmark_read', name);
        CALL secure_client_table(name);
    END LOOP;
END $$;

INSERT INTO migration (number) VALUES (13);
