-- Clients, their sites, and the measuring points there. Every row that belongs to a
-- client carries client_id, tied by composite foreign keys, and row-level security
-- shows the portal's role that client's rows alone.
CREATE TABLE client (
    id            uuid        NOT NULL CONSTRAINT client_pk PRIMARY KEY,
    client_id     uuid        NOT NULL GENERATED ALWAYS AS (id) STORED,
    name          text        NOT NULL CONSTRAINT client_name_length CHECK (length(name) BETWEEN 1 AND 200),
    address       text        NOT NULL CONSTRAINT client_address_length CHECK (length(address) <= 1000),
    contact_name  text        NOT NULL CONSTRAINT client_contact_name_length CHECK (length(contact_name) <= 200),
    contact_email text        NOT NULL CONSTRAINT client_contact_email_length CHECK (length(contact_email) <= 254),
    contact_phone text        NOT NULL CONSTRAINT client_contact_phone_length CHECK (length(contact_phone) <= 60),
    note          text        NOT NULL CONSTRAINT client_note_length CHECK (length(note) <= 4000),
    version       bigint      NOT NULL CONSTRAINT client_version CHECK (version >= 1),
    created_at    timestamptz NOT NULL,
    changed_at    timestamptz NOT NULL
);
COMMENT ON TABLE client IS 'A customer of the service company.';
CREATE UNIQUE INDEX client_name_once ON client (lower(name));

CREATE TABLE site (
    id          uuid        NOT NULL CONSTRAINT site_pk PRIMARY KEY,
    client_id   uuid        NOT NULL CONSTRAINT site_client_fk REFERENCES client (id),
    name        text        NOT NULL CONSTRAINT site_name_length CHECK (length(name) BETWEEN 1 AND 200),
    address     text        NOT NULL CONSTRAINT site_address_length CHECK (length(address) <= 1000),
    time_zone   text        NOT NULL CONSTRAINT site_time_zone_length CHECK (length(time_zone) BETWEEN 1 AND 64),
    access_note text        NOT NULL CONSTRAINT site_access_note_length CHECK (length(access_note) <= 4000),
    safety_note text        NOT NULL CONSTRAINT site_safety_note_length CHECK (length(safety_note) <= 4000),
    version     bigint      NOT NULL CONSTRAINT site_version CHECK (version >= 1),
    created_at  timestamptz NOT NULL,
    changed_at  timestamptz NOT NULL,
    CONSTRAINT site_of_client UNIQUE (id, client_id)
);
COMMENT ON TABLE site IS 'One of a client''s places.';
COMMENT ON COLUMN site.time_zone IS 'IANA name; dates of work there are told in it.';
CREATE UNIQUE INDEX site_name_once ON site (client_id, lower(name));

