-- The record book, first shape. One row is one thing the shop wrote down; it is never deleted and never
-- overwritten without a line in `change`. The triggers hold that for every program that opens the file.

-- Who did what and when, one row a command. `token` is made by the client, so that a retry cannot log twice.
CREATE TABLE act (
    id INTEGER PRIMARY KEY,
    token TEXT NOT NULL UNIQUE,
    who TEXT,
    at TEXT NOT NULL, -- UTC, 2026-03-09T14:20:05Z
    command TEXT NOT NULL,
    why TEXT,
    undoes INTEGER REFERENCES act (id)
);

-- The act under way, if any: one row while a transaction writes, none between.
CREATE TABLE acting (
    only INTEGER PRIMARY KEY CHECK (only = 1),
    act INTEGER NOT NULL REFERENCES act (id)
);

-- The rows an act added, one line a run of ids.
CREATE TABLE added (
    act INTEGER NOT NULL REFERENCES act (id),
    kind TEXT NOT NULL,
    first_row INTEGER NOT NULL,
    last_row INTEGER NOT NULL,
    PRIMARY KEY (act, kind, first_row)
) WITHOUT ROWID;

-- Every cell that was changed after its row was added. Written by the triggers below, by nothing else.
CREATE TABLE change (
    id INTEGER PRIMARY KEY,
    act INTEGER NOT NULL REFERENCES act (id),
    kind TEXT NOT NULL,
    row INTEGER NOT NULL,
    field TEXT NOT NULL,
    was,
    became
);
CREATE INDEX change_by_act ON change (act);
CREATE INDEX change_by_row ON change (kind, row);
CREATE INDEX act_by_undone ON act (undoes) WHERE undoes IS NOT NULL;

CREATE TRIGGER act_no_update BEFORE UPDATE ON act
BEGIN
    SELECT RAISE(ABORT, 'the journal is only added to');
END;

CREATE TRIGGER act_no_delete BEFORE DELETE ON act
BEGIN
    SELECT RAISE(ABORT, 'the journal is only added to');
END;

CREATE TRIGGER added_no_update BEFORE UPDATE ON added
BEGIN
    SELECT RAISE(ABORT, 'the journal is only added to');
END;

CREATE TRIGGER added_no_delete BEFORE DELETE ON added
BEGIN
    SELECT RAISE(ABORT, 'the journal is only added to');
END;

CREATE TRIGGER change_no_update BEFORE UPDATE ON change
BEGIN
    SELECT RAISE(ABORT, 'the journal is only added to');
END;

CREATE TRIGGER change_no_delete BEFORE DELETE ON change
BEGIN
    SELECT RAISE(ABORT, 'the journal is only added to');
END;

-- The pattern card, one row a revision.
CREATE TABLE pattern (
    id INTEGER PRIMARY KEY,
    pattern TEXT NOT NULL,
    revision TEXT,
    in_force_from TEXT,
    name TEXT,
    alloy TEXT,
    impressions INTEGER NOT NULL,
    casting_kg REAL,
    poured_kg REAL,
    min_section_mm REAL,
    max_section_mm REAL,
    draft_deg REAL,
    sprue_height_mm REAL,
    choke_mm2 REAL,
    runner_mm2 REAL,
    gate_mm2 REAL,
    gates INTEGER,
    casting_modulus_mm REAL,
    feeder_modulus_mm REAL,
    cores INTEGER,
    vents INTEGER,
    pour_low_c REAL,
    pour_high_c REAL,
    note TEXT,
    added_by INTEGER NOT NULL REFERENCES act (id),
    withdrawn_by INTEGER REFERENCES act (id)
);

CREATE TRIGGER pattern_added BEFORE INSERT ON pattern
WHEN new.added_by IS NOT (SELECT act FROM acting)
BEGIN
    SELECT RAISE(ABORT, 'a row is added by an act');
END;

