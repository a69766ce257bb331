DROP TABLE evaluation_contributor, evaluation_kit, evaluation;
DELETE FROM migration WHERE number = 11;
