"""The shape of the file, step by step; released steps are never edited.

Each step runs in one transaction with foreign keys off, ends by setting ``user_version`` to its
number, and is followed by a foreign-key check. Add a step at the end, raise ``SCHEMA_VERSION``
in :mod:`curedash.store.open`, and keep a file of the old shape under ``tests/data/released``.
"""

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

curedash = Migrations("curedash")

FIRST_SHAPE = """
CREATE TABLE setting (
    name TEXT PRIMARY KEY, value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE scale (
    id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE,
    division_g REAL NOT NULL CHECK (division_g > 0),
    max_g REAL CHECK (max_g IS NULL OR max_g > division_g)
) STRICT;

CREATE TABLE place (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL COLLATE NOCASE CHECK (length(trim(name)) > 0),
    temp_lo_c REAL, temp_hi_c REAL, rh_lo_pct REAL, rh_hi_pct REAL,
    watch TEXT NOT NULL DEFAULT 'sensor' CHECK (watch IN ('sensor', 'hand-log', 'not-watched')),
    zone TEXT, position INTEGER NOT NULL DEFAULT 0, created_at TEXT NOT NULL,
    voided_at TEXT,
    CHECK (temp_lo_c IS NULL OR temp_hi_c IS NULL OR temp_lo_c <= temp_hi_c),
    CHECK (rh_lo_pct IS NULL OR rh_hi_pct IS NULL OR rh_lo_pct <= rh_hi_pct)
) STRICT;
CREATE UNIQUE INDEX place_name ON place (name) WHERE voided_at IS NULL;

CREATE TABLE sensor (
    id INTEGER PRIMARY KEY, place_id INTEGER NOT NULL REFERENCES place (id),
    name TEXT NOT NULL, temp_offset_c REAL NOT NULL DEFAULT 0,
    rh_offset_pct REAL NOT NULL DEFAULT 0,
    salt_test_on TEXT, salt_test_rh_pct REAL, salt_test_temp_c REAL, retired_at TEXT,
    UNIQUE (place_id, name)
) STRICT;

CREATE TABLE reading (
    place_id INTEGER NOT NULL REFERENCES place (id), at INTEGER NOT NULL,
    sensor_id INTEGER NOT NULL DEFAULT 0, temp_c REAL, rh_pct REAL, bad TEXT,
    PRIMARY KEY (place_id, at, sensor_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE heard (
    place_id INTEGER NOT NULL REFERENCES place (id), sensor_id INTEGER NOT NULL DEFAULT 0,
    last_at INTEGER, bad_at INTEGER, bad TEXT, PRIMARY KEY (place_id, sensor_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE reading_day (
    place_id INTEGER NOT NULL REFERENCES place (id), day INTEGER NOT NULL,
    sensor_id INTEGER NOT NULL DEFAULT 0, n INTEGER NOT NULL,
    temp_min_c REAL, temp_max_c REAL, temp_mean_c REAL,
    rh_min_pct REAL, rh_max_pct REAL, rh_mean_pct REAL,
    PRIMARY KEY (place_id, day, sensor_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE style (
    id TEXT PRIMARY KEY, body TEXT NOT NULL CHECK (json_valid(body))
) STRICT, WITHOUT ROWID;

CREATE TABLE curing_salt (
    id TEXT PRIMARY KEY, name TEXT NOT NULL,
    nitrite_pct REAL NOT NULL CHECK (nitrite_pct BETWEEN 0 AND 100),
    nitrate_pct REAL NOT NULL CHECK (nitrate_pct BETWEEN 0 AND 100),
    nacl_pct REAL CHECK (nacl_pct BETWEEN 0 AND 100),
    nitrate_as TEXT, opened_on TEXT, note TEXT
) STRICT, WITHOUT ROWID;

CREATE TABLE batch (
    id INTEGER PRIMARY KEY, code TEXT NOT NULL, name TEXT NOT NULL,
    species TEXT NOT NULL, style TEXT NOT NULL, method TEXT NOT NULL,
    product_class TEXT NOT NULL, rule_set TEXT NOT NULL, salted_at TEXT,
    recipe TEXT NOT NULL CHECK (json_valid(recipe)), note TEXT, created_at TEXT NOT NULL,
    cut TEXT, voided_at TEXT
) STRICT;
CREATE UNIQUE INDEX batch_code ON batch (code) WHERE voided_at IS NULL;

CREATE TABLE source (
    id INTEGER PRIMARY KEY, batch_id INTEGER NOT NULL REFERENCES batch (id),
    name TEXT NOT NULL, shop TEXT, pack_date TEXT, price REAL CHECK (price >= 0), currency TEXT,
    bought_g REAL CHECK (bought_g > 0),
    condition TEXT NOT NULL DEFAULT 'fresh' CHECK (condition IN ('fresh', 'frozen', 'wild')),
    voided_at TEXT
) STRICT;

CREATE TABLE lot (
    id INTEGER PRIMARY KEY, batch_id INTEGER NOT NULL REFERENCES batch (id),
    parent_id INTEGER REFERENCES lot (id), source_id INTEGER REFERENCES source (id),
    code TEXT NOT NULL COLLATE NOCASE, piece TEXT NOT NULL DEFAULT '',
    style TEXT NOT NULL, style_name TEXT NOT NULL,
    stage TEXT NOT NULL CHECK (stage IN ('raw', 'in-cure', 'salt-rest', 'ferment', 'drying',
        'equalising', 'keeping', 'closed', 'on-hold', 'discarded')),
    stage_at TEXT NOT NULL, stage_until TEXT,
    place_id INTEGER REFERENCES place (id), position REAL NOT NULL DEFAULT 0,
    count INTEGER NOT NULL DEFAULT 1 CHECK (count > 0), in_bag INTEGER NOT NULL DEFAULT 0,
    shape TEXT NOT NULL DEFAULT 'slab' CHECK (shape IN ('slab', 'round')),
    thickness_mm REAL CHECK (thickness_mm > 0), frozen INTEGER NOT NULL DEFAULT 0,
    skin INTEGER NOT NULL DEFAULT 0,
    green_g REAL NOT NULL CHECK (green_g > 0), green_factor REAL NOT NULL DEFAULT 1,
    cured_g REAL CHECK (cured_g > 0),
    hang_g REAL CHECK (hang_g > 0), hang_at TEXT, hang_pm_g REAL CHECK (hang_pm_g >= 0),
    base_factor REAL NOT NULL DEFAULT 1 CHECK (base_factor > 0),
    tare_g REAL NOT NULL DEFAULT 0 CHECK (tare_g >= 0), tare_what TEXT,
    target_lo_pct REAL NOT NULL CHECK (target_lo_pct > 0 AND target_lo_pct < 90),
    target_hi_pct REAL NOT NULL CHECK (target_hi_pct >= target_lo_pct AND target_hi_pct < 90),
    target_base TEXT NOT NULL DEFAULT 'hang' CHECK (target_base IN ('hang', 'green')),
    cure_earliest_days REAL, cure_usual_days REAL, cure_rule TEXT,
    salt_box INTEGER NOT NULL DEFAULT 0, rest_days REAL, min_age_days REAL,
    weigh_every_days REAL NOT NULL DEFAULT 7 CHECK (weigh_every_days > 0),
    by_date INTEGER NOT NULL DEFAULT 0, ferments INTEGER NOT NULL DEFAULT 0,
    has_rest INTEGER NOT NULL DEFAULT 0,
    total_salt_pct REAL, nitrite_mg_per_kg REAL, nitrate_mg_per_kg REAL, dose_verdict TEXT,
    dose_notes TEXT, created_at TEXT NOT NULL,
    cost_share REAL NOT NULL DEFAULT 1 CHECK (cost_share > 0), voided_at TEXT
) STRICT;
CREATE UNIQUE INDEX lot_code ON lot (code) WHERE voided_at IS NULL;
CREATE INDEX lot_by_batch ON lot (batch_id);

CREATE TABLE weigh_in (
    id INTEGER PRIMARY KEY, lot_id INTEGER NOT NULL REFERENCES lot (id), at TEXT NOT NULL,
    stage TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('green', 'cured', 'hang', 'stage', 'final', 'inherited')),
    curve INTEGER NOT NULL CHECK (curve IN (0, 1)),
    gross_g REAL NOT NULL CHECK (gross_g > 0), tare_g REAL NOT NULL CHECK (tare_g >= 0),
    net_g REAL NOT NULL CHECK (net_g > 0), base_factor REAL NOT NULL CHECK (base_factor > 0),
    flagged TEXT, note TEXT, replaces INTEGER REFERENCES weigh_in (id), voided_at TEXT
) STRICT;
CREATE INDEX weigh_in_by_lot
    ON weigh_in (lot_id, at DESC, id DESC, curve, net_g, base_factor) WHERE voided_at IS NULL;

CREATE INDEX weigh_in_on_curve ON weigh_in (lot_id) WHERE voided_at IS NULL AND curve = 1;
CREATE TABLE stage_entry (
    id INTEGER PRIMARY KEY, lot_id INTEGER NOT NULL REFERENCES lot (id), stage TEXT NOT NULL,
    at TEXT NOT NULL, place_id INTEGER REFERENCES place (id), note TEXT, voided_at TEXT
) STRICT;
CREATE INDEX stage_entry_by_lot ON stage_entry (lot_id, at);

CREATE TABLE rebase (
    id INTEGER PRIMARY KEY, lot_id INTEGER NOT NULL REFERENCES lot (id), at TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('removed', 'tare', 'divided', 'start')),
    before_g REAL NOT NULL, after_g REAL NOT NULL, factor REAL NOT NULL CHECK (factor > 0),
    tare_before_g REAL NOT NULL, tare_after_g REAL NOT NULL, reason TEXT NOT NULL, voided_at TEXT
) STRICT;
CREATE INDEX rebase_by_lot ON rebase (lot_id, at);

CREATE TABLE dose_line (
    id INTEGER PRIMARY KEY, lot_id INTEGER NOT NULL REFERENCES lot (id), seq INTEGER NOT NULL,
    name TEXT NOT NULL, kind TEXT NOT NULL, exact_g REAL NOT NULL CHECK (exact_g >= 0),
    planned_g REAL NOT NULL CHECK (planned_g >= 0), weighed_g REAL CHECK (weighed_g >= 0),
    ticked_at TEXT, UNIQUE (lot_id, seq)
) STRICT;

CREATE TABLE event (
    id INTEGER PRIMARY KEY, lot_id INTEGER REFERENCES lot (id),
    place_id INTEGER REFERENCES place (id), at TEXT NOT NULL, kind TEXT NOT NULL,
    text TEXT NOT NULL, data TEXT CHECK (data IS NULL OR json_valid(data)), voided_at TEXT
) STRICT;
CREATE INDEX event_by_lot ON event (lot_id, at);
CREATE INDEX event_by_place ON event (place_id, at);
CREATE INDEX event_looked ON event (lot_id, at DESC, id DESC, kind, text)
    WHERE voided_at IS NULL AND kind IN ('alarm', 'mould', 'decision', 'target', 'bag', 'sibling',
        'misdose');

CREATE TABLE finish (
    lot_id INTEGER PRIMARY KEY REFERENCES lot (id), at TEXT NOT NULL,
    final_g REAL NOT NULL CHECK (final_g > 0), loss_pct REAL, days INTEGER, yield_pct REAL,
    cost_per_kg REAL, cut_face TEXT, liked INTEGER CHECK (liked BETWEEN 1 AND 5),
    liked_at_pct REAL, note TEXT, base TEXT NOT NULL DEFAULT 'hang', drying_days INTEGER,
    cost_in REAL, currency TEXT
) STRICT;

CREATE TABLE pack (
    id INTEGER PRIMARY KEY, lot_id INTEGER NOT NULL REFERENCES lot (id), at TEXT NOT NULL,
    weight_g REAL NOT NULL CHECK (weight_g > 0), keep_until TEXT, given_to TEXT, note TEXT,
    mixed_with INTEGER REFERENCES pack (id), voided_at TEXT
) STRICT;
CREATE INDEX pack_by_lot ON pack (lot_id);

CREATE TABLE need (
    id INTEGER PRIMARY KEY, cause TEXT NOT NULL, lot_id INTEGER REFERENCES lot (id),
    place_id INTEGER REFERENCES place (id), level TEXT NOT NULL, message TEXT NOT NULL,
    action TEXT NOT NULL, opened_at TEXT NOT NULL, cleared_at TEXT, snoozed_until TEXT,
    reason TEXT, told_at TEXT
) STRICT;
CREATE UNIQUE INDEX need_open ON need (cause, ifnull(lot_id, 0), ifnull(place_id, 0))
    WHERE cleared_at IS NULL;

CREATE TABLE alert_rule (
    id TEXT PRIMARY KEY, body TEXT NOT NULL CHECK (json_valid(body))
) STRICT, WITHOUT ROWID;

CREATE TABLE forecast (
    lot_id INTEGER PRIMARY KEY REFERENCES lot (id), weigh_in_id INTEGER, as_of TEXT NOT NULL,
    model TEXT NOT NULL, median_day REAL, lo_day REAL, hi_day REAL, p_levels_off REAL,
    method TEXT NOT NULL, near TEXT, posterior BLOB
) STRICT;

CREATE TABLE away (
    id INTEGER PRIMARY KEY, from_day TEXT NOT NULL, to_day TEXT NOT NULL, note TEXT,
    voided_at TEXT, CHECK (from_day <= to_day)
) STRICT;

CREATE TABLE draft (
    name TEXT PRIMARY KEY, at TEXT NOT NULL, body TEXT NOT NULL CHECK (json_valid(body))
) STRICT, WITHOUT ROWID;

CREATE TABLE change (
    id INTEGER PRIMARY KEY AUTOINCREMENT, at_utc TEXT NOT NULL, recorded_at TEXT NOT NULL,
    session TEXT NOT NULL, actor TEXT NOT NULL, origin TEXT NOT NULL, verb TEXT NOT NULL,
    subject TEXT NOT NULL DEFAULT '', undoes INTEGER REFERENCES change (id),
    before TEXT NOT NULL CHECK (json_valid(before)), after TEXT NOT NULL CHECK (json_valid(after))
) STRICT;
CREATE INDEX change_undoes ON change (undoes) WHERE undoes IS NOT NULL;
CREATE TRIGGER change_is_append_only_update BEFORE UPDATE ON change
    BEGIN SELECT RAISE (ABORT, 'the log of changes is append-only'); END;
CREATE TRIGGER change_is_append_only_delete BEFORE DELETE ON change
    BEGIN SELECT RAISE (ABORT, 'the log of changes is append-only'); END;
CREATE TRIGGER weigh_in_is_never_deleted BEFORE DELETE ON weigh_in
    BEGIN SELECT RAISE (ABORT, 'weigh-ins are voided, never deleted'); END;
CREATE TRIGGER weigh_in_is_never_overwritten
    BEFORE UPDATE OF lot_id, gross_g, net_g, at, kind ON weigh_in
    BEGIN SELECT RAISE (ABORT, 'weigh-ins are voided, never overwritten'); END;
"""


