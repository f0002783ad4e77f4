-- What version 3 adds.

CREATE TABLE sent (
  -- Changes that a device sent under a key of its own. One that comes again, because its
  -- answer was lost on the way, is not made again. Kept for a year.
  key TEXT PRIMARY KEY NOT NULL,
  at  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX sent_at ON sent (at);
