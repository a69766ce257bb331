-- The company's measuring equipment, its calibrations and the sets that travel together.
CREATE TABLE kit_item (
    id                 uuid        NOT NULL CONSTRAINT kit_item_pk PRIMARY KEY,
    kind               text        NOT NULL CONSTRAINT kit_item_kind CHECK (kind IN ('reference-meter', 'transducer-pair', 'cable',
                                   'wall-gauge', 'thermometer', 'tape', 'calliper', 'loop-calibrator', 'clock')),
    tag                text        NOT NULL CONSTRAINT kit_item_tag_length CHECK (length(tag) BETWEEN 1 AND 40),
    maker              text        NOT NULL CONSTRAINT kit_item_maker_length CHECK (length(maker) <= 100),
    model              text        NOT NULL CONSTRAINT kit_item_model_length CHECK (length(model) <= 100),
    serial             text        NOT NULL CONSTRAINT kit_item_serial_length CHECK (length(serial) <= 60),
    firmware           text        NOT NULL CONSTRAINT kit_item_firmware_length CHECK (length(firmware) <= 60),
    -- of a reference meter
    works_by           text        CONSTRAINT kit_item_works_by CHECK (works_by IN ('transit-time', 'entered-sound-speed')),
    takes_spacing      boolean,
    least_snr_db       finite,
    resolution         finite      CONSTRAINT kit_item_resolution_positive CHECK (resolution > 0),
    resolution_entered text,
    averaging_s        finite      CONSTRAINT kit_item_averaging CHECK (averaging_s >= 0),
    -- of a transducer pair
    wave               text        CONSTRAINT kit_item_wave CHECK (wave IN ('shear', 'longitudinal')),
    wedge_angle        finite      CONSTRAINT kit_item_wedge_angle CHECK (wedge_angle > 0 AND wedge_angle < 1.5708),
    wedge_sound_speed  finite      CONSTRAINT kit_item_wedge_sound_speed CHECK (wedge_sound_speed > 0),
    exit_offset        finite      CONSTRAINT kit_item_exit_offset CHECK (exit_offset >= 0),
    frequency          finite      CONSTRAINT kit_item_frequency CHECK (frequency > 0),
    -- of a tape
    graduation         finite      CONSTRAINT kit_item_graduation CHECK (graduation > 0),
    out_of_service_at  timestamptz,
    out_of_service_why text        CONSTRAINT kit_item_out_of_service_why_length CHECK (length(out_of_service_why) BETWEEN 1 AND 1000),
    note               text        NOT NULL CONSTRAINT kit_item_note_length CHECK (length(note) <= 4000),
    version            bigint      NOT NULL CONSTRAINT kit_item_version CHECK (version >= 1),
    created_at         timestamptz NOT NULL,
    changed_at         timestamptz NOT NULL,
    CONSTRAINT kit_item_out_of_service_told CHECK ((out_of_service_at IS NULL) = (out_of_service_why IS NULL)),
    CONSTRAINT kit_item_resolution_as_entered CHECK ((resolution IS NULL) = (resolution_entered IS NULL)),
    CONSTRAINT kit_item_reference_complete CHECK (kind <> 'reference-meter' OR (works_by IS NOT NULL AND takes_spacing IS NOT NULL)),
    CONSTRAINT kit_item_pair_complete CHECK (kind <> 'transducer-pair' OR
        (wave IS NOT NULL AND wedge_angle IS NOT NULL AND wedge_sound_speed IS NOT NULL AND exit_offset IS NOT NULL))
);
COMMENT ON TABLE kit_item IS 'A piece of the company''s measuring equipment. SI units: radian, m/s, m, Hz; resolution in the unit of what it measures.';
CREATE UNIQUE INDEX kit_item_tag_once ON kit_item (lower(tag));

