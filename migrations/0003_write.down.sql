DROP TABLE blob_part, blob, private_text, operation;
DELETE FROM migration WHERE number = 3;