CREATE TABLE measuring_point (
    id                       uuid        NOT NULL CONSTRAINT measuring_point_pk PRIMARY KEY,
    client_id                uuid        NOT NULL,
    site_id                  uuid        NOT NULL,
    tag                      text        NOT NULL CONSTRAINT measuring_point_tag_length CHECK (length(tag) BETWEEN 1 AND 60),
    name                     text        NOT NULL CONSTRAINT measuring_point_name_length CHECK (length(name) <= 200),
    fluid                    text        NOT NULL CONSTRAINT measuring_point_fluid_length CHECK (length(fluid) <= 100),
    pipe                     text        NOT NULL CONSTRAINT measuring_point_pipe_length CHECK (length(pipe) <= 200),
    outside_diameter         finite      CONSTRAINT measuring_point_outside_diameter_positive CHECK (outside_diameter > 0),
    outside_diameter_entered text,
    wall                     finite      CONSTRAINT measuring_point_wall_positive CHECK (wall > 0),
    wall_entered             text,
    straight_before          finite      CONSTRAINT measuring_point_straight_before_positive CHECK (straight_before >= 0),
    straight_before_entered  text,
    straight_after           finite      CONSTRAINT measuring_point_straight_after_positive CHECK (straight_after >= 0),
    straight_after_entered   text,
    note                     text        NOT NULL CONSTRAINT measuring_point_note_length CHECK (length(note) <= 4000),
    version                  bigint      NOT NULL CONSTRAINT measuring_point_version CHECK (version >= 1),
    created_at               timestamptz NOT NULL,
    changed_at               timestamptz NOT NULL,
    CONSTRAINT measuring_point_site_fk FOREIGN KEY (site_id, client_id) REFERENCES site (id, client_id),
    CONSTRAINT measuring_point_of_client UNIQUE (id, client_id),
    CONSTRAINT measuring_point_outside_diameter_as_entered CHECK ((outside_diameter IS NULL) = (outside_diameter_entered IS NULL)),
    CONSTRAINT measuring_point_wall_as_entered CHECK ((wall IS NULL) = (wall_entered IS NULL)),
    CONSTRAINT measuring_point_straight_before_as_entered CHECK ((straight_before IS NULL) = (straight_before_entered IS NULL)),
    CONSTRAINT measuring_point_straight_after_as_entered CHECK ((straight_after IS NULL) = (straight_after_entered IS NULL)),
    CONSTRAINT measuring_point_wall_within_radius CHECK (outside_diameter IS NULL OR wall IS NULL OR 2 * wall < outside_diameter)
);
COMMENT ON TABLE measuring_point IS 'A place in the plant where flow is measured.';
COMMENT ON COLUMN measuring_point.outside_diameter IS 'Metres; the text as entered stands beside it, both or neither.';
COMMENT ON COLUMN measuring_point.wall IS 'Metres.';
COMMENT ON COLUMN measuring_point.straight_before IS 'Metres of straight pipe upstream of the meter.';
COMMENT ON COLUMN measuring_point.straight_after IS 'Metres of straight pipe downstream of the meter.';
CREATE UNIQUE INDEX measuring_point_tag_once ON measuring_point (site_id, lower(tag));

GRANT SELECT, INSERT ON client, site, measuring_point TO rillmark_app;
GRANT UPDATE (name, address, contact_name, contact_email, contact_phone, note, version, changed_at) ON client TO rillmark_app;
GRANT UPDATE (name, address, time_zone, access_note, safety_note, version, changed_at) ON site TO rillmark_app;
GRANT UPDATE (tag, name, fluid, pipe, outside_diameter, outside_diameter_entered, wall, wall_entered,
              straight_before, straight_before_entered, straight_after, straight_after_entered,
              note, version, changed_at) ON measuring_point TO rillmark_app;
GRANT SELECT ON client, site, measuring_point TO rillmark_read;
-- The company's own notes are not the client's to read.
GRANT SELECT ON site TO rillmark_portal;
GRANT SELECT (id, client_id, name, address, contact_name, contact_email, contact_phone, version, created_at, changed_at) ON client TO rillmark_portal;
GRANT SELECT (id, client_id, site_id, tag, name, fluid, pipe, outside_diameter, outside_diameter_entered, wall, wall_entered,
              straight_before, straight_before_entered, straight_after, straight_after_entered, version, created_at, changed_at) ON measuring_point TO rillmark_portal;

ALTER TABLE client ENABLE ROW LEVEL SECURITY;
ALTER TABLE site ENABLE ROW LEVEL SECURITY;
ALTER TABLE measuring_point ENABLE ROW LEVEL SECURITY;
CREATE POLICY client_company ON client TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY site_company ON site TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY measuring_point_company ON measuring_point TO rillmark_app USING (true) WITH CHECK (true);
CREATE POLICY client_read ON client FOR SELECT TO rillmark_read USING (true);
CREATE POLICY site_read ON site FOR SELECT TO rillmark_read USING (true);
CREATE POLICY measuring_point_read ON measuring_point FOR SELECT TO rillmark_read USING (true);
CREATE POLICY client_portal ON client FOR SELECT TO rillmark_portal
    USING (client_id = nullif(current_setting('rillmark.client_id', true), '')::uuid);
CREATE POLICY site_portal ON site FOR SELECT TO rillmark_portal
    USING (client_id = nullif(current_setting('rillmark.client_id', true), '')::uuid);
CREATE POLICY measuring_point_portal ON measuring_point FOR SELECT TO rillmark_portal
    USING (client_id = nullif(current_setting('rillmark.client_id', true), '')::uuid);

INSERT INTO migration (number) VALUES (5);