def _statements(script: str) -> list[str]:
    """Split a script into complete statements, so that each runs inside the open transaction."""
    import sqlite3

    statements, pending = [], ""
    for line in script.splitlines(keepends=True):
        pending += line
        if pending.strip() and sqlite3.complete_statement(pending):
            statements.append(pending)
            pending = ""
    return statements


@curedash()
def first_shape(db: Database) -> None:
    """Everything from the first version on: lots, weigh-ins, places, needs, the log."""
    for statement in _statements(FIRST_SHAPE):
        db.execute(statement)
    db.execute("PRAGMA user_version = 1")


CURVE_KEPT = """
CREATE TABLE kept_curve (
    lot_id INTEGER PRIMARY KEY REFERENCES lot (id),
    weigh_in_id INTEGER, at TEXT, kind TEXT, gross_g REAL, net_g REAL,
    points TEXT, points_count INTEGER NOT NULL
) STRICT;
CREATE TRIGGER curve_kept_insert AFTER INSERT ON weigh_in BEGIN
    DELETE FROM kept_curve WHERE lot_id = NEW.lot_id;
    INSERT INTO kept_curve {newest} WHERE lot.id = NEW.lot_id;
END;
CREATE TRIGGER curve_kept_update AFTER UPDATE OF voided_at, curve, base_factor ON weigh_in BEGIN
    DELETE FROM kept_curve WHERE lot_id = NEW.lot_id;
    INSERT INTO kept_curve {newest} WHERE lot.id = NEW.lot_id;
END;
DROP INDEX weigh_in_on_curve;
INSERT INTO kept_curve {newest}
    WHERE EXISTS (SELECT 1 FROM weigh_in w WHERE w.lot_id = lot.id AND w.voided_at IS NULL);
"""

