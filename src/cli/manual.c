#include "cli/reference.h"

#include "command-internal.h"

#include "base/error.h"

#include <string.h>

/* Text as roff takes it: a hyphen that can be copied, no line that begins with a dot. */
static void put_text(const char *text, FILE *out)
{
    if (*text == '.' || *text == '\'')
        fputs("\\&", out);
    for (; *text != '\0'; text++) {
        if (*text == '\\')
            fputs("\\e", out);
        else if (*text == '-')
            fputs("\\-", out);
        else
            fputc(*text, out);
    }
}

static void put_flag(const cli_flag *flag, FILE *out)
{
    fputs(".TP\n\\fB\\-\\-", out);
    put_text(flag->name, out);
    fputs("\\fR", out);
    if (flag->value != NULL) {
        fputs(flag->kind == CLI_MAYBE ? " [\\fI" : " \\fI", out);
        put_text(flag->value, out);
        fputs(flag->kind == CLI_MAYBE                              ? "\\fR]"
              : flag->kind == CLI_MANY || flag->kind == CLI_PHOTOS ? "\\fR..."
                                                                   : "\\fR",
              out);
    }
    fputc('\n', out);
    put_text(flag->help, out);
    fputs(".\n", out);
}

static void put_command(const cli_command *command, FILE *out)
{
    g_autofree char *places = g_ascii_strup(command->places, -1);
    fputs(".SS motley ", out);
    put_text(command->words, out);
    if (*places != '\0') {
        fputs(" \\fI", out);
        put_text(places, out);
        fputs("\\fR", out);
    }
    fputc('\n', out);
    put_text(command->summary, out);
    fputs(".\n", out);
    for (const cli_flag *flag = command->flags; flag->name != NULL; flag++)
        put_flag(flag, out);
}

static void put_errors(FILE *out)
{
    static const struct {
        const char *code, *hint;
        int status;
    } errors[] = {
#define ROW(name, code, status, hint) { code, hint, status },
        MOTLEY_ERRORS(ROW)
#undef ROW
    };
    fputs(".SH ERRORS\nAn error is told with its code, which other programs may rely on, "
          "and with what to do about it.\n",
          out);
    for (size_t i = 0; i < G_N_ELEMENTS(errors); i++) {
        fputs(".TP\n\\fB", out);
        put_text(errors[i].code, out);
        fprintf(out, "\\fR (%d)\n", errors[i].status);
        put_text(errors[i].hint, out);
        fputc('\n', out);
    }
}

void cli_write_manual(FILE *out)
{
    fputs(
        ".TH motley 1 \"\" \"Motley " MOTLEY_VERSION "\" \"User commands\"\n"
        ".SH NAME\nmotley \\- for people who make scrap quilts\n"
        ".SH SYNOPSIS\n.B motley\n[\\fB\\-\\-book\\fR \\fIFILE\\fR]\n"
        "[\\fB\\-\\-json\\fR]\n\\fICOMMAND\\fR [\\fIFLAG\\fR...]\n"
        ".SH DESCRIPTION\nMotley measures scraps of cloth from a photo, plans how to cut "
        "them, counts the unit squares in the basket, plans quilts and keeps their "
        "charts. Everything lies in one file, the book.\n"
        ".PP\n.B motley serve\\fR serves the page, on which all of it can be done by "
        "tapping. \\fBmotley open\\fR lets a browser of this computer in, and "
        "\\fBmotley pair\\fR a phone or tablet; nobody else comes in.\n"
        ".SH COMMANDS\n",
        out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++)
        put_command(command, out);
    fputs(".SH OPTIONS\nWith every command:\n", out);
    for (const cli_flag *flag = cli_common_flags; flag->name != NULL; flag++)
        put_flag(flag, out);
    fputs(".SH EXIT STATUS\n0 done, 1 failed, 2 wrong usage.\n"
          ".SH FILES\n.TP\n.I ~/.local/share/motley/motley.book\n"
          "The book, unless \\fB\\-\\-book\\fR names another; below "
          "\\fBXDG_DATA_HOME\\fR where that is set.\n",
          out);
    put_errors(out);
    fputs(".SH SEE ALSO\n.BR motley (5)\n", out);
}
