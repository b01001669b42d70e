-- A ledger of version 2, as the program of that version wrote it: two units, texts, one of them
-- removed, refused lines, events, a row held back and settled, two versions of settings with a
-- characteristic of the clinic's own, a baseline, a correction, a disposition and an issue. A test
-- gives it its page size, application_id and user_version and opens it with the program of today.
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
INSERT INTO entry VALUES(1,'created',0,NULL,NULL,X'0000000000000000000000000000000000000000000000000000000000000000',X'e3bd4c208d1a0925698602b0f4dfe5328dbcd5f8789617ee7dcf6a9d24f177b2',2);
INSERT INTO entry VALUES(2,'settings',1768500000,'KL','yearly review',X'e3bd4c208d1a0925698602b0f4dfe5328dbcd5f8789617ee7dcf6a9d24f177b2',X'7e55763ce5ffa47d00d8707a3f4852725735eab11ecee17bd9a4bd7a788656fd',2);
INSERT INTO entry VALUES(3,'import',1768500100,NULL,NULL,X'7e55763ce5ffa47d00d8707a3f4852725735eab11ecee17bd9a4bd7a788656fd',X'e51075239527fdc07478c8ad69eab05a23dd3e67f0ba1ee229981919c3dff8ae',2);
INSERT INTO entry VALUES(4,'import',1768500200,NULL,NULL,X'e51075239527fdc07478c8ad69eab05a23dd3e67f0ba1ee229981919c3dff8ae',X'84cc7769de06a6aa1044b4bef5d58433379140e5396a60761107fde06e16f8fa',2);
INSERT INTO entry VALUES(5,'import',1768500300,NULL,NULL,X'84cc7769de06a6aa1044b4bef5d58433379140e5396a60761107fde06e16f8fa',X'4d2f55180bd4d992a0d9850c9bb8f1dbdfc967eb485a36107b70a8294bfe99ec',2);
INSERT INTO entry VALUES(6,'baseline',1768500400,'KL','first days',X'4d2f55180bd4d992a0d9850c9bb8f1dbdfc967eb485a36107b70a8294bfe99ec',X'b6886ea57eaab2719de542c250b9192011046df127b9243d7d4f8dea04341ec5',2);
INSERT INTO entry VALUES(7,'correction',1768500500,'KL','typing error',X'b6886ea57eaab2719de542c250b9192011046df127b9243d7d4f8dea04341ec5',X'8f61e9f4273c3ad8ed78843cfa581040348a33ce696e06ce4373f5f2e9fcda98',2);
INSERT INTO entry VALUES(8,'redaction',1768500600,'KL','a name',X'8f61e9f4273c3ad8ed78843cfa581040348a33ce696e06ce4373f5f2e9fcda98',X'efde6e9600c56b5aab0cea0c06e0cd96c417bc01acd62e3307d6ba8540949a60',2);
INSERT INTO entry VALUES(9,'settlement',1768500700,'KL','second is right',X'efde6e9600c56b5aab0cea0c06e0cd96c417bc01acd62e3307d6ba8540949a60',X'7a35ef05873b6dbee18b54d7ba455746ca14e01caba381aabf065abe43259649',2);
INSERT INTO entry VALUES(10,'disposition',1768500800,'KL',NULL,X'7a35ef05873b6dbee18b54d7ba455746ca14e01caba381aabf065abe43259649',X'1471818d19d709732a0f8ccaf6a869d433d940273c89218da47a308afb8c5781',2);
INSERT INTO entry VALUES(11,'issued',1768500900,'KL',NULL,X'1471818d19d709732a0f8ccaf6a869d433d940273c89218da47a308afb8c5781',X'689063542a4c1133b1e84afc6957adb574066d8dc3c5a4910b2b43a4c8d57178',2);
INSERT INTO entry VALUES(12,'settings',1768501000,'KL','tuesdays',X'689063542a4c1133b1e84afc6957adb574066d8dc3c5a4910b2b43a4c8d57178',X'ae0ca999115a688cdd35ae1b60c58d7c5846ef9dd2125cae4940c2678940d18d',2);
CREATE TABLE unit (
  number INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  folded TEXT NOT NULL UNIQUE,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED
) STRICT;
INSERT INTO unit VALUES(1,'Suite North','suite north',3);
INSERT INTO unit VALUES(2,'Suite South','suite south',3);
CREATE TABLE source (
  number INTEGER PRIMARY KEY,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  name TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('checks', 'events', 'typed', 'kept')),
  sha256 BLOB NOT NULL CHECK (length(sha256) = 32),
  bytes INTEGER NOT NULL,
  reading TEXT NOT NULL
) STRICT;
INSERT INTO source VALUES(1,3,'january.csv','checks',X'78d37c97011afbbe9d018dc85b1c929844d9b209158bdfc779941f57f35032e1',767,replace('encoding UTF-8\ndelimiter 44\ndecimal point\ndates ymd\nheader 1\ncolumn 1 date "date"\ncolumn 2 time "time"\ncolumn 3 unit "unit"\ncolumn 4 target_mj "target_mj"\ncolumn 5 energy_mj "energy_mj"\ncolumn 6 door_force "door_force"\ncolumn 7 remark "remark"\n','\n',char(10)));
INSERT INTO source VALUES(2,4,'events.csv','events',X'1256b6cde23a01f73c0dd838e755dffe7b01b6e102eda430e2036cf7faf0c9ed',118,replace('encoding UTF-8\ndelimiter 44\ndecimal none\ndates ymd\nheader 1\ncolumn 1 date "date"\ncolumn 2 time "time"\ncolumn 3 unit "unit"\ncolumn 4 event "event"\ncolumn 5 note "note"\n','\n',char(10)));
INSERT INTO source VALUES(3,5,'again.csv','checks',X'ed7a56817e5e638e913efad192a6c60275905d365878ff8605963be0a869e1b1',113,replace('encoding UTF-8\ndelimiter 44\ndecimal point\ndates ymd\nheader 1\ncolumn 1 date "date"\ncolumn 2 time "time"\ncolumn 3 unit "unit"\ncolumn 4 target_mj "target_mj"\ncolumn 5 energy_mj "energy_mj"\n','\n',char(10)));
INSERT INTO source VALUES(4,7,'typed in','typed',X'0000000000000000000000000000000000000000000000000000000000000000',0,'');
INSERT INTO source VALUES(5,9,'again.csv','kept',X'ed7a56817e5e638e913efad192a6c60275905d365878ff8605963be0a869e1b1',113,replace('encoding UTF-8\ndelimiter 44\ndecimal point\ndates ymd\nheader 1\ncolumn 1 date "date"\ncolumn 2 time "time"\ncolumn 3 unit "unit"\ncolumn 4 target_mj "target_mj"\ncolumn 5 energy_mj "energy_mj"\n','\n',char(10)));
CREATE TABLE source_unit (
  unit INTEGER NOT NULL REFERENCES unit,
  source INTEGER NOT NULL REFERENCES source,
  rows INTEGER NOT NULL,
  fresh INTEGER NOT NULL,
  known INTEGER NOT NULL,
  conflicts INTEGER NOT NULL,
  PRIMARY KEY (unit, source)
) STRICT, WITHOUT ROWID;
INSERT INTO source_unit VALUES(1,1,14,14,0,0);
INSERT INTO source_unit VALUES(1,2,2,2,0,0);
INSERT INTO source_unit VALUES(2,1,1,1,0,0);
INSERT INTO source_unit VALUES(2,3,2,1,0,1);
CREATE TABLE text (
  number INTEGER PRIMARY KEY,
  salt BLOB NOT NULL,
  body TEXT NOT NULL
) STRICT;
INSERT INTO text VALUES(1,X'','');
INSERT INTO text VALUES(2,X'25cca9d7fb8d35416aa192d437741273','bottle low');
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
INSERT INTO checks VALUES(1,1767254400,0,1,1,2,2,0,0,1.6000000000000000888,1.5952999999999999403,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'2759c948a7162b0c9227997575e3c2d8');
INSERT INTO checks VALUES(1,1767340800,0,1,1,3,3,0,0,1.6000000000000000888,1.5953999999999999293,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'8f2b568e693108c07e2e95f3e2a95000');
INSERT INTO checks VALUES(1,1767427200,0,1,1,4,4,0,0,1.6000000000000000888,1.6027000000000000135,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,1,X'737f5c4108439b3a282e68de46a358bd');
INSERT INTO checks VALUES(1,1767513600,0,1,1,5,5,0,0,1.6000000000000000888,1.5907999999999999918,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'00e68fa9a7b7e05fec20329bf9f9af0a');
INSERT INTO checks VALUES(1,1767600000,0,1,1,6,6,0,0,1.6000000000000000888,1.5993999999999999328,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'aa6f6a64eceb228cf05f446688c86d7b');
INSERT INTO checks VALUES(1,1767686400,0,1,1,7,7,0,0,1.6000000000000000888,1.5909999999999999698,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'ed74d6070a8142d7871aa41bb88af99a');
INSERT INTO checks VALUES(1,1767772800,0,1,1,8,8,0,0,1.6000000000000000888,1.6044000000000000483,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'caf57e0cf16388799c3efa948d98f0cc');
INSERT INTO checks VALUES(1,1767859200,0,1,1,9,9,0,0,1.6000000000000000888,1.6008000000000000007,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'56174cf3cdeb9ef27b54ff23e8c02754');
INSERT INTO checks VALUES(1,1767945600,0,1,1,10,10,0,0,1.6000000000000000888,1.6053999999999999381,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'486853753c66f6a7cd80986897432c3a');
INSERT INTO checks VALUES(1,1768032000,0,1,1,11,11,0,0,1.6000000000000000888,1.598000000000000087,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'c4d452e8316bb864f627a5c68d98863d');
INSERT INTO checks VALUES(1,1768032000,1,1,4,0,0,0,0,1.6000000000000000888,1.6009999999999999786,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'a6805f1b8e9e0efa87762ef5ba630ee5');
INSERT INTO checks VALUES(1,1768118400,0,1,1,12,12,0,0,1.6000000000000000888,1.6015999999999999126,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'd8f8f288b848e71f0875b98c10e9319c');
INSERT INTO checks VALUES(1,1768204800,0,1,1,13,13,0,0,1.6000000000000000888,1.5988999999999999879,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'20bd8617e738aff681a263715f015e1c');
INSERT INTO checks VALUES(1,1768291200,0,1,1,14,14,0,0,1.6000000000000000888,1.6499999999999999111,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'99e6433630370c9f8f6225ab682a762f');
INSERT INTO checks VALUES(1,1768377600,0,1,1,15,15,0,0,1.6000000000000000888,1.6006000000000000227,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'82178665b9b2502ce4b759a1fb1a249d');
INSERT INTO checks VALUES(2,1767603600,0,1,1,16,16,0,0,1.6000000000000000888,1.6020000000000000905,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'f172ea2c059fafb919f504073b823994');
INSERT INTO checks VALUES(2,1767603600,1,1,5,2,2,0,0,1.6000000000000000888,1.7019999999999999573,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'0086a292386dbc65261d2db2a9fdf39e');
INSERT INTO checks VALUES(2,1767776400,0,1,3,3,3,0,0,1.6000000000000000888,1.6120000000000000994,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'10615569aa22436389c3df2e5f603a83');
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
INSERT INTO held VALUES(2,1767603600,0,1,3,2,2,0,0,1.6000000000000000888,1.7019999999999999573,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,X'f77f0c840dc495bdf5aa253637486156');
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
INSERT INTO event VALUES(1,1,1767510000,1,'gas_refill',NULL,2,2,2,4,X'7c866758506e331897d2e9726b7a6bae');
INSERT INTO event VALUES(2,1,1767855600,1,'gas_refill',2,2,3,3,4,X'33dee0e98066f5b6d8627db4d47d9386');
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
INSERT INTO refusal VALUES(1,1,17,'energy_mj','energy_mj','a value below zero is not possible here; correct the cell',0);
CREATE TABLE setting_version (
  number INTEGER PRIMARY KEY,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  weekdays INTEGER NOT NULL,
  alarms_per_unit_year REAL NOT NULL,
  tell TEXT,
  clinic TEXT
) STRICT;
INSERT INTO setting_version VALUES(1,2,18,1.0,'the laser safety officer','Quellmoor Eye Clinic');
INSERT INTO setting_version VALUES(2,12,22,1.0,'the laser safety officer','Quellmoor Eye Clinic');
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
INSERT INTO unit_setting VALUES(1,1,'Suite North','gaussian','logged',NULL,NULL,'unstated',4.0,0.0);
INSERT INTO unit_setting VALUES(1,2,'Suite South','undeclared','logged',NULL,NULL,'unstated',0.0,0.0);
INSERT INTO unit_setting VALUES(2,1,'Suite North','gaussian','logged',NULL,NULL,'unstated',4.0,0.0);
INSERT INTO unit_setting VALUES(2,2,'Suite South','undeclared','logged',NULL,NULL,'unstated',0.0,0.0);
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
INSERT INTO tolerance VALUES(2,1,'Suite North','energy_ratio',0.96999999999999997335,1.0300000000000000266,'instructions for use, section 7.2',1767225600);
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
INSERT INTO baseline VALUES(1,'energy_ratio',1,6,1767225600,1768176000,0,0.99915104166666657281,0.0036053322649100445762,0,0.0,0.0,0.0,0.0,0,0.0,0.0,0.0,0,12,0.0,0.0,0.0,0.0,0.0,0,0,0.24957952123750737349,0.16028080128376179236);
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
INSERT INTO own_characteristic VALUES(2,1,'door_force','Door closing force','N',1);
CREATE TABLE own_key (
  number INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED
) STRICT;
INSERT INTO own_key VALUES(1,'door_force',3);
CREATE TABLE own_reading (
  unit INTEGER NOT NULL,
  time INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  own INTEGER NOT NULL REFERENCES own_key,
  value REAL NOT NULL,
  PRIMARY KEY (unit, time, sequence, own),
  FOREIGN KEY (unit, time, sequence) REFERENCES checks
) STRICT, WITHOUT ROWID;
INSERT INTO own_reading VALUES(1,1767254400,0,1,13.0);
INSERT INTO own_reading VALUES(1,1767340800,0,1,14.0);
INSERT INTO own_reading VALUES(1,1767427200,0,1,12.0);
INSERT INTO own_reading VALUES(1,1767513600,0,1,13.0);
INSERT INTO own_reading VALUES(1,1767600000,0,1,14.0);
INSERT INTO own_reading VALUES(1,1767686400,0,1,12.0);
INSERT INTO own_reading VALUES(1,1767772800,0,1,13.0);
INSERT INTO own_reading VALUES(1,1767859200,0,1,14.0);
INSERT INTO own_reading VALUES(1,1767945600,0,1,12.0);
INSERT INTO own_reading VALUES(1,1768032000,0,1,13.0);
INSERT INTO own_reading VALUES(1,1768032000,1,1,13.0);
INSERT INTO own_reading VALUES(1,1768118400,0,1,14.0);
INSERT INTO own_reading VALUES(1,1768204800,0,1,12.0);
INSERT INTO own_reading VALUES(1,1768291200,0,1,13.0);
INSERT INTO own_reading VALUES(1,1768377600,0,1,14.0);
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
INSERT INTO superseded VALUES(1,1768032000,0,7,'corrected',1,1768032000,1);
INSERT INTO superseded VALUES(2,1767603600,0,9,'settled',2,1767603600,1);
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
INSERT INTO settled VALUES(2,1767603600,3,9,'new');
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
INSERT INTO redaction VALUES(1,8,X'ebb981dba5c0bba547f014eb2517d5fd7cb7b90322c43b0c50b7fbb9e084d91d','remark',1,1767427200,0,NULL);
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
INSERT INTO disposition VALUES(1,10,1,'energy_ratio',1,1768291200,1768377600,1,'9f8f428e','meter off','meter aligned',0);
CREATE TABLE issued (
  number INTEGER PRIMARY KEY,
  entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED,
  unit INTEGER REFERENCES unit,
  month INTEGER NOT NULL,
  revision INTEGER NOT NULL,
  sha256 BLOB NOT NULL CHECK (length(sha256) = 32),
  state BLOB NOT NULL CHECK (length(state) = 10)
) STRICT;
INSERT INTO issued VALUES(1,11,1,1767225600,1,X'dfab87c88258e15b9b9065f842f767eb82aa676c95f9dbf20b07e2dd99d353c8',X'1471818d19d709732a0f');
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
