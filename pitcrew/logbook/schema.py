"""The shape of the file: its table, indexes, guards and views, and the check that they still stand."""

from __future__ import annotations

import sqlite3

# "PITC" in the file's header: how a book is told from any other SQLite file.
APPLICATION_ID = 0x50495443
VERSION = 2
COLUMNS = 'n,id,act,tick,happened,writer,"by",robot,kind,subject,place,grade,replaces,detail'

ENTRY = """CREATE TABLE entry (
    n INTEGER PRIMARY KEY CHECK (n > 0),
    id TEXT NOT NULL UNIQUE,
    act TEXT NOT NULL,
    tick INT NOT NULL,
    happened INT NOT NULL CHECK (happened <= tick),
    writer TEXT NOT NULL,
    "by" TEXT NOT NULL,
    robot TEXT,
    kind TEXT NOT NULL,
    subject TEXT NOT NULL,
    place TEXT,
    grade INT,
    replaces TEXT,
    detail TEXT NOT NULL CHECK (json_valid(detail))
) STRICT"""

# This file's own notes; they stay behind when entries travel.
META = "CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT"

INDEXES = {
    "latest": "CREATE INDEX latest ON entry (subject, kind, happened, tick, writer, id)",
    "acts": "CREATE INDEX acts ON entry (act)",
    "at_place": "CREATE INDEX at_place ON entry (place, kind, happened, tick) WHERE place IS NOT NULL",
    "replaces": "CREATE INDEX replaces ON entry (replaces, tick) WHERE replaces IS NOT NULL",
    "subjects": "CREATE INDEX subjects ON entry (robot, kind, subject)",
    "tick": "CREATE INDEX tick ON entry (tick)",
    "hits": "CREATE INDEX hits ON entry (subject, grade, happened, tick) WHERE kind = 'hit'",
    "counts": (
        "CREATE INDEX counts ON entry (robot, kind, happened, subject, grade, tick, id)"
        " WHERE kind IN ('fight_ended', 'hit')"
    ),
}

# One trigger, because the order in which SQLite fires several is not promised. It also stands in the way of
# INSERT OR REPLACE, which deletes without firing a delete trigger unless recursive triggers are on.
GUARDS = {
    "entry_insert": """CREATE TRIGGER entry_insert BEFORE INSERT ON entry BEGIN
    SELECT RAISE(IGNORE) WHERE EXISTS (
        SELECT 1 FROM entry AS old WHERE old.id = NEW.id AND old.act = NEW.act AND old.tick = NEW.tick
        AND old.happened = NEW.happened AND old.writer = NEW.writer AND old."by" = NEW."by"
        AND old.robot IS NEW.robot AND old.kind = NEW.kind AND old.subject = NEW.subject
        AND old.place IS NEW.place AND old.grade IS NEW.grade AND old.replaces IS NEW.replaces
        AND old.detail = NEW.detail);
    SELECT RAISE(ABORT, 'id taken by another entry') WHERE EXISTS (SELECT 1 FROM entry WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'row taken') WHERE EXISTS (SELECT 1 FROM entry WHERE n = NEW.n);
END""",
    "entry_update": """CREATE TRIGGER entry_update BEFORE UPDATE ON entry BEGIN
    SELECT RAISE(ABORT, 'entries are never changed');
END""",
    "entry_delete": """CREATE TRIGGER entry_delete BEFORE DELETE ON entry BEGIN
    SELECT RAISE(ABORT, 'entries are never deleted');
END""",
}

