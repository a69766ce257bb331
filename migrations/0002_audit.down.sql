DROP SCHEMA audit CASCADE;
DELETE FROM migration WHERE number = 2;
