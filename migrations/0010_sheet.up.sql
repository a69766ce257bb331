-- The work sheet: what was observed. Every row stays; a correction is a new row that
-- names the old one and says why. captured_at is the device's time, received_at ours.
CREATE TABLE survey_value (
    id          uuid        NOT NULL CONSTRAINT survey_value_pk PRIMARY KEY,
    client_id   uuid        NOT NULL,
    task_id     uuid        NOT NULL,
    name        text        NOT NULL CONSTRAINT survey_value_name_length CHECK (length(name) BETWEEN 1 AND 60),
    position    text        NOT NULL CONSTRAINT survey_value_position_length CHECK (length(position) <= 60),
    value       finite,
    entered     text        NOT NULL CONSTRAINT survey_value_entered_length CHECK (length(entered) BETWEEN 1 AND 1000),
    source      text        NOT NULL CONSTRAINT survey_value_source CHECK (source IN ('measured', 'standard', 'nameplate', 'client', 'assumed')),
    kit_id      uuid        CONSTRAINT survey_value_kit_fk REFERENCES kit_item (id),
    corrects    uuid,
    reason      text        NOT NULL CONSTRAINT survey_value_reason_length CHECK (length(reason) <= 1000),
    by          uuid        NOT NULL CONSTRAINT survey_value_person_fk REFERENCES person (id),
    captured_at timestamptz NOT NULL,
    received_at timestamptz NOT NULL,
    CONSTRAINT survey_value_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT survey_value_in_task UNIQUE (id, task_id),
    CONSTRAINT survey_value_corrects_fk FOREIGN KEY (corrects, task_id) REFERENCES survey_value (id, task_id),
    CONSTRAINT survey_value_corrected_once UNIQUE (corrects),
    CONSTRAINT survey_value_corrected_why CHECK (corrects IS NULL OR reason <> '')
);
COMMENT ON TABLE survey_value IS 'One value of the pipe survey as of the day: number in SI where it is one, the text as entered always, its source, instrument, who and when.';
COMMENT ON COLUMN survey_value.position IS 'Where on the pipe: a clock position for wall readings, a direction for diameters, empty otherwise.';
CREATE INDEX survey_value_by_task ON survey_value (task_id, received_at);

CREATE TABLE mounting (
    id              uuid        NOT NULL CONSTRAINT mounting_pk PRIMARY KEY,
    client_id       uuid        NOT NULL,
    task_id         uuid        NOT NULL,
    number          integer     NOT NULL CONSTRAINT mounting_number CHECK (number >= 1),
    reference_id    uuid        NOT NULL CONSTRAINT mounting_reference_fk REFERENCES kit_item (id),
    pair_id         uuid        NOT NULL CONSTRAINT mounting_pair_fk REFERENCES kit_item (id),
    cable_id        uuid        CONSTRAINT mounting_cable_fk REFERENCES kit_item (id),
    tape_id         uuid        CONSTRAINT mounting_tape_fk REFERENCES kit_item (id),
    traverses       integer     NOT NULL CONSTRAINT mounting_traverses CHECK (traverses BETWEEN 1 AND 20),
    clock_position  text        NOT NULL CONSTRAINT mounting_clock_position_length CHECK (length(clock_position) <= 40),
    recommended     finite,
    spacing         finite      NOT NULL,
    spacing_entered text        NOT NULL,
    basis           text        NOT NULL CONSTRAINT mounting_basis_size CHECK (length(basis) <= 20000),
    note            text        NOT NULL CONSTRAINT mounting_note_length CHECK (length(note) <= 1000),
    by              uuid        NOT NULL CONSTRAINT mounting_person_fk REFERENCES person (id),
    captured_at     timestamptz NOT NULL,
    received_at     timestamptz NOT NULL,
    CONSTRAINT mounting_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT mounting_in_task UNIQUE (id, task_id),
    CONSTRAINT mounting_number_once UNIQUE (task_id, number)
);
COMMENT ON TABLE mounting IS 'Transducers placed once. Spacing in metres as actually set; basis is the canonical JSON of the inputs from which the recommended one was computed. Recommended is null where the survey was not complete.';

