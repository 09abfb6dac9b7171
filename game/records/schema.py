"""The tables of the records file and how they came to be.

A new file goes through the same steps as an old one, so there is one story, told once.  A released step is never
changed: a change of the tables is a new step at the end.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

APPLICATION_ID = 0x44524D4C
"""SQLite's ``application_id`` of a records file: the letters DRML."""


@dataclass(frozen=True)
class Migration:
    """One version of the tables: what it brought, and the SQL that leads there from the version before."""

    version: int
    story: str
    sql: str


MIGRATIONS: tuple[Migration, ...] = (
    Migration(
        1,
        "Players and classes, the log of answers, rounds, mock exams, settings, own bars.",
        """
        -- Who plays: a pupil, or a class that answers together.
        CREATE TABLE player (
            id INTEGER PRIMARY KEY,
            uuid TEXT NOT NULL UNIQUE,      -- the same on every machine, so that history files merge
            name TEXT NOT NULL,             -- as shown
            name_key TEXT NOT NULL UNIQUE,  -- as compared: letter case and look-alike forms folded
            kind TEXT NOT NULL CHECK (kind IN ('player', 'class')),
            created REAL NOT NULL,          -- seconds since the epoch, as all times here
            turn INTEGER NOT NULL           -- the highest played last; no clock, for clocks can jump back
        ) STRICT;

        -- The log, first half: one row for each asked bar. Rows are added, never changed.
        CREATE TABLE question (
            id INTEGER PRIMARY KEY,
            player INTEGER NOT NULL REFERENCES player (id),
            uuid TEXT NOT NULL,             -- the same on every machine
            at REAL NOT NULL,
            level TEXT NOT NULL,            -- the level's name
            meter TEXT NOT NULL,            -- like 4/4
            bar TEXT NOT NULL,              -- the whole bar's count
            orchestration TEXT NOT NULL,
            tempo REAL NOT NULL,            -- beats a minute
            hearings INTEGER NOT NULL,
            kind TEXT NOT NULL,             -- practice, exam, class, listen
            UNIQUE (player, uuid)
        ) STRICT;
        CREATE INDEX question_by_time ON question (player, at);

        -- The log, second half: one row for each asked beat; in a class one for each thing that was said to it.
        CREATE TABLE answer (
            question INTEGER NOT NULL REFERENCES question (id),
            place INTEGER NOT NULL,         -- this row among the question's, from 0: with its UUID, a name for ever
            beat INTEGER NOT NULL,          -- place in the bar, from 0
            heard TEXT NOT NULL,            -- the figure that was played, counted on beat 1
            said TEXT,                      -- the figure that was said; NULL: skipped
            seconds REAL,                   -- response time
            share REAL NOT NULL,            -- the part of a class that said so; 1 for one player
            PRIMARY KEY (question, place)
        ) STRICT, WITHOUT ROWID;

        -- One round of practice, for personal bests.
        CREATE TABLE round (
            id INTEGER PRIMARY KEY,
            uuid TEXT NOT NULL,
            player INTEGER NOT NULL REFERENCES player (id),
            level TEXT NOT NULL,
            started REAL NOT NULL,
            finished REAL NOT NULL,
            beats INTEGER NOT NULL,         -- asked
            right INTEGER NOT NULL,         -- of these, said rightly
            hearings INTEGER NOT NULL,
            score INTEGER NOT NULL,
            bars INTEGER NOT NULL,
            UNIQUE (player, uuid)
        ) STRICT;
        CREATE INDEX round_by_level ON round (player, level, score);

        -- One mock exam, kept from its first question on.
        CREATE TABLE exam (
            id INTEGER PRIMARY KEY,
            uuid TEXT NOT NULL,
            player INTEGER NOT NULL REFERENCES player (id),
            level TEXT NOT NULL,
            started REAL NOT NULL,
            finished REAL,
            state TEXT NOT NULL CHECK (state IN ('running', 'finished', 'interrupted')),
            mark REAL,                      -- fraction of the beats that were right
            rules TEXT NOT NULL,            -- JSON: the level's rules on that day
            detail TEXT NOT NULL,           -- JSON: beat by beat
            UNIQUE (player, uuid)
        ) STRICT;

        -- Settings of this machine, and the starting values for new players. Values are JSON.
        CREATE TABLE machine_setting (
            key TEXT PRIMARY KEY,
            value TEXT NOT NULL
        ) STRICT;

        -- Settings of one player. Values are JSON.
        CREATE TABLE player_setting (
            player INTEGER NOT NULL REFERENCES player (id),
            key TEXT NOT NULL,
            value TEXT NOT NULL,
            PRIMARY KEY (player, key)
        ) STRICT;

        -- Bars that a player wrote and kept.
        CREATE TABLE own_bar (
            player INTEGER NOT NULL REFERENCES player (id),
            name TEXT NOT NULL,
            name_key TEXT NOT NULL,         -- as compared
            count TEXT NOT NULL,
            setting TEXT NOT NULL,          -- JSON: how it is played
            PRIMARY KEY (player, name_key)
        ) STRICT;
        """,
    ),
    Migration(
        2,
        "How an answer came about, second tries, takes, an exam's forecast, and what is worked out from the log.",
        """
        -- A second try at a bar is a row of its own, and SQLite can't change what is unique: both halves are made anew.
        CREATE TABLE question_2 (
            id INTEGER PRIMARY KEY,
            player INTEGER NOT NULL REFERENCES player (id),
            uuid TEXT NOT NULL,             -- the same on every machine
            attempt INTEGER NOT NULL,       -- 2: the second try at the same bar
            at REAL NOT NULL,
            level TEXT NOT NULL,            -- the level's name
            meter TEXT NOT NULL,            -- like 4/4
            bar TEXT NOT NULL,              -- the whole bar's count
            orchestration TEXT NOT NULL,
            tempo REAL NOT NULL,            -- beats a minute
            hearings INTEGER NOT NULL,
            slower INTEGER NOT NULL,        -- of these, slower than was asked
            kind TEXT NOT NULL,             -- practice, exam, class, listen
            ability TEXT NOT NULL,          -- hearing, reading, playing
            choices TEXT NOT NULL,          -- JSON: the figures on offer, counted on beat 1; [] for all of the level's
            met TEXT NOT NULL,              -- JSON: the figures that were met right before
            UNIQUE (player, uuid, attempt)
        ) STRICT;
        CREATE TABLE answer_2 (
            question INTEGER NOT NULL REFERENCES question_2 (id),
            place INTEGER NOT NULL,         -- this row among the question's, from 0: with its UUID, a name for ever
            beat INTEGER NOT NULL,          -- place in the bar, from 0
            heard TEXT NOT NULL,            -- the figure that was played, counted on beat 1
            said TEXT,                      -- the figure that was said; NULL: skipped, or not sure
            seconds REAL,                   -- response time
            share REAL NOT NULL,            -- the part of a class that said so; 1 for one player
            unsure INTEGER NOT NULL,        -- 1: "not sure" was said
            changes INTEGER NOT NULL,       -- how often the pick was changed
            alone INTEGER NOT NULL,         -- how often this beat was heard by itself
            reason TEXT NOT NULL,           -- the kind of reason for which the figure was asked
            probability REAL,               -- how likely it was to be asked
            PRIMARY KEY (question, place)
        ) STRICT, WITHOUT ROWID;
        INSERT INTO question_2 SELECT id, player, uuid, 1, at, level, meter, bar, orchestration, tempo, hearings, 0,
            kind, 'hearing', '[]', '[]' FROM question;
        INSERT INTO answer_2 SELECT question, place, beat, heard, said, seconds, share, 0, 0, 0, '', NULL FROM answer;
        DROP TABLE answer;
        DROP TABLE question;
        ALTER TABLE question_2 RENAME TO question;
        ALTER TABLE answer_2 RENAME TO answer;
        CREATE INDEX question_by_time ON question (player, at);

        -- How many tries at a beat the round allowed: bests compare like with like.
        ALTER TABLE round ADD COLUMN tries INTEGER NOT NULL DEFAULT 1;

        -- JSON: what was forecast of this exam, as it stood on its day; null where nothing was.
        ALTER TABLE exam ADD COLUMN forecast TEXT NOT NULL DEFAULT 'null';

        -- What a player played: strokes from keys, pads, a microphone or a file.
        CREATE TABLE take (
            id INTEGER PRIMARY KEY,
            player INTEGER NOT NULL REFERENCES player (id),
            uuid TEXT NOT NULL,             -- the same on every machine
            at REAL NOT NULL,
            question TEXT,                  -- the UUID of the bar that was to be played; NULL: played freely
            source TEXT NOT NULL,           -- what was played on
            tempo REAL NOT NULL,            -- beats a minute
            strokes TEXT NOT NULL,          -- JSON: [[seconds, hand, drum, velocity], ...]
            UNIQUE (player, uuid)
        ) STRICT;
        CREATE INDEX take_by_time ON take (player, at);

        -- What is worked out from the log and can be worked out again. Values are JSON.
        CREATE TABLE derived (
            player INTEGER NOT NULL REFERENCES player (id),
            key TEXT NOT NULL,
            value TEXT NOT NULL,
            PRIMARY KEY (player, key)
        ) STRICT;
        """,
    ),
    Migration(
        3,
        "By which rule a round was scored.",
        """
        -- Scores of one rule can be compared; the rounds of before were scored by the first.
        ALTER TABLE round ADD COLUMN rule INTEGER NOT NULL DEFAULT 1;
        """,
    ),
    Migration(
        4,
        "Fills, which the bars that players wrote become, and riddles made of them.",
        """
        -- Fills that a player made and kept.
        CREATE TABLE fill (
            player INTEGER NOT NULL REFERENCES player (id),
            name TEXT NOT NULL,
            name_key TEXT NOT NULL,         -- as compared
            count TEXT NOT NULL,
            fill TEXT NOT NULL,             -- JSON: meter, sticking, beats; null for a bar of before, told by its count
            setting TEXT NOT NULL,          -- JSON: how it is played
            PRIMARY KEY (player, name_key)
        ) STRICT;
        INSERT INTO fill SELECT player, name, name_key, count, 'null', setting FROM own_bar;
        DROP TABLE own_bar;

        -- A fill that one player asks another one to name by ear.
        CREATE TABLE riddle (
            id INTEGER PRIMARY KEY,
            player INTEGER NOT NULL REFERENCES player (id),     -- who is asked
            asker INTEGER NOT NULL REFERENCES player (id),
            name TEXT NOT NULL,             -- of the fill
            at REAL NOT NULL,
            fill TEXT NOT NULL,             -- JSON, as the fill was when it was asked
            setting TEXT NOT NULL,          -- JSON
            answered REAL,                  -- when; NULL: not yet
            right INTEGER,                  -- how many of its beats were said rightly at the first try
            beats INTEGER NOT NULL          -- how many were asked
        ) STRICT;
        CREATE INDEX riddle_by_player ON riddle (player, answered);
        """,
    ),
    Migration(
        5,
        "What was said to a riddle, riddles between players of two machines, and the timing of a take with the take.",
        """
        -- JSON: [[place or hand, strokes, sum of deviations, sum of their squares], ...]
        ALTER TABLE take ADD COLUMN timing TEXT NOT NULL DEFAULT '[]';
        -- Kept by weeks until now: a week's sums go to its first take.
        UPDATE take SET timing = coalesce((
            SELECT json_group_array(json_array(name.key, json_extract(name.value, '$[0]'),
                json_extract(name.value, '$[1]'), json_extract(name.value, '$[2]')))
            FROM derived, json_each(derived.value) AS week, json_each(week.value) AS name
            WHERE derived.player = take.player AND derived.key = 'timing'
                AND week.key = date(take.at, 'unixepoch', 'localtime', 'weekday 0', '-6 days')
        ), '[]') WHERE id IN (
            SELECT min(id) FROM take GROUP BY player, date(at, 'unixepoch', 'localtime', 'weekday 0', '-6 days')
        );
        DELETE FROM derived WHERE key = 'timing';

        -- SQLite can't let a column be empty that was not allowed to: the table is made anew.
        CREATE TABLE riddle_5 (
            id INTEGER PRIMARY KEY,
            uuid TEXT NOT NULL UNIQUE,      -- the same on every machine
            player INTEGER REFERENCES player (id),      -- who is asked; NULL: one of another machine
            asker INTEGER REFERENCES player (id),       -- who asks; NULL: one of another machine
            absent_uuid TEXT,               -- the player of another machine
            absent TEXT,                    -- and their name
            name TEXT NOT NULL,             -- of the fill
            at REAL NOT NULL,
            fill TEXT NOT NULL,             -- JSON, as the fill was when it was asked
            setting TEXT NOT NULL,          -- JSON
            beats INTEGER NOT NULL,         -- how many were asked
            answered REAL,                  -- when; NULL: not yet
            right INTEGER,                  -- how many of its beats were said rightly at the first try
            said TEXT NOT NULL              -- JSON: the figures that were said, counted on beat 1; [] where not known
        ) STRICT;
        INSERT INTO riddle_5 SELECT id,
            -- A UUID of version 4 (RFC 9562, section 5.4).
            lower(hex(randomblob(4)) || '-' || hex(randomblob(2)) || '-4' || substr(hex(randomblob(2)), 2) || '-'
                || substr('89ab', 1 + (random() & 3), 1) || substr(hex(randomblob(2)), 2) || '-' || hex(randomblob(6))),
            player, asker, NULL, NULL, name, at, fill, setting, beats, answered, right, '[]' FROM riddle;
        DROP TABLE riddle;
        ALTER TABLE riddle_5 RENAME TO riddle;
        CREATE INDEX riddle_by_player ON riddle (player, answered);
        """,
    ),
)


