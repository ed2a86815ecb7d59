-- A notebook as version 1 wrote it: application mark, version, table, and entries of every kind. All data is invented.
-- Notebooks like this exist; this file is never changed.
PRAGMA application_id = 0x4e506e62;
PRAGMA user_version = 1;
CREATE TABLE entry (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    happened_us INTEGER NOT NULL,
    written_us INTEGER NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL
) STRICT;
INSERT INTO entry (happened_us, written_us, kind, body) VALUES
(1772481600000000, 1772481600000001, 'profile', '{"kind":"profile","fingerprint":"5eed","material":"pond-water-resin","toml":"name = \"Pond water\"\n"}'),
(1772481600000000, 1772481600000001, 'mixed', '{"kind":"mixed","material":"pond-water-resin","profile":"5eed","label":"pond, layer 1","resin":120.4,"dose":1.25,"depth":6.5}'),
(1772481660000000, 1772481661000000, 'reading', '{"kind":"reading","celsius":19.4,"humidity":null,"source":"shelf by the window"}'),
(1772485200000000, 1772485201000000, 'observed', '{"kind":"observed","batch":1,"stage":"gel","seen":{"how":"between","after":"2026-03-02T20:40:00Z","by":"2026-03-02T21:00:00Z"},"test":"wooden stick"}'),
(1772485260000000, 1772485260000001, 'snoozed', '{"kind":"snoozed","alarm":{"batch":1,"stage":"tack-free"},"until":"2026-03-02T21:11:00Z"}'),
(1772485860000000, 1772485860000001, 'acknowledged', '{"kind":"acknowledged","alarm":{"batch":1,"stage":"tack-free"}}'),
(1772485920000000, 1772485920000001, 'undone', '{"kind":"undone","entry":6}'),
(1772524800000000, 1772524800000001, 'done', '{"kind":"done","batch":1}');
