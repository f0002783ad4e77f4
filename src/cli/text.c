#include "fields-internal.h"
#include "text-internal.h"

#include <string.h>
#include <unistd.h>

void cli_text_file(const json_t *document, FILE *out)
{
    long long pages = whole_of(document, "pages");
    fprintf(out, "%s, %lld page%s. Print it at 100 %%, without fitting to the page.\n",
            text_of(document, "file"), pages, plural(pages));
}

void cli_text_done(const json_t *document, FILE *out)
{
    fprintf(out, "%s\n", text_of(document, "done"));
}

static void print_scrap(const json_t *scrap, FILE *out)
{
    const json_t *squares = json_object_get(scrap, "squares");
    const json_t *colour = json_array_get(json_object_get(scrap, "colours"), 0);
    long long id = whole_of(scrap, "id");
    fprintf(
        out, "  %4lld  %6.1f sq in  %-16s %-7s grid %2lld, strips %2lld%s%s\n", id,
        number_of(scrap, "area_sq_in"), text_of(colour, "name"), text_of(scrap, "value"),
        whole_of(squares, "grid"), whole_of(squares, "strips"),
        json_is_true(json_object_get(scrap, "on_edge")) ? "  cut off by the picture" : "",
        number_of(scrap, "sure") < 0.5 ? "  not sure" : "");
}

void cli_text_measure(const json_t *document, FILE *out)
{
    size_t i, j;
    json_t *photo, *scrap;
    json_array_foreach (json_object_get(document, "photos"), i, photo) {
        size_t count = count_of(photo, "scraps");
        fprintf(out, "%s: %zu scrap%s\n",
                text_of(json_object_get(photo, "photo"), "name"), count,
                plural((long long)count));
        json_array_foreach (json_object_get(photo, "scraps"), j, scrap)
            print_scrap(scrap, out);
        print_warnings(json_object_get(photo, "warnings"), out);
    }
}

void cli_text_scraps(const json_t *document, FILE *out)
{
    const json_t *list = json_object_get(document, "scraps");
    size_t i;
    json_t *scrap;
    if (list == NULL)
        print_scrap(document, out);
    json_array_foreach (list, i, scrap)
        print_scrap(scrap, out);
}

static void print_effort(const json_t *plan, FILE *out)
{
    long long passes = whole_of(plan, "passes"), cuts = whole_of(plan, "cuts"),
              turns = whole_of(plan, "turns");
    fprintf(out, "%lld pass%s, %lld cut%s, %lld turn%s, %.1f min\n", passes,
            passes == 1 ? "" : "es", cuts, plural(cuts), turns, plural(turns),
            number_of(plan, "minutes"));
}

/* Strings and bits by their sizes, the first few. */
static void print_leftovers(const json_t *leftovers, FILE *out)
{
    enum { SHOWN = 4 };
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    size_t i;
    json_t *bit;
    json_array_foreach (leftovers, i, bit) {
        if (i == SHOWN)
            break;
        fprintf(out, "%s%s x %s in%s", i == 0 ? "        left over: " : ", ",
                inches(number_of(bit, "width_in"), a),
                inches(number_of(bit, "height_in"), b),
                json_is_true(json_object_get(bit, "string")) ? " (a string)" : "");
    }
    if (json_array_size(leftovers) > SHOWN)
        fprintf(out, " and %zu smaller", json_array_size(leftovers) - SHOWN);
    if (json_array_size(leftovers) > 0)
        fprintf(out, "\n");
}

static void print_plan(const json_t *plan, FILE *out)
{
    const json_t *scrap = json_object_get(plan, "scrap");
    long long squares = whole_of(plan, "squares");
    if (json_is_integer(scrap))
        fprintf(out, "%6" JSON_INTEGER_FORMAT "  ", json_integer_value(scrap));
    if (strcmp(text_of(plan, "method"), "mix") == 0)
        fprintf(out, "%zu pieces worth %lld (at most %lld), ", count_of(plan, "pieces"),
                whole_of(plan, "value"), whole_of(plan, "bound"));
    else
        fprintf(out, "%-6s at %5.1f deg: %lld square%s (at most %lld), ",
                text_of(plan, "method"), number_of(plan, "angle_deg"), squares,
                plural(squares), whole_of(plan, "bound"));
    print_effort(plan, out);
    print_leftovers(json_object_get(plan, "leftovers"), out);
}

