-- What version 4 adds: by what damage is noticed (store/seal.h). Nothing here is of the maker.

CREATE TABLE ledger_link (
  -- A chain over the ledger: the first 16 bytes of SHA-256 over the link before (nothing
  -- before the first) and all columns of the row, in order. A column is a byte for its type
  -- as SQLite numbers them (1 integer, 2 real, 3 text, 4 blob, 5 null), its length in bytes
  -- (8 bytes, low first) and these: integers 8 bytes, low first; reals as IEEE doubles.
  ledger INTEGER PRIMARY KEY REFERENCES ledger,
  link   BLOB NOT NULL
) STRICT;

CREATE TABLE seal (
  -- The first 8 bytes, low first, of SHA-256 over the rows of the table "part" whose first
  -- column is "key", in order of the primary key, written as for ledger_link. Where that
  -- column is text, key is 0 for all rows. Part 'schema': over the text that made the tables.
  part TEXT NOT NULL,
  key  INTEGER NOT NULL,
  hash INTEGER NOT NULL,
  PRIMARY KEY (part, key)
) STRICT, WITHOUT ROWID;

-- What went in is one row of twenty-four: the years are added up from these alone.
CREATE INDEX ledger_inward ON ledger (day, fabric, count, inward) WHERE inward = 1;