def statements(sql: str) -> Iterator[str]:
    """The single statements of some SQL, so that they can run inside one transaction."""
    statement = ""
    # Not ``executescript``: it would commit the transaction that the upgrade stands in.
    for line in sql.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement.strip()
            statement = ""


def version_of(connection: sqlite3.Connection) -> int:
    """The version of the tables; 0 for an empty database."""
    version: int = connection.execute("PRAGMA user_version").fetchone()[0]
    return version


def upgrade(connection: sqlite3.Connection, steps: Sequence[Migration] = MIGRATIONS) -> None:
    """Bring the tables to the last step's version: whole, or not at all.

    The connection must be in autocommit mode.  Another process may be upgrading too: the version is read again
    once the file is ours alone.
    """
    newest = steps[-1].version
    if version_of(connection) >= newest:
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        found = version_of(connection)
        for step in steps:
            if step.version > found:
                for statement in statements(step.sql):
                    connection.execute(statement)
        # By its text, not as a parameter: pragmas take none.
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        # Never down: a later Drumlin may have brought the file further while this one waited for it.
        connection.execute(f"PRAGMA user_version = {max(found, newest)}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def tables_of(connection: sqlite3.Connection) -> dict[str, str]:
    """Each table and index with the SQL that made it."""
    return dict(connection.execute("SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL").fetchall())


def expected_tables(version: int, steps: Sequence[Migration] = MIGRATIONS) -> dict[str, str]:
    """The tables that a sound file of that version has, as ``tables_of`` tells them."""
    # Made by the same steps, so that no second account of the tables can go out of date.
    model = sqlite3.connect(":memory:", isolation_level=None)
    try:
        upgrade(model, [step for step in steps if step.version <= version])
        return tables_of(model)
    finally:
        model.close()