CREATE TRIGGER pattern_changed AFTER UPDATE ON pattern
BEGIN
    SELECT RAISE(ABORT, 'the id of a row and the act that added it never change')
    WHERE new.id IS NOT old.id OR new.added_by IS NOT old.added_by;
    INSERT INTO change (act, kind, row, field, was, became)
    SELECT (SELECT act FROM acting), 'pattern', old.id, field, was, became
    FROM (
        SELECT 'pattern' AS field, old.pattern AS was, new.pattern AS became
        UNION ALL SELECT 'revision', old.revision, new.revision
        UNION ALL SELECT 'in_force_from', old.in_force_from, new.in_force_from
        UNION ALL SELECT 'name', old.name, new.name
        UNION ALL SELECT 'alloy', old.alloy, new.alloy
        UNION ALL SELECT 'impressions', old.impressions, new.impressions
        UNION ALL SELECT 'casting_kg', old.casting_kg, new.casting_kg
        UNION ALL SELECT 'poured_kg', old.poured_kg, new.poured_kg
        UNION ALL SELECT 'min_section_mm', old.min_section_mm, new.min_section_mm
        UNION ALL SELECT 'max_section_mm', old.max_section_mm, new.max_section_mm
        UNION ALL SELECT 'draft_deg', old.draft_deg, new.draft_deg
        UNION ALL SELECT 'sprue_height_mm', old.sprue_height_mm, new.sprue_height_mm
        UNION ALL SELECT 'choke_mm2', old.choke_mm2, new.choke_mm2
        UNION ALL SELECT 'runner_mm2', old.runner_mm2, new.runner_mm2
        UNION ALL SELECT 'gate_mm2', old.gate_mm2, new.gate_mm2
        UNION ALL SELECT 'gates', old.gates, new.gates
        UNION ALL SELECT 'casting_modulus_mm', old.casting_modulus_mm, new.casting_modulus_mm
        UNION ALL SELECT 'feeder_modulus_mm', old.feeder_modulus_mm, new.feeder_modulus_mm
        UNION ALL SELECT 'cores', old.cores, new.cores
        UNION ALL SELECT 'vents', old.vents, new.vents
        UNION ALL SELECT 'pour_low_c', old.pour_low_c, new.pour_low_c
        UNION ALL SELECT 'pour_high_c', old.pour_high_c, new.pour_high_c
        UNION ALL SELECT 'note', old.note, new.note
        UNION ALL SELECT 'withdrawn_by', old.withdrawn_by, new.withdrawn_by
    )
    WHERE was IS NOT became;
END;

CREATE TRIGGER pattern_kept BEFORE DELETE ON pattern
BEGIN
    SELECT RAISE(ABORT, 'a row is withdrawn, never deleted');
END;

-- One mulled batch.
CREATE TABLE sand (
    id INTEGER PRIMARY KEY,
    sand TEXT NOT NULL,
    mixed_at TEXT NOT NULL,
    compactability_pct REAL,
    moisture_pct REAL,
    permeability REAL,
    green_strength_kpa REAL,
    gfn REAL,
    active_clay_pct REAL,
    loi_pct REAL,
    sand_c REAL,
    water_added_kg REAL,
    clay_added_kg REAL,
    wood_flour_added_kg REAL,
    new_sand_pct REAL,
    mull_min REAL,
    squeeze TEXT,
    note TEXT,
    added_by INTEGER NOT NULL REFERENCES act (id),
    withdrawn_by INTEGER REFERENCES act (id)
);

CREATE TRIGGER sand_added BEFORE INSERT ON sand
WHEN new.added_by IS NOT (SELECT act FROM acting)
BEGIN
    SELECT RAISE(ABORT, 'a row is added by an act');
END;

