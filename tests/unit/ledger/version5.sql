-- A ledger of version 5, as the program of that version wrote it: two units, readings up to the last
-- that it had, a log that was imported again once it had grown, two lines of it refused, one of them
-- with a remark, a row held back, settings, an event, a check that was typed in. A test gives it its
-- page size, application_id and user_version and opens it with the program of today.
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE entry (
  number INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  at INTEGER NOT NULL,
  by TEXT,
  why TEXT,
  previous BLOB NOT NULL CHECK (length(previous) = 32),
  state BLOB NOT NULL UNIQUE CHECK (length(state) = 32),
  form INTEGER NOT NULL
) STRICT;
INSERT INTO entry VALUES(1,'created',0,NULL,NULL,X'0000000000000000000000000000000000000000000000000000000000000000',X'7e0772bd8b25298f3999e4df9e57e66d7c3ff188ac9a90b3fc289033aa2b8eca',4);
INSERT INTO entry VALUES(2,'import',1768500000,NULL,NULL,X'7e0772bd8b25298f3999e4df9e57e66d7c3ff188ac9a90b3fc289033aa2b8eca',X'adc353e90fb1376bca4c53a04ffd1be66885e9b653c4e5a5327ac1f5b5cd5b3f',4);
INSERT INTO entry VALUES(3,'settings',1768500100,'KL','yearly review',X'adc353e90fb1376bca4c53a04ffd1be66885e9b653c4e5a5327ac1f5b5cd5b3f',X'48a81e44a9acee15fea9118ad83e1b886e4db136f811d327dd0e7a0d94a4755d',4);
INSERT INTO entry VALUES(4,'import',1768500200,NULL,NULL,X'48a81e44a9acee15fea9118ad83e1b886e4db136f811d327dd0e7a0d94a4755d',X'290426470e45ceb54f3e82c6373ca1c826302c1a78e24817d0524d42eb073e7c',4);
INSERT INTO entry VALUES(5,'import',1768500300,NULL,NULL,X'290426470e45ceb54f3e82c6373ca1c826302c1a78e24817d0524d42eb073e7c',X'41543c1d62572fa8227a400fa3fb5a57467efb93e77074186e26cbd9818c51e2',4);
INSERT INTO entry VALUES(6,'event',1768500400,'KL',NULL,X'41543c1d62572fa8227a400fa3fb5a57467efb93e77074186e26cbd9818c51e2',X'd611383471eaa135b535824550bc2d0951685430ea916961ca41ae67163b3c9d',4);
INSERT INTO entry VALUES(7,'check',1768500500,'KL',NULL,X'd611383471eaa135b535824550bc2d0951685430ea916961ca41ae67163b3c9d',X'096b9afa56ee4223c5442057dcd0f5c6d69c92e377ccad9ac5290042e0ec23d4',4);
CREATE TABLE unit (
  number INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  folded TEXT NOT NULL UNIQUE,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED
) STRICT;
INSERT INTO unit VALUES(1,'Suite North','suite north',2);
INSERT INTO unit VALUES(2,'Suite South','suite south',2);
CREATE TABLE source (
  number INTEGER PRIMARY KEY,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  name TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('checks', 'events', 'typed', 'kept')),
  sha256 BLOB NOT NULL CHECK (length(sha256) = 32),
  bytes INTEGER NOT NULL,
  reading TEXT NOT NULL
) STRICT;
INSERT INTO source VALUES(1,2,'log.csv','checks',X'7793ce748fd30b7cb11b2161858278c5d77382463a859d37814eead48c30a7f2',397,replace('encoding UTF-8\ndelimiter 44\ndecimal point\ndates ymd\nheader 1\ncolumn 1 date "date"\ncolumn 2 time "time"\ncolumn 3 unit "unit"\ncolumn 5 energy_mj "energy_mj"\ncolumn 6 energy_pct "energy_pct"\ncolumn 7 remark "remark"\ncolumn 8 operator "operator"\n','\n',char(10)));
INSERT INTO source VALUES(2,4,'log.csv','checks',X'147d970852a3b53894c371dd649b672a9d7f599ca17cc91615b06f9928d71b42',544,replace('encoding UTF-8\ndelimiter 44\ndecimal point\ndates ymd\nheader 1\ncolumn 1 date "date"\ncolumn 2 time "time"\ncolumn 3 unit "unit"\ncolumn 5 energy_mj "energy_mj"\ncolumn 6 energy_pct "energy_pct"\ncolumn 7 remark "remark"\ncolumn 8 operator "operator"\n','\n',char(10)));
INSERT INTO source VALUES(3,5,'other.csv','checks',X'1f950c6116e849b6fd8c7ec9e3342d9d0ca3b5e0963ae7e605b68997fa23052e',128,replace('encoding UTF-8\ndelimiter 44\ndecimal point\ndates ymd\nheader 1\ncolumn 1 date "date"\ncolumn 2 time "time"\ncolumn 3 unit "unit"\ncolumn 5 energy_mj "energy_mj"\ncolumn 6 energy_pct "energy_pct"\ncolumn 7 remark "remark"\ncolumn 8 operator "operator"\n','\n',char(10)));
INSERT INTO source VALUES(4,7,'typed in','typed',X'0000000000000000000000000000000000000000000000000000000000000000',0,'');
CREATE TABLE source_unit (
  unit INTEGER NOT NULL REFERENCES unit,
  source INTEGER NOT NULL REFERENCES source,
  rows INTEGER NOT NULL,
  fresh INTEGER NOT NULL,
  known INTEGER NOT NULL,
  conflicts INTEGER NOT NULL,
  PRIMARY KEY (unit, source)
) STRICT, WITHOUT ROWID;
INSERT INTO source_unit VALUES(1,1,2,2,0,0);
INSERT INTO source_unit VALUES(1,2,2,0,2,0);
INSERT INTO source_unit VALUES(1,3,1,0,0,1);
INSERT INTO source_unit VALUES(2,1,2,2,0,0);
INSERT INTO source_unit VALUES(2,2,5,3,2,0);
CREATE TABLE text (
  number INTEGER PRIMARY KEY,
  salt BLOB NOT NULL,
  body TEXT NOT NULL
) STRICT;
INSERT INTO text VALUES(1,X'e2a07a05926d0eeef4ca8fbb841c9bac','KL');
INSERT INTO text VALUES(2,X'80cbdae0ca36c0a36a1c026a775d9186','lamp warm, µ');
INSERT INTO text VALUES(3,X'32c1207131ed4a3b8f7c77e13ac11122','AB');
INSERT INTO text VALUES(4,X'50390cc9631c5136b603397e14dd9c00','AB');
INSERT INTO text VALUES(5,X'7f6d34a9ee13383c300c21ead5bb3abd','KL');
INSERT INTO text VALUES(6,X'249e9addcaa657c0fbdf85c38ced9847','bottle 2');
CREATE TABLE checks (
  unit INTEGER NOT NULL REFERENCES unit,
  time INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  has_clock INTEGER NOT NULL,
  source INTEGER NOT NULL REFERENCES source,
  line INTEGER NOT NULL,
  last_line INTEGER NOT NULL,
  state INTEGER NOT NULL,
  refill INTEGER NOT NULL,
  target_mj REAL,
  energy_mj REAL,
  energy_sd_pct REAL,
  spot_mm REAL,
  fluence_mj_cm2 REAL,
  fluence_setting REAL,
  plate_depth_um REAL,
  plate_pulses REAL,
  offset_x_um REAL,
  offset_y_um REAL,
  selftest_passed REAL,
  selftest_total REAL,
  hv_kv REAL,
  pulses REAL,
  fill_age_days REAL,
  temp_c REAL,
  rh_pct REAL,
  pressure_mbar REAL,
  energy_pct REAL,
  pattern INTEGER REFERENCES text,
  selftest_failed INTEGER REFERENCES text,
  meter INTEGER REFERENCES text,
  operator INTEGER REFERENCES text,
  remark INTEGER REFERENCES text,
  digest BLOB NOT NULL,
  PRIMARY KEY (unit, time, sequence)
) STRICT, WITHOUT ROWID;
INSERT INTO checks VALUES(1,1767600000,0,1,1,2,2,0,0,NULL,1.6020000000000000905,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,100.09999999999999432,NULL,NULL,NULL,1,NULL,X'34a75614debb4ebed36c6ee631a33246');
INSERT INTO checks VALUES(1,1767773100,0,1,1,4,4,0,0,NULL,1.6009999999999999786,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,100.06000000000000227,NULL,NULL,NULL,1,2,X'eb72514d2d118d9458c1841aab0aa2b2');
INSERT INTO checks VALUES(2,1767603600,0,1,1,6,6,0,0,NULL,1.6120000000000000994,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,3,NULL,X'fbdd8589fe669f198f81daf69a311413');
INSERT INTO checks VALUES(2,1767690000,0,1,1,7,7,0,0,NULL,1.6029999999999999804,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,3,NULL,X'bdc87764547505af7605dcf4bff3a5c0');
INSERT INTO checks VALUES(2,1767776400,0,1,2,8,8,0,0,NULL,1.6040000000000000923,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,NULL,X'e6cc3d1b421b79f3280709fec239b42a');
INSERT INTO checks VALUES(2,1767862800,0,1,2,9,9,0,0,NULL,1.598000000000000087,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,NULL,X'6ffd1554a237ae7d7ee513282c123b34');
INSERT INTO checks VALUES(2,1767949200,0,1,2,10,10,0,0,NULL,1.6060000000000000941,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,NULL,X'7c06a6c14f7616848f3cd73efe170b66');
INSERT INTO checks VALUES(2,1768032300,0,1,4,0,0,0,0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,100.25,NULL,NULL,NULL,NULL,NULL,X'4856f780a1b3720fd5b1fc0e82925c15');
CREATE TABLE held (
  unit INTEGER NOT NULL REFERENCES unit,
  time INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  has_clock INTEGER NOT NULL,
  source INTEGER NOT NULL REFERENCES source,
  line INTEGER NOT NULL,
  last_line INTEGER NOT NULL,
  state INTEGER NOT NULL,
  refill INTEGER NOT NULL,
  target_mj REAL,
  energy_mj REAL,
  energy_sd_pct REAL,
  spot_mm REAL,
  fluence_mj_cm2 REAL,
  fluence_setting REAL,
  plate_depth_um REAL,
  plate_pulses REAL,
  offset_x_um REAL,
  offset_y_um REAL,
  selftest_passed REAL,
  selftest_total REAL,
  hv_kv REAL,
  pulses REAL,
  fill_age_days REAL,
  temp_c REAL,
  rh_pct REAL,
  pressure_mbar REAL,
  energy_pct REAL,
  pattern INTEGER REFERENCES text,
  selftest_failed INTEGER REFERENCES text,
  meter INTEGER REFERENCES text,
  operator INTEGER REFERENCES text,
  remark INTEGER REFERENCES text,
  digest BLOB NOT NULL,
  PRIMARY KEY (unit, time, sequence)
) STRICT, WITHOUT ROWID;
INSERT INTO held VALUES(1,1767600000,0,1,3,2,2,0,0,NULL,1.5820000000000000728,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,98.900000000000005684,NULL,NULL,NULL,5,NULL,X'bd774475f1740201a304ffc4e43bb4fc');
CREATE TABLE event (
  number INTEGER PRIMARY KEY,
  unit INTEGER NOT NULL REFERENCES unit,
  time INTEGER NOT NULL,
  has_clock INTEGER NOT NULL,
  kind TEXT NOT NULL,
  note INTEGER REFERENCES text,
  source INTEGER REFERENCES source,
  line INTEGER NOT NULL,
  last_line INTEGER NOT NULL,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  digest BLOB NOT NULL CHECK (length(digest) = 16)
) STRICT;
INSERT INTO event VALUES(1,2,1767873600,1,'gas_refill',6,NULL,0,0,6,X'4cd3889bd728d4b8fb6b747c3fc05805');
CREATE TABLE refusal (
  source INTEGER NOT NULL REFERENCES source,
  number INTEGER NOT NULL,
  line INTEGER NOT NULL,
  header TEXT,
  field TEXT,
  reason TEXT NOT NULL,
  serious INTEGER NOT NULL,
  PRIMARY KEY (source, number)
) STRICT, WITHOUT ROWID;
INSERT INTO refusal VALUES(1,1,3,'energy_mj','energy_mj','expected a number with a decimal point; correct the cell or map the column',0);
INSERT INTO refusal VALUES(1,2,5,'energy_pct','energy_pct','expected a number with a decimal point; correct the cell or map the column',1);
INSERT INTO refusal VALUES(2,1,3,'energy_mj','energy_mj','expected a number with a decimal point; correct the cell or map the column',0);
INSERT INTO refusal VALUES(2,2,5,'energy_pct','energy_pct','expected a number with a decimal point; correct the cell or map the column',1);
CREATE TABLE setting_version (
  number INTEGER PRIMARY KEY,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  weekdays INTEGER NOT NULL,
  alarms_per_unit_year REAL NOT NULL,
  tell TEXT,
  clinic TEXT,
  font TEXT
) STRICT;
INSERT INTO setting_version VALUES(1,3,0,1.0,'the lead','Quellmoor Eye Clinic',NULL);
CREATE TABLE unit_setting (
  version INTEGER NOT NULL REFERENCES setting_version,
  number INTEGER NOT NULL,
  name TEXT NOT NULL,
  beam TEXT NOT NULL,
  fluence TEXT NOT NULL,
  plate_alpha_per_um REAL,
  plate_threshold REAL,
  spread TEXT NOT NULL,
  refill_interval_days REAL NOT NULL,
  expected_days REAL NOT NULL,
  pulses_per_day REAL,
  PRIMARY KEY (version, number)
) STRICT, WITHOUT ROWID;
INSERT INTO unit_setting VALUES(1,1,'Suite North','undeclared','logged',NULL,NULL,'unstated',0.0,0.0,NULL);
CREATE TABLE tolerance (
  version INTEGER NOT NULL REFERENCES setting_version,
  number INTEGER NOT NULL,
  unit TEXT NOT NULL,
  characteristic TEXT NOT NULL,
  low REAL,
  high REAL,
  source TEXT,
  from_day INTEGER NOT NULL,
  PRIMARY KEY (version, number)
) STRICT, WITHOUT ROWID;
CREATE TABLE baseline (
  unit INTEGER NOT NULL REFERENCES unit,
  characteristic TEXT NOT NULL,
  version INTEGER NOT NULL,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  from_day INTEGER NOT NULL,
  to_day INTEGER NOT NULL,
  screen INTEGER NOT NULL,
  centre REAL,
  sigma REAL,
  adjusted INTEGER NOT NULL,
  slope_per_day REAL NOT NULL,
  slope_se REAL NOT NULL,
  slope_low REAL NOT NULL,
  slope_high REAL NOT NULL,
  fills INTEGER NOT NULL,
  mean_age_days REAL NOT NULL,
  oldest_age_days REAL NOT NULL,
  radial_limit REAL NOT NULL,
  derivation INTEGER NOT NULL,
  n INTEGER NOT NULL,
  mean_x REAL NOT NULL,
  mean_y REAL NOT NULL,
  var_x REAL NOT NULL,
  var_y REAL NOT NULL,
  cov_xy REAL NOT NULL,
  from_differences INTEGER NOT NULL,
  drift_accepted INTEGER NOT NULL,
  trend_p REAL NOT NULL,
  step_p REAL NOT NULL,
  PRIMARY KEY (unit, characteristic, version)
) STRICT, WITHOUT ROWID;
CREATE TABLE baseline_exclusion (
  unit INTEGER NOT NULL,
  characteristic TEXT NOT NULL,
  version INTEGER NOT NULL,
  number INTEGER NOT NULL,
  at INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  pass INTEGER NOT NULL,
  z REAL NOT NULL,
  PRIMARY KEY (unit, characteristic, version, number),
  FOREIGN KEY (unit, characteristic, version) REFERENCES baseline
) STRICT, WITHOUT ROWID;
CREATE TABLE own_characteristic (
  version INTEGER NOT NULL REFERENCES setting_version,
  number INTEGER NOT NULL,
  key TEXT NOT NULL,
  title TEXT NOT NULL,
  unit TEXT NOT NULL,
  decimals INTEGER NOT NULL,
  PRIMARY KEY (version, number)
) STRICT, WITHOUT ROWID;
CREATE TABLE own_key (
  number INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED
) STRICT;
CREATE TABLE own_reading (
  unit INTEGER NOT NULL,
  time INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  own INTEGER NOT NULL REFERENCES own_key,
  value REAL NOT NULL,
  PRIMARY KEY (unit, time, sequence, own),
  FOREIGN KEY (unit, time, sequence) REFERENCES checks
) STRICT, WITHOUT ROWID;
CREATE TABLE held_own (
  unit INTEGER NOT NULL,
  time INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  own INTEGER NOT NULL REFERENCES own_key,
  value REAL NOT NULL,
  PRIMARY KEY (unit, time, sequence, own),
  FOREIGN KEY (unit, time, sequence) REFERENCES held
) STRICT, WITHOUT ROWID;
CREATE TABLE superseded (
  unit INTEGER NOT NULL,
  time INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  kind TEXT NOT NULL CHECK (kind IN ('corrected', 'withdrawn', 'read again', 'settled')),
  new_unit INTEGER,
  new_time INTEGER,
  new_sequence INTEGER,
  PRIMARY KEY (unit, time, sequence),
  FOREIGN KEY (unit, time, sequence) REFERENCES checks,
  FOREIGN KEY (new_unit, new_time, new_sequence) REFERENCES checks
) STRICT, WITHOUT ROWID;
CREATE TABLE superseded_event (
  event INTEGER PRIMARY KEY REFERENCES event,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  kind TEXT NOT NULL CHECK (kind IN ('corrected', 'withdrawn', 'read again', 'settled')),
  replacement INTEGER REFERENCES event
) STRICT;
CREATE TABLE settled (
  unit INTEGER NOT NULL REFERENCES unit,
  time INTEGER NOT NULL,
  source INTEGER NOT NULL REFERENCES source,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  kept TEXT NOT NULL CHECK (kept IN ('old', 'new', 'both')),
  PRIMARY KEY (unit, time, source)
) STRICT, WITHOUT ROWID;
CREATE TABLE redaction (
  text INTEGER PRIMARY KEY REFERENCES text,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  sha256 BLOB NOT NULL CHECK (length(sha256) = 32),
  field TEXT NOT NULL,
  unit INTEGER NOT NULL REFERENCES unit,
  time INTEGER NOT NULL,
  sequence INTEGER,
  event INTEGER REFERENCES event
) STRICT;
CREATE TABLE disposition (
  number INTEGER PRIMARY KEY,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  unit INTEGER NOT NULL REFERENCES unit,
  characteristic TEXT NOT NULL,
  high INTEGER NOT NULL,
  from_time INTEGER NOT NULL,
  to_time INTEGER NOT NULL,
  baseline_version INTEGER NOT NULL,
  episode TEXT NOT NULL,
  cause TEXT NOT NULL,
  action TEXT NOT NULL,
  restart INTEGER NOT NULL
) STRICT;
CREATE TABLE issued (
  number INTEGER PRIMARY KEY,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  unit INTEGER REFERENCES unit,
  month INTEGER NOT NULL,
  revision INTEGER NOT NULL,
  sha256 BLOB NOT NULL CHECK (length(sha256) = 32),
  state BLOB NOT NULL CHECK (length(state) = 10)
) STRICT;
CREATE INDEX source_by_sha256 ON source (sha256);
CREATE INDEX event_by_time ON event (unit, time);
CREATE INDEX event_by_entry ON event (entry);
CREATE INDEX superseded_by_entry ON superseded (entry);
CREATE INDEX superseded_by_new ON superseded (new_unit, new_time) WHERE new_unit IS NOT NULL;
CREATE INDEX superseded_event_by_entry ON superseded_event (entry);
CREATE TRIGGER entry_keeps_rows BEFORE DELETE ON entry BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of entry are never deleted');
END;
CREATE TRIGGER entry_keeps_values BEFORE UPDATE ON entry BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of entry are never changed');
END;
CREATE TRIGGER unit_keeps_rows BEFORE DELETE ON unit BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of unit are never deleted');
END;
CREATE TRIGGER unit_keeps_values BEFORE UPDATE ON unit BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of unit are never changed');
END;
CREATE TRIGGER source_keeps_rows BEFORE DELETE ON source BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of source are never deleted');
END;
CREATE TRIGGER source_keeps_values BEFORE UPDATE ON source BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of source are never changed');
END;
CREATE TRIGGER source_unit_keeps_rows BEFORE DELETE ON source_unit BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of source_unit are never deleted');
END;
CREATE TRIGGER source_unit_keeps_values BEFORE UPDATE ON source_unit BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of source_unit are never changed');
END;
CREATE TRIGGER text_keeps_rows BEFORE DELETE ON text BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of text are never deleted');
END;
CREATE TRIGGER text_keeps_values BEFORE UPDATE ON text WHEN NOT (new.number IS old.number AND new.salt IS x'' AND new.body IS ''
  AND EXISTS (SELECT 1 FROM redaction AS r WHERE r.text = old.number)) BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of text are never changed');
