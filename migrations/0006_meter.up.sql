-- Installed meters, the ways in which each shows its flow, and where each was when.
CREATE TABLE meter (
    id           uuid        NOT NULL CONSTRAINT meter_pk PRIMARY KEY,
    client_id    uuid        NOT NULL CONSTRAINT meter_client_fk REFERENCES client (id),
    principle    text        NOT NULL CONSTRAINT meter_principle_length CHECK (length(principle) BETWEEN 1 AND 100),
    maker        text        NOT NULL CONSTRAINT meter_maker_length CHECK (length(maker) <= 100),
    model        text        NOT NULL CONSTRAINT meter_model_length CHECK (length(model) <= 100),
    serial       text        NOT NULL CONSTRAINT meter_serial_length CHECK (length(serial) BETWEEN 1 AND 60),
    firmware     text        NOT NULL CONSTRAINT meter_firmware_length CHECK (length(firmware) <= 60),
    nominal_size text        NOT NULL CONSTRAINT meter_nominal_size_length CHECK (length(nominal_size) <= 40),
    measurand    text        NOT NULL CONSTRAINT meter_measurand CHECK (measurand IN ('volume', 'mass', 'base-volume')),
    note         text        NOT NULL CONSTRAINT meter_note_length CHECK (length(note) <= 4000),
    version      bigint      NOT NULL CONSTRAINT meter_version CHECK (version >= 1),
    created_at   timestamptz NOT NULL,
    changed_at   timestamptz NOT NULL,
    CONSTRAINT meter_of_client UNIQUE (id, client_id)
);
COMMENT ON TABLE meter IS 'An installed flow meter that is, or will be, verified.';
COMMENT ON COLUMN meter.measurand IS 'What it measures: volume, mass, or volume at base conditions.';
CREATE UNIQUE INDEX meter_serial_once ON meter (client_id, lower(maker), lower(serial));

CREATE TABLE indication (
    id                  uuid        NOT NULL CONSTRAINT indication_pk PRIMARY KEY,
    client_id           uuid        NOT NULL,
    meter_id            uuid        NOT NULL,
    name                text        NOT NULL CONSTRAINT indication_name_length CHECK (length(name) BETWEEN 1 AND 60),
    way                 text        NOT NULL CONSTRAINT indication_way CHECK (way IN ('display', 'pulse', 'current', 'bus', 'control-system')),
    unit                text        NOT NULL CONSTRAINT indication_unit_length CHECK (length(unit) BETWEEN 1 AND 30),
    resolution          finite      CONSTRAINT indication_resolution_positive CHECK (resolution > 0),
    resolution_entered  text,
    low_signal          finite,
    high_signal         finite,
    flow_at_low         finite,
    flow_at_low_entered text,
    flow_at_high        finite,
    flow_at_high_entered text,
    pulse_volume        finite      CONSTRAINT indication_pulse_volume_positive CHECK (pulse_volume > 0),
    pulse_volume_entered text,
    update_interval_s   finite      CONSTRAINT indication_update_interval CHECK (update_interval_s >= 0),
    version             bigint      NOT NULL CONSTRAINT indication_version CHECK (version >= 1),
    created_at          timestamptz NOT NULL,
    changed_at          timestamptz NOT NULL,
    CONSTRAINT indication_meter_fk FOREIGN KEY (meter_id, client_id) REFERENCES meter (id, client_id),
    CONSTRAINT indication_of_client UNIQUE (id, client_id),
    CONSTRAINT indication_resolution_as_entered CHECK ((resolution IS NULL) = (resolution_entered IS NULL)),
    CONSTRAINT indication_flow_at_low_as_entered CHECK ((flow_at_low IS NULL) = (flow_at_low_entered IS NULL)),
    CONSTRAINT indication_flow_at_high_as_entered CHECK ((flow_at_high IS NULL) = (flow_at_high_entered IS NULL)),
    CONSTRAINT indication_pulse_volume_as_entered CHECK ((pulse_volume IS NULL) = (pulse_volume_entered IS NULL)),
    CONSTRAINT indication_scaling CHECK (way <> 'current' OR (low_signal < high_signal AND flow_at_low < flow_at_high))
);
COMMENT ON TABLE indication IS 'One way in which a meter shows its flow, so that sensor, output and scaling errors can be told apart.';
COMMENT ON COLUMN indication.low_signal IS 'Ampere, with way current: the signal at flow_at_low (m3/s).';
COMMENT ON COLUMN indication.resolution IS 'Smallest step in m3/s.';
CREATE UNIQUE INDEX indication_name_once ON indication (meter_id, lower(name));

