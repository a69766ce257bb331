DROP TABLE agreement_limit, agreement, authorisation, method_edition, method;
DELETE FROM migration WHERE number = 8;