NEWEST_OF_A_LOT = """
    SELECT lot.id, last.id, last.at, last.kind, last.gross_g, last.net_g,
    (SELECT group_concat(p.at || ' ' || CAST(p.net_g * 1e10 + 0.5 AS INTEGER)
        || CASE p.base_factor WHEN 1 THEN '' ELSE ' ' || p.base_factor END, '|') FROM (
        SELECT w.at, w.net_g, w.base_factor FROM weigh_in w
        WHERE w.lot_id = lot.id AND w.voided_at IS NULL AND w.curve = 1
        ORDER BY w.at DESC, w.id DESC LIMIT 16) p),
    (SELECT count(*) FROM weigh_in w
        WHERE w.lot_id = lot.id AND w.voided_at IS NULL AND w.curve = 1)
    FROM lot LEFT JOIN weigh_in last ON last.id = (
        SELECT w.id FROM weigh_in w WHERE w.lot_id = lot.id AND w.voided_at IS NULL
        ORDER BY w.at DESC, w.id DESC LIMIT 1)"""


@curedash()
def curve_kept(db: Database) -> None:
    """Keep the newest weights of each lot beside it, so that the Rack reads one row a lot.

    Triggers keep it, because weigh-ins are written from several places (a round, an undo, an
    import) and one that forgot would show an old weight. It holds nothing that cannot be made
    again, so it is in no export. The narrow index that counted the curve has no reader left.
    """
    for statement in _statements(CURVE_KEPT.format(newest=NEWEST_OF_A_LOT)):
        db.execute(statement)
    db.execute("PRAGMA user_version = 2")