# For any SQLite reader. The program itself never scans: it probes the indexes.
VIEWS = {
    "line": """CREATE VIEW line AS WITH RECURSIVE member(root, id) AS (
    SELECT id, id FROM entry WHERE replaces IS NULL OR replaces NOT IN (SELECT id FROM entry)
    UNION
    SELECT member.root, entry.id FROM member JOIN entry ON entry.replaces = member.id)
SELECT root, id FROM member""",
    "standing_line": """CREATE VIEW standing_line AS SELECT root, id FROM (
    SELECT line.root, line.id,
        row_number() OVER (PARTITION BY line.root ORDER BY tick DESC, writer DESC, entry.id DESC) AS turn,
        max(kind = 'withdrawn') OVER (PARTITION BY line.root) AS withdrawn
    FROM line JOIN entry ON entry.id = line.id)
WHERE turn = 1 AND NOT withdrawn""",
    "fact": """CREATE VIEW fact AS
SELECT standing_line.root, first.tick AS root_tick, first.writer AS root_writer, entry.*
FROM standing_line JOIN entry ON entry.id = standing_line.id
JOIN entry AS first ON first.id = standing_line.root
WHERE entry.kind <> 'hit' OR entry.detail ->> 'because' IS NULL OR EXISTS (
    SELECT 1 FROM line AS ground JOIN standing_line AS ground_line ON ground_line.root = ground.root
    JOIN entry AS reason ON reason.id = ground_line.id
    WHERE ground.id = entry.detail ->> 'because' AND (
        (reason.kind = 'hand_checked' AND reason.detail ->> 'sign' = 1)
        OR (reason.kind = 'finding' AND CASE entry.detail ->> 'source'
            WHEN 'no hit seen' THEN reason.detail ->> 'what' IN ('bent', 'cracked')
            ELSE reason.detail ->> 'raises' = 1 END)))""",
    "readings": """CREATE VIEW readings AS
SELECT happened, "by", robot, detail ->> 'of' AS measured_on, detail ->> 'dimension' AS dimension,
    detail ->> 'value_m' AS value_m, detail ->> 'instrument' AS instrument, detail ->> 'typed' AS typed, id
FROM fact WHERE kind = 'reading'""",
    "fitted_now": """CREATE VIEW fitted_now AS SELECT position, part, since, id FROM (
    SELECT place AS position, subject AS part, happened AS since, id, kind, row_number() OVER (
        PARTITION BY place ORDER BY happened DESC, root_tick DESC, root_writer DESC, root DESC) AS turn
    FROM fact WHERE kind IN ('fitted', 'removed') AND place IS NOT NULL)
WHERE turn = 1 AND kind = 'fitted'""",
    "hits_felt": """CREATE VIEW hits_felt AS
SELECT happened, "by", robot, subject AS zone, grade, detail ->> 'source' AS source, act, id
FROM fact WHERE kind = 'hit'""",
    "weighings": """CREATE VIEW weighings AS
SELECT happened, "by", robot, kind, subject, detail ->> 'value_kg' AS value_kg,
    detail ->> 'instrument' AS instrument, id
FROM fact WHERE kind IN ('weighed', 'part_weighed')""",
}

# The second version's: what is tightened, fought and charged.
VIEWS_2 = {
    "torques": """CREATE VIEW torques AS
SELECT happened, "by", detail ->> 'second' AS second, robot, subject AS joint, detail ->> 'torque_nm' AS torque_nm,
    detail ->> 'fasteners' AS fasteners, detail ->> 'instrument' AS instrument, id
FROM fact WHERE kind = 'torqued'""",
    "fights": """CREATE VIEW fights AS
SELECT entered.robot, entered.subject AS fight, entered.detail ->> 'name' AS name,
    entered.detail ->> 'opponent' AS opponent, entered.detail ->> 'configuration' AS configuration,
    entered.detail ->> 'call_at' AS call_at, max(ended.happened) AS ended_at, ended.detail ->> 'result' AS result
FROM fact AS entered LEFT JOIN fact AS ended ON ended.kind = 'fight_ended' AND ended.subject = entered.subject
WHERE entered.kind = 'entered' GROUP BY entered.subject""",
    "packs_read": """CREATE VIEW packs_read AS
SELECT happened, "by", robot, subject AS pack, coalesce(detail ->> 'lowest_v',
    (SELECT min(value) FROM json_each(fact.detail, '$.cells_v'))) AS lowest_v,
    coalesce(detail ->> 'ohm_per_cell', (SELECT max(value) FROM json_each(fact.detail, '$.cells_ohm'))) AS ohm,
    detail ->> 'temperature_k' AS temperature_k, detail ->> 'used_coulomb' AS used_coulomb, id
FROM fact WHERE kind = 'pack_read'""",
    "charges": """CREATE VIEW charges AS
SELECT happened, "by", robot, subject AS pack, coalesce(detail ->> 'to', 'begun') AS step,
    detail ->> 'current_a' AS current_a, detail ->> 'to_put_back_coulomb' AS to_put_back_coulomb,
    detail ->> 'lowest_v' AS lowest_v, id
FROM fact WHERE kind IN ('charge_started', 'charge_ended')""",
}

FIRST: dict[str, str] = {"entry": ENTRY, "meta": META, **INDEXES, **GUARDS, **VIEWS}
EXPECTED: dict[str, str] = FIRST | VIEWS_2


def create(connection: sqlite3.Connection) -> None:
    """Lay out an empty file as the first version had it; the caller holds the transaction."""
    for statement in FIRST.values():
        connection.execute(statement)


def second(connection: sqlite3.Connection) -> None:
    """Add the second version's views; the caller holds the transaction."""
    for statement in VIEWS_2.values():
        connection.execute(statement)


def flaws(connection: sqlite3.Connection) -> list[str]:
    """What of the table, indexes, guards and views of its version is missing, changed or too many, in sentences."""
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    expected = FIRST if version < VERSION else EXPECTED
    rows = connection.execute("SELECT name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite\\_%' ESCAPE '\\'")
    found: dict[str, str] = dict(rows.fetchall())
    missing = [f"{name} is missing" for name in expected if name not in found]
    changed = [f"{name} was changed" for name in expected if name in found and found[name] != expected[name]]
    return missing + changed + [f"{name} does not belong in a book" for name in found if name not in expected]