CREATE TABLE calibration (
    id                  uuid        NOT NULL CONSTRAINT calibration_pk PRIMARY KEY,
    kit_id              uuid        NOT NULL CONSTRAINT calibration_kit_fk REFERENCES kit_item (id),
    pair_id             uuid        CONSTRAINT calibration_pair_fk REFERENCES kit_item (id),
    cable_id            uuid        CONSTRAINT calibration_cable_fk REFERENCES kit_item (id),
    quantity            text        NOT NULL CONSTRAINT calibration_quantity CHECK (quantity IN ('flow', 'length', 'temperature', 'time', 'current')),
    certificate_number  text        NOT NULL CONSTRAINT calibration_certificate_number_length CHECK (length(certificate_number) BETWEEN 1 AND 100),
    laboratory          text        NOT NULL CONSTRAINT calibration_laboratory_length CHECK (length(laboratory) BETWEEN 1 AND 200),
    route               text        NOT NULL CONSTRAINT calibration_route CHECK (route IN ('national-institute', 'accredited', 'documented', 'in-house')),
    calibrated_on       date        NOT NULL,
    valid               tstzrange   NOT NULL CONSTRAINT calibration_valid_bounded CHECK (NOT isempty(valid) AND NOT lower_inf(valid) AND NOT upper_inf(valid)),
    document            sha256      CONSTRAINT calibration_document_fk REFERENCES blob (sha256),
    least_inside_diameter finite, most_inside_diameter finite,
    least_velocity      finite,    most_velocity       finite,
    least_reynolds      finite,    most_reynolds       finite,
    traverses           smallint[],
    by                  text        NOT NULL,
    received_at         timestamptz NOT NULL,
    CONSTRAINT calibration_with_its_validity UNIQUE (id, valid),
    CONSTRAINT calibration_diameters CHECK (least_inside_diameter > 0 AND least_inside_diameter <= most_inside_diameter),
    CONSTRAINT calibration_velocities CHECK (least_velocity >= 0 AND least_velocity <= most_velocity),
    CONSTRAINT calibration_reynolds CHECK (least_reynolds >= 0 AND least_reynolds <= most_reynolds),
    CONSTRAINT calibration_ranges_of_flow CHECK (quantity <> 'flow' OR (least_inside_diameter IS NOT NULL AND least_velocity IS NOT NULL AND traverses IS NOT NULL))
);
COMMENT ON TABLE calibration IS 'One calibration of one item, for a reference meter with its transducer pair and cable; immutable. A later one does not shorten it.';
COMMENT ON COLUMN calibration.valid IS 'From when to when results may rest on it; evaluations tie to it.';

CREATE TABLE calibration_point (
    calibration_id       uuid    NOT NULL CONSTRAINT calibration_point_calibration_fk REFERENCES calibration (id),
    n                    integer NOT NULL CONSTRAINT calibration_point_n CHECK (n >= 1),
    at_value             finite  NOT NULL,
    at_entered           text    NOT NULL,
    error                finite  NOT NULL,
    error_entered        text    NOT NULL,
    expanded_uncertainty finite  NOT NULL CONSTRAINT calibration_point_u_positive CHECK (expanded_uncertainty > 0),
    expanded_entered     text    NOT NULL,
    coverage_factor      finite  NOT NULL CONSTRAINT calibration_point_k CHECK (coverage_factor >= 1),
    CONSTRAINT calibration_point_pk PRIMARY KEY (calibration_id, n),
    CONSTRAINT calibration_point_value_once UNIQUE (calibration_id, at_value)
);
COMMENT ON TABLE calibration_point IS 'Error and expanded uncertainty at one value. For flow: at_value is the velocity in m/s, error and U are relative (0.004 = 0.4 %); otherwise all in the SI unit of the quantity.';

CREATE TABLE equipment_set (
    id         uuid        NOT NULL CONSTRAINT equipment_set_pk PRIMARY KEY,
    name       text        NOT NULL CONSTRAINT equipment_set_name_length CHECK (length(name) BETWEEN 1 AND 100),
    version    bigint      NOT NULL CONSTRAINT equipment_set_version CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    changed_at timestamptz NOT NULL
);
COMMENT ON TABLE equipment_set IS 'Equipment that travels together.';
CREATE UNIQUE INDEX equipment_set_name_once ON equipment_set (lower(name));
CREATE TABLE equipment_set_item (
    set_id uuid      NOT NULL CONSTRAINT equipment_set_item_set_fk REFERENCES equipment_set (id),
    kit_id uuid      NOT NULL CONSTRAINT equipment_set_item_kit_fk REFERENCES kit_item (id),
    during tstzrange NOT NULL CONSTRAINT equipment_set_item_starts CHECK (NOT isempty(during) AND NOT lower_inf(during)),
    CONSTRAINT equipment_set_item_pk PRIMARY KEY (set_id, kit_id, during),
    CONSTRAINT equipment_set_item_one_set EXCLUDE USING gist (kit_id WITH =, during WITH &&)
);
COMMENT ON TABLE equipment_set_item IS 'Which item was in which set from when to when.';

GRANT SELECT, INSERT ON kit_item, calibration, calibration_point, equipment_set, equipment_set_item TO rillmark_app;
GRANT UPDATE (kind, tag, maker, model, serial, firmware, works_by, takes_spacing, least_snr_db, resolution, resolution_entered, averaging_s,
              wave, wedge_angle, wedge_sound_speed, exit_offset, frequency, graduation, out_of_service_at, out_of_service_why,
              note, version, changed_at) ON kit_item TO rillmark_app;
GRANT UPDATE (name, version, changed_at) ON equipment_set TO rillmark_app;
GRANT UPDATE (during) ON equipment_set_item TO rillmark_app;
GRANT SELECT ON kit_item, calibration, calibration_point, equipment_set, equipment_set_item TO rillmark_read;

INSERT INTO migration (number) VALUES (7);
