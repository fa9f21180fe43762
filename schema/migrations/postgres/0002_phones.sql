-- How a phone stood when it last exchanged, in its own words; the lead looks at it, nothing else does.
CREATE TABLE phones (
  device    TEXT PRIMARY KEY REFERENCES devices (id),
  seen      BIGINT NOT NULL,
  app       TEXT NOT NULL,
  core      TEXT NOT NULL,
  unsent    BIGINT NOT NULL,
  photos    BIGINT NOT NULL,
  offset_ms BIGINT NOT NULL
);
