-- Times are milliseconds since 1970 UTC. Ids of entries and digests are 32 raw bytes; other ids are lower hex text.

CREATE TABLE settings (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT;

CREATE TABLE workspaces (
  id      TEXT PRIMARY KEY,
  name    TEXT NOT NULL UNIQUE,
  created INTEGER NOT NULL
) STRICT;

-- pos, count, running and sum move together, in the transaction that writes the entries.
CREATE TABLE jobs (
  n         INTEGER PRIMARY KEY,
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  job       TEXT NOT NULL,
  title     TEXT NOT NULL DEFAULT '',
  pos       INTEGER NOT NULL DEFAULT 0,
  running   BLOB NOT NULL,
  sum       BLOB NOT NULL,
  created   INTEGER NOT NULL,
  UNIQUE (workspace, job)
) STRICT;

CREATE TABLE entries (
  job       INTEGER NOT NULL REFERENCES jobs (n),
  pos       INTEGER NOT NULL,
  id        BLOB NOT NULL,
  log       TEXT NOT NULL,
  seq       INTEGER NOT NULL,
  prev      BLOB NOT NULL,
  raw       BLOB NOT NULL,
  running   BLOB NOT NULL,
  device    TEXT NOT NULL,
  carried   INTEGER NOT NULL,
  offset_ms INTEGER NOT NULL,
  received  INTEGER NOT NULL,
  PRIMARY KEY (job, pos)
) STRICT;
CREATE UNIQUE INDEX entries_id ON entries (job, id);
CREATE INDEX entries_log ON entries (job, log, seq, id);

-- seq is the last one below which nothing is missing; id is one entry there; forked = two ids at some seq.
CREATE TABLE heads (
  job    INTEGER NOT NULL REFERENCES jobs (n),
  log    TEXT NOT NULL,
  seq    INTEGER NOT NULL,
  id     BLOB NOT NULL,
  forked INTEGER NOT NULL DEFAULT 0,
  PRIMARY KEY (job, log)
) STRICT, WITHOUT ROWID;

CREATE TABLE leases (
  job     INTEGER NOT NULL REFERENCES jobs (n),
  log     TEXT NOT NULL,
  current TEXT NOT NULL,
  next    TEXT NOT NULL,
  device  TEXT NOT NULL,
  moved   INTEGER NOT NULL,
  PRIMARY KEY (job, log)
) STRICT, WITHOUT ROWID;

-- A cache: it may be emptied at any time. pos only grows.
CREATE TABLE results (
  job    INTEGER NOT NULL REFERENCES jobs (n),
  core   TEXT NOT NULL,
  pos    INTEGER NOT NULL,
  digest TEXT NOT NULL,
  body   BLOB NOT NULL,
  made   INTEGER NOT NULL,
  PRIMARY KEY (job, core)
) STRICT;

CREATE TABLE devices (
  id        TEXT PRIMARY KEY,
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  name      TEXT NOT NULL,
  role      TEXT NOT NULL CHECK (role IN ('lead', 'fitter', 'viewer')),
  paired    INTEGER NOT NULL,
  revoked   INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX devices_workspace ON devices (workspace);

-- Only hashes: the secrets themselves are on the phones.
CREATE TABLE device_secrets (
  hash    TEXT PRIMARY KEY,
  device  TEXT NOT NULL REFERENCES devices (id),
  created INTEGER NOT NULL,
  used    INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX device_secrets_device ON device_secrets (device);

CREATE TABLE codes (
  hash      TEXT PRIMARY KEY,
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  role      TEXT NOT NULL CHECK (role IN ('lead', 'fitter', 'viewer')),
  created   INTEGER NOT NULL,
  expires   INTEGER NOT NULL,
  used      INTEGER NOT NULL DEFAULT 0,
  wrong     INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE wrong_tries (
  address TEXT NOT NULL,
  at      INTEGER NOT NULL
) STRICT;
CREATE INDEX wrong_tries_address ON wrong_tries (address, at);

CREATE TABLE links (
  id        TEXT PRIMARY KEY,
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  job       TEXT NOT NULL,
  name      TEXT NOT NULL,
  hash      TEXT NOT NULL,
  people    INTEGER NOT NULL DEFAULT 0,
  created   INTEGER NOT NULL,
  expires   INTEGER NOT NULL,
  revoked   INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX links_job ON links (workspace, job);

CREATE TABLE audit (
  n         INTEGER PRIMARY KEY,
  at        INTEGER NOT NULL,
  workspace TEXT NOT NULL,
  device    TEXT NOT NULL,
  action    TEXT NOT NULL,
  subject   TEXT NOT NULL,
  detail    TEXT NOT NULL
) STRICT;
CREATE INDEX audit_workspace ON audit (workspace, n);
CREATE TRIGGER audit_no_update BEFORE UPDATE ON audit BEGIN SELECT RAISE (ABORT, 'audit lines are append-only'); END;
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit BEGIN SELECT RAISE (ABORT, 'audit lines are append-only'); END;

-- The bytes lie in the photo store. view_* is the derivative that others see; refused says why the bytes were not kept.
CREATE TABLE blobs (
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  sha       TEXT NOT NULL,
  size      INTEGER NOT NULL,
  type      TEXT NOT NULL DEFAULT '',
  device    TEXT NOT NULL,
  view_sha  TEXT NOT NULL DEFAULT '',
  view_size INTEGER NOT NULL DEFAULT 0,
  state     TEXT NOT NULL CHECK (state IN ('arriving', 'whole', 'refused')),
  refused   TEXT NOT NULL DEFAULT '',
  created   INTEGER NOT NULL,
  PRIMARY KEY (workspace, sha)
) STRICT, WITHOUT ROWID;