@curedash()
def weigh_again_kept(db: Database) -> None:
    """Keep beside each pull window the day by which one more weigh-in tells most about it.

    It is found while the window is computed and would cost as much again to find later. Windows
    of before have none; they are computed anew within a day.
    """
    db.execute("ALTER TABLE forecast ADD COLUMN weigh_again_day REAL")
    db.execute("PRAGMA user_version = 3")


@curedash(name="windows_told")
def store_windows(db: Database) -> None:
    """Keep what each pull window said, a row a lot and day, so that it can be held to the outcome.

    The newest window of before becomes the first row; earlier ones were overwritten.
    """
    db.execute(
        "CREATE TABLE forecast_told ("
        "lot_id INTEGER NOT NULL REFERENCES lot (id), told_on TEXT NOT NULL,"
        " told_at TEXT NOT NULL, weigh_in_id INTEGER, median_day REAL NOT NULL,"
        " lo_day REAL NOT NULL, hi_day REAL NOT NULL, p_levels_off REAL, method TEXT NOT NULL,"
        " PRIMARY KEY (lot_id, told_on), CHECK (lo_day <= median_day AND median_day <= hi_day)"
        ") STRICT, WITHOUT ROWID"
    )
    db.execute(
        "INSERT INTO forecast_told SELECT lot_id, substr(as_of, 1, 10), as_of, weigh_in_id,"
        " median_day, lo_day, hi_day, p_levels_off, method FROM forecast"
        " WHERE lo_day < median_day AND median_day < hi_day"
    )
    db.execute("PRAGMA user_version = 4")


