DROP TABLE stretch, alignment, series_chunk, series, log_file, column_map;
ALTER TABLE run DROP COLUMN interval_s, DROP COLUMN averaging_s;
DELETE FROM migration WHERE number = 13;
