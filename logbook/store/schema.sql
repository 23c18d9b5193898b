-- The logbook's schema. Column names are those of the files in docs/interface.md; instants are UTC text
-- YYYY-MM-DDTHH:MMZ. Columns that name an aeroplane, a pack or a person hold the number (n) of its row; the views
-- at the end show the names. Guards and histories are triggers, made from these tables by triggers.py.

CREATE TABLE pack_type (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    nominal_kwh REAL,
    soh_zero_fraction REAL,
    soh_full_fraction REAL,
    unusable_soc_pct REAL CHECK (unusable_soc_pct BETWEEN 0 AND 100),
    energy_by_decile TEXT CHECK (energy_by_decile IS NULL OR json_valid(energy_by_decile)),
    takeoff_min_temp_c REAL,
    takeoff_max_temp_c REAL,
    temp_caution_c REAL,
    temp_limit_c REAL,
    charge_min_temp_c REAL,
    charge_max_temp_c REAL,
    storage_soc_pct REAL CHECK (storage_soc_pct BETWEEN 0 AND 100),
    limit_hours REAL,
    limit_cycles REAL,
    cycle_definition TEXT,
    limit_date TEXT CHECK (limit_date IS date(limit_date, '+0 days')),
    limit_soh_pct REAL,
    cells_apart_caution_mv REAL CHECK (cells_apart_caution_mv > 0),
    cells_apart_limit_mv REAL CHECK (cells_apart_limit_mv > 0),
    cell_limit_min_v REAL CHECK (cell_limit_min_v > 0),
    cell_limit_max_v REAL CHECK (cell_limit_max_v > 0),
    insulation_limit_mohm REAL CHECK (insulation_limit_mohm > 0),
    text TEXT,
    part_no TEXT NOT NULL UNIQUE,
    maker_text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE aircraft (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    registration TEXT NOT NULL UNIQUE,
    type TEXT,
    "class" TEXT,
    positions TEXT NOT NULL CHECK (json_valid(positions)),
    base TEXT,
    reserve_soc_pct REAL CHECK (reserve_soc_pct BETWEEN 0 AND 100),
    minimum_departure_soc_pct REAL CHECK (minimum_departure_soc_pct BETWEEN 0 AND 100),
    final_reserve_min_local REAL,
    final_reserve_kw_local REAL,
    final_reserve_min_day REAL,
    final_reserve_kw_day REAL,
    final_reserve_min_night REAL,
    final_reserve_kw_night REAL,
    temp_caution_c REAL,
    temp_limit_c REAL,
    charge_min_temp_c REAL,
    charge_max_temp_c REAL,
    soh_zero_fraction REAL,
    soh_full_fraction REAL,
    unusable_soc_pct REAL CHECK (unusable_soc_pct BETWEEN 0 AND 100),
    energy_by_decile TEXT CHECK (energy_by_decile IS NULL OR json_valid(energy_by_decile)),
    cruise_power_kw REAL,
    cruise_tas_kt REAL,
    climb_rate_fpm REAL,
    ceiling_ft REAL,
    empty_mass_kg REAL,
    handbook_ground_kwh REAL,
    handbook_climb_kwh_per_1000ft REAL,
    handbook_level_kwh_per_min REAL,
    handbook_circuit_kwh REAL,
    handbook_departure_kwh REAL,
    handbook_mass_kg REAL,
    electricity_price_per_kwh REAL,
    pack_set_price REAL,
    time_in_service_from TEXT,
    takeoff_min_temp_c REAL,
    takeoff_max_temp_c REAL,
    hours_brought_forward REAL,
    landings_brought_forward REAL,
    text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE pack (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    nominal_kwh REAL,
    soh_zero_fraction REAL,
    soh_full_fraction REAL,
    unusable_soc_pct REAL CHECK (unusable_soc_pct BETWEEN 0 AND 100),
    energy_by_decile TEXT CHECK (energy_by_decile IS NULL OR json_valid(energy_by_decile)),
    takeoff_min_temp_c REAL,
    takeoff_max_temp_c REAL,
    temp_caution_c REAL,
    temp_limit_c REAL,
    charge_min_temp_c REAL,
    charge_max_temp_c REAL,
    storage_soc_pct REAL CHECK (storage_soc_pct BETWEEN 0 AND 100),
    limit_hours REAL,
    limit_cycles REAL,
    cycle_definition TEXT,
    limit_date TEXT CHECK (limit_date IS date(limit_date, '+0 days')),
    limit_soh_pct REAL,
    cells_apart_caution_mv REAL CHECK (cells_apart_caution_mv > 0),
    cells_apart_limit_mv REAL CHECK (cells_apart_limit_mv > 0),
    cell_limit_min_v REAL CHECK (cell_limit_min_v > 0),
    cell_limit_max_v REAL CHECK (cell_limit_max_v > 0),
    insulation_limit_mohm REAL CHECK (insulation_limit_mohm > 0),
    text TEXT,
    serial_no TEXT NOT NULL UNIQUE,
    part_no TEXT,
    made_on TEXT CHECK (made_on IS date(made_on, '+0 days')),
    hours_brought_forward REAL,
    cycles_brought_forward REAL,
    landings_brought_forward REAL,
    state TEXT,
    state_since TEXT CHECK (state_since IS strftime('%Y-%m-%dT%H:%MZ', state_since, '+0 days')),
    state_reason TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE person (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    person TEXT NOT NULL UNIQUE,
    licence_no TEXT,
    role_text TEXT,
    address TEXT,
    public_key TEXT,
    brought_forward_total_min REAL,
    brought_forward_pic_min REAL,
    brought_forward_dual_min REAL,
    brought_forward_instructor_min REAL,
    brought_forward_night_min REAL,
    brought_forward_landings_day REAL,
    brought_forward_landings_night REAL,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE place (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    place TEXT NOT NULL UNIQUE,
    latitude_deg REAL,
    longitude_deg REAL,
    elevation_ft REAL,
    zone TEXT,
    text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE installation (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    serial_no INTEGER NOT NULL REFERENCES pack(n),
    aircraft INTEGER NOT NULL REFERENCES aircraft(n),
    position TEXT NOT NULL,
    fitted TEXT NOT NULL CHECK (fitted IS strftime('%Y-%m-%dT%H:%MZ', fitted, '+0 days')),
    removed TEXT CHECK (removed IS strftime('%Y-%m-%dT%H:%MZ', removed, '+0 days')),
    reason TEXT,
    aircraft_hours REAL,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE person_item (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    person INTEGER NOT NULL REFERENCES person(n),
    item TEXT NOT NULL,
    valid_from TEXT CHECK (valid_from IS date(valid_from, '+0 days')),
    valid_until TEXT CHECK (valid_until IS date(valid_until, '+0 days')),
    issued_by TEXT,
    aircraft INTEGER REFERENCES aircraft(n),
    place TEXT,
    limit_wind_kt REAL,
    limit_departure_soc_pct REAL CHECK (limit_departure_soc_pct BETWEEN 0 AND 100),
    limit_landing_soc_pct REAL CHECK (limit_landing_soc_pct BETWEEN 0 AND 100),
    limit_minutes REAL,
    text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE flight (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    date TEXT NOT NULL CHECK (date IS date(date, '+0 days')),
    aircraft INTEGER NOT NULL REFERENCES aircraft(n),
    state TEXT NOT NULL CHECK (state IN ('open', 'closed')),
    outcome TEXT NOT NULL CHECK (outcome IN ('flown', 'ground-run', 'aborted', 'rejected', 'device')),
    off_blocks TEXT CHECK (off_blocks IS strftime('%Y-%m-%dT%H:%MZ', off_blocks, '+0 days')),
    takeoff TEXT CHECK (takeoff IS strftime('%Y-%m-%dT%H:%MZ', takeoff, '+0 days')),
    landing TEXT CHECK (landing IS strftime('%Y-%m-%dT%H:%MZ', landing, '+0 days')),
    on_blocks TEXT CHECK (on_blocks IS strftime('%Y-%m-%dT%H:%MZ', on_blocks, '+0 days')),
    off_blocks_source TEXT CHECK (off_blocks_source IN ('track', 'recorder')),
    takeoff_source TEXT CHECK (takeoff_source IN ('track', 'recorder')),
    landing_source TEXT CHECK (landing_source IN ('track', 'recorder')),
    on_blocks_source TEXT CHECK (on_blocks_source IN ('track', 'recorder')),
    meter_start REAL,
    meter_end REAL,
    place_from TEXT,
    place_to TEXT,
    pilot INTEGER REFERENCES person(n),
    function TEXT CHECK (function IN ('pic', 'dual', 'instructor', 'solo', 'picus', 'copilot')),
    second_person INTEGER REFERENCES person(n),
    second_function TEXT CHECK (second_function IN ('pic', 'dual', 'instructor', 'solo', 'picus', 'copilot')),
    handled_by INTEGER REFERENCES person(n),
    kind TEXT CHECK (kind IN ('circuits', 'local', 'cross-country', 'ferry', 'check')),
    landings_day INTEGER CHECK (landings_day >= 0),
    landings_night INTEGER CHECK (landings_night >= 0),
    landings_night_full_stop INTEGER CHECK (landings_night_full_stop >= 0),
    circuits INTEGER CHECK (circuits >= 0),
    climb_ft REAL,
    highest_ft REAL,
    level_min REAL,
    level_kw REAL,
    aboard INTEGER CHECK (aboard >= 0),
    mass_kg REAL,
    outside_temp_c REAL,
    wind_dir REAL,
    wind_kt REAL,
    exercise TEXT,
    pilot_estimate_soc_pct REAL CHECK (pilot_estimate_soc_pct BETWEEN 0 AND 100),
    remarks TEXT,
    debrief TEXT,
    reserve_soc_pct REAL CHECK (reserve_soc_pct BETWEEN 0 AND 100),
    minimum_departure_soc_pct REAL CHECK (minimum_departure_soc_pct BETWEEN 0 AND 100),
    final_reserve_min REAL,
    final_reserve_kw REAL,
    temp_limit_c REAL,
    plan_id TEXT,
    temp_caution_c REAL,
    expected_back TEXT CHECK (expected_back IS strftime('%Y-%m-%dT%H:%MZ', expected_back, '+0 days')),
    night_min REAL,
    ifr_min REAL,
    instrument_min REAL,
    simulated_instrument_min REAL,
    ground_training_min REAL,
    safety_pilot INTEGER REFERENCES person(n),
    approaches_text TEXT,
    device_text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE reading (
    n INTEGER PRIMARY KEY,
    flight INTEGER NOT NULL REFERENCES flight(n),
    serial_no INTEGER REFERENCES pack(n), -- NULL: one figure for the whole aeroplane
    soc_departure_pct REAL CHECK (soc_departure_pct BETWEEN 0 AND 100),
    soc_takeoff_pct REAL CHECK (soc_takeoff_pct BETWEEN 0 AND 100),
    soc_touchdown_pct REAL CHECK (soc_touchdown_pct BETWEEN 0 AND 100),
    soc_landing_pct REAL CHECK (soc_landing_pct BETWEEN 0 AND 100),
    soh_pct REAL,
    temp_departure_c REAL,
    temp_max_c REAL,
    temp_landing_c REAL,
    source TEXT NOT NULL CHECK (source IN ('read', 'confirmed', 'recorder', 'remembered', 'not-read'))
) STRICT;

CREATE TABLE crew (
    n INTEGER PRIMARY KEY,
    flight INTEGER NOT NULL REFERENCES flight(n),
    person INTEGER NOT NULL REFERENCES person(n),
    function TEXT CHECK (function IN ('pic', 'dual', 'instructor', 'solo', 'picus', 'copilot')),
    handled INTEGER NOT NULL CHECK (handled IN (0, 1)),
    takeoffs_day INTEGER CHECK (takeoffs_day >= 0),
    takeoffs_night INTEGER CHECK (takeoffs_night >= 0),
    landings_day INTEGER CHECK (landings_day >= 0),
    landings_night INTEGER CHECK (landings_night >= 0),
    landings_night_full_stop INTEGER CHECK (landings_night_full_stop >= 0)
) STRICT;

CREATE TABLE phase (
    n INTEGER PRIMARY KEY,
    flight INTEGER NOT NULL REFERENCES flight(n),
    sequence INTEGER NOT NULL CHECK (sequence >= 0),
    phase TEXT NOT NULL,
    minutes REAL,
    climb_ft REAL,
    mean_kw REAL
) STRICT;

CREATE TABLE charge (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL,
    serial_no INTEGER NOT NULL REFERENCES pack(n),
    started TEXT NOT NULL CHECK (started IS strftime('%Y-%m-%dT%H:%MZ', started, '+0 days')),
    ended TEXT CHECK (ended IS strftime('%Y-%m-%dT%H:%MZ', ended, '+0 days')),
    place TEXT,
    charger TEXT,
    purpose TEXT,
    ended_because TEXT,
    soc_start_pct REAL CHECK (soc_start_pct BETWEEN 0 AND 100),
    soc_end_pct REAL CHECK (soc_end_pct BETWEEN 0 AND 100),
    temp_start_c REAL,
    temp_end_c REAL,
    energy_kwh REAL,
    shared_energy_kwh REAL,
    price REAL,
    text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE observation (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    serial_no INTEGER NOT NULL REFERENCES pack(n),
    at TEXT NOT NULL CHECK (at IS strftime('%Y-%m-%dT%H:%MZ', at, '+0 days')),
    soc_pct REAL CHECK (soc_pct BETWEEN 0 AND 100),
    soh_pct REAL,
    cell_min_v REAL,
    cell_max_v REAL,
    temp_min_c REAL,
    temp_max_c REAL,
    insulation_mohm REAL,
    counter_hours REAL,
    counter_cycles REAL,
    software TEXT,
    baseline_break TEXT,
    text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE capacity_check (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    serial_no INTEGER NOT NULL REFERENCES pack(n),
    at TEXT NOT NULL CHECK (at IS strftime('%Y-%m-%dT%H:%MZ', at, '+0 days')),
    kwh REAL NOT NULL,
    power_kw REAL,
    soc_from_pct REAL CHECK (soc_from_pct BETWEEN 0 AND 100),
    soc_to_pct REAL CHECK (soc_to_pct BETWEEN 0 AND 100),
    temp_c REAL,
    by_whom TEXT,
    text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE defect (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    aircraft INTEGER REFERENCES aircraft(n),
    serial_no INTEGER REFERENCES pack(n),
    found TEXT NOT NULL CHECK (found IS strftime('%Y-%m-%dT%H:%MZ', found, '+0 days')),
    found_by TEXT,
    flight_id TEXT,
    text TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('open', 'deferred', 'closed')),
    needs_inspection INTEGER NOT NULL CHECK (needs_inspection IN (0, 1)),
    deferred_until TEXT CHECK (deferred_until IS date(deferred_until, '+0 days')),
    deferred_basis TEXT,
    deferred_by TEXT,
    closed_by_entry TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE maintenance (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    aircraft INTEGER REFERENCES aircraft(n),
    serial_no INTEGER REFERENCES pack(n),
    component_id TEXT,
    work TEXT,
    text TEXT NOT NULL,
    completed TEXT NOT NULL CHECK (completed IS strftime('%Y-%m-%dT%H:%MZ', completed, '+0 days')),
    done_by TEXT,
    certificate_no TEXT,
    aircraft_hours REAL,
    next_due_date TEXT CHECK (next_due_date IS date(next_due_date, '+0 days')),
    next_due_hours REAL,
    next_due_cycles REAL,
    closes_defect TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE component (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    aircraft INTEGER NOT NULL REFERENCES aircraft(n),
    name TEXT NOT NULL,
    part_no TEXT,
    serial_no TEXT,
    fitted TEXT CHECK (fitted IS strftime('%Y-%m-%dT%H:%MZ', fitted, '+0 days')),
    removed TEXT CHECK (removed IS strftime('%Y-%m-%dT%H:%MZ', removed, '+0 days')),
    hours_brought_forward REAL,
    limit_hours REAL,
    limit_date TEXT CHECK (limit_date IS date(limit_date, '+0 days')),
    text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE plan (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    aircraft INTEGER NOT NULL REFERENCES aircraft(n),
    made_at TEXT CHECK (made_at IS strftime('%Y-%m-%dT%H:%MZ', made_at, '+0 days')),
    title TEXT,
    inputs TEXT NOT NULL,
    answer TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE TABLE signature (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    flight_id TEXT NOT NULL,
    person TEXT NOT NULL,
    fingerprint TEXT NOT NULL,
    signed_at TEXT NOT NULL CHECK (signed_at IS strftime('%Y-%m-%dT%H:%MZ', signed_at, '+0 days')),
    payload TEXT NOT NULL,
    signature TEXT NOT NULL,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

-- Words about a flag: of a flight, a charging session, an observation, or a maintenance entry.
CREATE TABLE answer (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    flight_id TEXT,
    charge_id TEXT,
    observation_id TEXT,
    entry_id TEXT,
    serial_no INTEGER REFERENCES pack(n),
    rule TEXT NOT NULL,
    figures TEXT NOT NULL,
    words TEXT NOT NULL,
    by_whom TEXT,
    at TEXT CHECK (at IS strftime('%Y-%m-%dT%H:%MZ', at, '+0 days')),
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days')),
    CHECK ((flight_id IS NOT NULL) + (charge_id IS NOT NULL) + (observation_id IS NOT NULL) + (entry_id IS NOT NULL) = 1)
) STRICT;

-- What a recording of the aeroplane said of a flight; the raw file itself stays outside, known by its digest.
CREATE TABLE recording (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    flight_id TEXT NOT NULL,
    file_name TEXT NOT NULL,
    digest TEXT NOT NULL,
    mapping TEXT NOT NULL,
    clock_offset_s REAL NOT NULL,
    units TEXT NOT NULL,
    started TEXT NOT NULL CHECK (started IS strftime('%Y-%m-%dT%H:%MZ', started, '+0 days')),
    ended TEXT NOT NULL CHECK (ended IS strftime('%Y-%m-%dT%H:%MZ', ended, '+0 days')),
    row_count INTEGER NOT NULL CHECK (row_count >= 0),
    used_count INTEGER NOT NULL CHECK (used_count >= 0),
    left_out TEXT NOT NULL CHECK (json_valid(left_out)),
    interval_s REAL,
    gap_limit_s REAL NOT NULL,
    gap_count INTEGER NOT NULL CHECK (gap_count >= 0),
    energy_kwh REAL,
    energy_back_kwh REAL,
    at_least INTEGER NOT NULL CHECK (at_least IN (0, 1)),
    without_data_min REAL NOT NULL,
    findings TEXT NOT NULL CHECK (json_valid(findings)),
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

-- A paper that was written to a file; its line tells what it rests on.
CREATE TABLE paper (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    what TEXT NOT NULL,
    which TEXT,
    as_of TEXT NOT NULL CHECK (as_of IS strftime('%Y-%m-%dT%H:%MZ', as_of, '+0 days')),
    issued TEXT NOT NULL CHECK (issued IS strftime('%Y-%m-%dT%H:%MZ', issued, '+0 days')),
    by_whom TEXT,
    digest TEXT NOT NULL,
    format TEXT NOT NULL,
    file_name TEXT,
    line TEXT NOT NULL,
    text TEXT,
    struck INTEGER NOT NULL DEFAULT 0 CHECK (struck IN (0, 1)),
    entered_by TEXT,
    entered_at TEXT CHECK (entered_at IS strftime('%Y-%m-%dT%H:%MZ', entered_at, '+0 days'))
) STRICT;

CREATE UNIQUE INDEX charge_once ON charge (id, serial_no);
CREATE UNIQUE INDEX reading_once ON reading (flight, coalesce(serial_no, 0));
CREATE UNIQUE INDEX crew_once ON crew (flight, person);
CREATE UNIQUE INDEX phase_once ON phase (flight, sequence);
CREATE UNIQUE INDEX flight_once ON flight (aircraft, off_blocks) WHERE off_blocks IS NOT NULL AND struck = 0;
CREATE INDEX flight_by_time ON flight (off_blocks);
CREATE INDEX flight_by_date ON flight (date, off_blocks) WHERE struck = 0;
CREATE INDEX flight_struck ON flight (date, off_blocks) WHERE struck = 1;
CREATE INDEX flight_by_aircraft ON flight (aircraft, date, off_blocks) WHERE struck = 0;
CREATE INDEX flight_by_pilot ON flight (pilot, date, off_blocks);
CREATE INDEX flight_by_second ON flight (second_person, date, off_blocks);
CREATE INDEX flight_by_handler ON flight (handled_by, date, off_blocks) WHERE handled_by IS NOT NULL;
CREATE INDEX flight_by_safety ON flight (safety_pilot, date, off_blocks) WHERE safety_pilot IS NOT NULL;
CREATE INDEX flight_open ON flight (date) WHERE state = 'open' AND struck = 0;
CREATE INDEX crew_by_person ON crew (person);
CREATE INDEX reading_by_pack ON reading (serial_no);
CREATE INDEX charge_by_pack ON charge (serial_no, started);
CREATE INDEX charge_by_time ON charge (started);
CREATE INDEX installation_by_pack ON installation (serial_no, fitted);
CREATE INDEX installation_by_place ON installation (aircraft, position, fitted);
CREATE INDEX answer_by_flight ON answer (flight_id);
CREATE INDEX answer_by_charge ON answer (charge_id) WHERE charge_id IS NOT NULL;
CREATE INDEX answer_by_observation ON answer (observation_id) WHERE observation_id IS NOT NULL;
CREATE INDEX answer_by_entry ON answer (entry_id) WHERE entry_id IS NOT NULL;
CREATE INDEX recording_by_flight ON recording (flight_id);
CREATE INDEX signature_by_flight ON signature (flight_id);
CREATE INDEX observation_by_pack ON observation (serial_no, at);
CREATE INDEX observation_break ON observation (serial_no, at) WHERE baseline_break IS NOT NULL AND struck = 0;
CREATE INDEX defect_grounding ON defect (serial_no) WHERE needs_inspection = 1 AND struck = 0;
CREATE INDEX defect_waiting ON defect (state, found) WHERE state <> 'closed' AND struck = 0;
CREATE INDEX maintenance_closing ON maintenance (closes_defect) WHERE closes_defect IS NOT NULL;
CREATE INDEX maintenance_work ON maintenance (aircraft, serial_no, component_id, work, completed) WHERE struck = 0;
CREATE INDEX maintenance_of_pack ON maintenance (serial_no, completed) WHERE serial_no IS NOT NULL AND struck = 0;
CREATE INDEX person_item_ends ON person_item (valid_until) WHERE struck = 0;

-- Every earlier state of every record, as JSON; written by triggers only.
CREATE TABLE version (
    seq INTEGER PRIMARY KEY,
    record TEXT NOT NULL,
    record_id TEXT NOT NULL,
    was TEXT CHECK (was IS NULL OR json_valid(was)), -- NULL: this part of the record was added then
    at TEXT NOT NULL,
    by_whom TEXT,
    why TEXT
) STRICT;
CREATE INDEX version_of ON version (record_id, seq);

-- Who changes what and why, for the triggers; set and cleared inside the transaction that writes.
CREATE TABLE change_note (
    n INTEGER PRIMARY KEY CHECK (n = 1),
    by_whom TEXT,
    why TEXT,
    adding INTEGER NOT NULL DEFAULT 0 CHECK (adding IN (0, 1))
) STRICT;
INSERT INTO change_note (n) VALUES (1);

CREATE TABLE setting (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL CHECK (json_valid(value))
) STRICT, WITHOUT ROWID;

-- What follows is derived: it can be thrown away and is then built again (services/refresh.py).

-- One line of events for each pack, in order of time: flights (off blocks) and charges (started).
CREATE TABLE pack_event (
    pack INTEGER NOT NULL,
    at TEXT NOT NULL,
    what TEXT NOT NULL CHECK (what IN ('flight', 'charge')),
    n INTEGER NOT NULL,
    PRIMARY KEY (pack, at, what, n)
) STRICT, WITHOUT ROWID;
CREATE INDEX pack_event_of ON pack_event (what, n);

CREATE TABLE flight_index (
    flight INTEGER PRIMARY KEY,
    block_min INTEGER,
    air_min INTEGER,
    energy_kwh REAL,
    energy_sd_kwh REAL,
    landing_soc_pct REAL,
    minutes_left REAL,
    open_flags INTEGER NOT NULL,
    worst TEXT,
    date TEXT NOT NULL, -- as in the flight, so that the newest with a flag are found without reading the others
    off_blocks TEXT,
    unread INTEGER NOT NULL -- 1: a charge was not read, and nobody has answered for it
) STRICT;
CREATE INDEX flight_index_worst ON flight_index (worst, date, off_blocks) WHERE worst IS NOT NULL;
CREATE INDEX flight_index_unread ON flight_index (date, off_blocks) WHERE unread = 1;

CREATE TABLE flight_flag (
    flight INTEGER NOT NULL,
    rule TEXT NOT NULL,
    pack INTEGER NOT NULL DEFAULT 0,
    severity TEXT NOT NULL,
    words TEXT NOT NULL,
    figures TEXT NOT NULL CHECK (json_valid(figures)),
    answered INTEGER NOT NULL DEFAULT 0,
    date TEXT NOT NULL, -- as in the flight, so that the newest with a flag are found without reading the others
    off_blocks TEXT,
    PRIMARY KEY (flight, rule, pack)
) STRICT, WITHOUT ROWID;
CREATE INDEX flight_flag_by_rule ON flight_flag (rule, date, off_blocks, flight);
CREATE INDEX flight_flag_hot ON flight_flag (pack, off_blocks) WHERE rule = 'temperature_limit' AND answered = 0;

CREATE TABLE stale (flight INTEGER PRIMARY KEY) STRICT;

-- What a pack has accrued, as JSON (services/pack_accrued.py), and what each flight of its last year took, a column of binary
-- numbers for each figure (services/pack_used.py). Totals of packs in pack_stale no longer hold.
CREATE TABLE pack_total (
    pack INTEGER PRIMARY KEY,
    edition INTEGER NOT NULL, -- of the way they are made
    newest INTEGER NOT NULL, -- the newest instant that was counted, in minutes since 1970
    figures TEXT NOT NULL CHECK (json_valid(figures)),
    used_at BLOB NOT NULL,
    used_hours BLOB NOT NULL,
    used_discharge BLOB NOT NULL,
    used_maker BLOB -- absent where the maker's cycles are those by discharge, or are not counted
) STRICT;

-- The sums of a pack up to a moment (services/pack_sums.py), from which they go on where nothing before it has changed.
CREATE TABLE pack_sums (
    pack INTEGER PRIMARY KEY,
    edition INTEGER NOT NULL,
    until TEXT NOT NULL, -- instant: what is at it or later is not in them
    sums TEXT NOT NULL CHECK (json_valid(sums))
) STRICT;
CREATE TABLE pack_stale (
    pack INTEGER PRIMARY KEY,
    since TEXT NOT NULL -- instant of the earliest record that was changed; empty: anything may be another
) STRICT;

-- What a person flew in this book and what waits for them, without what was brought forward (services/people_kept.py). A row
-- that no longer holds is deleted by a trigger; times in minutes.
CREATE TABLE person_total (
    person INTEGER PRIMARY KEY,
    edition INTEGER NOT NULL, -- of the way they are made
    last_flight TEXT NOT NULL, -- local day, or empty
    total_min INTEGER NOT NULL,
    pic_min INTEGER NOT NULL,
    dual_min INTEGER NOT NULL,
    solo_min INTEGER NOT NULL,
    landings INTEGER NOT NULL,
    open_flags INTEGER NOT NULL,
    waiting INTEGER NOT NULL, -- own entries to be countersigned
    to_sign INTEGER NOT NULL -- entries of others that wait for this person
) STRICT;

-- For other tools: names instead of numbers.
CREATE VIEW flights AS
SELECT f.id AS flight_id, f.date, a.registration AS aircraft, f.state, f.outcome, f.off_blocks, f.takeoff, f.landing,
    f.on_blocks, f.place_from, f.place_to, p.person AS pilot, f.function, s.person AS second_person, f.second_function,
    f.kind, f.landings_day, f.landings_night, f.circuits, f.climb_ft, f.level_min, f.aboard, f.mass_kg, f.remarks,
    i.block_min, i.air_min, i.energy_kwh, i.landing_soc_pct, i.minutes_left, i.open_flags
FROM flight f
JOIN aircraft a ON a.n = f.aircraft
LEFT JOIN person p ON p.n = f.pilot
LEFT JOIN person s ON s.n = f.second_person
LEFT JOIN flight_index i ON i.flight = f.n
WHERE f.struck = 0;

CREATE VIEW readings AS
SELECT f.id AS flight_id, f.off_blocks, p.serial_no, r.soc_departure_pct, r.soc_landing_pct, r.soh_pct,
    r.temp_departure_c, r.temp_max_c, r.temp_landing_c, r.source
FROM reading r
JOIN flight f ON f.n = r.flight
LEFT JOIN pack p ON p.n = r.serial_no
WHERE f.struck = 0;
