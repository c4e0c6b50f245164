-- A store of schema version 2 on sqlite: the tables as its step made them, and a few records.
CREATE TABLE laylog_migration (
	number INTEGER NOT NULL,
	title TEXT NOT NULL,
	applied_at DATETIME NOT NULL,
	PRIMARY KEY (number)
);
CREATE TABLE revision (
	id INTEGER NOT NULL,
	number INTEGER NOT NULL,
	PRIMARY KEY (id)
);
CREATE TABLE imports (
	id INTEGER NOT NULL,
	file TEXT NOT NULL,
	sha256 TEXT,
	at DATETIME NOT NULL,
	new INTEGER NOT NULL,
	unchanged INTEGER NOT NULL,
	changed INTEGER NOT NULL,
	builds_on TEXT NOT NULL,
	problems TEXT NOT NULL,
	report TEXT NOT NULL,
	undone_at DATETIME,
	PRIMARY KEY (id)
);
CREATE TABLE placement (
	header TEXT NOT NULL,
	target TEXT NOT NULL,
	unit TEXT,
	PRIMARY KEY (header)
);
CREATE TABLE setting (
	name TEXT NOT NULL,
	value TEXT NOT NULL,
	PRIMARY KEY (name)
);
CREATE TABLE confirmation (
	id INTEGER NOT NULL,
	part_id TEXT NOT NULL,
	defect TEXT NOT NULL,
	cause TEXT NOT NULL,
	at DATETIME NOT NULL,
	withdrawn_at DATETIME,
	PRIMARY KEY (id)
);
CREATE INDEX ix_confirmation_part_id ON confirmation (part_id);
CREATE TABLE observation (
	id INTEGER NOT NULL,
	part_id TEXT NOT NULL,
	bench_check TEXT NOT NULL,
	result TEXT NOT NULL,
	at DATETIME NOT NULL,
	withdrawn_at DATETIME,
	PRIMARY KEY (id)
);
CREATE INDEX ix_observation_part_id ON observation (part_id);
CREATE TABLE cache (
	"key" TEXT NOT NULL,
	fingerprint TEXT NOT NULL,
	content BLOB NOT NULL,
	PRIMARY KEY ("key")
);
CREATE TABLE history (
	id INTEGER NOT NULL,
	import_id INTEGER NOT NULL,
	record TEXT NOT NULL,
	record_id INTEGER NOT NULL,
	"key" TEXT NOT NULL,
	field TEXT NOT NULL,
	old TEXT,
	new TEXT,
	old_raw TEXT,
	changed_at DATETIME NOT NULL,
	PRIMARY KEY (id),
	FOREIGN KEY(import_id) REFERENCES imports (id)
);
CREATE INDEX ix_history_import_id ON history (import_id);
CREATE INDEX ix_history_record ON history (record, "key");
CREATE TABLE part (
	id INTEGER NOT NULL,
	part_id TEXT NOT NULL,
	date DATE,
	start_time TEXT,
	operator TEXT,
	mould_id TEXT,
	product TEXT,
	colour TEXT,
	mould_pulls_total DOUBLE,
	pulls_since_renewal DOUBLE,
	mould_condition TEXT,
	mould_draft TEXT,
	release_system TEXT,
	wax_type TEXT,
	wax_coats DOUBLE,
	wax_wait_min DOUBLE,
	wax_final_wait_min DOUBLE,
	pva_used BOOLEAN,
	pva_dry_min DOUBLE,
	pva_coverage TEXT,
	gelcoat_batch_id TEXT,
	resin_batch_id TEXT,
	gelcoat_method TEXT,
	gelcoat_wet_mm DOUBLE,
	gelcoat_wet_min_mm DOUBLE,
	gelcoat_wet_max_mm DOUBLE,
	backup_hours DOUBLE,
	ply_schedule TEXT,
	plies_in_session DOUBLE,
	first_ply_g_m2 DOUBLE,
	session_mm DOUBLE,
	laying_min DOUBLE,
	glass_kg DOUBLE,
	resin_kg DOUBLE,
	area_m2 DOUBLE,
	air_c DOUBLE,
	humidity_pct DOUBLE,
	mould_c DOUBLE,
	waxed_topcoat BOOLEAN,
	exotherm_peak_c DOUBLE,
	barcol DOUBLE,
	trim_hours DOUBLE,
	demould_hours DOUBLE,
	demould_effort DOUBLE,
	defects TEXT,
	outcome TEXT,
	rework_min DOUBLE,
	cost DOUBLE,
	notes TEXT,
	looked BOOLEAN,
	file TEXT,
	sheet TEXT,
	"row" INTEGER,
	raw TEXT,
	import_id INTEGER NOT NULL,
	changed_id INTEGER NOT NULL,
	PRIMARY KEY (id),
	CONSTRAINT uq_part UNIQUE (part_id),
	FOREIGN KEY(import_id) REFERENCES imports (id),
	FOREIGN KEY(changed_id) REFERENCES imports (id)
);
CREATE INDEX ix_part_import_id ON part (import_id);
CREATE TABLE batch (
	id INTEGER NOT NULL,
	batch_id TEXT NOT NULL,
	date DATE,
	time TEXT,
	material TEXT,
	product TEXT,
	lot TEXT,
	lot_age_months DOUBLE,
	mass_kg DOUBLE,
	catalyst_pct DOUBLE,
	catalyst_basis TEXT,
	catalyst_lot TEXT,
	mix_method TEXT,
	mix_min DOUBLE,
	rest_min DOUBLE,
	air_c DOUBLE,
	material_c DOUBLE,
	mould_c DOUBLE,
	humidity_pct DOUBLE,
	gel_min DOUBLE,
	gel_where TEXT,
	operator TEXT,
	notes TEXT,
	file TEXT,
	sheet TEXT,
	"row" INTEGER,
	raw TEXT,
	import_id INTEGER NOT NULL,
	changed_id INTEGER NOT NULL,
	PRIMARY KEY (id),
	CONSTRAINT uq_batch UNIQUE (batch_id),
	FOREIGN KEY(import_id) REFERENCES imports (id),
	FOREIGN KEY(changed_id) REFERENCES imports (id)
);
CREATE INDEX ix_batch_import_id ON batch (import_id);
CREATE TABLE lot (
	id INTEGER NOT NULL,
	lot TEXT NOT NULL,
	material TEXT,
	product TEXT,
	received DATE,
	opened DATE,
	expires DATE,
	sheet_low_pct DOUBLE,
	sheet_high_pct DOUBLE,
	sheet_gel_min DOUBLE,
	sheet_gel_c DOUBLE,
	sheet_gel_pct DOUBLE,
	density_g_ml DOUBLE,
	notes TEXT,
	file TEXT,
	sheet TEXT,
	"row" INTEGER,
	raw TEXT,
	import_id INTEGER NOT NULL,
	changed_id INTEGER NOT NULL,
	PRIMARY KEY (id),
	CONSTRAINT uq_lot UNIQUE (lot),
	FOREIGN KEY(import_id) REFERENCES imports (id),
	FOREIGN KEY(changed_id) REFERENCES imports (id)
);
CREATE INDEX ix_lot_import_id ON lot (import_id);
CREATE TABLE mould (
	id INTEGER NOT NULL,
	mould_id TEXT NOT NULL,
	product TEXT,
	made DATE,
	area_m2 DOUBLE,
	surface TEXT,
	draft TEXT,
	deep BOOLEAN,
	corner_radius_mm DOUBLE,
	last_renewal DATE,
	notes TEXT,
	file TEXT,
	sheet TEXT,
	"row" INTEGER,
	raw TEXT,
	import_id INTEGER NOT NULL,
	changed_id INTEGER NOT NULL,
	PRIMARY KEY (id),
	CONSTRAINT uq_mould UNIQUE (mould_id),
	FOREIGN KEY(import_id) REFERENCES imports (id),
	FOREIGN KEY(changed_id) REFERENCES imports (id)
);
CREATE INDEX ix_mould_import_id ON mould (import_id);
CREATE TABLE logger (
	id INTEGER NOT NULL,
	logger_id TEXT NOT NULL,
	timestamp DATETIME NOT NULL,
	air_c DOUBLE,
	humidity_pct DOUBLE,
	file TEXT,
	sheet TEXT,
	"row" INTEGER,
	raw TEXT,
	import_id INTEGER NOT NULL,
	changed_id INTEGER NOT NULL,
	PRIMARY KEY (id),
	CONSTRAINT uq_logger UNIQUE (logger_id, timestamp),
	FOREIGN KEY(import_id) REFERENCES imports (id),
	FOREIGN KEY(changed_id) REFERENCES imports (id)
);
CREATE INDEX ix_logger_import_id ON logger (import_id);
CREATE TABLE defect (
	id INTEGER NOT NULL,
	part_id TEXT NOT NULL,
	defect TEXT NOT NULL,
	severity TEXT,
	place TEXT,
	words TEXT,
	PRIMARY KEY (id),
	FOREIGN KEY(part_id) REFERENCES part (part_id) ON DELETE CASCADE
);
CREATE INDEX ix_defect_part_id ON defect (part_id);
CREATE TABLE entry (
	id INTEGER NOT NULL,
	kind TEXT NOT NULL,
	name TEXT NOT NULL,
	content TEXT NOT NULL,
	at DATETIME NOT NULL,
	withdrawn_at DATETIME,
	PRIMARY KEY (id)
);
CREATE INDEX ix_entry_kind_name ON entry (kind, name);
INSERT INTO revision (id, number) VALUES (1, 0);
INSERT INTO laylog_migration VALUES (1, 'first tables', '2024-03-01 09:30:00.000000');
INSERT INTO laylog_migration VALUES (2, 'journal entries', '2024-03-01 09:30:00.000000');
UPDATE revision SET number = 3;
INSERT INTO imports (id, file, sha256, at, new, unchanged, changed, builds_on, problems, report) VALUES (1, 'march.csv', 'aa11', '2024-03-01 09:30:00.000000', 4, 0, 0, '[]', '[]', '{"file": "march.csv", "sheets": [], "problems": []}');
INSERT INTO imports (id, file, sha256, at, new, unchanged, changed, builds_on, problems, report) VALUES (2, 'march-mended.csv', 'bb22', '2024-03-02 08:00:00.000000', 0, 0, 1, '[1]', '[]', '{"file": "march-mended.csv", "sheets": [], "problems": []}');
INSERT INTO part (id, part_id, date, mould_id, air_c, pva_used, gelcoat_batch_id, defects, looked, file, sheet, row, raw, import_id, changed_id) VALUES (1, 'A-0412', '2024-02-28', 'M02', 18.5, TRUE, 'G7', 'pinholes, corner', TRUE, 'march-mended.csv', 'log', 2, '{"air_c": "18,5", "part_id": "A-0412"}', 1, 2);
INSERT INTO part (id, part_id, date, looked, file, sheet, row, import_id, changed_id) VALUES (2, '0042', '2024-02-29', NULL, 'march.csv', 'log', 3, 1, 1);
INSERT INTO batch (id, batch_id, date, time, material, lot, catalyst_pct, gel_min, import_id, changed_id) VALUES (1, 'G7', '2024-02-28', '08:05', 'gelcoat', '007', 1.75, 14, 1, 1);
INSERT INTO logger (id, logger_id, timestamp, air_c, humidity_pct, import_id, changed_id) VALUES (1, '', '2024-02-28 08:00:00.000000', 17.5, 61, 1, 1);
INSERT INTO defect (id, part_id, defect, place, words) VALUES (1, 'A-0412', 'pinholes', 'corner', 'pinholes, corner');
INSERT INTO history (id, import_id, record, record_id, key, field, old, new, old_raw, changed_at) VALUES (1, 2, 'part', 1, 'A-0412', 'air_c', '8.5', '18.5', '8,5', '2024-03-02 08:00:00.000000');
INSERT INTO history (id, import_id, record, record_id, key, field, old, new, old_raw, changed_at) VALUES (2, 2, 'part', 1, 'A-0412', 'origin', '{"file": "march.csv", "sheet": "log", "raw": null, "row": 2, "changed_id": 1}', NULL, NULL, '2024-03-02 08:00:00.000000');
INSERT INTO placement VALUES ('Shed temp', 'part.air_c', 'F');
INSERT INTO setting VALUES ('catalyst_g_ml', '1.1');
INSERT INTO confirmation (id, part_id, defect, cause, at) VALUES (1, 'A-0412', 'pinholes', 'too-cold', '2024-03-02 08:10:00.000000');
INSERT INTO observation (id, part_id, bench_check, result, at) VALUES (1, 'A-0412', 'cup-test', 'slow', '2024-03-02 08:20:00.000000');
INSERT INTO entry (id, kind, name, content, at) VALUES (1, 'action', 'three coats', '{"since": "2024-03-01", "hope": [], "moulds": []}', '2024-03-02 08:30:00.000000');