@curedash()
def questions_kept(db: Database) -> None:
    """Keep the open questions of a lot, and the use-by date of the meat.

    A question is a line: its name, a tab, its sentence. Those of before stand among what was said
    of the dose, each behind "Asked: "; thickness and temperature can be answered.
    """
    db.execute("ALTER TABLE lot ADD COLUMN asked TEXT")
    db.execute("ALTER TABLE source ADD COLUMN use_by TEXT")
    for lot_id, notes in db.execute("SELECT id, dose_notes FROM lot WHERE dose_notes NOT NULL"):
        lines = [line.removeprefix("Asked: ") for line in notes.splitlines() if "Asked: " in line]
        named = [
            f"thickness\t{line}"
            for line in lines
            if line.startswith("Thickness not given") or line.endswith("Is it a slip?")
        ]
        named += [f"temperature\t{line}" for line in lines if line.startswith("No temperature")]
        if named:
            db.execute("UPDATE lot SET asked = ? WHERE id = ?", ("\n".join(named), lot_id))
    db.execute("PRAGMA user_version = 5")


#: weights that need not be known: a piece under way was perhaps never weighed
_MAY_BE_UNKNOWN = (
    ("lot", "green_g REAL NOT NULL CHECK (green_g > 0)", "green_g REAL CHECK (green_g > 0)"),
    ("finish", "final_g REAL NOT NULL CHECK (final_g > 0)", "final_g REAL CHECK (final_g > 0)"),
)


