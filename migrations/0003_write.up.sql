-- What the one way to write needs beside the audit trail: operations with their
-- outcome, texts about persons that can be erased, and files in parts.
CREATE TABLE operation (
    id       uuid        NOT NULL CONSTRAINT operation_pk PRIMARY KEY,
    actor    text        NOT NULL CONSTRAINT operation_actor CHECK (actor <> ''),
    action   text        NOT NULL CONSTRAINT operation_action CHECK (action <> ''),
    request  sha256      NOT NULL,
    outcome  text        NOT NULL,
    at       timestamptz NOT NULL
);
COMMENT ON TABLE operation IS 'Every accepted command once, with its outcome: sent twice it happens once, and a lost answer can be asked for again.';
COMMENT ON COLUMN operation.request IS 'Hash of the command without its secrets: the same id with another content is refused.';
GRANT SELECT, INSERT ON operation TO rillmark_app;
GRANT SELECT ON operation TO rillmark_read;

CREATE TABLE private_text (
    id   uuid        NOT NULL CONSTRAINT private_text_pk PRIMARY KEY,
    text text        CONSTRAINT private_text_length CHECK (length(text) <= 10000),
    at   timestamptz NOT NULL
);
COMMENT ON TABLE private_text IS 'Names and addresses of persons as they stood in a change: the audit trail holds the id, the text here can be erased (set to null).';
GRANT SELECT, INSERT ON private_text TO rillmark_app;

CREATE TABLE blob (
    sha256     sha256      NOT NULL CONSTRAINT blob_pk PRIMARY KEY,
    size       bigint      NOT NULL CONSTRAINT blob_size CHECK (size >= 0),
    media_type text        NOT NULL CONSTRAINT blob_media_type CHECK (media_type <> ''),
    by         text        NOT NULL CONSTRAINT blob_by CHECK (by <> ''),
    at         timestamptz NOT NULL
);
COMMENT ON TABLE blob IS 'A file, named by the hash of its content; immutable.';
CREATE TABLE blob_part (
    sha256 sha256  NOT NULL CONSTRAINT blob_part_blob_fk REFERENCES blob (sha256),
    n      integer NOT NULL CONSTRAINT blob_part_n CHECK (n >= 0),
    data   bytea   NOT NULL CONSTRAINT blob_part_size CHECK (octet_length(data) BETWEEN 1 AND 1048576),
    CONSTRAINT blob_part_pk PRIMARY KEY (sha256, n)
);
COMMENT ON TABLE blob_part IS 'The file''s bytes in parts of at most 1 MiB, numbered from 0.';
ALTER TABLE blob_part ALTER COLUMN data SET STORAGE EXTERNAL;
GRANT SELECT, INSERT ON blob, blob_part TO rillmark_app;
GRANT SELECT ON blob, blob_part TO rillmark_read;

INSERT INTO migration (number) VALUES (3);
