-- A ledger of version 4, as the program of that version wrote it: two units, readings up to the last
-- that it had, settings that count fill age by pulses, a reading of the clinic's own, a row held
-- back, an event, a correction, a check that was typed in. A test gives it its page size,
-- application_id and user_version and opens it with the program of today.
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
INSERT INTO entry VALUES(2,'import',1768500000,NULL,NULL,X'7e0772bd8b25298f3999e4df9e57e66d7c3ff188ac9a90b3fc289033aa2b8eca',X'd0514be2197dcbb04a43605cc9fb631543265481e3800e05bae6a5237ba28fd7',4);
INSERT INTO entry VALUES(3,'settings',1768500100,'KL','yearly review',X'd0514be2197dcbb04a43605cc9fb631543265481e3800e05bae6a5237ba28fd7',X'516f5c073550cdf169895be514ac645bf8e787909d065e18269369c6fda4868f',4);
INSERT INTO entry VALUES(4,'import',1768500200,NULL,NULL,X'516f5c073550cdf169895be514ac645bf8e787909d065e18269369c6fda4868f',X'2530be608f22433fe3599becae480b31195868b1d8126a1590bf10c327bbcc83',4);
INSERT INTO entry VALUES(5,'event',1768500300,'KL',NULL,X'2530be608f22433fe3599becae480b31195868b1d8126a1590bf10c327bbcc83',X'aebe69b0b7de6aa4a05730fdd14e34db67c3b1855f875fa6de9bcd161ab9a7b2',4);
INSERT INTO entry VALUES(6,'correction',1768500400,'KL','misread',X'aebe69b0b7de6aa4a05730fdd14e34db67c3b1855f875fa6de9bcd161ab9a7b2',X'dae4355d3594b0990fe3774ac62d33fbdf475b7db73c0ec896a9bbb14f819ff6',4);
INSERT INTO entry VALUES(7,'check',1768500500,'KL',NULL,X'dae4355d3594b0990fe3774ac62d33fbdf475b7db73c0ec896a9bbb14f819ff6',X'3d34cc128b823d2829df68189fe9d84a0bb8fd62532a64eb0758a2c6b1b56f9d',4);
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
INSERT INTO source VALUES(1,2,'log.csv','checks',X'51fa942dd8e66e184af39a8de888739b40926887578a00031000a35cfec04152',495,replace('encoding UTF-8\ndelimiter 44\ndecimal point\ndates ymd\nheader 1\ncolumn 1 date "date"\ncolumn 2 time "time"\ncolumn 3 unit "unit"\ncolumn 4 target_mj "target_mj"\ncolumn 5 energy_mj "energy_mj"\ncolumn 6 fluence_mj_cm2 "fluence_mj_cm2"\ncolumn 7 offset_x_um "offset_x_um"\ncolumn 8 offset_y_um "offset_y_um"\ncolumn 9 hv_kv "hv_kv"\ncolumn 10 pulses "pulses"\ncolumn 11 refill "refill"\ncolumn 12 pattern "pattern"\ncolumn 13 operator "operator"\ncolumn 14 remark "remark"\ncolumn 15 pressure_mbar "pressure_mbar"\n','\n',char(10)));
INSERT INTO source VALUES(2,4,'other.csv','checks',X'932763fd24ed11d8b7eb087ca38b3fc0ff247d8855042d83a7cf534d99bc4955',111,replace('encoding UTF-8\ndelimiter 44\ndecimal point\ndates ymd\nheader 1\ncolumn 1 date "date"\ncolumn 2 time "time"\ncolumn 3 unit "unit"\ncolumn 4 energy_mj "energy_mj"\ncolumn 5 door_force "door_force"\n','\n',char(10)));
INSERT INTO source VALUES(3,6,'typed in','typed',X'0000000000000000000000000000000000000000000000000000000000000000',0,'');
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
INSERT INTO source_unit VALUES(1,1,3,3,0,0);
INSERT INTO source_unit VALUES(1,2,2,1,0,1);
INSERT INTO source_unit VALUES(2,1,2,2,0,0);
CREATE TABLE text (
  number INTEGER PRIMARY KEY,
  salt BLOB NOT NULL,
  body TEXT NOT NULL
) STRICT;
INSERT INTO text VALUES(1,X'd7a0867fd23c24898588467323659a48','pass');
INSERT INTO text VALUES(2,X'488fa841f8856873dbb92232abb99ae5','KL');
INSERT INTO text VALUES(3,X'f79f1ffafc7e2c4da1e683e652e297cd','lamp warm, µ');
INSERT INTO text VALUES(4,X'578d6187bee2cab985a40bc505e7addd','AB');
INSERT INTO text VALUES(5,X'8f0991a084cfbeed10c64716422798cd','fail');
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
INSERT INTO checks VALUES(1,1767600000,0,1,1,2,2,0,1,1.6000000000000000888,1.6020000000000000905,NULL,NULL,160.19999999999998863,NULL,NULL,NULL,4.0,-7.0,NULL,NULL,24.100000000000001421,1000.0,NULL,NULL,NULL,1013.0,1,NULL,NULL,2,3,X'a4368e87ef1b15268826a473d16cf8f9');
INSERT INTO checks VALUES(1,1767686700,0,1,1,3,3,0,0,1.6000000000000000888,1.5989999999999999769,NULL,NULL,159.80000000000001137,NULL,NULL,NULL,3.0,-6.0,NULL,NULL,24.199999999999999289,5000.0,NULL,NULL,NULL,1009.0,1,NULL,NULL,2,NULL,X'c437cb18a8497e6e840bf39dd6adcf7b');
INSERT INTO checks VALUES(1,1767773100,0,1,1,4,4,0,0,1.6000000000000000888,1.6009999999999999786,NULL,NULL,160.09999999999999431,NULL,NULL,NULL,2.0,-5.0,NULL,NULL,24.100000000000001421,9000.0,NULL,NULL,NULL,1010.0,1,NULL,NULL,4,NULL,X'40883dd81a3b73c1ace9cb7b047de86a');
INSERT INTO checks VALUES(1,1767773100,1,1,3,0,0,0,0,1.6000000000000000888,1.606999999999999984,NULL,NULL,160.09999999999999431,NULL,NULL,NULL,2.0,-5.0,NULL,NULL,24.100000000000001421,9000.0,NULL,NULL,NULL,1011.0,1,NULL,NULL,4,NULL,X'8536d23c992650a52d17a9107f18ca90');
INSERT INTO checks VALUES(1,1767859500,0,1,2,3,3,0,0,NULL,1.6000000000000000888,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'a4f50288f3772aaedbf6193617d0b5ad');
INSERT INTO checks VALUES(2,1767603600,0,1,1,5,5,0,0,1.6000000000000000888,1.6120000000000000994,NULL,NULL,NULL,NULL,NULL,NULL,1.0,2.0,NULL,NULL,24.60000000000000142,NULL,NULL,NULL,NULL,NULL,5,NULL,NULL,2,NULL,X'ebf62ec3490dd0efb3b39a651980fbca');
INSERT INTO checks VALUES(2,1767657600,0,0,1,6,6,0,0,1.6000000000000000888,1.6029999999999999804,NULL,NULL,NULL,NULL,NULL,NULL,1.0,1.0,NULL,NULL,24.699999999999999289,NULL,NULL,NULL,NULL,NULL,1,NULL,NULL,2,NULL,X'4d575a17ee0ec1a4c864de46fd8322dc');
INSERT INTO checks VALUES(2,1767945900,0,1,4,0,0,0,0,1.6100000000000000976,1.6020000000000000905,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'cbb010fe2b8db0e22e0d7b6196273c2c');
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
INSERT INTO held VALUES(1,1767686700,0,1,2,2,2,0,0,NULL,1.580000000000000071,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'b87a88538cf5d90851382f50e550ddb3');
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
INSERT INTO event VALUES(1,1,1767873600,1,'gas_refill',NULL,NULL,0,0,5,X'77edc09cf528958dadaeb3f51c936273');
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
CREATE TABLE setting_version (
  number INTEGER PRIMARY KEY,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  weekdays INTEGER NOT NULL,
  alarms_per_unit_year REAL NOT NULL,
  tell TEXT,
  clinic TEXT,
  font TEXT
) STRICT;
INSERT INTO setting_version VALUES(1,3,0,1.0,NULL,'Quellmoor Eye Clinic',NULL);
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
INSERT INTO unit_setting VALUES(1,1,'Suite North','gaussian','logged',NULL,NULL,'unstated',0.0,0.0,4000.0);
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
INSERT INTO tolerance VALUES(1,1,'Suite North','energy_ratio',0.96999999999999997335,1.0300000000000000266,'instructions for use, section 7.2',1767225600);
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
INSERT INTO own_characteristic VALUES(1,1,'door_force','Door closing force','N',1);
CREATE TABLE own_key (
  number INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED
) STRICT;
INSERT INTO own_key VALUES(1,'door_force',4);
CREATE TABLE own_reading (
  unit INTEGER NOT NULL,
  time INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  own INTEGER NOT NULL REFERENCES own_key,
  value REAL NOT NULL,
  PRIMARY KEY (unit, time, sequence, own),
  FOREIGN KEY (unit, time, sequence) REFERENCES checks
) STRICT, WITHOUT ROWID;
INSERT INTO own_reading VALUES(1,1767859500,0,1,42.5);
CREATE TABLE held_own (
  unit INTEGER NOT NULL,
  time INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  own INTEGER NOT NULL REFERENCES own_key,
  value REAL NOT NULL,
  PRIMARY KEY (unit, time, sequence, own),
  FOREIGN KEY (unit, time, sequence) REFERENCES held
) STRICT, WITHOUT ROWID;
INSERT INTO held_own VALUES(1,1767686700,0,1,41.0);
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
INSERT INTO superseded VALUES(1,1767773100,0,6,'corrected',1,1767773100,1);
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