@curedash()
def begun_in_the_middle(db: Database) -> None:
    """Let a lot be taken in as it is: without a green weight, and closed without a final one.

    A column loses its NOT NULL only with a new table. Triggers that name the table are set aside
    meanwhile, since a rename checks them; indexes go with the old table.
    """
    for table, known, unknown in _MAY_BE_UNKNOWN:
        (made,) = db.execute("SELECT sql FROM sqlite_master WHERE name = ?", (table,)).fetchone()
        aside = db.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
            " AND (tbl_name = :table OR sql LIKE '% ' || :table || '%') ORDER BY name",
            {"table": table},
        ).fetchall()
        indexes = db.execute(
            "SELECT sql FROM sqlite_master WHERE type = 'index' AND tbl_name = ? AND sql NOT NULL",
            (table,),
        ).fetchall()
        for name, _ in aside:
            db.execute(f"DROP TRIGGER {name}")
        body = made.split("(", 1)[1]
        db.execute(f"CREATE TABLE {table}_anew (" + body.replace(known, unknown))
        db.execute(f"INSERT INTO {table}_anew SELECT * FROM {table}")
        db.execute(f"DROP TABLE {table}")
        db.execute(f"ALTER TABLE {table}_anew RENAME TO {table}")
        for statement in [sql for (sql,) in indexes] + [sql for _, sql in aside]:
            db.execute(statement)
    db.execute("ALTER TABLE lot ADD COLUMN green_pm_g REAL CHECK (green_pm_g >= 0)")
    db.execute("ALTER TABLE lot ADD COLUMN start_from TEXT CHECK (start_from IN ('green', 'days'))")
    db.execute("ALTER TABLE lot ADD COLUMN planned_on TEXT")
    db.execute("PRAGMA user_version = 6")


@curedash()
def own_tare_kept(db: Database) -> None:
    """Store of each weigh-in whether its tare is of it alone, as of a weight without the net.

    No older row says so; there a tare that differs from the lot's still counts as its own.
    """
    db.execute(
        "ALTER TABLE weigh_in ADD COLUMN own_tare INTEGER NOT NULL DEFAULT 0"
        " CHECK (own_tare IN (0, 1))"
    )
    db.execute("PRAGMA user_version = 7")


def steps_after(version: int) -> list[str]:
    """Names of the steps that lead on from a version of the shape, in order."""
    return [step.name for step in curedash._migrations[version:]]
