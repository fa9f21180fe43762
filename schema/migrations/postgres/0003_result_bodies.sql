-- Results lie apart from how far they reach: that moves on with every entry, and a row is written whole. Both are a cache,
-- so what was kept is worked out again.
DROP TABLE results;
CREATE TABLE results (
  job    BIGINT NOT NULL REFERENCES jobs (n),
  core   TEXT NOT NULL,
  pos    BIGINT NOT NULL,
  digest TEXT NOT NULL,
  made   BIGINT NOT NULL,
  PRIMARY KEY (job, core)
);
CREATE TABLE result_bodies (
  job  BIGINT NOT NULL REFERENCES jobs (n),
  core TEXT NOT NULL,
  body BYTEA NOT NULL,
  PRIMARY KEY (job, core)
);
