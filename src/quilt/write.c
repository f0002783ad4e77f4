/* The text of a design, written. */
#include "quilt/design.h"

#include <string.h>

/* Lines of about this many bytes; long ones go on after blanks. */
enum { WRAP = 84, INDENT = 9 };

static void write_wrapped(GString *out, const char *keyword, const char *text)
{
    g_auto(GStrv) words = g_strsplit(text, " ", -1);
    size_t line = out->len;
    g_string_append_printf(out, "%-*s", INDENT - 1, keyword);
    for (int i = 0; words[i] != NULL; i++) {
        if (i > 0 && out->len - line + strlen(words[i]) >= WRAP) {
            g_string_append_c(out, '\n');
            line = out->len;
            g_string_append_printf(out, "%-*s", INDENT - 1, "");
        }
        g_string_append_printf(out, " %s", words[i]);
    }
    g_string_append_c(out, '\n');
}

static void write_block(GString *out, const quilt_block *block)
{
    size_t line = out->len;
    g_string_append_printf(out, "block %s  ", block->name);
    size_t indent = out->len - line;
    /* Wide blocks take a line for each row, so that they read as a picture. */
    bool picture = block->side > 4;
    for (int row = 0; row < block->side; row++) {
        if (row > 0)
            g_string_append(out, " /");
        if (row > 0 && picture)
            g_string_append_printf(out, "\n%*s", (int)indent - 1, "");
        for (int col = 0; col < block->side; col++) {
            quilt_patch patch = block->patches[row * block->side + col];
            g_string_append_printf(out, " %c", quilt_role_letter(patch.role[0]));
            if (patch.split != QUILT_WHOLE)
                g_string_append_printf(out, "%c%c",
                                       patch.split == QUILT_RISING ? '/' : '\\',
                                       quilt_role_letter(patch.role[1]));
        }
    }
    g_string_append_c(out, '\n');
}

static void write_repeat(GString *out, const quilt_design *design)
{
    for (int row = 0; row < design->rows; row++) {
        g_string_append(out, "repeat  ");
        for (int col = 0; col < design->cols; col++) {
            quilt_cell cell = design->repeat[row * design->cols + col];
            g_string_append_printf(out, " %s", design->blocks[cell.block].name);
            if (cell.turn > 0)
                g_string_append_printf(out, "+%d", cell.turn);
        }
        g_string_append_c(out, '\n');
    }
}

/* A fixed width in inches by 64ths or in millimetres when that says it exactly, else in
 * the decimals that read back to the same size. */
static void write_width(GString *out, quilt_width width)
{
    if (width.patches > 0) {
        g_string_append_printf(out, "%d patch%s", width.patches,
                               width.patches == 1 ? "" : "es");
        return;
    }
    char text[LENGTH_TEXT_SIZE];
    if (width.size % (LENGTH_INCH / 64) == 0)
        g_string_append_printf(out, "%s in", length_text_in(width.size, 64, text));
    else if (width.size % LENGTH_MM == 0)
        g_string_append_printf(out, "%d mm", width.size / LENGTH_MM);
    else
        g_string_append_printf(
            out, "%s in",
            g_ascii_formatd(text, sizeof text, "%.6f", length_to_inches(width.size)));
}

static void write_strips(GString *out, const quilt_design *design)
{
    const quilt_sash *sash = &design->sash;
    if (sash->width.patches > 0 || sash->width.size > 0) {
        g_string_append(out, "sash     ");
        write_width(out, sash->width);
        g_string_append_printf(out, " %c", quilt_role_letter(sash->role));
        if (sash->around)
            g_string_append(out, " around");
        if (sash->cornerstones)
            g_string_append_printf(out, " cornerstones %c",
                                   quilt_role_letter(sash->cornerstone_role));
        g_string_append_c(out, '\n');
    }
    for (int i = 0; i < design->border_count; i++) {
        const quilt_border *border = &design->borders[i];
        g_string_append(out, "border   ");
        write_width(out, border->width);
        g_string_append_printf(out, " %c%s\n", quilt_role_letter(border->role),
                               border->mitred ? " mitred" : "");
    }
}

char *quilt_design_write(const quilt_design *design)
{
    static const char *const sets[] = {
        [QUILT_ON_POINT] = "set      on point\n", [QUILT_QUARTERS] = "set      quarters\n"
    };
    GString *out = g_string_new(NULL);
    write_wrapped(out, "name", design->name);
    if (design->about[0] != '\0')
        write_wrapped(out, "about", design->about);
    for (int i = 0; i < design->block_count; i++)
        write_block(out, &design->blocks[i]);
    write_repeat(out, design);
    if (design->set != QUILT_STRAIGHT)
        g_string_append(out, sets[design->set]);
    write_strips(out, design);
    return g_string_free(out, FALSE);
}
