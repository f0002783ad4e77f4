/* The text of a design, read; write.c writes it. */
#include "quilt/design.h"

#include "base/error.h"

#include <string.h>

/* Where a reader stands. A statement is a line with those after it that begin with a
 * blank; its words are read one at a time. */
typedef struct reader {
    const char *at, *end;
    const char *line_start;
    int line; /* from 1 */
    bool failed;
    GError **error;
} reader;

/* A word and where it stands; size 0 at the end of the statement. */
typedef struct word {
    const char *text;
    int size;
    int line, column;
} word;

G_GNUC_PRINTF(4, 5)
static bool refuse(reader *self, word at, motley_error code, const char *format, ...)
{
    self->failed = true;
    va_list args;
    va_start(args, format);
    g_autofree char *what = g_strdup_vprintf(format, args);
    va_end(args);
    g_set_error(self->error, MOTLEY_ERROR, code, "line %d, column %d: %s", at.line,
                at.column, what);
    return false;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static bool at_line_end(const reader *self)
{
    return self->at == self->end || *self->at == '\n';
}

static void skip_blanks(reader *self)
{
    while (self->at < self->end && is_blank(*self->at))
        self->at++;
}

static void skip_line(reader *self)
{
    while (!at_line_end(self))
        self->at++;
    if (self->at < self->end) {
        self->at++;
        self->line++;
        self->line_start = self->at;
    }
}

static word word_here(const reader *self, int size)
{
    return (word){ self->at, size, self->line,
                   (int)g_utf8_strlen(self->line_start, self->at - self->line_start) +
                       1 };
}

/* Goes on to the next line when it belongs to the statement: it begins with a blank and
 * holds something. */
static bool go_on(reader *self)
{
    reader next = *self;
    skip_line(&next);
    if (next.at == next.end || !is_blank(*next.at))
        return false;
    skip_blanks(&next);
    if (at_line_end(&next))
        return false;
    *self = next;
    return true;
}

static word next_word(reader *self)
{
    skip_blanks(self);
    if (at_line_end(self)) {
        word end = word_here(self, 0);
        if (self->at == self->end || !go_on(self))
            return end;
    }
    int size = 0;
    while (self->at + size < self->end && !is_blank(self->at[size]) &&
           self->at[size] != '\n')
        size++;
    word found = word_here(self, size);
    self->at += size;
    return found;
}

static word peek_word(const reader *self)
{
    reader copy = *self;
    return next_word(&copy);
}

static bool word_is(word self, const char *text)
{
    return (size_t)self.size == strlen(text) &&
           memcmp(self.text, text, (size_t)self.size) == 0;
}

static bool end_statement(reader *self)
{
    word extra = next_word(self);
    return extra.size == 0 ||
           refuse(self, extra, MOTLEY_ERROR_DESIGN_UNREADABLE,
                  "\"%.*s\" is more than belongs here", MIN(extra.size, 40), extra.text);
}

static int role_of(char letter)
{
    for (int role = 0; role < QUILT_ROLES; role++)
        if (quilt_role_letter(role) == letter)
            return role;
    return -1;
}

/* The rest of the statement, its words set apart by one blank. */
static bool read_text(reader *self, const char *what, int room, char text[room])
{
    int size = 0;
    word first = peek_word(self);
    if (first.size == 0)
        return refuse(self, first, MOTLEY_ERROR_DESIGN_UNREADABLE, "the %s is missing",
                      what);
    for (word part = next_word(self); part.size > 0; part = next_word(self)) {
        if (size + part.size + 2 > room)
            return refuse(self, first, MOTLEY_ERROR_DESIGN_UNREADABLE,
                          "the %s is longer than %d bytes", what, room - 1);
        if (size > 0)
            text[size++] = ' ';
        memcpy(text + size, part.text, (size_t)part.size);
        size += part.size;
    }
    text[size] = '\0';
    return true;
}

static bool is_name(const char *text, int size)
{
    if (size < 1 || size >= QUILT_NAME_SIZE)
        return false;
    for (int i = 0; i < size; i++)
        if (!g_ascii_isalnum(text[i]) && text[i] != '-' && text[i] != '_')
            return false;
    return true;
}

static int find_block(const quilt_design *design, const char *text, int size)
{
    for (int i = 0; i < design->block_count; i++)
        if (strlen(design->blocks[i].name) == (size_t)size &&
            memcmp(design->blocks[i].name, text, (size_t)size) == 0)
            return i;
    return -1;
}

static bool read_patch(reader *self, word at, quilt_patch *ret)
{
    int first = at.size > 0 ? role_of(at.text[0]) : -1;
    int second = at.size == 3 ? role_of(at.text[2]) : first;
    bool split = at.size == 3 && (at.text[1] == '/' || at.text[1] == '\\');
    if (first < 0 || second < 0 || (at.size != 1 && !split))
        return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "\"%.*s\" is no patch; write one of S B L D A, or two with / or "
                      "\\ between",
                      MIN(at.size, 40), at.text);
    *ret = (quilt_patch){ QUILT_WHOLE, { (uint8_t)first, (uint8_t)second } };
    if (split)
        ret->split = at.text[1] == '/' ? QUILT_RISING : QUILT_FALLING;
    return true;
}

