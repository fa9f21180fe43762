-- How a phone stood when it last exchanged, in its own words; the lead looks at it, nothing else does.
CREATE TABLE phones (
  device    TEXT PRIMARY KEY REFERENCES devices (id),
  seen      INTEGER NOT NULL,
  app       TEXT NOT NULL,
  core      TEXT NOT NULL,
  unsent    INTEGER NOT NULL,
  photos    INTEGER NOT NULL,
  offset_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
