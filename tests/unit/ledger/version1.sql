-- A ledger of version 1, as the program of that version wrote it: two units, texts, refused lines,
-- a row held back, events, settings, two versions of a baseline. A test gives it its page size,
-- application_id and user_version and opens it with the program of today (migrate.c).
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE entry (
  number INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  at INTEGER NOT NULL,
  by TEXT,
  why TEXT,
  previous BLOB NOT NULL CHECK (length(previous) = 32),
  state BLOB NOT NULL UNIQUE CHECK (length(state) = 32)
) STRICT;
INSERT INTO entry VALUES(1,'created',0,NULL,NULL,X'0000000000000000000000000000000000000000000000000000000000000000',X'ffa99bd89439b823d6ac41e0dca34b17951ed706fcb09c99097b676e4332f823');
INSERT INTO entry VALUES(2,'import',1767776400,NULL,NULL,X'ffa99bd89439b823d6ac41e0dca34b17951ed706fcb09c99097b676e4332f823',X'c03fc6867fa7427b75791a5bc3d532b839493c923cdfdc15fbd31e665e7d9d9c');
INSERT INTO entry VALUES(3,'import',1767776700,NULL,NULL,X'c03fc6867fa7427b75791a5bc3d532b839493c923cdfdc15fbd31e665e7d9d9c',X'0d06928602b234882793cfa0bed47423781b152310abf8d5578909c097f8b775');
INSERT INTO entry VALUES(4,'import',1767862800,NULL,NULL,X'0d06928602b234882793cfa0bed47423781b152310abf8d5578909c097f8b775',X'6f667bb3223eb735385ef2901d3b4f861393c56342007a5f93a808a8336a2055');
INSERT INTO entry VALUES(5,'event',1767863400,'tech 1',NULL,X'6f667bb3223eb735385ef2901d3b4f861393c56342007a5f93a808a8336a2055',X'07e3251fe7432276e7f4301f90cca4776960728f2179a7e2103cb6566ca31b4a');
INSERT INTO entry VALUES(6,'settings',1767949200,'lead','yearly review',X'07e3251fe7432276e7f4301f90cca4776960728f2179a7e2103cb6566ca31b4a',X'b2c9c6c5bcb8524ee0c77e470f2ed9400e9fbcece47f04cff387ff0ecb22e99e');
INSERT INTO entry VALUES(7,'baseline',1768035600,'lead','yearly review',X'b2c9c6c5bcb8524ee0c77e470f2ed9400e9fbcece47f04cff387ff0ecb22e99e',X'aebb837d064baf99ce36a3d2210d1455bb0e121303deddebbf106e2f80c29175');
INSERT INTO entry VALUES(8,'baseline',1768122000,'lead','yearly review',X'aebb837d064baf99ce36a3d2210d1455bb0e121303deddebbf106e2f80c29175',X'dd1b8282c5092580c558ff9c18f7a00bcc9d36bef6defd928e190db83dae2714');
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
  kind TEXT NOT NULL CHECK (kind IN ('checks', 'events')),
  sha256 BLOB NOT NULL CHECK (length(sha256) = 32),
  bytes INTEGER NOT NULL,
  reading TEXT NOT NULL
) STRICT;
INSERT INTO source VALUES(1,2,'january.csv','checks',X'db80df26485019d1311829c8ade45c60626da5f2ecb5fa170844f0a6d6a785e9',1100,'delimiter comma');
INSERT INTO source VALUES(2,3,'events.csv','events',X'356e05dae6cbcf56e22302b5881de0185be5b46dd9ef3350669a05ec219c4760',1000,'delimiter comma');
INSERT INTO source VALUES(3,4,'january again.csv','checks',X'1001e5cac962af463d6cc303b91c6fa2c8fe20d0a4383814ee1554ea54c21fb1',1700,'delimiter comma');
CREATE TABLE source_unit (
  unit INTEGER NOT NULL REFERENCES unit,
  source INTEGER NOT NULL REFERENCES source,
  rows INTEGER NOT NULL,
  fresh INTEGER NOT NULL,
  known INTEGER NOT NULL,
  conflicts INTEGER NOT NULL,
  PRIMARY KEY (unit, source)
) STRICT, WITHOUT ROWID;
INSERT INTO source_unit VALUES(1,1,3,3,0,0);
INSERT INTO source_unit VALUES(1,2,1,1,0,0);
INSERT INTO source_unit VALUES(1,3,2,1,0,1);
INSERT INTO source_unit VALUES(2,1,1,1,0,0);
INSERT INTO source_unit VALUES(2,2,1,1,0,0);
CREATE TABLE text (
  number INTEGER PRIMARY KEY,
  salt BLOB NOT NULL,
  body TEXT NOT NULL
) STRICT;
INSERT INTO text VALUES(1,X'7d8c097efef589bea821b3124cabfd31','lamp warm, µ');
INSERT INTO text VALUES(2,X'20252f7573de6c97a3bc2af651350e93','M 7');
INSERT INTO text VALUES(3,X'359ac5b96e0180201b988dca9c1a6326','pass');
INSERT INTO text VALUES(4,X'25dff0ac0c08aaef03ad5d3c314c03ff','7');
INSERT INTO text VALUES(5,X'47814a4476d44467e8b8b649313fca58','mirror 2');
INSERT INTO text VALUES(6,X'606ca684478941f36d14a58f8b2afdba','typed anew');
INSERT INTO text VALUES(7,X'3de2ff9ef62764d3e074ba10b28000de','window');
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
  pattern INTEGER REFERENCES text,
  selftest_failed INTEGER REFERENCES text,
  meter INTEGER REFERENCES text,
  operator INTEGER REFERENCES text,
  remark INTEGER REFERENCES text,
  digest BLOB NOT NULL,
  PRIMARY KEY (unit, time, sequence)
) STRICT, WITHOUT ROWID;
INSERT INTO checks VALUES(1,1767600120,0,1,1,2,2,0,0,NULL,1.6100000000000000976,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,1,X'44494c780a438e9f8b0db444115e76ca');
INSERT INTO checks VALUES(1,1767686640,0,1,1,3,3,0,1,NULL,1.5900000000000000799,NULL,NULL,NULL,NULL,NULL,NULL,-12.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,2,NULL,NULL,X'1db367e8e8a0073c7034b8e51fd14430');
INSERT INTO checks VALUES(1,1767686640,1,1,1,5,5,0,0,NULL,1.6000000000000000888,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,3,NULL,NULL,NULL,NULL,X'c41bccf45d0309b28cf1207962d8323b');
INSERT INTO checks VALUES(1,1767772800,0,1,3,3,3,0,0,NULL,1.6000000000000000888,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'09c00f2df86ff9548335dc402c35c1f1');
INSERT INTO checks VALUES(2,1767600600,0,1,1,4,4,2,0,NULL,1.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,2,4,NULL,X'de05c1e1e1b9cab1caaea6f7a6ffe605');
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
  pattern INTEGER REFERENCES text,
  selftest_failed INTEGER REFERENCES text,
  meter INTEGER REFERENCES text,
  operator INTEGER REFERENCES text,
  remark INTEGER REFERENCES text,
  digest BLOB NOT NULL,
  PRIMARY KEY (unit, time, sequence)
) STRICT, WITHOUT ROWID;
INSERT INTO held VALUES(1,1767600120,0,1,3,2,2,0,0,NULL,1.5500000000000000444,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,6,X'cf343ade2d2298a03c477174b67886f8');
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
INSERT INTO event VALUES(1,1,1767684600,1,'gas_refill',NULL,2,2,2,3,X'0c2cbe9617293060559828216adb7041');
INSERT INTO event VALUES(2,2,1767484800,0,'service',5,2,3,3,3,X'bfb9617052be4acb1201bc5389aac853');
INSERT INTO event VALUES(3,1,1767780000,1,'optics_cleaned',7,NULL,0,0,5,X'c80ac5a342887f747f8a61b3b887a585');
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
INSERT INTO refusal VALUES(1,1,6,NULL,NULL,'no date',1);
INSERT INTO refusal VALUES(1,2,7,'Energy','energy_mj','no number',0);
CREATE TABLE setting_version (
  number INTEGER PRIMARY KEY,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  weekdays INTEGER NOT NULL,
  alarms_per_unit_year REAL NOT NULL,
  tell TEXT,
  clinic TEXT
) STRICT;
INSERT INTO setting_version VALUES(1,6,26,1.0,'the lead technician',NULL);
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
  PRIMARY KEY (version, number)
) STRICT, WITHOUT ROWID;
INSERT INTO unit_setting VALUES(1,1,'Suite North','gaussian','logged',3.7000000000000001776,50.500000000000000001,'unstated',3.0,0.0);
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
INSERT INTO tolerance VALUES(1,1,'Suite North','energy_ratio',0.96999999999999997335,NULL,'policy 3',1767225600);
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
  PRIMARY KEY (unit, characteristic, version)
) STRICT, WITHOUT ROWID;
INSERT INTO baseline VALUES(1,'fluence',1,7,1767571200,1767657600,1,160.5,0.25,1,-0.125,0.0625,-0.25,-0.0078125,7,1.25,3.5,0.0,11,41);
INSERT INTO baseline VALUES(1,'fluence',2,8,1767571200,1767657600,1,NULL,0.5,1,-0.125,0.0625,-0.25,-0.0078125,7,1.25,3.5,0.0,11,41);
CREATE INDEX source_by_sha256 ON source (sha256);
CREATE INDEX event_by_time ON event (unit, time);
CREATE INDEX event_by_entry ON event (entry);
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
CREATE TRIGGER text_keeps_values BEFORE UPDATE ON text BEGIN
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
COMMIT;