/* `S B S / B S B / S B S`: as many rows as patches in each. */
static bool read_patches(reader *self, word name, quilt_block *block)
{
    int rows = 0, cols = 0;
    block->side = 0;
    for (;;) {
        word at = next_word(self);
        if (at.size == 0 || word_is(at, "/")) {
            if (rows == 0)
                block->side = cols;
            if (cols == 0 || cols != block->side)
                return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                              "row %d of block \"%s\" has %d patches and its first %d",
                              rows + 1, block->name, cols, block->side);
            rows++;
            cols = 0;
            if (at.size == 0)
                break;
            if (rows == block->side)
                return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                              "block \"%s\" is to be square: %d rows of %d", block->name,
                              block->side, block->side);
            continue;
        }
        if (cols == QUILT_SIDE_MAX)
            return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                          "a block has at most %d patches on a side", QUILT_SIDE_MAX);
        int width = rows == 0 ? QUILT_SIDE_MAX : block->side;
        if (cols == width)
            return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                          "row %d of block \"%s\" has more patches than its first",
                          rows + 1, block->name);
        if (!read_patch(self, at, &block->patches[rows * width + cols]))
            return false;
        cols++;
    }
    return rows == block->side ||
           refuse(self, name, MOTLEY_ERROR_DESIGN_UNREADABLE,
                  "block \"%s\" has %d rows of %d; it is to be square", block->name, rows,
                  block->side);
}

static bool read_block(reader *self, quilt_design *design)
{
    word name = next_word(self);
    if (!is_name(name.text, name.size))
        return refuse(self, name, MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "a block needs a name of letters, digits, - and _");
    if (find_block(design, name.text, name.size) >= 0)
        return refuse(self, name, MOTLEY_ERROR_DESIGN_TWICE,
                      "there is a block \"%.*s\" already", name.size, name.text);
    if (design->block_count == QUILT_BLOCKS_MAX)
        return refuse(self, name, MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "a design has at most %d blocks", QUILT_BLOCKS_MAX);

    quilt_block *block = &design->blocks[design->block_count];
    memset(block, 0, sizeof *block);
    memcpy(block->name, name.text, (size_t)name.size);
    if (!read_patches(self, name, block))
        return false;
    if (block->side != (design->block_count > 0 ? design->blocks[0].side : block->side))
        return refuse(self, name, MOTLEY_ERROR_DESIGN_SIZES,
                      "block \"%s\" is %d x %d and block \"%s\" %d x %d", block->name,
                      block->side, block->side, design->blocks[0].name,
                      design->blocks[0].side, design->blocks[0].side);
    design->block_count++;
    return true;
}

static bool read_cell(reader *self, word at, const quilt_design *design, quilt_cell *ret)
{
    const char *plus = memchr(at.text, '+', (size_t)at.size);
    int size = plus != NULL ? (int)(plus - at.text) : at.size;
    int turn = 0;
    if (plus != NULL) {
        if (at.size != size + 2 || plus[1] < '0' || plus[1] > '3')
            return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                          "after a block's name comes +1, +2 or +3, its quarter turns");
        turn = plus[1] - '0';
    }
    int block = find_block(design, at.text, size);
    if (block < 0)
        return refuse(self, at, MOTLEY_ERROR_DESIGN_NAME,
                      "no block above is called \"%.*s\"", MIN(size, 40), at.text);
    *ret = (quilt_cell){ (uint8_t)block, (uint8_t)turn };
    return true;
}

