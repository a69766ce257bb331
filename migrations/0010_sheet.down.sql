DROP TABLE task_note, adjustment, control_note, set_aside, reading_indication, reading, run, run_plan, zero_check, setup_check, mounting, survey_value;
DELETE FROM migration WHERE number = 10;
