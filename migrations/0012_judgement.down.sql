DROP FUNCTION check_certificate(bytea);
DROP TABLE certificate_withdrawal, certificate, numbering, preparation, approval;
DROP FUNCTION approval_check(), certificate_check(), withdrawal_check(), immutable_row(), stated_now(timestamptz);
ALTER TABLE evaluation DROP CONSTRAINT evaluation_as_approved;
DROP FUNCTION sheet_rows(uuid);
DELETE FROM migration WHERE number = 12;
