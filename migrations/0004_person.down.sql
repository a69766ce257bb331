DROP TABLE security_log, kept_entry, login_throttle, login_device, session, credential, person;
DELETE FROM migration WHERE number = 4;
