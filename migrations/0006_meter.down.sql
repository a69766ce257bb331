DROP TABLE installation, indication, meter;
DROP PROCEDURE secure_client_table(text);
DELETE FROM migration WHERE number = 6;
