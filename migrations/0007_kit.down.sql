DROP TABLE equipment_set_item, equipment_set, calibration_point, calibration, kit_item;
DELETE FROM migration WHERE number = 7;