CREATE TRIGGER sand_changed AFTER UPDATE ON sand
BEGIN
    SELECT RAISE(ABORT, 'the id of a row and the act that added it never change')
    WHERE new.id IS NOT old.id OR new.added_by IS NOT old.added_by;
    INSERT INTO change (act, kind, row, field, was, became)
    SELECT (SELECT act FROM acting), 'sand', old.id, field, was, became
    FROM (
        SELECT 'sand' AS field, old.sand AS was, new.sand AS became
        UNION ALL SELECT 'mixed_at', old.mixed_at, new.mixed_at
        UNION ALL SELECT 'compactability_pct', old.compactability_pct, new.compactability_pct
        UNION ALL SELECT 'moisture_pct', old.moisture_pct, new.moisture_pct
        UNION ALL SELECT 'permeability', old.permeability, new.permeability
        UNION ALL SELECT 'green_strength_kpa', old.green_strength_kpa, new.green_strength_kpa
        UNION ALL SELECT 'gfn', old.gfn, new.gfn
        UNION ALL SELECT 'active_clay_pct', old.active_clay_pct, new.active_clay_pct
        UNION ALL SELECT 'loi_pct', old.loi_pct, new.loi_pct
        UNION ALL SELECT 'sand_c', old.sand_c, new.sand_c
        UNION ALL SELECT 'water_added_kg', old.water_added_kg, new.water_added_kg
        UNION ALL SELECT 'clay_added_kg', old.clay_added_kg, new.clay_added_kg
        UNION ALL SELECT 'wood_flour_added_kg', old.wood_flour_added_kg, new.wood_flour_added_kg
        UNION ALL SELECT 'new_sand_pct', old.new_sand_pct, new.new_sand_pct
        UNION ALL SELECT 'mull_min', old.mull_min, new.mull_min
        UNION ALL SELECT 'squeeze', old.squeeze, new.squeeze
        UNION ALL SELECT 'note', old.note, new.note
        UNION ALL SELECT 'withdrawn_by', old.withdrawn_by, new.withdrawn_by
    )
    WHERE was IS NOT became;
END;

CREATE TRIGGER sand_kept BEFORE DELETE ON sand
BEGIN
    SELECT RAISE(ABORT, 'a row is withdrawn, never deleted');
END;

-- One melt.
CREATE TABLE heat (
    id INTEGER PRIMARY KEY,
    heat TEXT NOT NULL,
    melted_at TEXT NOT NULL,
    alloy TEXT,
    ingot_lot TEXT,
    returns_pct REAL,
    melt_c REAL,
    holding_min REAL,
    degas_min REAL,
    since_degassing_min REAL,
    density_index_pct REAL,
    skimmed INTEGER,
    modified INTEGER,
    refined INTEGER,
    furnace TEXT,
    humidity_pct REAL,
    note TEXT,
    added_by INTEGER NOT NULL REFERENCES act (id),
    withdrawn_by INTEGER REFERENCES act (id)
);

CREATE TRIGGER heat_added BEFORE INSERT ON heat
WHEN new.added_by IS NOT (SELECT act FROM acting)
BEGIN
    SELECT RAISE(ABORT, 'a row is added by an act');
END;

CREATE TRIGGER heat_changed AFTER UPDATE ON heat
BEGIN
    SELECT RAISE(ABORT, 'the id of a row and the act that added it never change')
    WHERE new.id IS NOT old.id OR new.added_by IS NOT old.added_by;
    INSERT INTO change (act, kind, row, field, was, became)
    SELECT (SELECT act FROM acting), 'heat', old.id, field, was, became
    FROM (
        SELECT 'heat' AS field, old.heat AS was, new.heat AS became
        UNION ALL SELECT 'melted_at', old.melted_at, new.melted_at
        UNION ALL SELECT 'alloy', old.alloy, new.alloy
        UNION ALL SELECT 'ingot_lot', old.ingot_lot, new.ingot_lot
        UNION ALL SELECT 'returns_pct', old.returns_pct, new.returns_pct
        UNION ALL SELECT 'melt_c', old.melt_c, new.melt_c
        UNION ALL SELECT 'holding_min', old.holding_min, new.holding_min
        UNION ALL SELECT 'degas_min', old.degas_min, new.degas_min
        UNION ALL SELECT 'since_degassing_min', old.since_degassing_min, new.since_degassing_min
        UNION ALL SELECT 'density_index_pct', old.density_index_pct, new.density_index_pct
        UNION ALL SELECT 'skimmed', old.skimmed, new.skimmed
        UNION ALL SELECT 'modified', old.modified, new.modified
        UNION ALL SELECT 'refined', old.refined, new.refined
        UNION ALL SELECT 'furnace', old.furnace, new.furnace
        UNION ALL SELECT 'humidity_pct', old.humidity_pct, new.humidity_pct
        UNION ALL SELECT 'note', old.note, new.note
        UNION ALL SELECT 'withdrawn_by', old.withdrawn_by, new.withdrawn_by
    )
    WHERE was IS NOT became;
