-- A workshop file as version 6 wrote it; never edited, so that every old file opens.
PRAGMA application_id = 1280267077;
PRAGMA user_version = 6;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0006');
CREATE TABLE answer (
	id INTEGER NOT NULL, 
	outing_id INTEGER NOT NULL, 
	outing_version INTEGER NOT NULL, 
	outing TEXT NOT NULL, 
	bow_id INTEGER NOT NULL, 
	archer_id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	engine TEXT NOT NULL, 
	seed INTEGER NOT NULL, 
	answer JSON NOT NULL, 
	learned JSON, 
	CONSTRAINT pk_answer PRIMARY KEY (id)
);
INSERT INTO "answer" VALUES(1,1,1,'First evening',1,1,'2024-06-01T12:00:00+00:00','loosewell 0',5,'{"heading": "an answer", "causes": [["stiff", 0.5]]}','{"keys": ["draw"]}');
CREATE TABLE archer (
	id INTEGER NOT NULL, 
	name_key TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	retired BOOLEAN NOT NULL, 
	changed_at TEXT NOT NULL, 
	name TEXT NOT NULL, 
	draw_length_in FLOAT, 
	draw_measured TEXT, 
	draw_method TEXT, 
	draw_error_in FLOAT, 
	draw_date DATE, 
	hand TEXT NOT NULL, 
	hook TEXT, 
	loose TEXT, 
	child BOOLEAN, 
	experience TEXT, 
	remarks TEXT, 
	invented BOOLEAN NOT NULL, cant_deg FLOAT, 
	CONSTRAINT pk_archer PRIMARY KEY (id), 
	CONSTRAINT uq_archer_name_key UNIQUE (name_key), 
	CONSTRAINT uq_archer_name UNIQUE (name)
);
INSERT INTO "archer" VALUES(1,'wren',1,0,'2024-05-05T12:00:00+00:00','Wren',26.0,'true',NULL,NULL,'2024-05-01','left',NULL,NULL,NULL,NULL,NULL,1,12.0);
CREATE TABLE arrow (
	id INTEGER NOT NULL, 
	name_key TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	retired BOOLEAN NOT NULL, 
	changed_at TEXT NOT NULL, 
	name TEXT NOT NULL, 
	shaft TEXT NOT NULL, 
	length_in FLOAT, 
	point_kind TEXT, 
	point_weight_gr FLOAT, 
	nock_kind TEXT, 
	nock_weight_gr FLOAT, 
	fletching JSON, 
	weight_gr FLOAT, 
	balance_in FLOAT, 
	remarks TEXT, 
	invented BOOLEAN NOT NULL, point_width_in FLOAT, point_blade_length_in FLOAT, point_blades INTEGER, nock_fit TEXT, stiff_side_deg FLOAT, extra_parts JSON, 
	CONSTRAINT pk_arrow PRIMARY KEY (id), 
	CONSTRAINT uq_arrow_name_key UNIQUE (name_key), 
	CONSTRAINT uq_arrow_name UNIQUE (name), 
	CONSTRAINT fk_arrow_shaft_shaft FOREIGN KEY(shaft) REFERENCES shaft (name) ON UPDATE CASCADE
);
INSERT INTO "arrow" VALUES(1,'a1',1,0,'2024-05-05T12:00:00+00:00','A1','S1',28.0,'broadhead',NULL,NULL,NULL,'{"material": "feather", "length_in": null, "height_in": null, "count": 3, "angle_deg": null, "wing": null, "rear_in": null}',NULL,NULL,NULL,1,1.125,2.25,2,'snug',90.0,'[{"what": "binding", "weight_gr": 6.0, "at_in": 0.5}]');
CREATE TABLE arrow_set (
	id INTEGER NOT NULL, 
	name_key TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	retired BOOLEAN NOT NULL, 
	changed_at TEXT NOT NULL, 
	name TEXT NOT NULL, 
	code TEXT, 
	bow TEXT, 
	archer TEXT, 
	members JSON, 
	made_on DATE, 
	purpose TEXT, 
	remarks TEXT, 
	invented BOOLEAN NOT NULL, 
	CONSTRAINT pk_arrow_set PRIMARY KEY (id), 
	CONSTRAINT uq_arrow_set_name_key UNIQUE (name_key), 
	CONSTRAINT uq_arrow_set_name UNIQUE (name), 
	CONSTRAINT fk_arrow_set_bow_bow FOREIGN KEY(bow) REFERENCES bow (name) ON UPDATE CASCADE, 
	CONSTRAINT fk_arrow_set_archer_archer FOREIGN KEY(archer) REFERENCES archer (name) ON UPDATE CASCADE
);
INSERT INTO "arrow_set" VALUES(1,'camp dozen',1,0,'2024-05-05T12:00:00+00:00','Camp dozen','C1','Ash','Wren','[{"shaft": "S1", "nock_angle_deg": 90.0, "stiff_side_mark": "red dot"}, {"shaft": "S2", "nock_angle_deg": null, "stiff_side_mark": null}]','2024-05-03','roving',NULL,1);
CREATE TABLE bow (
	id INTEGER NOT NULL, 
	name_key TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	retired BOOLEAN NOT NULL, 
	changed_at TEXT NOT NULL, 
	name TEXT NOT NULL, 
	make TEXT, 
	length_in FLOAT, 
	brace_height_in FLOAT, 
	draw_measured TEXT, 
	draw_readings JSON, 
	drawn_to_limit_in FLOAT, 
	plate_offset_in FLOAT, 
	plate_offset_error_in FLOAT, 
	plate_material TEXT, 
	shelf_material TEXT, 
	nocking_height_in FLOAT, 
	string_material TEXT, 
	string_mass_gr FLOAT, 
	hand TEXT NOT NULL, 
	speed_readings JSON, 
	maker_minimum_arrow_gr FLOAT, 
	loaner BOOLEAN, 
	remarks TEXT, 
	invented BOOLEAN NOT NULL, 
	CONSTRAINT pk_bow PRIMARY KEY (id), 
	CONSTRAINT uq_bow_name_key UNIQUE (name_key), 
	CONSTRAINT uq_bow_name UNIQUE (name)
);
INSERT INTO "bow" VALUES(1,'ash',2,0,'2024-05-05T12:00:00+00:00','Ash',NULL,66.0,7.0,'true','[{"draw_in": 26.0, "weight_lb": 50.0, "weight_error_lb": null}]',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'right','[]',NULL,NULL,NULL,1);
CREATE TABLE class_roster (
	id INTEGER NOT NULL, 
	name_key TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	retired BOOLEAN NOT NULL, 
	changed_at TEXT NOT NULL, 
	name TEXT NOT NULL, 
	"on" DATE, 
	people JSON, 
	bows JSON, 
	sets JSON, 
	arrows JSON, 
	arrows_each INTEGER, 
	turns INTEGER, 
	loss_percent FLOAT, 
	rules JSON, 
	held JSON, 
	people_out JSON, 
	bows_out JSON, 
	arrows_out JSON, 
	remarks TEXT, 
	invented BOOLEAN NOT NULL, 
	CONSTRAINT pk_class_roster PRIMARY KEY (id), 
	CONSTRAINT uq_class_roster_name_key UNIQUE (name_key), 
	CONSTRAINT uq_class_roster_name UNIQUE (name)
);
INSERT INTO "class_roster" VALUES(1,'saturday',1,0,'2024-06-03T12:00:00+00:00','Saturday','2024-06-08','[{"name": "A.B.", "hand": "left", "draw_length_in": 24.0, "draw_measured": "true", "draw_method": "marked arrow", "draw_error_in": null, "draw_date": "2024-05-20", "child": true, "experience": "beginner", "strength_lb": 22.0, "remarks": null}]','["Ash"]','[]','["A1"]',3,2,8.0,'[{"what": "side", "text": "side zone widens", "source": "club handbook", "on": "2024-03-01", "figure_yd": 20.0, "at_yd": 100.0, "counted_from": "shooting line"}]','[{"person": "A.B.", "bow": "Ash", "turn": 1, "arrows": []}]','[]','[]','[]',NULL,1);
CREATE TABLE history (
	id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	record_id INTEGER NOT NULL, 
	version INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	what TEXT NOT NULL, 
	record JSON NOT NULL, 
	CONSTRAINT pk_history PRIMARY KEY (id), 
	CONSTRAINT uq_history_kind_record_id_version UNIQUE (kind, record_id, version)
);
INSERT INTO "history" VALUES(1,'bow',1,1,'2024-05-05T12:00:00+00:00','added','{"name": "Ash", "make": null, "length_in": null, "brace_height_in": 7.0, "draw_measured": "true", "draw_readings": [{"draw_in": 26.0, "weight_lb": 50.0, "weight_error_lb": null}], "drawn_to_limit_in": null, "plate_offset_in": null, "plate_offset_error_in": null, "plate_material": null, "shelf_material": null, "nocking_height_in": null, "string_material": null, "string_mass_gr": null, "hand": "right", "speed_readings": [], "maker_minimum_arrow_gr": null, "loaner": null, "remarks": null, "invented": true}');
INSERT INTO "history" VALUES(2,'bow',1,2,'2024-05-05T12:00:00+00:00','changed length_in','{"name": "Ash", "make": null, "length_in": 66.0, "brace_height_in": 7.0, "draw_measured": "true", "draw_readings": [{"draw_in": 26.0, "weight_lb": 50.0, "weight_error_lb": null}], "drawn_to_limit_in": null, "plate_offset_in": null, "plate_offset_error_in": null, "plate_material": null, "shelf_material": null, "nocking_height_in": null, "string_material": null, "string_mass_gr": null, "hand": "right", "speed_readings": [], "maker_minimum_arrow_gr": null, "loaner": null, "remarks": null, "invented": true}');
INSERT INTO "history" VALUES(3,'archer',1,1,'2024-05-05T12:00:00+00:00','added','{"name": "Wren", "draw_length_in": 26.0, "draw_measured": "true", "draw_method": null, "draw_error_in": null, "draw_date": "2024-05-01", "hand": "left", "hook": null, "loose": null, "cant_deg": 12.0, "child": null, "experience": null, "remarks": null, "invented": true}');
INSERT INTO "history" VALUES(4,'shaft',1,1,'2024-05-05T12:00:00+00:00','added','{"name": "S1", "kind": "solid", "material": null, "length_in": 32.0, "stations": [{"station_in": 2.0, "diameter_in": 0.34, "across_in": null}, {"station_in": 16.0, "diameter_in": 0.344, "across_in": 0.34}], "wall_in": null, "weight_gr": null, "weight_error_gr": null, "bench_readings": [{"span_in": 26.0, "load_lb": 2.0, "deflection_in": 0.52, "deflection_error_in": null, "rotation_deg": null, "jig": "two nails", "turned": true, "on": "2024-05-02"}], "joints": [{"station_in": 11.0, "sleeve_length_in": 2.0, "sleeve_weight_gr": 45.0, "stiffness_percent": 150.0, "give_deg_per_ftlb": 0.5, "play_deg": 0.2}], "sections": [{"from_in": 24.0, "to_in": 32.0, "material": "hickory", "stiffness_percent": 130.0, "weight_gr": null}], "kept_where": null, "inspection": {"result": "failed", "on": "2024-05-02", "by": "Robin", "note": "grain runs out", "checks": [{"what": "run-out", "finding": "fault", "note": "at 20 in"}, {"what": "cracks", "finding": "fine", "note": null}, {"what": "nock", "finding": "not looked at", "note": null}]}, "weighings": [{"on": "2024-04-01", "weight_gr": 410.0, "weight_error_gr": 1.5}, {"on": "2024-05-01", "weight_gr": 368.0, "weight_error_gr": null}], "taps": [{"frequencies_hz": [61.5, 169.0], "length_in": 32.0, "weight_gr": 368.0, "damping_ratio": 0.004, "on": "2024-05-01", "file": "s1.wav"}], "remarks": null, "invented": true}');
INSERT INTO "history" VALUES(5,'shaft',2,1,'2024-05-05T12:00:00+00:00','added','{"name": "S2", "kind": null, "material": null, "length_in": null, "stations": [], "wall_in": null, "weight_gr": null, "weight_error_gr": null, "bench_readings": [], "joints": [], "sections": [], "kept_where": null, "inspection": null, "weighings": [], "taps": [], "remarks": null, "invented": true}');
INSERT INTO "history" VALUES(6,'shaft',2,2,'2024-05-05T12:00:00+00:00','retired: cracked','{"name": "S2", "kind": null, "material": null, "length_in": null, "stations": [], "wall_in": null, "weight_gr": null, "weight_error_gr": null, "bench_readings": [], "joints": [], "sections": [], "kept_where": null, "inspection": null, "weighings": [], "taps": [], "remarks": null, "invented": true}');
INSERT INTO "history" VALUES(7,'arrow',1,1,'2024-05-05T12:00:00+00:00','added','{"name": "A1", "shaft": "S1", "length_in": 28.0, "point_kind": "broadhead", "point_weight_gr": null, "point_width_in": 1.125, "point_blade_length_in": 2.25, "point_blades": 2, "nock_kind": null, "nock_weight_gr": null, "nock_fit": "snug", "stiff_side_deg": 90.0, "fletching": {"material": "feather", "length_in": null, "height_in": null, "count": 3, "angle_deg": null, "wing": null, "rear_in": null}, "weight_gr": null, "balance_in": null, "extra_parts": [{"what": "binding", "weight_gr": 6.0, "at_in": 0.5}], "remarks": null, "invented": true}');
INSERT INTO "history" VALUES(8,'jig',1,1,'2024-05-05T12:00:00+00:00','added','{"name": "two nails", "span_in": 26.0, "span_error_in": 0.125, "load_lb": 2.0, "load_error_percent": 1.5, "reads": "fine ruler", "deflection_error_in": 0.015625, "stiffness_factor": 0.97, "stiffness_factor_error_percent": 2.0, "checked_on": "2024-05-01", "checked_with": "steel rod 1/4 in", "remarks": null, "invented": true}');
INSERT INTO "history" VALUES(9,'set',1,1,'2024-05-05T12:00:00+00:00','added','{"name": "Camp dozen", "code": "C1", "bow": "Ash", "archer": "Wren", "members": [{"shaft": "S1", "nock_angle_deg": 90.0, "stiff_side_mark": "red dot"}, {"shaft": "S2", "nock_angle_deg": null, "stiff_side_mark": null}], "made_on": "2024-05-03", "purpose": "roving", "remarks": null, "invented": true}');
INSERT INTO "history" VALUES(10,'outing',1,1,'2024-06-01T12:00:00+00:00','added','{"name": "First evening", "bow": "Ash", "archer": "Wren", "on": "2024-05-30", "distance_yd": 10.0, "shots": [{"arrow": null, "bare": false, "left_in": 2.0, "high_in": -1.0, "place_error_in": null, "nock_sideways": "straight", "nock_upright": null, "nock_left_deg": null, "nock_high_deg": null, "angle_error_deg": null, "called": null, "cold": false, "marks": ["none"], "speed_fps": null, "speed_error_percent": null}, {"arrow": "S1", "bare": true, "left_in": -6.0, "high_in": -2.0, "place_error_in": 1.0, "nock_sideways": null, "nock_upright": null, "nock_left_deg": 8.0, "nock_high_deg": null, "angle_error_deg": 2.0, "called": "good", "cold": true, "marks": ["powder on the tail"], "speed_fps": 150.0, "speed_error_percent": 1.0}], "arrow": "A1", "positions_from": "fletched group", "brace_height_in": 6.5, "nocking_height_in": 0.4, "temperature_f": 50.0, "wind_left_fps": -3.0, "change": {"what": "point", "text": "150 gr"}, "remarks": "drizzle", "invented": true}');
INSERT INTO "history" VALUES(11,'string',1,1,'2024-06-02T12:00:00+00:00','added','{"name": "Nettle one", "bow": "Ash", "fibre": "nettle", "home_made": true, "loops": "timber hitch", "strands": 12, "plies": 2, "twists": 60, "strand_strength_lb": 20.0, "samples": [{"of": "ply", "load_lb": 180.0, "wet": false, "on": "2024-06-01"}, {"of": "string", "load_lb": 240.5, "wet": true, "on": null}], "strand_length_in": 360.0, "strand_weight_gr": 40.0, "length_in": 63.5, "weight_gr": 190.0, "diameter_in": 0.12, "serving_length_in": 6.0, "serving_thread_in": 0.02, "serving_diameter_in": 0.16, "nock_slot_in": 0.165, "maker_allows_low_stretch": false, "made_on": "2024-05-20", "remarks": "retted in dew", "invented": true}');
INSERT INTO "history" VALUES(12,'class',1,1,'2024-06-03T12:00:00+00:00','added','{"name": "Saturday", "on": "2024-06-08", "people": [{"name": "A.B.", "hand": "left", "draw_length_in": 24.0, "draw_measured": "true", "draw_method": "marked arrow", "draw_error_in": null, "draw_date": "2024-05-20", "child": true, "experience": "beginner", "strength_lb": 22.0, "remarks": null}], "bows": ["Ash"], "sets": [], "arrows": ["A1"], "arrows_each": 3, "turns": 2, "loss_percent": 8.0, "rules": [{"what": "side", "text": "side zone widens", "source": "club handbook", "on": "2024-03-01", "figure_yd": 20.0, "at_yd": 100.0, "counted_from": "shooting line"}], "held": [{"person": "A.B.", "bow": "Ash", "turn": 1, "arrows": []}], "people_out": [], "bows_out": [], "arrows_out": [], "remarks": null, "invented": true}');
CREATE TABLE jig (
	id INTEGER NOT NULL, 
	name_key TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	retired BOOLEAN NOT NULL, 
	changed_at TEXT NOT NULL, 
	name TEXT NOT NULL, 
	span_in FLOAT, 
	span_error_in FLOAT, 
	load_lb FLOAT, 
	load_error_percent FLOAT, 
	reads TEXT, 
	deflection_error_in FLOAT, 
	stiffness_factor FLOAT, 
	stiffness_factor_error_percent FLOAT, 
	checked_on DATE, 
	checked_with TEXT, 
	remarks TEXT, 
	invented BOOLEAN NOT NULL, 
	CONSTRAINT pk_jig PRIMARY KEY (id), 
	CONSTRAINT uq_jig_name_key UNIQUE (name_key), 
	CONSTRAINT uq_jig_name UNIQUE (name)
);
INSERT INTO "jig" VALUES(1,'two nails',1,0,'2024-05-05T12:00:00+00:00','two nails',26.0,0.125,2.0,1.5,'fine ruler',0.015625,0.97,2.0,'2024-05-01','steel rod 1/4 in',NULL,1);
CREATE TABLE outing (
	id INTEGER NOT NULL, 
	name_key TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	retired BOOLEAN NOT NULL, 
	changed_at TEXT NOT NULL, 
	name TEXT NOT NULL, 
	bow TEXT NOT NULL, 
	archer TEXT NOT NULL, 
	"on" DATE NOT NULL, 
	distance_yd FLOAT NOT NULL, 
	shots JSON, 
	arrow TEXT, 
	positions_from TEXT NOT NULL, 
	brace_height_in FLOAT, 
	nocking_height_in FLOAT, 
	temperature_f FLOAT, 
	wind_left_fps FLOAT, 
	change JSON, 
	remarks TEXT, 
	invented BOOLEAN NOT NULL, 
	CONSTRAINT pk_outing PRIMARY KEY (id), 
	CONSTRAINT uq_outing_name_key UNIQUE (name_key), 
	CONSTRAINT uq_outing_name UNIQUE (name), 
	CONSTRAINT fk_outing_bow_bow FOREIGN KEY(bow) REFERENCES bow (name) ON UPDATE CASCADE, 
	CONSTRAINT fk_outing_archer_archer FOREIGN KEY(archer) REFERENCES archer (name) ON UPDATE CASCADE
);
INSERT INTO "outing" VALUES(1,'first evening',1,0,'2024-06-01T12:00:00+00:00','First evening','Ash','Wren','2024-05-30',10.0,'[{"arrow": null, "bare": false, "left_in": 2.0, "high_in": -1.0, "place_error_in": null, "nock_sideways": "straight", "nock_upright": null, "nock_left_deg": null, "nock_high_deg": null, "angle_error_deg": null, "called": null, "cold": false, "marks": ["none"], "speed_fps": null, "speed_error_percent": null}, {"arrow": "S1", "bare": true, "left_in": -6.0, "high_in": -2.0, "place_error_in": 1.0, "nock_sideways": null, "nock_upright": null, "nock_left_deg": 8.0, "nock_high_deg": null, "angle_error_deg": 2.0, "called": "good", "cold": true, "marks": ["powder on the tail"], "speed_fps": 150.0, "speed_error_percent": 1.0}]','A1','fletched group',6.5,0.4,50.0,-3.0,'{"what": "point", "text": "150 gr"}','drizzle',1);
CREATE TABLE set_aside (
	id INTEGER NOT NULL, 
	bow_id INTEGER, 
	archer_id INTEGER, 
	last_answer_id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	why TEXT NOT NULL, 
	CONSTRAINT pk_set_aside PRIMARY KEY (id)
);
INSERT INTO "set_aside" VALUES(1,1,NULL,1,'2024-06-01T12:00:00+00:00','new limbs');
CREATE TABLE shaft (
	id INTEGER NOT NULL, 
	name_key TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	retired BOOLEAN NOT NULL, 
	changed_at TEXT NOT NULL, 
	name TEXT NOT NULL, 
	kind TEXT, 
	material TEXT, 
	length_in FLOAT, 
	stations JSON, 
	wall_in FLOAT, 
	weight_gr FLOAT, 
	weight_error_gr FLOAT, 
	bench_readings JSON, 
	kept_where TEXT, 
	inspection JSON, 
	remarks TEXT, 
	invented BOOLEAN NOT NULL, joints JSON, sections JSON, weighings JSON, taps JSON, 
	CONSTRAINT pk_shaft PRIMARY KEY (id), 
	CONSTRAINT uq_shaft_name_key UNIQUE (name_key), 
	CONSTRAINT uq_shaft_name UNIQUE (name)
);
INSERT INTO "shaft" VALUES(1,'s1',1,0,'2024-05-05T12:00:00+00:00','S1','solid',NULL,32.0,'[{"station_in": 2.0, "diameter_in": 0.34, "across_in": null}, {"station_in": 16.0, "diameter_in": 0.344, "across_in": 0.34}]',NULL,NULL,NULL,'[{"span_in": 26.0, "load_lb": 2.0, "deflection_in": 0.52, "deflection_error_in": null, "rotation_deg": null, "jig": "two nails", "turned": true, "on": "2024-05-02"}]',NULL,'{"result": "failed", "on": "2024-05-02", "by": "Robin", "note": "grain runs out", "checks": [{"what": "run-out", "finding": "fault", "note": "at 20 in"}, {"what": "cracks", "finding": "fine", "note": null}, {"what": "nock", "finding": "not looked at", "note": null}]}',NULL,1,'[{"station_in": 11.0, "sleeve_length_in": 2.0, "sleeve_weight_gr": 45.0, "stiffness_percent": 150.0, "give_deg_per_ftlb": 0.5, "play_deg": 0.2}]','[{"from_in": 24.0, "to_in": 32.0, "material": "hickory", "stiffness_percent": 130.0, "weight_gr": null}]','[{"on": "2024-04-01", "weight_gr": 410.0, "weight_error_gr": 1.5}, {"on": "2024-05-01", "weight_gr": 368.0, "weight_error_gr": null}]','[{"frequencies_hz": [61.5, 169.0], "length_in": 32.0, "weight_gr": 368.0, "damping_ratio": 0.004, "on": "2024-05-01", "file": "s1.wav"}]');
INSERT INTO "shaft" VALUES(2,'s2',2,1,'2024-05-05T12:00:00+00:00','S2',NULL,NULL,NULL,'[]',NULL,NULL,NULL,'[]',NULL,NULL,NULL,1,'[]','[]','[]','[]');
CREATE TABLE string (
	id INTEGER NOT NULL, 
	name_key TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	retired BOOLEAN NOT NULL, 
	changed_at TEXT NOT NULL, 
	name TEXT NOT NULL, 
	bow TEXT, 
	fibre TEXT, 
	home_made BOOLEAN, 
	loops TEXT, 
	strands INTEGER, 
	plies INTEGER, 
	twists INTEGER, 
	strand_strength_lb FLOAT, 
	samples JSON, 
	strand_length_in FLOAT, 
	strand_weight_gr FLOAT, 
	length_in FLOAT, 
	weight_gr FLOAT, 
	diameter_in FLOAT, 
	serving_length_in FLOAT, 
	serving_thread_in FLOAT, 
	serving_diameter_in FLOAT, 
	nock_slot_in FLOAT, 
	maker_allows_low_stretch BOOLEAN, 
	made_on DATE, 
	remarks TEXT, 
	invented BOOLEAN NOT NULL, 
	CONSTRAINT pk_string PRIMARY KEY (id), 
	CONSTRAINT uq_string_name_key UNIQUE (name_key), 
	CONSTRAINT uq_string_name UNIQUE (name), 
	CONSTRAINT fk_string_bow_bow FOREIGN KEY(bow) REFERENCES bow (name) ON UPDATE CASCADE
);
INSERT INTO "string" VALUES(1,'nettle one',1,0,'2024-06-02T12:00:00+00:00','Nettle one','Ash','nettle',1,'timber hitch',12,2,60,20.0,'[{"of": "ply", "load_lb": 180.0, "wet": false, "on": "2024-06-01"}, {"of": "string", "load_lb": 240.5, "wet": true, "on": null}]',360.0,40.0,63.5,190.0,0.12,6.0,0.02,0.16,0.165,0,'2024-05-20','retted in dew',1);
CREATE TRIGGER history_is_not_changed BEFORE UPDATE ON history BEGIN SELECT RAISE(ABORT, 'history is never changed'); END;
CREATE TRIGGER history_is_not_deleted BEFORE DELETE ON history BEGIN SELECT RAISE(ABORT, 'history is never deleted'); END;
CREATE TRIGGER bow_is_not_deleted BEFORE DELETE ON bow BEGIN SELECT RAISE(ABORT, 'a bow is retired, never deleted'); END;
CREATE TRIGGER archer_is_not_deleted BEFORE DELETE ON archer BEGIN SELECT RAISE(ABORT, 'a archer is retired, never deleted'); END;
CREATE TRIGGER shaft_is_not_deleted BEFORE DELETE ON shaft BEGIN SELECT RAISE(ABORT, 'a shaft is retired, never deleted'); END;
CREATE TRIGGER arrow_is_not_deleted BEFORE DELETE ON arrow BEGIN SELECT RAISE(ABORT, 'a arrow is retired, never deleted'); END;
CREATE TRIGGER jig_is_not_deleted BEFORE DELETE ON jig BEGIN SELECT RAISE(ABORT, 'a jig is retired, never deleted'); END;
CREATE TRIGGER set_is_not_deleted BEFORE DELETE ON arrow_set BEGIN SELECT RAISE(ABORT, 'a set is retired, never deleted'); END;
CREATE TRIGGER outing_is_not_deleted BEFORE DELETE ON outing BEGIN SELECT RAISE(ABORT, 'a outing is retired, never deleted'); END;
CREATE TRIGGER answer_is_not_changed BEFORE UPDATE ON answer BEGIN SELECT RAISE(ABORT, 'answer is never changed'); END;
CREATE TRIGGER answer_is_not_deleted BEFORE DELETE ON answer BEGIN SELECT RAISE(ABORT, 'answer is never deleted'); END;
CREATE TRIGGER set_aside_is_not_changed BEFORE UPDATE ON set_aside BEGIN SELECT RAISE(ABORT, 'set aside is never changed'); END;
CREATE TRIGGER set_aside_is_not_deleted BEFORE DELETE ON set_aside BEGIN SELECT RAISE(ABORT, 'set aside is never deleted'); END;
CREATE TRIGGER string_is_not_deleted BEFORE DELETE ON string BEGIN SELECT RAISE(ABORT, 'a string is retired, never deleted'); END;
CREATE TRIGGER class_is_not_deleted BEFORE DELETE ON class_roster BEGIN SELECT RAISE(ABORT, 'a class is retired, never deleted'); END;
COMMIT;