static void print_wants(const json_t *wants, FILE *out)
{
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    size_t i;
    json_t *want;
    json_array_foreach (wants, i, want) {
        long long needed = whole_of(want, "needed");
        fprintf(out, "%s x %s in is worth %lld", inches(number_of(want, "width_in"), a),
                inches(number_of(want, "height_in"), b), whole_of(want, "value"));
        if (needed > 0)
            fprintf(out, "; quilts under way still need %lld", needed);
        fprintf(out, "\n");
    }
}

void cli_text_cut(const json_t *document, FILE *out)
{
    char unit[LENGTH_TEXT_SIZE];
    size_t i;
    json_t *plan;
    const char *done = text_of(document, "done");
    const json_t *total = json_object_get(document, "total");
    if (*done != '\0') {
        fprintf(out, "%s; they are in the basket.\n", done);
        return;
    }
    print_wants(json_object_get(document, "wants"), out);
    json_array_foreach (json_object_get(document, "plans"), i, plan)
        print_plan(plan, out);
    if (json_is_number(json_object_get(document, "unit_in")))
        fprintf(out, "%lld unit square%s of %s in, about %.0f min\n",
                whole_of(total, "squares"), plural(whole_of(total, "squares")),
                inches(number_of(document, "unit_in"), unit),
                number_of(total, "minutes"));
    fprintf(out, "Close the blade whenever you put the cutter down, and cut away from "
                 "yourself.\n");
}

static void print_shares(const json_t *document, const char *list, const char *name,
                         FILE *out)
{
    size_t i;
    json_t *row;
    if (count_of(document, list) == 0)
        return;
    fprintf(out, "By %s\n", name);
    json_array_foreach (json_object_get(document, list), i, row)
        fprintf(out, "  %-24s %5lld\n",
                *text_of(row, name) == '\0' ? "not said" : text_of(row, name),
                whole_of(row, "squares"));
}

void cli_text_basket(const json_t *document, FILE *out)
{
    char unit[LENGTH_TEXT_SIZE];
    size_t i;
    json_t *row;
    const json_t *weighed = json_object_get(document, "weighed");
    if (weighed != NULL)
        fprintf(out, "Weighed: about %lld, four times in five from %lld to %lld\n",
                whole_of(weighed, "squares"), whole_of(weighed, "low"),
                whole_of(weighed, "high"));
    fprintf(out, "%lld unit square%s\n", whole_of(document, "squares"),
            plural(whole_of(document, "squares")));
    json_array_foreach (json_object_get(document, "units"), i, row)
        fprintf(out, "  %s in: %lld\n", inches(number_of(row, "unit_in"), unit),
                whole_of(row, "squares"));
    if (count_of(document, "fabrics") > 0)
        fprintf(out, "By fabric\n");
    json_array_foreach (json_object_get(document, "fabrics"), i, row)
        fprintf(out, "  %-24s %s%lld\n", text_of(row, "name"),
                json_is_true(json_object_get(row, "exact")) ? "" : "about ",
                whole_of(row, "squares"));
    print_shares(document, "sources", "source", out);
    print_shares(document, "values", "value", out);
    if (count_of(document, "layers") > 0)
        fprintf(out, "By layer, the top first\n");
    json_array_foreach (json_object_get(document, "layers"), i, row)
        fprintf(out, "  %.10s  %-16s %s%5lld of %lld\n", text_of(row, "at"),
                text_of(row, "source"),
                json_is_true(json_object_get(row, "exact")) ? "" : "about ",
                whole_of(row, "squares"), whole_of(row, "put_in"));
}

void cli_text_quilt(const json_t *document, FILE *out)
{
    fprintf(out, "%s (%s): %lld made, %lld left\n", text_of(document, "quilt"),
            text_of(document, "state"), whole_of(document, "made"),
            whole_of(document, "left"));
    cli_text_plan(document, out);
}

void cli_text_quilts(const json_t *document, FILE *out)
{
    size_t i;
    json_t *quilt;
    if (count_of(document, "quilts") == 0)
        fprintf(
            out,
            "No quilts yet: motley quilt start NAME --design D --across N --down M\n");
    json_array_foreach (json_object_get(document, "quilts"), i, quilt)
        fprintf(out, "%-20s %-10s %-20s %lld made, %lld left\n", text_of(quilt, "quilt"),
                text_of(quilt, "state"), text_of(quilt, "design"),
                whole_of(quilt, "made"), whole_of(quilt, "left"));
}

static void print_place(const json_t *place, FILE *out)
{
    fprintf(out, "row %lld, column %lld", json_integer_value(json_array_get(place, 0)),
            json_integer_value(json_array_get(place, 1)));
}

