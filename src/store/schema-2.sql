-- What version 2 adds to schema.sql.
-- IF NOT EXISTS: some books of version 1 have these tables already.

CREATE TABLE IF NOT EXISTS pairing (
  -- A code that is on a screen now: whoever brings it within five minutes is a device.
  code_sha256 TEXT PRIMARY KEY NOT NULL,  -- the code itself is never kept
  expires     INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE IF NOT EXISTS block_colours (
  -- WORKED OUT from the block's photo: what each cell looks like, as the block is designed,
  -- to know the block again by; colours as in fabric_signature.
  block   INTEGER NOT NULL REFERENCES block,
  place   INTEGER NOT NULL,  -- in reading order, from 0
  colours BLOB NOT NULL,
  PRIMARY KEY (block, place)
) STRICT, WITHOUT ROWID;
