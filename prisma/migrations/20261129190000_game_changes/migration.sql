-- When the game is changed, every meter is read before and after: the interval goes on across the change in two segments.
ALTER TABLE meter_reading DROP CONSTRAINT meter_reading_occasion_check;
ALTER TABLE meter_reading ADD CONSTRAINT meter_reading_occasion_check
  CHECK (occasion IN ('collection', 'placement', 'removal', 'price-change', 'board-access', 'board-fitted', 'board-removed', 'game-change', 'in-service', 'out-of-service'));
ALTER TABLE meter_reading DROP CONSTRAINT meter_reading_pair;
ALTER TABLE meter_reading ADD CONSTRAINT meter_reading_pair CHECK ((occasion IN ('board-access', 'game-change')) = (phase <> 'only'));
ALTER TABLE meter_not_read DROP CONSTRAINT meter_not_read_occasion_check;
ALTER TABLE meter_not_read ADD CONSTRAINT meter_not_read_occasion_check CHECK (occasion IN ('collection', 'placement', 'removal', 'game-change', 'in-service', 'out-of-service'));