static bool read_repeat(reader *self, quilt_design *design)
{
    word at = next_word(self);
    if (at.size == 0)
        return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "a row of the repeat names one block or more");
    if (design->rows == QUILT_REPEAT_MAX)
        return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "a repeat has at most %d rows", QUILT_REPEAT_MAX);
    int width = design->rows == 0 ? QUILT_REPEAT_MAX : design->cols;
    int cols = 0;
    for (; at.size > 0; at = next_word(self)) {
        if (cols == width)
            return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                          "a row of this repeat has at most %d blocks", width);
        if (!read_cell(self, at, design, &design->repeat[design->rows * width + cols]))
            return false;
        cols++;
    }
    if (design->rows == 0)
        design->cols = cols;
    if (cols != design->cols)
        return refuse(self, at, MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "this row of the repeat has %d blocks and the first %d", cols,
                      design->cols);
    design->rows++;
    return true;
}

static bool read_set(reader *self, quilt_design *design)
{
    word how = next_word(self);
    if (word_is(how, "straight"))
        design->set = QUILT_STRAIGHT;
    else if (word_is(how, "quarters"))
        design->set = QUILT_QUARTERS;
    else if (word_is(how, "on") && word_is(peek_word(self), "point")) {
        next_word(self);
        design->set = QUILT_ON_POINT;
    } else
        return refuse(self, how, MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "blocks are set straight, on point or quarters");
    return end_statement(self);
}

/* Words up to the unit: "1 patch", "2 patches", "1 1/2 in", "4cm". */
static bool read_width(reader *self, quilt_width *ret)
{
    char text[LENGTH_TEXT_SIZE] = "";
    word first = peek_word(self), last;
    do {
        last = next_word(self);
        if (last.size == 0 || strlen(text) + (size_t)last.size + 2 > sizeof text)
            return refuse(self, first, MOTLEY_ERROR_DESIGN_UNREADABLE,
                          "a width is so many patches or a length with its unit");
        if (text[0] != '\0')
            strcat(text, " ");
        strncat(text, last.text, (size_t)last.size);
    } while (g_ascii_isdigit(last.text[last.size - 1]));

    if (word_is(last, "patch") || word_is(last, "patches")) {
        char *rest;
        guint64 patches = g_ascii_strtoull(text, &rest, 10);
        if (!g_ascii_isdigit(text[0]) || *rest != ' ' ||
            strncmp(rest, " patch", strlen(" patch")) != 0 || patches < 1 ||
            patches > QUILT_SIDE_MAX)
            return refuse(self, first, MOTLEY_ERROR_DESIGN_UNREADABLE,
                          "a width in patches is a whole number from 1 to %d",
                          QUILT_SIDE_MAX);
        *ret = (quilt_width){ .patches = (int)patches };
        return true;
    }
    length size;
    if (!length_parse_positive(text, LENGTH_INCH, &size, NULL) || size > LENGTH_M)
        return refuse(self, first, MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "\"%s\" is no width of a strip; write one like 1 patch, 2 in or "
                      "5 cm, up to 1 m",
                      text);
    *ret = (quilt_width){ .size = size };
    return true;
}

/* A role letter, if one comes next. */
static void read_role(reader *self, uint8_t *role)
{
    word next = peek_word(self);
    if (next.size == 1 && role_of(next.text[0]) >= 0) {
        *role = (uint8_t)role_of(next.text[0]);
        next_word(self);
    }
}

static bool read_sash(reader *self, quilt_design *design)
{
    quilt_sash sash = { .role = QUILT_BACKGROUND, .cornerstone_role = QUILT_SCRAP };
    if (!read_width(self, &sash.width))
        return false;
    read_role(self, &sash.role);
    if (word_is(peek_word(self), "around")) {
        next_word(self);
        sash.around = true;
    }
    if (word_is(peek_word(self), "cornerstones")) {
        next_word(self);
        sash.cornerstones = true;
        read_role(self, &sash.cornerstone_role);
    }
    design->sash = sash;
    return end_statement(self);
}

static bool read_border(reader *self, quilt_design *design)
{
    quilt_border border = { .role = QUILT_BACKGROUND };
    if (design->border_count == QUILT_BORDERS_MAX)
        return refuse(self, peek_word(self), MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "a quilt has at most %d borders", QUILT_BORDERS_MAX);
    if (!read_width(self, &border.width))
        return false;
    read_role(self, &border.role);
    if (word_is(peek_word(self), "mitred")) {
        next_word(self);
        border.mitred = true;
    }
    design->borders[design->border_count++] = border;
    return end_statement(self);
}