CREATE TABLE setup_check (
    id            uuid        NOT NULL CONSTRAINT setup_check_pk PRIMARY KEY,
    client_id     uuid        NOT NULL,
    task_id       uuid        NOT NULL,
    mounting_id   uuid        NOT NULL,
    moment        text        NOT NULL CONSTRAINT setup_check_moment CHECK (moment IN ('before', 'after')),
    snr_db        finite,
    signal        text        NOT NULL CONSTRAINT setup_check_signal_length CHECK (length(signal) <= 200),
    sound_speed   finite      CONSTRAINT setup_check_sound_speed CHECK (sound_speed > 0),
    sound_speed_entered text,
    transit_up    finite      CONSTRAINT setup_check_transit_up CHECK (transit_up > 0),
    transit_up_entered text,
    transit_down  finite      CONSTRAINT setup_check_transit_down CHECK (transit_down > 0),
    transit_down_entered text,
    outcome       text        NOT NULL CONSTRAINT setup_check_outcome CHECK (outcome IN ('passed', 'failed', 'inconclusive', 'not-made')),
    basis         text        NOT NULL CONSTRAINT setup_check_basis_size CHECK (length(basis) <= 20000),
    kept_because  text        NOT NULL CONSTRAINT setup_check_kept_because_length CHECK (length(kept_because) <= 1000),
    by            uuid        NOT NULL CONSTRAINT setup_check_person_fk REFERENCES person (id),
    captured_at   timestamptz NOT NULL,
    received_at   timestamptz NOT NULL,
    CONSTRAINT setup_check_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT setup_check_mounting_fk FOREIGN KEY (mounting_id, task_id) REFERENCES mounting (id, task_id),
    CONSTRAINT setup_check_sound_speed_as_entered CHECK ((sound_speed_entered IS NULL) OR (sound_speed IS NOT NULL)),
    CONSTRAINT setup_check_transit_both CHECK ((transit_up IS NULL) = (transit_down IS NULL))
);
COMMENT ON TABLE setup_check IS 'Signal and sound speed of a mounting, before the first run and after the last; the outcome as computed then, with its basis. A failed check stays.';

CREATE TABLE zero_check (
    id            uuid        NOT NULL CONSTRAINT zero_check_pk PRIMARY KEY,
    client_id     uuid        NOT NULL,
    task_id       uuid        NOT NULL,
    mounting_id   uuid        NOT NULL,
    moment        text        NOT NULL CONSTRAINT zero_check_moment CHECK (moment IN ('before', 'after')),
    possible      boolean     NOT NULL,
    isolated_by   text        NOT NULL CONSTRAINT zero_check_isolated_by_length CHECK (length(isolated_by) <= 200),
    tightness     text        NOT NULL CONSTRAINT zero_check_tightness_length CHECK (length(tightness) <= 1000),
    cutoff_off    boolean     NOT NULL,
    seconds       finite      CONSTRAINT zero_check_seconds CHECK (seconds > 0),
    mean_velocity finite,
    mean_entered  text,
    u_velocity    finite      CONSTRAINT zero_check_u CHECK (u_velocity >= 0),
    u_entered     text,
    action        text        NOT NULL CONSTRAINT zero_check_action_length CHECK (length(action) <= 1000),
    by            uuid        NOT NULL CONSTRAINT zero_check_person_fk REFERENCES person (id),
    captured_at   timestamptz NOT NULL,
    received_at   timestamptz NOT NULL,
    CONSTRAINT zero_check_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT zero_check_mounting_fk FOREIGN KEY (mounting_id, task_id) REFERENCES mounting (id, task_id),
    CONSTRAINT zero_check_complete CHECK (NOT possible OR (isolated_by <> '' AND tightness <> '' AND seconds IS NOT NULL AND mean_velocity IS NOT NULL AND u_velocity IS NOT NULL)),
    CONSTRAINT zero_check_impossible_why CHECK (possible OR action <> '')
);
COMMENT ON TABLE zero_check IS 'Reading at no flow: who isolated the line and how tightness was shown; m/s.';