END;
CREATE TRIGGER checks_keeps_rows BEFORE DELETE ON checks BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of checks are never deleted');
END;
CREATE TRIGGER checks_keeps_values BEFORE UPDATE ON checks BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of checks are never changed');
END;
CREATE TRIGGER held_keeps_rows BEFORE DELETE ON held BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of held are never deleted');
END;
CREATE TRIGGER held_keeps_values BEFORE UPDATE ON held BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of held are never changed');
END;
CREATE TRIGGER event_keeps_rows BEFORE DELETE ON event BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of event are never deleted');
END;
CREATE TRIGGER event_keeps_values BEFORE UPDATE ON event BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of event are never changed');
END;
CREATE TRIGGER refusal_keeps_rows BEFORE DELETE ON refusal BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of refusal are never deleted');
END;
CREATE TRIGGER refusal_keeps_values BEFORE UPDATE ON refusal BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of refusal are never changed');
END;
CREATE TRIGGER setting_version_keeps_rows BEFORE DELETE ON setting_version BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of setting_version are never deleted');
END;
CREATE TRIGGER setting_version_keeps_values BEFORE UPDATE ON setting_version BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of setting_version are never changed');
END;
CREATE TRIGGER unit_setting_keeps_rows BEFORE DELETE ON unit_setting BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of unit_setting are never deleted');
END;
CREATE TRIGGER unit_setting_keeps_values BEFORE UPDATE ON unit_setting BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of unit_setting are never changed');
END;
CREATE TRIGGER tolerance_keeps_rows BEFORE DELETE ON tolerance BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of tolerance are never deleted');
END;
CREATE TRIGGER tolerance_keeps_values BEFORE UPDATE ON tolerance BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of tolerance are never changed');
END;
CREATE TRIGGER baseline_keeps_rows BEFORE DELETE ON baseline BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of baseline are never deleted');
END;
CREATE TRIGGER baseline_keeps_values BEFORE UPDATE ON baseline BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of baseline are never changed');
END;
CREATE TRIGGER baseline_exclusion_keeps_rows BEFORE DELETE ON baseline_exclusion BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of baseline_exclusion are never deleted');
END;
CREATE TRIGGER baseline_exclusion_keeps_values BEFORE UPDATE ON baseline_exclusion BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of baseline_exclusion are never changed');
END;
CREATE TRIGGER own_characteristic_keeps_rows BEFORE DELETE ON own_characteristic BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of own_characteristic are never deleted');
END;
CREATE TRIGGER own_characteristic_keeps_values BEFORE UPDATE ON own_characteristic BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of own_characteristic are never changed');
END;
CREATE TRIGGER own_key_keeps_rows BEFORE DELETE ON own_key BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of own_key are never deleted');
END;
CREATE TRIGGER own_key_keeps_values BEFORE UPDATE ON own_key BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of own_key are never changed');
END;
CREATE TRIGGER own_reading_keeps_rows BEFORE DELETE ON own_reading BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of own_reading are never deleted');
END;
CREATE TRIGGER own_reading_keeps_values BEFORE UPDATE ON own_reading BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of own_reading are never changed');
END;
CREATE TRIGGER held_own_keeps_rows BEFORE DELETE ON held_own BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of held_own are never deleted');
END;
CREATE TRIGGER held_own_keeps_values BEFORE UPDATE ON held_own BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of held_own are never changed');
END;
CREATE TRIGGER superseded_keeps_rows BEFORE DELETE ON superseded BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of superseded are never deleted');
END;
CREATE TRIGGER superseded_keeps_values BEFORE UPDATE ON superseded BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of superseded are never changed');
END;
CREATE TRIGGER superseded_event_keeps_rows BEFORE DELETE ON superseded_event BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of superseded_event are never deleted');
END;
CREATE TRIGGER superseded_event_keeps_values BEFORE UPDATE ON superseded_event BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of superseded_event are never changed');
END;
CREATE TRIGGER settled_keeps_rows BEFORE DELETE ON settled BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of settled are never deleted');
END;
CREATE TRIGGER settled_keeps_values BEFORE UPDATE ON settled BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of settled are never changed');
END;
CREATE TRIGGER redaction_keeps_rows BEFORE DELETE ON redaction BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of redaction are never deleted');
END;
CREATE TRIGGER redaction_keeps_values BEFORE UPDATE ON redaction BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of redaction are never changed');
END;
CREATE TRIGGER disposition_keeps_rows BEFORE DELETE ON disposition BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of disposition are never deleted');
END;
CREATE TRIGGER disposition_keeps_values BEFORE UPDATE ON disposition BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of disposition are never changed');
END;
CREATE TRIGGER issued_keeps_rows BEFORE DELETE ON issued BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of issued are never deleted');
END;
CREATE TRIGGER issued_keeps_values BEFORE UPDATE ON issued BEGIN
  SELECT raise(ABORT, 'the ledger only grows: rows of issued are never changed');
END;
COMMIT;
