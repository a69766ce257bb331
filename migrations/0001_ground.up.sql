-- What every later migration stands on: the extension for exclusion constraints, the
-- number type that refuses NaN and infinity, and our own record of finished migrations.
CREATE EXTENSION IF NOT EXISTS btree_gist;

CREATE DOMAIN finite AS double precision
    CONSTRAINT finite_number CHECK (VALUE > '-Infinity' AND VALUE < 'Infinity');
COMMENT ON DOMAIN finite IS 'A number that is neither NaN nor infinite; a plain CHECK (x > 0) would accept both.';

CREATE DOMAIN sha256 AS bytea
    CONSTRAINT sha256_length CHECK (octet_length(VALUE) = 32);
COMMENT ON DOMAIN sha256 IS 'A SHA-256 hash, 32 bytes.';

CREATE TABLE migration (
    number   integer     NOT NULL CONSTRAINT migration_pk PRIMARY KEY,
    done_at  timestamptz NOT NULL DEFAULT clock_timestamp(),
    file     sha256
);
COMMENT ON TABLE migration IS 'One row for each finished migration, written by the migration itself as its last statement: a killed one has none.';
COMMENT ON COLUMN migration.file IS 'Hash of the up file that made it, filled in by the migrator: tells a database made by an earlier draft.';
GRANT SELECT ON migration TO rillmark_app, rillmark_read;

INSERT INTO migration (number) VALUES (1);
