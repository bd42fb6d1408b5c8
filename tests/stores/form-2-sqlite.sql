-- A store as the second form of it was (sqlite): words to search, no practice, no list of words known.
CREATE TABLE store_form (
  version INTEGER NOT NULL
);
CREATE TABLE cases (
  number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
  "key" TEXT NOT NULL,
  title TEXT DEFAULT '' NOT NULL,
  sheet TEXT DEFAULT '' NOT NULL,
  caller TEXT DEFAULT '' NOT NULL,
  engine TEXT DEFAULT '' NOT NULL,
  registration TEXT DEFAULT '' NOT NULL,
  job TEXT DEFAULT '' NOT NULL,
  tags TEXT DEFAULT '' NOT NULL,
  owner TEXT DEFAULT '' NOT NULL,
  status TEXT DEFAULT '' NOT NULL,
  cause TEXT DEFAULT '' NOT NULL,
  opened TEXT NOT NULL,
  changed TEXT NOT NULL,
  turns INTEGER NOT NULL,
  last INTEGER NOT NULL,
  merged_into INTEGER,
  UNIQUE ("key")
);
CREATE INDEX cases_status ON cases (status, changed);
CREATE INDEX cases_changed ON cases (changed);
CREATE TABLE statements (
  case_number INTEGER NOT NULL,
  seq INTEGER NOT NULL,
  turn INTEGER NOT NULL,
  kind TEXT NOT NULL,
  name TEXT NOT NULL,
  state TEXT,
  value DOUBLE,
  unit TEXT,
  text TEXT DEFAULT '' NOT NULL,
  low DOUBLE,
  high DOUBLE,
  bound TEXT,
  at TEXT NOT NULL,
  who TEXT DEFAULT '' NOT NULL,
  PRIMARY KEY (case_number, seq),
  FOREIGN KEY(case_number) REFERENCES cases (number)
)
 WITHOUT ROWID;
CREATE VIRTUAL TABLE case_words USING fts5(words);
CREATE VIRTUAL TABLE case_vocabulary USING fts5vocab(case_words, row);
INSERT INTO store_form VALUES (2);
INSERT INTO cases (number, key, title, sheet, caller, registration, tags, owner, status, cause, opened, changed, turns, last)
  VALUES (1, '6f1d', 'the lamp is out', 'plain', 'Jo', 'AB 12', 'boat', 'Ann', 'closed', 'a',
  '2031-01-02T08:00:00.000Z', '2031-01-02T09:00:00.000Z', 2, 8);
INSERT INTO cases (number, key, title, owner, status, opened, changed, turns, last)
  VALUES (3, '77aa', 'it hums', 'Bob', 'open', '2031-01-03T08:00:00.000Z', '2031-01-03T08:00:00.000Z', 1, 2);
INSERT INTO statements (case_number, seq, turn, kind, name, state, value, unit, text, at, who)
  VALUES (1, 1, 0, 'field', 'sheet', NULL, NULL, NULL, 'plain', '2031-01-02T08:00:00.000Z', 'Ann');
INSERT INTO statements (case_number, seq, turn, kind, name, state, value, unit, text, at, who)
  VALUES (1, 2, 0, 'field', 'caller', NULL, NULL, NULL, 'Jo', '2031-01-02T08:00:00.000Z', 'Ann');
INSERT INTO statements (case_number, seq, turn, kind, name, state, value, unit, text, at, who)
  VALUES (1, 3, 0, 'field', 'registration', NULL, NULL, NULL, 'AB 12', '2031-01-02T08:00:00.000Z', 'Ann');
INSERT INTO statements (case_number, seq, turn, kind, name, state, value, unit, text, at, who)
  VALUES (1, 4, 1, 'typed', '', NULL, NULL, NULL, 'the lamp is out', '2031-01-02T08:00:00.000Z', 'Ann');
INSERT INTO statements (case_number, seq, turn, kind, name, state, value, unit, text, at, who)
  VALUES (1, 5, 1, 'said', 'lamp', 'dark', NULL, NULL, 'lamp is out', '2031-01-02T08:00:00.000Z', 'Ann');
INSERT INTO statements (case_number, seq, turn, kind, name, state, value, unit, text, at, who)
  VALUES (1, 6, 2, 'measured', 'gap', NULL, 1.5, 'mm', '', '2031-01-02T08:30:00.000Z', 'Ann');
INSERT INTO statements (case_number, seq, turn, kind, name, state, value, unit, text, at, who)
  VALUES (1, 7, 2, 'tag', '', NULL, NULL, NULL, 'boat', '2031-01-02T08:40:00.000Z', 'Bob');
INSERT INTO statements (case_number, seq, turn, kind, name, state, value, unit, text, at, who)
  VALUES (1, 8, 2, 'closed', 'a', 'a', 0.8, NULL, '', '2031-01-02T09:00:00.000Z', 'Ann');
INSERT INTO statements (case_number, seq, turn, kind, name, state, text, at, who)
  VALUES (3, 1, 1, 'typed', '', NULL, 'it hums', '2031-01-03T08:00:00.000Z', 'Bob');
INSERT INTO statements (case_number, seq, turn, kind, name, state, text, at, who)
  VALUES (3, 2, 1, 'said', 'hum', 'present', 'hums', '2031-01-03T08:00:00.000Z', 'Bob');
INSERT INTO case_words (rowid, words) VALUES (1, 'plain jo ab 12 the lamp is out boat a');
INSERT INTO case_words (rowid, words) VALUES (3, 'it hums');