END;

CREATE TRIGGER heat_kept BEFORE DELETE ON heat
BEGIN
    SELECT RAISE(ABORT, 'a row is withdrawn, never deleted');
END;

-- One mould. pattern_id and castings_in_it are worked out from what was typed (book/revisions.py)
-- and follow it; cast_at and counted stand beside it so that counting reads an index and nothing else.
CREATE TABLE mould (
    id INTEGER PRIMARY KEY,
    mould TEXT NOT NULL,
    pattern TEXT NOT NULL,
    revision TEXT,
    made_at TEXT,
    sand_id INTEGER REFERENCES sand (id),
    moulder TEXT,
    hardness_b REAL,
    facing_riddled INTEGER,
    vented INTEGER,
    heat_id INTEGER REFERENCES heat (id),
    poured_at TEXT,
    pour_order INTEGER,
    pour_c REAL,
    pour_s REAL,
    poured_by TEXT,
    interrupted INTEGER,
    cooling_min REAL,
    castings INTEGER,
    outcome TEXT,
    trial INTEGER,
    note TEXT,
    pattern_id INTEGER NOT NULL REFERENCES pattern (id),
    castings_in_it INTEGER NOT NULL,
    added_by INTEGER NOT NULL REFERENCES act (id),
    withdrawn_by INTEGER REFERENCES act (id),
    cast_at TEXT CHECK (cast_at IS coalesce(poured_at, made_at)),
    counted INTEGER NOT NULL CHECK (
        counted IS (
            withdrawn_by IS NULL AND coalesce(trial, 0) = 0 AND coalesce(outcome, 'poured') = 'poured'
            AND (outcome IS NOT NULL OR poured_at IS NOT NULL OR heat_id IS NOT NULL)
        )
    )
);

CREATE TRIGGER mould_added BEFORE INSERT ON mould
WHEN new.added_by IS NOT (SELECT act FROM acting)
BEGIN
    SELECT RAISE(ABORT, 'a row is added by an act');
END;

CREATE TRIGGER mould_changed AFTER UPDATE ON mould
BEGIN
    SELECT RAISE(ABORT, 'the id of a row and the act that added it never change')
    WHERE new.id IS NOT old.id OR new.added_by IS NOT old.added_by;
    INSERT INTO change (act, kind, row, field, was, became)
    SELECT (SELECT act FROM acting), 'mould', old.id, field, was, became
    FROM (
        SELECT 'mould' AS field, old.mould AS was, new.mould AS became
        UNION ALL SELECT 'pattern', old.pattern, new.pattern
        UNION ALL SELECT 'revision', old.revision, new.revision
        UNION ALL SELECT 'made_at', old.made_at, new.made_at
        UNION ALL SELECT 'sand_id', old.sand_id, new.sand_id
        UNION ALL SELECT 'moulder', old.moulder, new.moulder
        UNION ALL SELECT 'hardness_b', old.hardness_b, new.hardness_b
        UNION ALL SELECT 'facing_riddled', old.facing_riddled, new.facing_riddled
        UNION ALL SELECT 'vented', old.vented, new.vented
        UNION ALL SELECT 'heat_id', old.heat_id, new.heat_id
        UNION ALL SELECT 'poured_at', old.poured_at, new.poured_at
        UNION ALL SELECT 'pour_order', old.pour_order, new.pour_order
        UNION ALL SELECT 'pour_c', old.pour_c, new.pour_c
        UNION ALL SELECT 'pour_s', old.pour_s, new.pour_s
        UNION ALL SELECT 'poured_by', old.poured_by, new.poured_by
        UNION ALL SELECT 'interrupted', old.interrupted, new.interrupted
        UNION ALL SELECT 'cooling_min', old.cooling_min, new.cooling_min
        UNION ALL SELECT 'castings', old.castings, new.castings
        UNION ALL SELECT 'outcome', old.outcome, new.outcome
        UNION ALL SELECT 'trial', old.trial, new.trial
        UNION ALL SELECT 'note', old.note, new.note
        UNION ALL SELECT 'pattern_id', old.pattern_id, new.pattern_id
        UNION ALL SELECT 'castings_in_it', old.castings_in_it, new.castings_in_it
        UNION ALL SELECT 'withdrawn_by', old.withdrawn_by, new.withdrawn_by
    )
    WHERE was IS NOT became;