/* Statements that may stand once. */
enum { SEEN_NAME = 1, SEEN_ABOUT = 2, SEEN_SET = 4, SEEN_SASH = 8 };

static bool once(reader *self, word at, int *seen, int which)
{
    if (*seen & which)
        return refuse(self, at, MOTLEY_ERROR_DESIGN_TWICE,
                      "the line \"%.*s\" stands here a second time", at.size, at.text);
    *seen |= which;
    return true;
}

static bool read_statement(reader *self, quilt_design *design, int *seen)
{
    word keyword = next_word(self);
    if (word_is(keyword, "block"))
        return read_block(self, design);
    if (word_is(keyword, "repeat"))
        return read_repeat(self, design);
    if (word_is(keyword, "border"))
        return read_border(self, design);
    if (word_is(keyword, "name"))
        return once(self, keyword, seen, SEEN_NAME) &&
               read_text(self, "name", QUILT_NAME_SIZE, design->name);
    if (word_is(keyword, "about"))
        return once(self, keyword, seen, SEEN_ABOUT) &&
               read_text(self, "text about it", QUILT_ABOUT_SIZE, design->about);
    if (word_is(keyword, "set"))
        return once(self, keyword, seen, SEEN_SET) && read_set(self, design);
    if (word_is(keyword, "sash"))
        return once(self, keyword, seen, SEEN_SASH) && read_sash(self, design);
    return refuse(
        self, keyword, MOTLEY_ERROR_DESIGN_UNREADABLE,
        "a line begins with name, about, block, repeat, set, sash, border or #, "
        "not \"%.*s\"",
        MIN(keyword.size, 40), keyword.text);
}

/* One block alone is its own repeat. */
static bool complete(reader *self, quilt_design *design)
{
    word end = word_here(self, 0);
    if (design->block_count == 0)
        return refuse(self, end, MOTLEY_ERROR_DESIGN_UNREADABLE,
                      "there is no block in it");
    if (design->rows == 0) {
        if (design->block_count > 1)
            return refuse(self, end, MOTLEY_ERROR_DESIGN_UNREADABLE,
                          "there is no repeat that says how its blocks are set");
        design->rows = design->cols = 1;
    }
    return true;
}

static bool check_encoding(reader *self)
{
    const char *bad;
    if (g_utf8_validate_len(self->at, (gsize)(self->end - self->at), &bad))
        return true;
    reader where = *self;
    for (const char *at = self->at; at < bad; at++)
        if (*at == '\n') {
            where.line++;
            where.line_start = at + 1;
        }
    where.at = bad;
    return refuse(self, word_here(&where, 0), MOTLEY_ERROR_DESIGN_UNREADABLE,
                  "this is no text in UTF-8");
}

/* Copies whole characters only. */
static void copy_name(const char *from, char to[static QUILT_NAME_SIZE])
{
    const char *end = from;
    while (*end != '\0' && g_utf8_next_char(end) - from < QUILT_NAME_SIZE)
        end = g_utf8_next_char(end);
    memcpy(to, from, (size_t)(end - from));
    to[end - from] = '\0';
}

gboolean quilt_design_parse(const char *text, size_t size, const char *name,
                            quilt_design *ret, GError **error)
{
    if (size > QUILT_TEXT_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DESIGN_TOO_LARGE,
                    "the design has %zu bytes, more than %d", size, QUILT_TEXT_MAX);
        return FALSE;
    }
    reader self = {
        .at = text, .end = text + size, .line_start = text, .line = 1, .error = error
    };
    quilt_design design = { 0 };
    int seen = 0;
    if (!check_encoding(&self))
        return FALSE;
    for (; self.at < self.end; skip_line(&self)) {
        bool comment = *self.at == '#';
        if (!comment && peek_word(&self).size > 0 &&
            !read_statement(&self, &design, &seen))
            return FALSE;
    }
    if (!complete(&self, &design))
        return FALSE;

    copy_name(name, design.id);
    if (design.name[0] == '\0')
        copy_name(name, design.name);
    *ret = design;
    return TRUE;
}
