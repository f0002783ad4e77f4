-- A book of Motley: everything a maker of scrap quilts has, in one file.
-- Lengths are whole numbers of 1/8128 inch (a millimetre is 320 of them). Times are
-- seconds since 1970 UTC; days are written 20261124 for 24 November 2026, by the clock of
-- the place. Ids are never given twice.
--
-- Tables marked WORKED OUT hold nothing that the maker said; they can be made again.

CREATE TABLE revision (
  -- One row. n grows with every committed change, so that others notice it.
  one INTEGER PRIMARY KEY CHECK (one = 1),
  n   INTEGER NOT NULL
) STRICT;

CREATE TABLE journal (
  -- Each change that was committed, undone or done again; rows are never taken away.
  id        INTEGER PRIMARY KEY AUTOINCREMENT,
  at        INTEGER NOT NULL,
  what      TEXT NOT NULL,     -- in the maker's words
  deed      TEXT NOT NULL CHECK (deed IN ('did', 'undid', 'redid')),
  of        INTEGER REFERENCES journal,  -- the change that was undone or done again
  state     TEXT CHECK (state IN (       -- of a change that was done:
              'done',          -- it stands and can be undone
              'undone',        -- it can be done again
              'dropped',       -- undone for good: another change came after
              'settled')),     -- it stands for good: older than the tables' present form
  changeset BLOB,              -- what it did to the tables below, as SQLite's session
                               -- extension writes it; the ledger is undone by new rows
  CHECK ((deed = 'did') = (of IS NULL)),
  CHECK ((deed = 'did') = (state IS NOT NULL))
) STRICT;
CREATE INDEX journal_of ON journal (of) WHERE of IS NOT NULL;
CREATE INDEX journal_done ON journal (id) WHERE state = 'done';
CREATE INDEX journal_undone ON journal (id) WHERE state = 'undone';

CREATE TABLE picture (
  -- Small JPEGs, each kept once; rows never change. Photos, swatches, blocks and quilts
  -- point here, so that undoing need not carry pictures about.
  id     INTEGER PRIMARY KEY AUTOINCREMENT,
  sha256 TEXT NOT NULL UNIQUE,
  bytes  BLOB NOT NULL
) STRICT;