END;

CREATE TRIGGER mould_kept BEFORE DELETE ON mould
BEGIN
    SELECT RAISE(ABORT, 'a row is withdrawn, never deleted');
END;

-- What was seen on castings that are not right first time.
CREATE TABLE finding (
    id INTEGER PRIMARY KEY,
    mould_id INTEGER NOT NULL REFERENCES mould (id),
    impression INTEGER,
    castings INTEGER,
    defect TEXT,
    seen TEXT,
    place TEXT,
    disposition TEXT,
    found TEXT,
    found_at TEXT,
    recorded_at TEXT,
    "primary" INTEGER,
    "by" TEXT,
    photo TEXT,
    note TEXT,
    added_by INTEGER NOT NULL REFERENCES act (id),
    withdrawn_by INTEGER REFERENCES act (id)
);

CREATE TRIGGER finding_added BEFORE INSERT ON finding
WHEN new.added_by IS NOT (SELECT act FROM acting)
BEGIN
    SELECT RAISE(ABORT, 'a row is added by an act');
END;

CREATE TRIGGER finding_changed AFTER UPDATE ON finding
BEGIN
    SELECT RAISE(ABORT, 'the id of a row and the act that added it never change')
    WHERE new.id IS NOT old.id OR new.added_by IS NOT old.added_by;
    INSERT INTO change (act, kind, row, field, was, became)
    SELECT (SELECT act FROM acting), 'finding', old.id, field, was, became
    FROM (
        SELECT 'mould_id' AS field, old.mould_id AS was, new.mould_id AS became
        UNION ALL SELECT 'impression', old.impression, new.impression
        UNION ALL SELECT 'castings', old.castings, new.castings
        UNION ALL SELECT 'defect', old.defect, new.defect
        UNION ALL SELECT 'seen', old.seen, new.seen
        UNION ALL SELECT 'place', old.place, new.place
        UNION ALL SELECT 'disposition', old.disposition, new.disposition
        UNION ALL SELECT 'found', old.found, new.found
        UNION ALL SELECT 'found_at', old.found_at, new.found_at
        UNION ALL SELECT 'recorded_at', old.recorded_at, new.recorded_at
        UNION ALL SELECT 'primary', old."primary", new."primary"
        UNION ALL SELECT 'by', old."by", new."by"
        UNION ALL SELECT 'photo', old.photo, new.photo
        UNION ALL SELECT 'note', old.note, new.note
        UNION ALL SELECT 'withdrawn_by', old.withdrawn_by, new.withdrawn_by
    )
    WHERE was IS NOT became;
END;

CREATE TRIGGER finding_kept BEFORE DELETE ON finding
BEGIN
    SELECT RAISE(ABORT, 'a row is withdrawn, never deleted');
END;

-- What was found to be, or not to be, the cause of a defect on a pattern.
CREATE TABLE verdict (
    id INTEGER PRIMARY KEY,
    pattern TEXT NOT NULL,
    defect TEXT NOT NULL,
    cause TEXT NOT NULL,
    verdict TEXT NOT NULL,
    decided_on TEXT NOT NULL,
    basis TEXT,
    "by" TEXT,
    added_by INTEGER NOT NULL REFERENCES act (id),
    withdrawn_by INTEGER REFERENCES act (id)
);