void cli_text_next(const json_t *document, FILE *out)
{
    size_t i, r, c;
    json_t *block, *row, *patch;
    json_array_foreach (json_object_get(document, "blocks"), i, block) {
        fprintf(out, "%s, ", text_of(block, "kind"));
        print_place(json_object_get(block, "place"), out);
        fprintf(out, ", turn %lld\n", whole_of(block, "turn"));
        json_array_foreach (json_object_get(block, "patches"), r, row) {
            json_array_foreach (row, c, patch) {
                const char *name = text_of(patch, "name");
                fprintf(out, "  %-20s", *name == '\0' ? text_of(patch, "role") : name);
            }
            fprintf(out, "\n");
        }
    }
    if (count_of(document, "blocks") > 1) {
        fprintf(out, "Lay ready:\n");
        json_array_foreach (json_object_get(document, "pull"), i, patch)
            fprintf(out, "  %3lld %s\n", whole_of(patch, "squares"),
                    text_of(patch, "name"));
    }
    print_warnings(json_object_get(document, "warnings"), out);
}

/* Each row of the quilt on a line: the block's number with its quarter turns, a dot for
 * an open place. */
static void print_wall(const json_t *rows, FILE *out)
{
    size_t r, c;
    const json_t *row, *place;
    json_array_foreach (rows, r, row) {
        json_array_foreach (row, c, place) {
            long long turn = whole_of(place, "turn");
            char text[32] = ".";
            if (json_is_integer(json_object_get(place, "block")))
                g_snprintf(text, sizeof text, turn == 0 ? "%lld" : "%lld+%lld",
                           whole_of(place, "block"), turn);
            fprintf(out, "%7s", text);
        }
        fprintf(out, "\n");
    }
}

void cli_text_arrange(const json_t *document, FILE *out)
{
    static const char *const words[] = { "seams", "spread", "nesting", "value" };
    size_t i;
    const json_t *worst;
    print_wall(json_object_get(document, "places"), out);
    fprintf(out, "Cost %.3f, before %.3f.\n", number_of(document, "cost"),
            number_of(document, "start_cost"));
    for (i = 0; i < sizeof words / sizeof words[0]; i++) {
        const char *text = text_of(json_object_get(document, "words"), words[i]);
        if (*text != '\0')
            fprintf(out, "%s\n", text);
    }
    json_array_foreach (json_object_get(document, "worst"), i, worst) {
        const json_t *places = json_object_get(worst, "places");
        fprintf(out,
                i == 0 ? "Most alike where they meet: " : "                            ");
        print_place(json_array_get(places, 0), out);
        fprintf(out, " and ");
        print_place(json_array_get(places, 1), out);
        fprintf(out, "\n");
    }
    print_warnings(json_object_get(document, "warnings"), out);
    if (json_is_true(json_object_get(document, "stopped")))
        fprintf(out, "Stopped early: this is the best found so far.\n");
    fprintf(out, json_is_true(json_object_get(document, "kept"))
                     ? "The blocks are moved so in the book.\n"
                     : "Nothing is moved in the book; --keep does.\n");
}

/* "Top left" of the photo, in words: where to look for a block. */
static void print_whereabouts(const json_t *block, FILE *out)
{
    const json_t *centre = json_object_get(block, "centre_in");
    if (json_is_array(centre))
        fprintf(out, " (%.1f in right, %.1f in up of the card)",
                json_number_value(json_array_get(centre, 0)),
                json_number_value(json_array_get(centre, 1)));
}

static void print_photographed(const json_t *block, FILE *out)
{
    size_t i, k;
    json_t *row, *patch;
    int asked = 0;
    json_array_foreach (json_object_get(block, "patches"), i, row)
        json_array_foreach (row, k, patch)
            asked += json_is_true(json_object_get(patch, "ask"));
    long long sixteenths = whole_of(block, "off_sixteenths");
    const char *size = text_of(block, "size");
    if (*size != '\0' && strcmp(size, "fits") != 0)
        fprintf(out, ", %s it (%+lld/16 in)", size, sixteenths);
    if (asked > 0)
        fprintf(out, ", %d patch%s unsure", asked, asked == 1 ? "" : "es");
}

static void print_sizes(const json_t *sizes, FILE *out)
{
    if (!json_is_object(sizes))
        return;
    double off = number_of(sizes, "off_in"), row = number_of(sizes, "row_in");
    fprintf(out,
            "The blocks measure %.2f in on average, %.2f wanted: seams of %.3f in, a row "
            "%.2f in %s\n",
            number_of(sizes, "mean_in"), number_of(sizes, "unfinished_in"),
            number_of(sizes, "seam_in"), row < 0 ? -row : row,
            off < 0 ? "short" : "long");
}