CREATE TABLE installation (
    id             uuid        NOT NULL CONSTRAINT installation_pk PRIMARY KEY,
    client_id      uuid        NOT NULL,
    meter_id       uuid        NOT NULL,
    point_id       uuid        NOT NULL,
    slot           smallint    NOT NULL DEFAULT 1 CONSTRAINT installation_slot CHECK (slot >= 1),
    during         tstzrange   NOT NULL CONSTRAINT installation_starts CHECK (NOT isempty(during) AND NOT lower_inf(during)),
    installed_by   text        NOT NULL CONSTRAINT installation_installed_by_length CHECK (length(installed_by) BETWEEN 1 AND 200),
    install_reason text        NOT NULL CONSTRAINT installation_install_reason_length CHECK (length(install_reason) BETWEEN 1 AND 1000),
    removed_by     text        CONSTRAINT installation_removed_by_length CHECK (length(removed_by) BETWEEN 1 AND 200),
    remove_reason  text        CONSTRAINT installation_remove_reason_length CHECK (length(remove_reason) BETWEEN 1 AND 1000),
    version        bigint      NOT NULL CONSTRAINT installation_version CHECK (version >= 1),
    created_at     timestamptz NOT NULL,
    changed_at     timestamptz NOT NULL,
    CONSTRAINT installation_meter_fk FOREIGN KEY (meter_id, client_id) REFERENCES meter (id, client_id),
    CONSTRAINT installation_point_fk FOREIGN KEY (point_id, client_id) REFERENCES measuring_point (id, client_id),
    CONSTRAINT installation_of_client UNIQUE (id, client_id),
    CONSTRAINT installation_end_told CHECK (upper_inf(during) = (removed_by IS NULL) AND (removed_by IS NULL) = (remove_reason IS NULL)),
    CONSTRAINT installation_meter_one_place EXCLUDE USING gist (meter_id WITH =, during WITH &&),
    CONSTRAINT installation_slot_one_meter EXCLUDE USING gist (point_id WITH =, slot WITH =, during WITH &&)
);
COMMENT ON TABLE installation IS 'One meter at one measuring point from one time to another: who installed it, who removed it, and why.';

GRANT SELECT, INSERT ON meter, indication, installation TO rillmark_app;
GRANT UPDATE (principle, maker, model, serial, firmware, nominal_size, measurand, note, version, changed_at) ON meter TO rillmark_app;
GRANT UPDATE (name, way, unit, resolution, resolution_entered, low_signal, high_signal, flow_at_low, flow_at_low_entered,
              flow_at_high, flow_at_high_entered, pulse_volume, pulse_volume_entered, update_interval_s, version, changed_at) ON indication TO rillmark_app;
GRANT UPDATE (during, removed_by, remove_reason, version, changed_at) ON installation TO rillmark_app;
GRANT SELECT ON meter, indication, installation TO rillmark_read;
GRANT SELECT ON indication, installation TO rillmark_portal;
GRANT SELECT (id, client_id, principle, maker, model, serial, firmware, nominal_size, measurand, version, created_at, changed_at) ON meter TO rillmark_portal; -- the note is the company's

-- Row-level security of every client-owned table is the same; one procedure sets it.
CREATE PROCEDURE secure_client_table(name text) LANGUAGE plpgsql AS $$
BEGIN
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', name);
    EXECUTE format('CREATE POLICY %I ON %I TO rillmark_app USING (true) WITH CHECK (true)', name || '_company', name);
    EXECUTE format('CREATE POLICY %I ON %I FOR SELECT TO rillmark_read USING (true)', name || '_read', name);
    EXECUTE format('CREATE POLICY %I ON %I FOR SELECT TO rillmark_portal
        USING (client_id = nullif(current_setting(''rillmark.client_id'', true), '''')::uuid)', name || '_portal', name);
END $$;
COMMENT ON PROCEDURE secure_client_table IS 'Used by migrations: row-level security for a table whose rows belong to a client.';
REVOKE ALL ON PROCEDURE secure_client_table(text) FROM PUBLIC;
CALL secure_client_table('meter');
CALL secure_client_table('indication');
CALL secure_client_table('installation');

INSERT INTO migration (number) VALUES (6);
