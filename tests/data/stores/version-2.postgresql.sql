-- A store of schema version 2 on postgresql: the tables as its step made them, and a few records.
CREATE TABLE laylog_migration (
	number INTEGER NOT NULL,
	title TEXT NOT NULL,
	applied_at TIMESTAMP WITHOUT TIME ZONE NOT NULL,
	PRIMARY KEY (number)
);
CREATE TABLE revision (
	id INTEGER NOT NULL,
	number INTEGER NOT NULL,
	PRIMARY KEY (id)
);
CREATE TABLE imports (
	id SERIAL NOT NULL,
	file TEXT NOT NULL,
	sha256 TEXT,
	at TIMESTAMP WITHOUT TIME ZONE NOT NULL,
	"new" INTEGER NOT NULL,
	unchanged INTEGER NOT NULL,
	changed INTEGER NOT NULL,
	builds_on TEXT NOT NULL,
	problems TEXT NOT NULL,
	report TEXT NOT NULL,
	undone_at TIMESTAMP WITHOUT TIME ZONE,
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
	id SERIAL NOT NULL,
	part_id TEXT NOT NULL,
	defect TEXT NOT NULL,
	cause TEXT NOT NULL,
	at TIMESTAMP WITHOUT TIME ZONE NOT NULL,
	withdrawn_at TIMESTAMP WITHOUT TIME ZONE,
	PRIMARY KEY (id)
);
CREATE INDEX ix_confirmation_part_id ON confirmation (part_id);
CREATE TABLE observation (
	id SERIAL NOT NULL,
	part_id TEXT NOT NULL,
	bench_check TEXT NOT NULL,
	result TEXT NOT NULL,
	at TIMESTAMP WITHOUT TIME ZONE NOT NULL,
	withdrawn_at TIMESTAMP WITHOUT TIME ZONE,
	PRIMARY KEY (id)
);
CREATE INDEX ix_observation_part_id ON observation (part_id);
CREATE TABLE cache (
	key TEXT NOT NULL,
	fingerprint TEXT NOT NULL,
	content BYTEA NOT NULL,
	PRIMARY KEY (key)
);
CREATE TABLE history (
	id SERIAL NOT NULL,
	import_id INTEGER NOT NULL,
	record TEXT NOT NULL,
	record_id INTEGER NOT NULL,
	key TEXT NOT NULL,
	field TEXT NOT NULL,
	"old" TEXT,
	"new" TEXT,
	old_raw TEXT,
	changed_at TIMESTAMP WITHOUT TIME ZONE NOT NULL,
	PRIMARY KEY (id),
	FOREIGN KEY(import_id) REFERENCES imports (id)
);
CREATE INDEX ix_history_import_id ON history (import_id);
CREATE INDEX ix_history_record ON history (record, key);
CREATE TABLE part (
	id SERIAL NOT NULL,
	part_id TEXT NOT NULL,
	date DATE,
	start_time TEXT,
	operator TEXT,
	mould_id TEXT,
	product TEXT,
	colour TEXT,
	mould_pulls_total DOUBLE PRECISION,
	pulls_since_renewal DOUBLE PRECISION,
	mould_condition TEXT,
	mould_draft TEXT,
	release_system TEXT,
	wax_type TEXT,
	wax_coats DOUBLE PRECISION,
	wax_wait_min DOUBLE PRECISION,
	wax_final_wait_min DOUBLE PRECISION,
	pva_used BOOLEAN,
	pva_dry_min DOUBLE PRECISION,
	pva_coverage TEXT,
	gelcoat_batch_id TEXT,
	resin_batch_id TEXT,
	gelcoat_method TEXT,
	gelcoat_wet_mm DOUBLE PRECISION,
	gelcoat_wet_min_mm DOUBLE PRECISION,
	gelcoat_wet_max_mm DOUBLE PRECISION,
	backup_hours DOUBLE PRECISION,
	ply_schedule TEXT,
	plies_in_session DOUBLE PRECISION,
	first_ply_g_m2 DOUBLE PRECISION,
	session_mm DOUBLE PRECISION,
	laying_min DOUBLE PRECISION,
	glass_kg DOUBLE PRECISION,
	resin_kg DOUBLE PRECISION,
	area_m2 DOUBLE PRECISION,
	air_c DOUBLE PRECISION,
	humidity_pct DOUBLE PRECISION,
	mould_c DOUBLE PRECISION,
	waxed_topcoat BOOLEAN,
	exotherm_peak_c DOUBLE PRECISION,
	barcol DOUBLE PRECISION,
	trim_hours DOUBLE PRECISION,
	demould_hours DOUBLE PRECISION,
	demould_effort DOUBLE PRECISION,
	defects TEXT,
	outcome TEXT,
	rework_min DOUBLE PRECISION,
	cost DOUBLE PRECISION,
	notes TEXT,
	looked BOOLEAN,
	file TEXT,
	sheet TEXT,
	row INTEGER,
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
	id SERIAL NOT NULL,
	batch_id TEXT NOT NULL,
	date DATE,
	time TEXT,
	material TEXT,
	product TEXT,
	lot TEXT,
	lot_age_months DOUBLE PRECISION,
	mass_kg DOUBLE PRECISION,
	catalyst_pct DOUBLE PRECISION,
	catalyst_basis TEXT,
	catalyst_lot TEXT,
	mix_method TEXT,
	mix_min DOUBLE PRECISION,
	rest_min DOUBLE PRECISION,
	air_c DOUBLE PRECISION,
	material_c DOUBLE PRECISION,
	mould_c DOUBLE PRECISION,
	humidity_pct DOUBLE PRECISION,
	gel_min DOUBLE PRECISION,
	gel_where TEXT,
	operator TEXT,
	notes TEXT,
	file TEXT,
	sheet TEXT,
	row INTEGER,
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
	id SERIAL NOT NULL,
	lot TEXT NOT NULL,
	material TEXT,
	product TEXT,
	received DATE,
	opened DATE,
	expires DATE,
	sheet_low_pct DOUBLE PRECISION,
	sheet_high_pct DOUBLE PRECISION,
	sheet_gel_min DOUBLE PRECISION,
	sheet_gel_c DOUBLE PRECISION,
	sheet_gel_pct DOUBLE PRECISION,
	density_g_ml DOUBLE PRECISION,
	notes TEXT,
	file TEXT,
	sheet TEXT,
	row INTEGER,
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
	id SERIAL NOT NULL,
	mould_id TEXT NOT NULL,
	product TEXT,
	made DATE,
	area_m2 DOUBLE PRECISION,
	surface TEXT,
	draft TEXT,
	deep BOOLEAN,
	corner_radius_mm DOUBLE PRECISION,
	last_renewal DATE,
	notes TEXT,
	file TEXT,
	sheet TEXT,
	row INTEGER,
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
	id SERIAL NOT NULL,
	logger_id TEXT NOT NULL,
	timestamp TIMESTAMP WITHOUT TIME ZONE NOT NULL,
	air_c DOUBLE PRECISION,
	humidity_pct DOUBLE PRECISION,
	file TEXT,
	sheet TEXT,
	row INTEGER,
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
	id SERIAL NOT NULL,
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
	id SERIAL NOT NULL,
	kind TEXT NOT NULL,
	name TEXT NOT NULL,
	content TEXT NOT NULL,
	at TIMESTAMP WITHOUT TIME ZONE NOT NULL,
	withdrawn_at TIMESTAMP WITHOUT TIME ZONE,
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
SELECT setval(pg_get_serial_sequence('imports', 'id'), 2);
SELECT setval(pg_get_serial_sequence('part', 'id'), 2);
SELECT setval(pg_get_serial_sequence('batch', 'id'), 1);
SELECT setval(pg_get_serial_sequence('logger', 'id'), 1);
SELECT setval(pg_get_serial_sequence('defect', 'id'), 1);
SELECT setval(pg_get_serial_sequence('history', 'id'), 2);
SELECT setval(pg_get_serial_sequence('confirmation', 'id'), 1);
SELECT setval(pg_get_serial_sequence('observation', 'id'), 1);
SELECT setval(pg_get_serial_sequence('entry', 'id'), 1);