void cli_text_place(const json_t *document, FILE *out)
{
    size_t i;
    json_t *block;
    static const char *const turns[] = { "as it lies", "a quarter turn right",
                                         "a half turn", "a quarter turn left" };
    json_array_foreach (json_object_get(document, "blocks"), i, block) {
        fprintf(out, "Block %lld", whole_of(block, "block"));
        print_whereabouts(block, out);
        fprintf(out, ": ");
        if (json_is_array(json_object_get(block, "place")))
            print_place(json_object_get(block, "place"), out);
        else
            fprintf(out, "not placed yet");
        fprintf(out, ", %s\n", turns[whole_of(block, "turn") & 3]);
    }
    size_t unknown = count_of(document, "unsure");
    if (unknown > 0)
        fprintf(out, "%zu block%s not known again: photograph them as made first\n",
                unknown, plural((long long)unknown));
}

void cli_text_made(const json_t *document, FILE *out)
{
    size_t i;
    json_t *block;
    json_array_foreach (json_object_get(document, "made"), i, block) {
        fprintf(out, "Crossed off: %s, ", text_of(block, "kind"));
        print_place(json_object_get(block, "place"), out);
        print_photographed(block, out);
        fprintf(out, "\n");
    }
    json_array_foreach (json_object_get(document, "again"), i, block) {
        fprintf(out, "Seen before: block %lld", whole_of(block, "block"));
        print_whereabouts(block, out);
        fprintf(out, "\n");
    }
    json_array_foreach (json_object_get(document, "unsure"), i, block) {
        fprintf(out, "Not counted");
        print_whereabouts(block, out);
        fprintf(out, ": %s\n", text_of(json_object_get(block, "why"), "message"));
    }
    print_sizes(json_object_get(document, "sizes"), out);
    print_warnings(json_object_get(document, "warnings"), out);
    if (*text_of(document, "done") != '\0')
        fprintf(out, "%s\n", text_of(document, "done"));
    fprintf(out, "%lld left\n", whole_of(document, "left"));
}

static void print_ruler_sum(const json_t *sum, FILE *out)
{
    fprintf(out, "%lld squares in %lld passes, %lld cuts, %lld turns, %.0f min",
            whole_of(sum, "squares"), whole_of(sum, "passes"), whole_of(sum, "cuts"),
            whole_of(sum, "turns"), number_of(sum, "minutes"));
}

void cli_text_rulers(const json_t *document, FILE *out)
{
    char unit[LENGTH_TEXT_SIZE];
    size_t i;
    json_t *ruler;
    fprintf(out, "%lld scraps into squares of %s in\n", whole_of(document, "scraps"),
            inches(number_of(document, "unit_in"), unit));
    json_array_foreach (json_object_get(document, "rulers"), i, ruler) {
        const json_t *easiest = json_object_get(ruler, "easiest");
        fprintf(out, "%-16s ", text_of(ruler, "ruler"));
        if (*text_of(ruler, "cannot") != '\0') {
            fprintf(out, "%s\n", text_of(ruler, "cannot"));
            continue;
        }
        print_ruler_sum(ruler, out);
        if (whole_of(easiest, "passes") != whole_of(ruler, "passes")) {
            fprintf(out, ",\n%-16s or ", "");
            print_ruler_sum(easiest, out);
        }
        fprintf(out, "\n");
    }
}

void cli_text_pile(const json_t *document, FILE *out)
{
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    size_t i, j;
    json_t *pile, *scrap;
    json_array_foreach (json_object_get(document, "piles"), i, pile) {
        const char *use = text_of(pile, "use");
        fprintf(out, "%s: %lld\n", use, whole_of(pile, "scraps"));
        json_array_foreach (json_object_get(document, "scraps"), j, scrap) {
            const json_t *holds = json_object_get(scrap, "holds_in");
            if (strcmp(text_of(scrap, "use"), use) != 0)
                continue;
            fprintf(out, "%6lld  ", whole_of(scrap, "scrap"));
            if (json_is_array(holds))
                fprintf(out, "big enough for %s x %s in, ",
                        inches(json_number_value(json_array_get(holds, 0)), a),
                        inches(json_number_value(json_array_get(holds, 1)), b));
            fprintf(out, "%lld square%s\n", whole_of(scrap, "squares"),
                    plural(whole_of(scrap, "squares")));
        }
    }
}

static const char *size_of(const json_t *size, char text[static 2 * LENGTH_TEXT_SIZE])
{
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    g_snprintf(text, 2 * LENGTH_TEXT_SIZE, "%s x %s",
               inches(json_number_value(json_array_get(size, 0)), a),
               inches(json_number_value(json_array_get(size, 1)), b));
    return text;
}

