DROP TABLE measuring_point, site, client;
DELETE FROM migration WHERE number = 5;