CREATE TABLE run_plan (
    id          uuid        NOT NULL CONSTRAINT run_plan_pk PRIMARY KEY,
    client_id   uuid        NOT NULL,
    task_id     uuid        NOT NULL,
    phase       text        NOT NULL CONSTRAINT run_plan_phase CHECK (phase IN ('before', 'after')),
    flow_points integer     NOT NULL CONSTRAINT run_plan_flow_points CHECK (flow_points BETWEEN 1 AND 30),
    runs        integer     NOT NULL CONSTRAINT run_plan_runs CHECK (runs BETWEEN 1 AND 50),
    seconds     finite      NOT NULL CONSTRAINT run_plan_seconds CHECK (seconds > 0),
    interval_s  finite      NOT NULL CONSTRAINT run_plan_interval CHECK (interval_s > 0),
    averaging_s finite      NOT NULL CONSTRAINT run_plan_averaging CHECK (averaging_s >= 0),
    by          uuid        NOT NULL CONSTRAINT run_plan_person_fk REFERENCES person (id),
    captured_at timestamptz NOT NULL,
    received_at timestamptz NOT NULL,
    CONSTRAINT run_plan_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT run_plan_fixed UNIQUE (task_id, phase)
);
COMMENT ON TABLE run_plan IS 'Number and length of the runs, fixed before the first; extra runs are added, never substituted.';

CREATE TABLE run (
    id          uuid        NOT NULL CONSTRAINT run_pk PRIMARY KEY,
    client_id   uuid        NOT NULL,
    task_id     uuid        NOT NULL,
    mounting_id uuid        NOT NULL,
    phase       text        NOT NULL CONSTRAINT run_phase CHECK (phase IN ('before', 'after')),
    number      integer     NOT NULL CONSTRAINT run_number CHECK (number >= 1),
    flow_point  integer     NOT NULL CONSTRAINT run_flow_point CHECK (flow_point >= 1),
    note        text        NOT NULL CONSTRAINT run_note_length CHECK (length(note) <= 1000),
    by          uuid        NOT NULL CONSTRAINT run_person_fk REFERENCES person (id),
    captured_at timestamptz NOT NULL,
    received_at timestamptz NOT NULL,
    CONSTRAINT run_plan_fk FOREIGN KEY (task_id, phase) REFERENCES run_plan (task_id, phase),
    CONSTRAINT run_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT run_mounting_fk FOREIGN KEY (mounting_id, task_id) REFERENCES mounting (id, task_id),
    CONSTRAINT run_in_task UNIQUE (id, task_id),
    CONSTRAINT run_number_once UNIQUE (task_id, phase, number)
);
COMMENT ON TABLE run IS 'Readings of reference and meter over one steady flow; numbered within before and after adjustment.';

CREATE TABLE reading (
    id                uuid        NOT NULL CONSTRAINT reading_pk PRIMARY KEY,
    client_id         uuid        NOT NULL,
    task_id           uuid        NOT NULL,
    run_id            uuid        NOT NULL,
    number            integer     NOT NULL CONSTRAINT reading_number CHECK (number >= 1),
    reference         finite      NOT NULL,
    reference_entered text        NOT NULL,
    corrects          uuid,
    reason            text        NOT NULL CONSTRAINT reading_reason_length CHECK (length(reason) <= 1000),
    by                uuid        NOT NULL CONSTRAINT reading_person_fk REFERENCES person (id),
    captured_at       timestamptz NOT NULL,
    received_at       timestamptz NOT NULL,
    CONSTRAINT reading_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT reading_run_fk FOREIGN KEY (run_id, task_id) REFERENCES run (id, task_id),
    CONSTRAINT reading_in_task UNIQUE (id, task_id),
    CONSTRAINT reading_corrects_fk FOREIGN KEY (corrects, task_id) REFERENCES reading (id, task_id),
    CONSTRAINT reading_corrected_once UNIQUE (corrects),
    CONSTRAINT reading_corrected_why CHECK (corrects IS NULL OR reason <> '')
);
COMMENT ON TABLE reading IS 'One reading of the reference, m3/s, with the text as typed.';
CREATE UNIQUE INDEX reading_number_once ON reading (run_id, number) WHERE corrects IS NULL;