CREATE TRIGGER verdict_added BEFORE INSERT ON verdict
WHEN new.added_by IS NOT (SELECT act FROM acting)
BEGIN
    SELECT RAISE(ABORT, 'a row is added by an act');
END;

CREATE TRIGGER verdict_changed AFTER UPDATE ON verdict
BEGIN
    SELECT RAISE(ABORT, 'the id of a row and the act that added it never change')
    WHERE new.id IS NOT old.id OR new.added_by IS NOT old.added_by;
    INSERT INTO change (act, kind, row, field, was, became)
    SELECT (SELECT act FROM acting), 'verdict', old.id, field, was, became
    FROM (
        SELECT 'pattern' AS field, old.pattern AS was, new.pattern AS became
        UNION ALL SELECT 'defect', old.defect, new.defect
        UNION ALL SELECT 'cause', old.cause, new.cause
        UNION ALL SELECT 'verdict', old.verdict, new.verdict
        UNION ALL SELECT 'decided_on', old.decided_on, new.decided_on
        UNION ALL SELECT 'basis', old.basis, new.basis
        UNION ALL SELECT 'by', old."by", new."by"
        UNION ALL SELECT 'withdrawn_by', old.withdrawn_by, new.withdrawn_by
    )
    WHERE was IS NOT became;
END;

CREATE TRIGGER verdict_kept BEFORE DELETE ON verdict
BEGIN
    SELECT RAISE(ABORT, 'a row is withdrawn, never deleted');
END;

-- What was changed, and whether it worked.
CREATE TABLE remedy (
    id INTEGER PRIMARY KEY,
    pattern TEXT NOT NULL,
    defect TEXT NOT NULL,
    cause TEXT,
    change TEXT NOT NULL,
    from_date TEXT,
    from_mould_id INTEGER REFERENCES mould (id),
    check_castings INTEGER,
    owner TEXT,
    verdict TEXT,
    note TEXT,
    added_by INTEGER NOT NULL REFERENCES act (id),
    withdrawn_by INTEGER REFERENCES act (id)
);

CREATE TRIGGER remedy_added BEFORE INSERT ON remedy
WHEN new.added_by IS NOT (SELECT act FROM acting)
BEGIN
    SELECT RAISE(ABORT, 'a row is added by an act');
END;

CREATE TRIGGER remedy_changed AFTER UPDATE ON remedy
BEGIN
    SELECT RAISE(ABORT, 'the id of a row and the act that added it never change')
    WHERE new.id IS NOT old.id OR new.added_by IS NOT old.added_by;
    INSERT INTO change (act, kind, row, field, was, became)
    SELECT (SELECT act FROM acting), 'remedy', old.id, field, was, became
    FROM (
        SELECT 'pattern' AS field, old.pattern AS was, new.pattern AS became
        UNION ALL SELECT 'defect', old.defect, new.defect
        UNION ALL SELECT 'cause', old.cause, new.cause
        UNION ALL SELECT 'change', old.change, new.change
        UNION ALL SELECT 'from_date', old.from_date, new.from_date
        UNION ALL SELECT 'from_mould_id', old.from_mould_id, new.from_mould_id
        UNION ALL SELECT 'check_castings', old.check_castings, new.check_castings
        UNION ALL SELECT 'owner', old.owner, new.owner
        UNION ALL SELECT 'verdict', old.verdict, new.verdict
        UNION ALL SELECT 'note', old.note, new.note
        UNION ALL SELECT 'withdrawn_by', old.withdrawn_by, new.withdrawn_by
    )
    WHERE was IS NOT became;
END;

CREATE TRIGGER remedy_kept BEFORE DELETE ON remedy
BEGIN
    SELECT RAISE(ABORT, 'a row is withdrawn, never deleted');
END;

-- The shop's own word for a defect.
CREATE TABLE word (
    id INTEGER PRIMARY KEY,
    word TEXT NOT NULL,
    defect TEXT NOT NULL,
    added_by INTEGER NOT NULL REFERENCES act (id),
    withdrawn_by INTEGER REFERENCES act (id)
);