static void print_habits(const json_t *cutting, FILE *out)
{
    char a[2 * LENGTH_TEXT_SIZE], b[2 * LENGTH_TEXT_SIZE];
    fprintf(out, "grain within %g degrees; %s in trimmed from every edge, selvages of ",
            number_of(cutting, "tolerance_deg"),
            inches(number_of(cutting, "trim_in"), a));
    fprintf(out, "%s in\n", inches(number_of(cutting, "selvage_in"), a));
    fprintf(out, "kept whole from %s in, cut from %lld square%s, strings from %s in\n",
            size_of(json_object_get(cutting, "whole_in"), a),
            whole_of(cutting, "least_squares"),
            plural(whole_of(cutting, "least_squares")),
            size_of(json_object_get(cutting, "string_in"), b));
}

void cli_text_tools(const json_t *document, FILE *out)
{
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    size_t i;
    json_t *ruler;
    json_array_foreach (json_object_get(document, "rulers"), i, ruler) {
        fprintf(out, "ruler %-12s %s x %s in", text_of(ruler, "ruler"),
                inches(number_of(ruler, "reach_in"), a),
                inches(number_of(ruler, "width_in"), b));
        if (whole_of(ruler, "slots") > 0)
            fprintf(out, ", %lld slots every %s in", whole_of(ruler, "slots"),
                    inches(number_of(ruler, "pitch_in"), a));
        fprintf(out, "\n");
    }
    const json_t *mat = json_object_get(document, "mat");
    fprintf(out, "mat %s x %s in%s\n", inches(number_of(mat, "width_in"), a),
            inches(number_of(mat, "height_in"), b),
            json_is_true(json_object_get(mat, "turns")) ? ", turns" : "");
    const json_t *times = json_object_get(document, "times");
    fprintf(out,
            "times: lay %.1f s, cut %.1f s, turn %.1f s, handle %.1f s, from %lld timed "
            "pile%s\n",
            number_of(times, "lay_s"), number_of(times, "cut_s"),
            number_of(times, "turn_s"), number_of(times, "handle_s"),
            whole_of(times, "piles"), plural(whole_of(times, "piles")));
    print_habits(json_object_get(document, "cutting"), out);
}

/* Two rows of modules in one line of text, and the quiet zone of four modules that the
 * standard asks for around them. Black on white by themselves where there are colours. */
static void print_qr(const json_t *rows, FILE *out)
{
    static const char *const halves[] = { " ", "\u2580", "\u2584", "\u2588" };
    const int quiet = 4;
    int side = (int)json_array_size(rows);
    bool colours = isatty(fileno(out));
    for (int r = -quiet; r < side + quiet; r += 2) {
        fputs(colours ? "\033[30;107m" : "", out);
        for (int c = -quiet; c < side + quiet; c++) {
            int dark = 0;
            for (int half = 0; half < 2; half++) {
                bool inside = r + half >= 0 && r + half < side && c >= 0 && c < side;
                const char *row =
                    inside ? json_string_value(json_array_get(rows, (size_t)(r + half)))
                           : NULL;
                if (row != NULL && row[c] == '1')
                    dark |= 1 << half;
            }
            fputs(halves[dark], out);
        }
        fputs(colours ? "\033[0m\n" : "\n", out);
    }
}

void cli_text_pair(const json_t *document, FILE *out)
{
    print_qr(json_object_get(document, "qr"), out);
    fprintf(out,
            "Scan this with the phone or tablet, or open there, within five minutes:\n");
    size_t i;
    json_t *address;
    json_array_foreach (json_object_get(document, "addresses"), i, address)
        fprintf(out, "  %s\n", json_string_value(address));
    fprintf(
        out,
        "Motley must be open to the network: Settings, Devices, or motley serve --lan\n");
}

void cli_text_devices(const json_t *document, FILE *out)
{
    size_t i;
    json_t *one;
    const json_t *devices = json_object_get(document, "devices");
    if (json_array_size(devices) == 0)
        fprintf(out, "No device is paired. motley pair shows how.\n");
    json_array_foreach (devices, i, one) {
        const char *seen = text_of(one, "seen");
        fprintf(out, "%4lld  %-16s paired %.10s, %s%.10s\n", whole_of(one, "device"),
                text_of(one, "name"), text_of(one, "paired"),
                *seen != '\0' ? "last seen " : "not seen yet", seen);
    }
    if (strcmp(text_of(document, "network"), "on") == 0)
        fprintf(out, "Settings let the network at home in, without --lan too.\n");
}
