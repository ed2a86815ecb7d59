-- Beside the entries, and no part of what happened: how the machine's clock was last known to stand, and which process
-- sounds the alarms.
CREATE TABLE clock (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    boot TEXT NOT NULL,
    offset_us INTEGER NOT NULL,
    -- The last entry that was written before this start of the machine.
    after_seq INTEGER NOT NULL
) STRICT;
CREATE TABLE watcher (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    kind TEXT NOT NULL,
    pid INTEGER NOT NULL,
    since_us INTEGER NOT NULL,
    pulse_us INTEGER NOT NULL,
    settings TEXT NOT NULL
) STRICT;
