DROP TABLE task, visit_step, booking, visit;
DELETE FROM migration WHERE number = 9;