CREATE TABLE setting (
  key   TEXT PRIMARY KEY NOT NULL,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE device (
  -- A phone or tablet that may use the book; revoked, not undone.
  id           INTEGER PRIMARY KEY AUTOINCREMENT,
  created      INTEGER NOT NULL,
  name         TEXT NOT NULL,
  token_sha256 TEXT NOT NULL UNIQUE,  -- the token itself is never kept
  seen         INTEGER,               -- last use
  revoked      INTEGER                -- since then it may not use the book
) STRICT;

CREATE TABLE source (
  -- Where fabric came from. The ledger points here: rows never change.
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  created INTEGER NOT NULL
) STRICT;

CREATE TABLE source_said (
  -- What the maker says about a source; without a row here it was undone.
  source   INTEGER PRIMARY KEY REFERENCES source,
  name     TEXT NOT NULL,
  name_key TEXT NOT NULL UNIQUE,  -- the name without capitals, to find it by
  kind     TEXT NOT NULL CHECK (kind IN ('quilt', 'purchase', 'gift', 'swap', 'other')),
  note     TEXT
) STRICT;

CREATE TABLE fabric (
  -- One print or solid. The ledger points here: rows never change.
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  created INTEGER NOT NULL
) STRICT;

CREATE TABLE fabric_said (
  -- What the maker says about a fabric; without a row here it was undone.
  fabric   INTEGER PRIMARY KEY REFERENCES fabric,
  name     TEXT,
  name_key TEXT,
  note     TEXT,
  value    INTEGER CHECK (value BETWEEN 0 AND 2),  -- light, medium, dark; NULL: as worked out
  same_as  INTEGER REFERENCES fabric               -- it counts as that fabric, which itself
                                                   -- counts as no other
) STRICT;
CREATE INDEX fabric_name ON fabric_said (name_key) WHERE name_key IS NOT NULL;
CREATE INDEX fabric_same ON fabric_said (same_as) WHERE same_as IS NOT NULL;

CREATE TABLE swatch (
  -- Pictures of a fabric; the first is shown.
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  fabric  INTEGER NOT NULL REFERENCES fabric,
  picture INTEGER NOT NULL REFERENCES picture
) STRICT;
CREATE INDEX swatch_fabric ON swatch (fabric);

CREATE TABLE fabric_signature (
  -- WORKED OUT from pictures: the colours that a fabric is known again by.
  id      INTEGER PRIMARY KEY,
  fabric  INTEGER NOT NULL REFERENCES fabric,
  value   INTEGER NOT NULL CHECK (value BETWEEN 0 AND 2),
  colours BLOB NOT NULL  -- up to five times CIELAB L, a, b (D65) and share, each an IEEE
                         -- single, low byte first; then, or not, six or twelve bytes of
                         -- texture: light and chroma over 1/16, 1/8, 1/4 in, 0 for
                         -- unknown, else 1 + 43 ln(1 + difference / 0.6); of the light
                         -- there 1 + 150 ln((rms + 0.6) / (mean + 0.6)), and 1 + 250
                         -- times the fourth harmonic over the directions
) STRICT;
CREATE INDEX signature_fabric ON fabric_signature (fabric, id, value);

CREATE TABLE photo (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  added    INTEGER NOT NULL,
  sha256   TEXT NOT NULL UNIQUE,  -- of the original file, which the maker keeps
  name     TEXT NOT NULL,
  width    INTEGER NOT NULL,      -- of the original, upright, in pixels
  height   INTEGER NOT NULL,
  taken    INTEGER,
  source   INTEGER REFERENCES source,
  plan     INTEGER REFERENCES picture,  -- the picture brought to true scale
  plan_left          INTEGER NOT NULL,  -- where its upper left corner lies on the mat:
  plan_top           INTEGER NOT NULL,  -- origin at the card's centre, x right, y up
  plan_pixels_per_in REAL NOT NULL,
  card_tags          INTEGER NOT NULL,
  card_error_in      REAL NOT NULL,
  pixels_per_in      REAL NOT NULL,     -- of the original, at the card
  warnings           TEXT,              -- JSON
  geometry           TEXT               -- JSON: how the camera saw the mat, so that the
                                        -- plan can be measured again
) STRICT;

CREATE TABLE scrap (
  id             INTEGER PRIMARY KEY AUTOINCREMENT,
  photo          INTEGER REFERENCES photo,
  number         INTEGER NOT NULL,      -- in the photo
  fabric         INTEGER REFERENCES fabric,
  source         INTEGER REFERENCES source,
  outline        TEXT NOT NULL,         -- as found: [[[x, y], ...], [hole], ...] in lengths,
                                        -- origin at the card's centre, x right, y up
  area           INTEGER NOT NULL,      -- in square lengths
  outline_mended TEXT,                  -- as the maker mended it; wins
  area_mended    INTEGER,
  sure           REAL NOT NULL CHECK (sure BETWEEN 0 AND 1),
  on_edge        INTEGER NOT NULL CHECK (on_edge IN (0, 1)),
  state          TEXT NOT NULL CHECK (state IN ('lying', 'cut', 'thrown')),
  again_of       INTEGER,               -- the scrap of another photo that this one is seen
                                        -- again: it counts there, as long as that is there
  again_sure     INTEGER NOT NULL DEFAULT 0 CHECK (again_sure IN (0, 1)),  -- 0: asked
  CHECK ((outline_mended IS NULL) = (area_mended IS NULL))
) STRICT;
CREATE INDEX scrap_photo ON scrap (photo, number);
CREATE INDEX scrap_state ON scrap (state, id);

CREATE TABLE scrap_colours (
  -- WORKED OUT from the photo; as in fabric_signature.
  scrap   INTEGER PRIMARY KEY,
  value   INTEGER NOT NULL CHECK (value BETWEEN 0 AND 2),
  colours BLOB NOT NULL
) STRICT;

CREATE TABLE design_own (
  -- Designs that the maker drew or brought in, beside those of the program.
  name TEXT PRIMARY KEY NOT NULL,  -- a file's name without its ending
  text TEXT NOT NULL               -- in the format of designs
) STRICT, WITHOUT ROWID;

CREATE TABLE quilt (
  id               INTEGER PRIMARY KEY AUTOINCREMENT,
  started          INTEGER NOT NULL,
  closed           INTEGER,           -- when; NULL: under way
  name             TEXT NOT NULL,
  name_key         TEXT NOT NULL,     -- the name without capitals
  design           TEXT NOT NULL,     -- its name
  design_text      TEXT NOT NULL,     -- its whole text as it was at the start
  across           INTEGER NOT NULL CHECK (across > 0),  -- blocks
  down             INTEGER NOT NULL CHECK (down > 0),
  unit             INTEGER NOT NULL CHECK (unit > 0),    -- cut side of a square
  seam             INTEGER NOT NULL CHECK (seam >= 0),
  width_of_fabric  INTEGER NOT NULL,  -- usable; 0: as in the settings
  overage_permille INTEGER NOT NULL,
  sash             INTEGER NOT NULL,  -- finished width; 0: none
  on_point         INTEGER NOT NULL CHECK (on_point IN (0, 1)),
  borders          TEXT NOT NULL,     -- finished widths, innermost first, with spaces
  binding          INTEGER NOT NULL,  -- cut width of its strips; 0: none
  options          TEXT,              -- JSON
  picture          INTEGER REFERENCES picture,
  note             TEXT
) STRICT;
CREATE UNIQUE INDEX quilt_open_name ON quilt (name_key) WHERE closed IS NULL;
CREATE INDEX quilt_name ON quilt (name_key);

CREATE TABLE quilt_role (
  -- The fabric chosen for a role.
  quilt  INTEGER NOT NULL REFERENCES quilt,
  role   INTEGER NOT NULL CHECK (role BETWEEN 1 AND 4),  -- background, light, dark, accent
  fabric INTEGER NOT NULL REFERENCES fabric,
  PRIMARY KEY (quilt, role)
) STRICT, WITHOUT ROWID;

CREATE TABLE block (
  -- A block that is made.
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  quilt   INTEGER NOT NULL REFERENCES quilt,
  kind    TEXT NOT NULL,              -- the block's name in the design
  row     INTEGER CHECK (row > 0),    -- where it goes, from 1; NULL: not yet placed
  col     INTEGER CHECK (col > 0),
  turn    INTEGER NOT NULL CHECK (turn BETWEEN 0 AND 3),  -- quarter turns clockwise
  pinned  INTEGER NOT NULL CHECK (pinned IN (0, 1)),
  made_at INTEGER NOT NULL,
  made_on INTEGER NOT NULL,           -- the day
  picture INTEGER REFERENCES picture,
  CHECK ((row IS NULL) = (col IS NULL))
) STRICT;
CREATE INDEX block_place ON block (quilt, row, col);
CREATE INDEX block_day ON block (made_on, quilt);
CREATE INDEX block_quilt_day ON block (quilt, made_on);

CREATE TABLE block_patch (
  -- What is sewn in a block.
  block  INTEGER NOT NULL REFERENCES block,
  place  INTEGER NOT NULL,  -- as designed, in reading order, from 0
  part   INTEGER NOT NULL CHECK (part IN (0, 1)),  -- the first or second of two triangles
  fabric INTEGER REFERENCES fabric,
  known  INTEGER NOT NULL CHECK (known IN (0, 1)),  -- 0: inferred
  sure   REAL NOT NULL CHECK (sure BETWEEN 0 AND 1),
  PRIMARY KEY (block, place, part)
) STRICT, WITHOUT ROWID;
CREATE INDEX patch_fabric ON block_patch (fabric, block, known) WHERE fabric IS NOT NULL;

CREATE TABLE bought (
  -- Lines of the shopping list that the maker has dealt with.
  quilt  INTEGER NOT NULL REFERENCES quilt,
  item   TEXT NOT NULL,
  amount INTEGER NOT NULL CHECK (amount >= 0),  -- a length
  ticked INTEGER NOT NULL CHECK (ticked IN (0, 1)),
  PRIMARY KEY (quilt, item)
) STRICT, WITHOUT ROWID;

CREATE TABLE layer (
  -- What went into the basket at one time. Higher ids lie deeper. Rows never change.
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  at INTEGER NOT NULL
) STRICT;

CREATE TABLE ledger (
  -- Every unit square in, out or corrected. Rows never change; the sum is the basket.
  id           INTEGER PRIMARY KEY AUTOINCREMENT,
  at           INTEGER NOT NULL,
  day          INTEGER NOT NULL,  -- of the deed; a row that reverses has the other's day
  change       INTEGER NOT NULL REFERENCES journal,
  layer        INTEGER NOT NULL REFERENCES layer,
  unit         INTEGER NOT NULL CHECK (unit > 0),    -- cut side
  fabric       INTEGER REFERENCES fabric,            -- NULL: not known
  source       INTEGER REFERENCES source,
  count        INTEGER NOT NULL CHECK (count <> 0),  -- in above zero, out below
  how          TEXT NOT NULL CHECK (how IN ('cut', 'made', 'added', 'taken', 'corrected',
                                            'weighed', 'reversed')),
  inward       INTEGER NOT NULL CHECK (inward IN (0, 1)),  -- it puts in, or takes that back
  fabric_known INTEGER NOT NULL CHECK (fabric_known IN (0, 1)),  -- 0: fabric is inferred
  counted      INTEGER NOT NULL CHECK (counted IN (0, 1)),       -- 0: count is estimated
  block        INTEGER,  -- that they were sewn into; it may have been undone since
  reverses     INTEGER REFERENCES ledger,
  CHECK ((how = 'reversed') = (reverses IS NOT NULL))
) STRICT;
CREATE INDEX ledger_change ON ledger (change);
CREATE INDEX ledger_fabric ON ledger (fabric) WHERE fabric IS NOT NULL;
CREATE INDEX ledger_block ON ledger (block) WHERE block IS NOT NULL;

CREATE TRIGGER ledger_is_never_altered BEFORE UPDATE ON ledger
BEGIN SELECT raise(ABORT, 'the ledger is append-only'); END;
CREATE TRIGGER ledger_is_never_shortened BEFORE DELETE ON ledger
BEGIN SELECT raise(ABORT, 'the ledger is append-only'); END;
CREATE TRIGGER layer_is_never_altered BEFORE UPDATE ON layer
BEGIN SELECT raise(ABORT, 'layers are append-only'); END;
CREATE TRIGGER layer_is_never_removed BEFORE DELETE ON layer
BEGIN SELECT raise(ABORT, 'layers are append-only'); END;
CREATE TRIGGER fabric_is_never_altered BEFORE UPDATE ON fabric
BEGIN SELECT raise(ABORT, 'fabrics are append-only'); END;
CREATE TRIGGER fabric_is_never_removed BEFORE DELETE ON fabric
BEGIN SELECT raise(ABORT, 'fabrics are append-only'); END;
CREATE TRIGGER source_is_never_altered BEFORE UPDATE ON source
BEGIN SELECT raise(ABORT, 'sources are append-only'); END;
CREATE TRIGGER source_is_never_removed BEFORE DELETE ON source
BEGIN SELECT raise(ABORT, 'sources are append-only'); END;

-- WORKED OUT from the ledger by the trigger below: running totals, because thirty years
-- of rows take too long to add up for every page. fabric and source 0: not known.
-- known + inferred is how many squares there are, whatever their fabric.

CREATE TABLE basket_unit (
  -- WORKED OUT: squares of a unit, and how many of them are estimated.
  unit      INTEGER PRIMARY KEY,
  squares   INTEGER NOT NULL,
  estimated INTEGER NOT NULL
) STRICT;

CREATE TABLE basket_fabric (
  -- WORKED OUT
  fabric   INTEGER NOT NULL,
  unit     INTEGER NOT NULL,
  known    INTEGER NOT NULL,
  inferred INTEGER NOT NULL,
  PRIMARY KEY (fabric, unit)
) STRICT, WITHOUT ROWID;
CREATE INDEX basket_fabric_left ON basket_fabric (unit, fabric, known, inferred)
  WHERE known + inferred <> 0;

CREATE TABLE basket_source (
  -- WORKED OUT
  source   INTEGER NOT NULL,
  unit     INTEGER NOT NULL,
  known    INTEGER NOT NULL,
  inferred INTEGER NOT NULL,
  PRIMARY KEY (source, unit)
) STRICT, WITHOUT ROWID;

CREATE TABLE basket_layer (
  -- WORKED OUT
  layer    INTEGER NOT NULL,
  unit     INTEGER NOT NULL,
  put_in   INTEGER NOT NULL,
  known    INTEGER NOT NULL,
  inferred INTEGER NOT NULL,
  PRIMARY KEY (layer, unit)
) STRICT, WITHOUT ROWID;
CREATE INDEX basket_layer_left ON basket_layer (layer, unit) WHERE known + inferred <> 0;

CREATE TABLE basket_heap (
  -- WORKED OUT: like squares in a layer.
  layer    INTEGER NOT NULL,
  unit     INTEGER NOT NULL,
  fabric   INTEGER NOT NULL,
  source   INTEGER NOT NULL,
  known    INTEGER NOT NULL,
  inferred INTEGER NOT NULL,
  PRIMARY KEY (layer, unit, fabric, source)
) STRICT, WITHOUT ROWID;
CREATE INDEX basket_heap_left ON basket_heap (unit, layer, fabric, source, known, inferred)
  WHERE known + inferred > 0;

CREATE TABLE basket_month (
  -- WORKED OUT: squares in and out, by month (202611).
  month    INTEGER NOT NULL,
  unit     INTEGER NOT NULL,
  came_in  INTEGER NOT NULL,
  went_out INTEGER NOT NULL,
  PRIMARY KEY (month, unit)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER ledger_sums_to_basket AFTER INSERT ON ledger
BEGIN
  INSERT INTO basket_unit VALUES (NEW.unit, NEW.count, iif(NEW.counted, 0, NEW.count))
    ON CONFLICT DO UPDATE SET squares = squares + excluded.squares,
                              estimated = estimated + excluded.estimated;
  INSERT INTO basket_fabric VALUES (ifnull(NEW.fabric, 0), NEW.unit,
      iif(NEW.fabric_known, NEW.count, 0), iif(NEW.fabric_known, 0, NEW.count))
    ON CONFLICT DO UPDATE SET known = known + excluded.known,
                              inferred = inferred + excluded.inferred;
  INSERT INTO basket_source VALUES (ifnull(NEW.source, 0), NEW.unit,
      iif(NEW.fabric_known, NEW.count, 0), iif(NEW.fabric_known, 0, NEW.count))
    ON CONFLICT DO UPDATE SET known = known + excluded.known,
                              inferred = inferred + excluded.inferred;
  INSERT INTO basket_layer VALUES (NEW.layer, NEW.unit, iif(NEW.inward, NEW.count, 0),
      iif(NEW.fabric_known, NEW.count, 0), iif(NEW.fabric_known, 0, NEW.count))
    ON CONFLICT DO UPDATE SET put_in = put_in + excluded.put_in,
                              known = known + excluded.known,
                              inferred = inferred + excluded.inferred;
  INSERT INTO basket_heap VALUES (NEW.layer, NEW.unit,
      ifnull(NEW.fabric, 0), ifnull(NEW.source, 0),
      iif(NEW.fabric_known, NEW.count, 0), iif(NEW.fabric_known, 0, NEW.count))
    ON CONFLICT DO UPDATE SET known = known + excluded.known,
                              inferred = inferred + excluded.inferred;
  INSERT INTO basket_month VALUES (NEW.day / 100, NEW.unit,
      iif(NEW.inward, NEW.count, 0), iif(NEW.inward, 0, -NEW.count))
    ON CONFLICT DO UPDATE SET came_in = came_in + excluded.came_in,
                              went_out = went_out + excluded.went_out;
END;

INSERT INTO revision VALUES (1, 0);
