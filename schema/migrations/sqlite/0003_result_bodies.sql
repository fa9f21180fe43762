-- Results lie apart from how far they reach: that moves on with every entry, and a row is written whole. Both are a cache,
-- so what was kept is worked out again.
DROP TABLE results;
CREATE TABLE results (
  job    INTEGER NOT NULL REFERENCES jobs (n),
  core   TEXT NOT NULL,
  pos    INTEGER NOT NULL,
  digest TEXT NOT NULL,
  made   INTEGER NOT NULL,
  PRIMARY KEY (job, core)
) STRICT, WITHOUT ROWID;
CREATE TABLE result_bodies (
  job  INTEGER NOT NULL REFERENCES jobs (n),
  core TEXT NOT NULL,
  body BLOB NOT NULL,
  PRIMARY KEY (job, core)
) STRICT;