CREATE TRIGGER word_added BEFORE INSERT ON word
WHEN new.added_by IS NOT (SELECT act FROM acting)
BEGIN
    SELECT RAISE(ABORT, 'a row is added by an act');
END;

CREATE TRIGGER word_changed AFTER UPDATE ON word
BEGIN
    SELECT RAISE(ABORT, 'the id of a row and the act that added it never change')
    WHERE new.id IS NOT old.id OR new.added_by IS NOT old.added_by;
    INSERT INTO change (act, kind, row, field, was, became)
    SELECT (SELECT act FROM acting), 'word', old.id, field, was, became
    FROM (
        SELECT 'word' AS field, old.word AS was, new.word AS became
        UNION ALL SELECT 'defect', old.defect, new.defect
        UNION ALL SELECT 'withdrawn_by', old.withdrawn_by, new.withdrawn_by
    )
    WHERE was IS NOT became;
END;

CREATE TRIGGER word_kept BEFORE DELETE ON word
BEGIN
    SELECT RAISE(ABORT, 'a row is withdrawn, never deleted');
END;

-- What the shop has settled: units, currency, who, …
CREATE TABLE setting (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    added_by INTEGER NOT NULL REFERENCES act (id),
    withdrawn_by INTEGER REFERENCES act (id)
);

CREATE TRIGGER setting_added BEFORE INSERT ON setting
WHEN new.added_by IS NOT (SELECT act FROM acting)
BEGIN
    SELECT RAISE(ABORT, 'a row is added by an act');
END;

CREATE TRIGGER setting_changed AFTER UPDATE ON setting
BEGIN
    SELECT RAISE(ABORT, 'the id of a row and the act that added it never change')
    WHERE new.id IS NOT old.id OR new.added_by IS NOT old.added_by;
    INSERT INTO change (act, kind, row, field, was, became)
    SELECT (SELECT act FROM acting), 'setting', old.id, field, was, became
    FROM (
        SELECT 'name' AS field, old.name AS was, new.name AS became
        UNION ALL SELECT 'value', old.value, new.value
        UNION ALL SELECT 'withdrawn_by', old.withdrawn_by, new.withdrawn_by
    )
    WHERE was IS NOT became;
END;

CREATE TRIGGER setting_kept BEFORE DELETE ON setting
BEGIN
    SELECT RAISE(ABORT, 'a row is withdrawn, never deleted');
END;

-- What names a row, among the rows that are not withdrawn.
CREATE UNIQUE INDEX pattern_key ON pattern (pattern, coalesce(revision, 'A')) WHERE withdrawn_by IS NULL;
CREATE UNIQUE INDEX sand_key ON sand (sand) WHERE withdrawn_by IS NULL;
CREATE UNIQUE INDEX heat_key ON heat (heat) WHERE withdrawn_by IS NULL;
CREATE UNIQUE INDEX mould_key ON mould (mould) WHERE withdrawn_by IS NULL;
CREATE UNIQUE INDEX word_key ON word (word) WHERE withdrawn_by IS NULL;
CREATE UNIQUE INDEX setting_key ON setting (name) WHERE withdrawn_by IS NULL;

-- One pattern's window, and the whole shop's, each read from the index alone.
CREATE INDEX mould_by_pattern ON mould (pattern, counted, cast_at, castings_in_it);
CREATE INDEX mould_by_day ON mould (counted, cast_at, pattern, castings_in_it);
CREATE INDEX sand_by_day ON sand (mixed_at);
CREATE INDEX heat_by_day ON heat (melted_at);
CREATE INDEX mould_by_sand ON mould (sand_id) WHERE sand_id IS NOT NULL;
CREATE INDEX mould_by_heat ON mould (heat_id) WHERE heat_id IS NOT NULL;
CREATE INDEX finding_by_mould ON finding (mould_id);
CREATE INDEX finding_by_day ON finding (found_at) WHERE found_at IS NOT NULL;
CREATE INDEX verdict_by_pattern ON verdict (pattern);
CREATE INDEX remedy_by_pattern ON remedy (pattern);
