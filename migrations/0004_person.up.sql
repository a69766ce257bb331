-- People, how they log in, and what happens at the door.
CREATE TABLE person (
    id          uuid        NOT NULL CONSTRAINT person_pk PRIMARY KEY,
    login       text        NOT NULL CONSTRAINT person_login_form CHECK (login ~ '^[a-z0-9][a-z0-9._-]{0,62}$')
                            CONSTRAINT person_login_once UNIQUE,
    name        text        NOT NULL CONSTRAINT person_name_length CHECK (length(name) BETWEEN 1 AND 200),
    roles       text[]      NOT NULL CONSTRAINT person_roles_known
                            CHECK (roles <@ ARRAY['administrator', 'coordinator', 'technician', 'approver', 'auditor']),
    disabled_at timestamptz,
    version     bigint      NOT NULL CONSTRAINT person_version CHECK (version >= 1),
    created_at  timestamptz NOT NULL,
    changed_at  timestamptz NOT NULL,
    lengths     text        NOT NULL DEFAULT 'metric' CONSTRAINT person_lengths CHECK (lengths IN ('metric', 'inch'))
);
COMMENT ON TABLE person IS 'A person of the service company; never deleted, disabled instead.';
COMMENT ON COLUMN person.login IS 'The name typed at the door, lower case.';
COMMENT ON COLUMN person.lengths IS 'In which units the person is shown lengths beside those entered.';
GRANT SELECT, INSERT ON person TO rillmark_app;
GRANT UPDATE (login, name, roles, disabled_at, lengths, version, changed_at) ON person TO rillmark_app;
GRANT SELECT (id, roles, disabled_at, lengths, version, created_at, changed_at) ON person TO rillmark_read;

CREATE TABLE credential (
    person_id  uuid        NOT NULL CONSTRAINT credential_pk PRIMARY KEY
                           CONSTRAINT credential_person_fk REFERENCES person (id),
    password   text        NOT NULL CONSTRAINT credential_argon2id CHECK (password LIKE '$argon2id$%'),
    changed_at timestamptz NOT NULL
);
COMMENT ON TABLE credential IS 'The argon2id hash of a person''s password; the application''s role alone reads it.';
GRANT SELECT, INSERT, UPDATE ON credential TO rillmark_app;

CREATE TABLE session (
    id         uuid        NOT NULL CONSTRAINT session_pk PRIMARY KEY,
    token      sha256      NOT NULL CONSTRAINT session_token_once UNIQUE,
    person_id  uuid        NOT NULL CONSTRAINT session_person_fk REFERENCES person (id),
    address    text        NOT NULL,
    agent      text        NOT NULL CONSTRAINT session_agent_length CHECK (length(agent) <= 300),
    created_at timestamptz NOT NULL,
    seen_at    timestamptz NOT NULL,
    idle_until timestamptz NOT NULL,
    ends_at    timestamptz NOT NULL,
    revoked_at timestamptz
);
COMMENT ON TABLE session IS 'A login on one device. The row stays after its end, so that a late form still knows whose it was.';
COMMENT ON COLUMN session.token IS 'Hash of the random token in the cookie; the token itself is nowhere here.';
CREATE INDEX session_by_person ON session (person_id, created_at DESC);
GRANT SELECT, INSERT ON session TO rillmark_app;
GRANT UPDATE (seen_at, idle_until, revoked_at) ON session TO rillmark_app;

CREATE TABLE login_device (
    token      sha256      NOT NULL CONSTRAINT login_device_pk PRIMARY KEY,
    person_id  uuid        NOT NULL CONSTRAINT login_device_person_fk REFERENCES person (id),
    created_at timestamptz NOT NULL
);
COMMENT ON TABLE login_device IS 'A browser from which the person has logged in before: it has a throttle of its own, so strangers guessing at the account cannot shut its owner out.';
GRANT SELECT, INSERT, DELETE ON login_device TO rillmark_app;

CREATE TABLE login_throttle (
    kind     text        NOT NULL CONSTRAINT login_throttle_kind CHECK (kind IN ('account', 'address', 'device')),
    key      text        NOT NULL,
    failures finite      NOT NULL CONSTRAINT login_throttle_failures CHECK (failures >= 0),
    at       timestamptz NOT NULL,
    until    timestamptz NOT NULL,
    CONSTRAINT login_throttle_pk PRIMARY KEY (kind, key)
);
COMMENT ON TABLE login_throttle IS 'Failed logins by account, address and known device; failures fade with time, waits are bounded.';
GRANT SELECT, INSERT, UPDATE, DELETE ON login_throttle TO rillmark_app;

CREATE TABLE kept_entry (
    id         uuid        NOT NULL CONSTRAINT kept_entry_pk PRIMARY KEY,
    person_id  uuid        NOT NULL CONSTRAINT kept_entry_person_fk REFERENCES person (id),
    path       text        NOT NULL CONSTRAINT kept_entry_path CHECK (path LIKE '/%' AND length(path) <= 2000),
    form       text        NOT NULL CONSTRAINT kept_entry_size CHECK (length(form) <= 262144),
    at         timestamptz NOT NULL
);
COMMENT ON TABLE kept_entry IS 'A form sent on an ended session, kept for the same person and offered again after login; deleted when sent or thrown away.';
CREATE INDEX kept_entry_by_person ON kept_entry (person_id, at);
GRANT SELECT, INSERT, DELETE ON kept_entry TO rillmark_app;

CREATE TABLE security_log (
    id        bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT security_log_pk PRIMARY KEY,
    at        timestamptz NOT NULL DEFAULT clock_timestamp(),
    event     text        NOT NULL CONSTRAINT security_log_event CHECK (event <> ''),
    person_id uuid        CONSTRAINT security_log_person_fk REFERENCES person (id),
    address   text        NOT NULL,
    detail    text        NOT NULL CONSTRAINT security_log_detail CHECK (length(detail) <= 1000)
);
COMMENT ON TABLE security_log IS 'Logins, failed logins and refused access: unchained, inserts only.';
CREATE INDEX security_log_by_person ON security_log (person_id, id DESC);
GRANT SELECT, INSERT ON security_log TO rillmark_app;
GRANT SELECT ON security_log TO rillmark_read;

INSERT INTO migration (number) VALUES (4);