CREATE TABLE reading_indication (
    reading_id    uuid   NOT NULL,
    client_id     uuid   NOT NULL,
    task_id       uuid   NOT NULL,
    indication_id uuid   NOT NULL,
    value         finite NOT NULL,
    entered       text   NOT NULL,
    CONSTRAINT reading_indication_pk PRIMARY KEY (reading_id, indication_id),
    CONSTRAINT reading_indication_reading_fk FOREIGN KEY (reading_id, task_id) REFERENCES reading (id, task_id),
    CONSTRAINT reading_indication_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT reading_indication_indication_fk FOREIGN KEY (indication_id, client_id) REFERENCES indication (id, client_id)
);
COMMENT ON TABLE reading_indication IS 'What one indication of the meter showed at a reading: m3/s after scaling, and the text as typed.';

CREATE TABLE set_aside (
    id          uuid        NOT NULL CONSTRAINT set_aside_pk PRIMARY KEY,
    client_id   uuid        NOT NULL,
    task_id     uuid        NOT NULL,
    run_id      uuid        NOT NULL,
    reading_id  uuid,
    taken_back  boolean     NOT NULL,
    reason      text        NOT NULL CONSTRAINT set_aside_reason_length CHECK (length(reason) BETWEEN 1 AND 1000),
    by          uuid        NOT NULL CONSTRAINT set_aside_person_fk REFERENCES person (id),
    captured_at timestamptz NOT NULL,
    received_at timestamptz NOT NULL,
    CONSTRAINT set_aside_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT set_aside_run_fk FOREIGN KEY (run_id, task_id) REFERENCES run (id, task_id),
    CONSTRAINT set_aside_reading_fk FOREIGN KEY (reading_id, task_id) REFERENCES reading (id, task_id)
);
COMMENT ON TABLE set_aside IS 'A run, or one reading of it, set aside with a reason, or taken back in with one; the last row holds.';
CREATE INDEX set_aside_by_task ON set_aside (task_id, received_at);

CREATE TABLE control_note (
    id          uuid        NOT NULL CONSTRAINT control_note_pk PRIMARY KEY,
    client_id   uuid        NOT NULL,
    task_id     uuid        NOT NULL,
    kind        text        NOT NULL CONSTRAINT control_note_kind CHECK (kind IN ('inhibited', 'restored', 'nothing-controlled')),
    what        text        NOT NULL CONSTRAINT control_note_what_length CHECK (length(what) <= 1000),
    done_by     text        NOT NULL CONSTRAINT control_note_done_by_length CHECK (length(done_by) <= 200),
    by          uuid        NOT NULL CONSTRAINT control_note_person_fk REFERENCES person (id),
    captured_at timestamptz NOT NULL,
    received_at timestamptz NOT NULL,
    CONSTRAINT control_note_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT control_note_told CHECK (kind = 'nothing-controlled' OR (what <> '' AND done_by <> ''))
);
COMMENT ON TABLE control_note IS 'What the meter''s signal controls, who put it in manual or inhibited it and when, and who restored it.';

