-- A store as the first form of it was: nobody's name, no tags, no search. Read by both kinds.
CREATE TABLE store_form (version INTEGER NOT NULL);
INSERT INTO store_form VALUES (1);
CREATE TABLE cases (
  number INTEGER NOT NULL PRIMARY KEY, key TEXT NOT NULL UNIQUE,
  title TEXT NOT NULL DEFAULT '', sheet TEXT NOT NULL DEFAULT '', caller TEXT NOT NULL DEFAULT '',
  engine TEXT NOT NULL DEFAULT '', registration TEXT NOT NULL DEFAULT '', job TEXT NOT NULL DEFAULT '',
  status TEXT NOT NULL DEFAULT '', cause TEXT NOT NULL DEFAULT '',
  opened TEXT NOT NULL, changed TEXT NOT NULL, turns INTEGER NOT NULL, last INTEGER NOT NULL
);
CREATE TABLE statements (
  case_number INTEGER NOT NULL REFERENCES cases (number), seq INTEGER NOT NULL,
  turn INTEGER NOT NULL, kind TEXT NOT NULL, name TEXT NOT NULL, state TEXT, value DOUBLE PRECISION,
  unit TEXT, text TEXT NOT NULL DEFAULT '', low DOUBLE PRECISION, high DOUBLE PRECISION, bound TEXT,
  at TEXT NOT NULL, PRIMARY KEY (case_number, seq)
);
INSERT INTO cases VALUES (1, '6f1d', 'the lamp is out', 'plain', 'Jo', '', '', '', 'closed', 'a',
  '2031-01-02T08:00:00.000Z', '2031-01-02T09:00:00.000Z', 2, 6);
INSERT INTO cases VALUES (3, '77aa', 'it hums', '', '', '', '', '', 'open', '',
  '2031-01-03T08:00:00.000Z', '2031-01-03T08:00:00.000Z', 1, 2);
INSERT INTO statements VALUES (1, 1, 0, 'field', 'sheet', NULL, NULL, NULL, 'plain', NULL, NULL, NULL, '2031-01-02T08:00:00.000Z');
INSERT INTO statements VALUES (1, 2, 0, 'field', 'caller', NULL, NULL, NULL, 'Jo', NULL, NULL, NULL, '2031-01-02T08:00:00.000Z');
INSERT INTO statements VALUES (1, 3, 1, 'typed', '', NULL, NULL, NULL, 'the lamp is out', NULL, NULL, NULL, '2031-01-02T08:00:00.000Z');
INSERT INTO statements VALUES (1, 4, 1, 'said', 'lamp', 'dark', NULL, NULL, 'lamp is out', NULL, NULL, NULL, '2031-01-02T08:00:00.000Z');
INSERT INTO statements VALUES (1, 5, 2, 'measured', 'gap', NULL, 1.5, 'mm', '', NULL, NULL, NULL, '2031-01-02T08:30:00.000Z');
INSERT INTO statements VALUES (1, 6, 2, 'closed', 'a', NULL, NULL, NULL, '', NULL, NULL, NULL, '2031-01-02T09:00:00.000Z');
INSERT INTO statements VALUES (3, 1, 1, 'typed', '', NULL, NULL, NULL, 'it hums', NULL, NULL, NULL, '2031-01-03T08:00:00.000Z');
INSERT INTO statements VALUES (3, 2, 1, 'said', 'hum', 'present', NULL, NULL, 'hums', NULL, NULL, NULL, '2031-01-03T08:00:00.000Z');
