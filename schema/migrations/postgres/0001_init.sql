-- Times are milliseconds since 1970 UTC. Ids of entries and digests are 32 raw bytes; other ids are lower hex text.

CREATE TABLE settings (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
);

CREATE TABLE workspaces (
  id      TEXT PRIMARY KEY,
  name    TEXT NOT NULL UNIQUE,
  created BIGINT NOT NULL
);

-- pos, count, running and sum move together, in the transaction that writes the entries.
CREATE TABLE jobs (
  n         BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  job       TEXT NOT NULL,
  title     TEXT NOT NULL DEFAULT '',
  pos       BIGINT NOT NULL DEFAULT 0,
  running   BYTEA NOT NULL,
  sum       BYTEA NOT NULL,
  created   BIGINT NOT NULL,
  UNIQUE (workspace, job)
);

CREATE TABLE entries (
  job       BIGINT NOT NULL REFERENCES jobs (n),
  pos       BIGINT NOT NULL,
  id        BYTEA NOT NULL,
  log       TEXT NOT NULL,
  seq       BIGINT NOT NULL,
  prev      BYTEA NOT NULL,
  raw       BYTEA NOT NULL,
  running   BYTEA NOT NULL,
  device    TEXT NOT NULL,
  carried   BIGINT NOT NULL,
  offset_ms BIGINT NOT NULL,
  received  BIGINT NOT NULL,
  PRIMARY KEY (job, pos)
);
CREATE UNIQUE INDEX entries_id ON entries (job, id);
CREATE INDEX entries_log ON entries (job, log, seq, id);

-- seq is the last one below which nothing is missing; id is one entry there; forked = two ids at some seq.
CREATE TABLE heads (
  job    BIGINT NOT NULL REFERENCES jobs (n),
  log    TEXT NOT NULL,
  seq    BIGINT NOT NULL,
  id     BYTEA NOT NULL,
  forked BIGINT NOT NULL DEFAULT 0,
  PRIMARY KEY (job, log)
);

CREATE TABLE leases (
  job     BIGINT NOT NULL REFERENCES jobs (n),
  log     TEXT NOT NULL,
  current TEXT NOT NULL,
  next    TEXT NOT NULL,
  device  TEXT NOT NULL,
  moved   BIGINT NOT NULL,
  PRIMARY KEY (job, log)
);

-- A cache: it may be emptied at any time. pos only grows.
CREATE TABLE results (
  job    BIGINT NOT NULL REFERENCES jobs (n),
  core   TEXT NOT NULL,
  pos    BIGINT NOT NULL,
  digest TEXT NOT NULL,
  body   BYTEA NOT NULL,
  made   BIGINT NOT NULL,
  PRIMARY KEY (job, core)
);

CREATE TABLE devices (
  id        TEXT PRIMARY KEY,
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  name      TEXT NOT NULL,
  role      TEXT NOT NULL CHECK (role IN ('lead', 'fitter', 'viewer')),
  paired    BIGINT NOT NULL,
  revoked   BIGINT NOT NULL DEFAULT 0
);
CREATE INDEX devices_workspace ON devices (workspace);

-- Only hashes: the secrets themselves are on the phones.
CREATE TABLE device_secrets (
  hash    TEXT PRIMARY KEY,
  device  TEXT NOT NULL REFERENCES devices (id),
  created BIGINT NOT NULL,
  used    BIGINT NOT NULL DEFAULT 0
);
CREATE INDEX device_secrets_device ON device_secrets (device);

CREATE TABLE codes (
  hash      TEXT PRIMARY KEY,
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  role      TEXT NOT NULL CHECK (role IN ('lead', 'fitter', 'viewer')),
  created   BIGINT NOT NULL,
  expires   BIGINT NOT NULL,
  used      BIGINT NOT NULL DEFAULT 0,
  wrong     BIGINT NOT NULL DEFAULT 0
);

CREATE TABLE wrong_tries (
  address TEXT NOT NULL,
  at      BIGINT NOT NULL
);
CREATE INDEX wrong_tries_address ON wrong_tries (address, at);

CREATE TABLE links (
  id        TEXT PRIMARY KEY,
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  job       TEXT NOT NULL,
  name      TEXT NOT NULL,
  hash      TEXT NOT NULL,
  people    BIGINT NOT NULL DEFAULT 0,
  created   BIGINT NOT NULL,
  expires   BIGINT NOT NULL,
  revoked   BIGINT NOT NULL DEFAULT 0
);
CREATE INDEX links_job ON links (workspace, job);

CREATE TABLE audit (
  n         BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  at        BIGINT NOT NULL,
  workspace TEXT NOT NULL,
  device    TEXT NOT NULL,
  action    TEXT NOT NULL,
  subject   TEXT NOT NULL,
  detail    TEXT NOT NULL
);
CREATE INDEX audit_workspace ON audit (workspace, n);
CREATE FUNCTION audit_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'audit lines are append-only';
END
$$;
CREATE TRIGGER audit_append_only BEFORE UPDATE OR DELETE ON audit FOR EACH ROW EXECUTE FUNCTION audit_append_only();

-- The bytes lie in the photo store. view_* is the derivative that others see; refused says why the bytes were not kept.
CREATE TABLE blobs (
  workspace TEXT NOT NULL REFERENCES workspaces (id),
  sha       TEXT NOT NULL,
  size      BIGINT NOT NULL,
  type      TEXT NOT NULL DEFAULT '',
  device    TEXT NOT NULL,
  view_sha  TEXT NOT NULL DEFAULT '',
  view_size BIGINT NOT NULL DEFAULT 0,
  state     TEXT NOT NULL CHECK (state IN ('arriving', 'whole', 'refused')),
  refused   TEXT NOT NULL DEFAULT '',
  created   BIGINT NOT NULL,
  PRIMARY KEY (workspace, sha)
);