CREATE TABLE adjustment (
    id            uuid        NOT NULL CONSTRAINT adjustment_pk PRIMARY KEY,
    client_id     uuid        NOT NULL,
    task_id       uuid        NOT NULL,
    number        integer     NOT NULL CONSTRAINT adjustment_number CHECK (number >= 1),
    indication_id uuid,
    parameter     text        NOT NULL CONSTRAINT adjustment_parameter_length CHECK (length(parameter) BETWEEN 1 AND 100),
    kind          text        NOT NULL CONSTRAINT adjustment_kind CHECK (kind IN ('multiplier', 'pulses-per-volume', 'zero', 'span', 'other')),
    old_entered   text        NOT NULL CONSTRAINT adjustment_old_length CHECK (length(old_entered) BETWEEN 1 AND 100),
    new_entered   text        NOT NULL CONSTRAINT adjustment_new_length CHECK (length(new_entered) BETWEEN 1 AND 100),
    old_value     finite,
    new_value     finite,
    permission    text        NOT NULL CONSTRAINT adjustment_permission_length CHECK (length(permission) BETWEEN 1 AND 200),
    seal_before   text        NOT NULL CONSTRAINT adjustment_seal_before_length CHECK (length(seal_before) <= 60),
    seal_after    text        NOT NULL CONSTRAINT adjustment_seal_after_length CHECK (length(seal_after) <= 60),
    reason        text        NOT NULL CONSTRAINT adjustment_reason_length CHECK (length(reason) BETWEEN 1 AND 1000),
    corrects      uuid,
    by            uuid        NOT NULL CONSTRAINT adjustment_person_fk REFERENCES person (id),
    captured_at   timestamptz NOT NULL,
    received_at   timestamptz NOT NULL,
    CONSTRAINT adjustment_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id),
    CONSTRAINT adjustment_indication_fk FOREIGN KEY (indication_id, client_id) REFERENCES indication (id, client_id),
    CONSTRAINT adjustment_of_task UNIQUE (id, task_id),
    CONSTRAINT adjustment_corrects_fk FOREIGN KEY (corrects, task_id) REFERENCES adjustment (id, task_id),
    CONSTRAINT adjustment_corrected_once UNIQUE (corrects),
    CONSTRAINT adjustment_number_once UNIQUE (task_id, number)
);
COMMENT ON COLUMN adjustment.corrects IS 'The row whose text was mistyped; the adjustment itself was made once, when that row says.';
COMMENT ON TABLE adjustment IS 'One parameter of the meter changed: old, new, with whose permission, and the seals before and after.';

CREATE TABLE task_note (
    id          uuid        NOT NULL CONSTRAINT task_note_pk PRIMARY KEY,
    client_id   uuid        NOT NULL,
    task_id     uuid        NOT NULL,
    kind        text        NOT NULL CONSTRAINT task_note_kind CHECK (kind IN ('not-adjusted', 'not-possible', 'partly-done', 'finished', 'deviation', 'condition', 'sent-back')),
    text        text        NOT NULL CONSTRAINT task_note_text_length CHECK (length(text) BETWEEN 1 AND 2000),
    by          uuid        NOT NULL CONSTRAINT task_note_person_fk REFERENCES person (id),
    captured_at timestamptz NOT NULL,
    received_at timestamptz NOT NULL,
    CONSTRAINT task_note_task_fk FOREIGN KEY (task_id, client_id) REFERENCES task (id, client_id)
);
COMMENT ON TABLE task_note IS 'What a person says of a task: not adjusted, not possible, finished, a deviation from the method; with the reason.';
CREATE INDEX task_note_by_task ON task_note (task_id, received_at);

DO $$
DECLARE name text;
BEGIN
    FOREACH name IN ARRAY ARRAY['survey_value', 'mounting', 'setup_check', 'zero_check', 'run_plan', 'run', 'reading',
                                'reading_indication', 'set_aside', 'control_note', 'adjustment', 'task_note'] LOOP
        EXECUTE format('GRANT SELECT, INSERT ON %I TO rillmark_app', name);
        EXECUTE format('GRANT SELECT ON %I TO rillmark_read', name);
        CALL secure_client_table(name);
    END LOOP;
END $$;

INSERT INTO migration (number) VALUES (10);
