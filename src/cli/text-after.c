/* What comes after planning, as text: sewing, joining, finishing, looking ahead and back.
 */
#include "fields-internal.h"
#include "text-internal.h"

#include <math.h>
#include <string.h>

/* A letter for each block, as they lie. */
static void print_ways(const json_t *ways, FILE *out)
{
    size_t r, c;
    json_t *row, *way;
    json_array_foreach (ways, r, row) {
        fprintf(out, "  row %2zu ", r + 1);
        json_array_foreach (row, c, way) {
            const char *name = json_string_value(way);
            fprintf(out, " %c", strcmp(name, "usual") == 0 ? '.' : *name);
        }
        fprintf(out, "\n");
    }
    fprintf(out, "  . as usual, r rows the other way, l long seams, b both\n");
}

static void print_nesting(const json_t *nesting, FILE *out)
{
    if (whole_of(nesting, "joints") == 0)
        return;
    fprintf(
        out,
        "Pressed as usual, %.0f %% of the joints between blocks nest; pressed to suit "
        "their places, %.0f %%\n",
        100 * number_of(nesting, "usual"), 100 * number_of(nesting, "solved"));
    if (number_of(nesting, "usual") < 1)
        print_ways(json_object_get(nesting, "ways"), out);
}

static void print_reminders(const json_t *test, FILE *out)
{
    char strip[LENGTH_TEXT_SIZE], wanted[LENGTH_TEXT_SIZE];
    fprintf(out,
            "Seam test: three strips of %s in side by side measure %s in when it is true;"
            " say what yours do with --measured\n",
            inches(number_of(test, "strip_in"), strip),
            inches(number_of(test, "wanted_in"), wanted));
    fprintf(out,
            "Set the iron down and lift it. Take pins out before they reach the"
            " needle.\nBlocks that wait for months: let them cool, pile them flat and"
            " dry under a board, press them again before rows are sewn\n");
}

void cli_text_sew(const json_t *document, FILE *out)
{
    size_t i, r, c;
    json_t *kind, *row, *piece, *cut;
    char text[LENGTH_TEXT_SIZE];
    fprintf(out, "%s, the next %lld block%s\n", text_of(document, "quilt"),
            whole_of(document, "next"), plural(whole_of(document, "next")));
    json_array_foreach (json_object_get(document, "cut"), i, cut)
        fprintf(out, "  cut ahead: %lld %s, %s in, for %s\n", whole_of(cut, "count"),
                text_of(cut, "role"),
                length_text_in(length_from_inches(number_of(cut, "size_in")), 8, text),
                text_of(cut, "for"));
    json_array_foreach (json_object_get(document, "kinds"), i, kind) {
        fprintf(out, "%s, %lld of them: sew each row, feeding one after another\n",
                text_of(kind, "kind"), whole_of(kind, "blocks"));
        json_array_foreach (json_object_get(kind, "rows"), r, row) {
            fprintf(out, "  row %zu:", r + 1);
            json_array_foreach (json_object_get(row, "pieces"), c, piece)
                fprintf(out, " %s",
                        json_is_string(piece) ? json_string_value(piece)
                                              : "two triangles");
            fprintf(out, "; press %s\n", text_of(row, "press"));
        }
        fprintf(out, "  then join the rows; press the long seams %s\n",
                text_of(kind, "long"));
    }
    print_nesting(json_object_get(document, "nesting"), out);
    if (strcmp(text_of(document, "press"), "open") == 0)
        fprintf(out,
                "Pressed open, seams do not lock: pin each place where they cross\n");
    print_reminders(json_object_get(document, "seam_test"), out);
    const json_t *tested = json_object_get(document, "tested");
    if (json_is_object(tested))
        fprintf(out, "Your seam is %s: %.3f in; sew it %.3f in %s\n",
                text_of(tested, "verdict"), number_of(tested, "sewn_in"),
                fabs(number_of(tested, "correction_in")),
                number_of(tested, "correction_in") < 0 ? "narrower" : "wider");
}

static const char *check_words(const json_t *check)
{
    static const char *const words[][2] = {
        { "true", "true" },
        { "ease", "ease it in" },
        { "trim", "too long: trim, or take seams in" },
        { "seam", "too short: sew some seams again" },
    };
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strcmp(text_of(check, "verdict"), words[i][0]) == 0)
            return words[i][1];
    return "";
}

static void print_step(const json_t *step, FILE *out)
{
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    long long joints = whole_of(step, "joints"), nested = whole_of(step, "nested");
    fprintf(out, "%s %-16s", json_is_true(json_object_get(step, "done")) ? "[x]" : "[ ]",
            text_of(step, "step"));
    const char *between = " ";
    if (joints > 0) {
        fprintf(out, " %lld of %lld joints nest, %lld as usual", nested, joints,
                whole_of(step, "nested_usual"));
        between = "; ";
    }
    if (json_object_get(step, "planned_in") != NULL)
        fprintf(out, "%spress %s; %s in", between, text_of(step, "press"),
                inches(number_of(step, "planned_in"), a));
    const json_t *check = json_object_get(step, "check");
    if (json_is_object(check))
        fprintf(out, ", measures %s in: %s", inches(number_of(step, "measured_in"), b),
                check_words(check));
    fprintf(out, "\n");
}

void cli_text_assemble(const json_t *document, FILE *out)
{
    size_t i;
    json_t *step, *border;
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE], c[LENGTH_TEXT_SIZE];
    fprintf(out, "%s, sewn together by %s\n", text_of(document, "quilt"),
            text_of(document, "by"));
    json_array_foreach (json_object_get(document, "steps"), i, step)
        print_step(step, out);
    const json_t *middle = json_object_get(document, "middle");
    bool measured = json_is_array(json_object_get(middle, "measured_in"));
    const char *size = measured ? "measured_in" : "planned_in";
    fprintf(out, "The top %s %s x %s in through its middle\n",
            measured ? "measures" : "should measure", inches(side_of(middle, size, 0), a),
            inches(side_of(middle, size, 1), b));
    json_array_foreach (json_object_get(document, "borders"), i, border)
        fprintf(out, "%s %-16s cut %s in wide: sides %s in, top and bottom %s in%s\n",
                json_is_true(json_object_get(border, "done")) ? "[x]" : "[ ]",
                text_of(border, "step"), inches(number_of(border, "width_in"), a),
                inches(number_of(border, "sides_in"), b),
                inches(number_of(border, "ends_in"), c),
                json_is_true(json_object_get(border, "mitred")) ? ", mitred" : "");
}

static void print_quilting(const json_t *quilting, FILE *out)
{
    char a[LENGTH_TEXT_SIZE];
    if (!json_is_number(json_object_get(quilting, "limit_in")))
        return;
    fprintf(out, "quilting    at most %s in apart, as the batting's maker says",
            inches(number_of(quilting, "limit_in"), a));
    if (json_is_number(json_object_get(quilting, "spacing_in")))
        fprintf(out, "; yours are %s in: %s",
                inches(number_of(quilting, "spacing_in"), a),
                json_is_true(json_object_get(quilting, "within")) ? "near enough"
                                                                  : "too far apart");
    fprintf(out, "\n");
}

void cli_text_finish(const json_t *document, FILE *out)
{
    size_t i;
    json_t *step;
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    const json_t *backing = json_object_get(document, "backing");
    const json_t *batting = json_object_get(document, "batting");
    const json_t *binding = json_object_get(document, "binding");
    const json_t *sleeve = json_object_get(document, "sleeve");
    fprintf(out, "%s, %s x %s in%s\n", text_of(document, "quilt"),
            inches(side_of(document, "size_in", 0), a),
            inches(side_of(document, "size_in", 1), b),
            json_is_true(json_object_get(document, "measured")) ? " as measured"
                                                                : " by the plan");
    fprintf(out, "backing     %lld panel%s of %s in, seams %s: %s or %s\n",
            whole_of(backing, "panels"), plural(whole_of(backing, "panels")),
            inches(number_of(backing, "panel_length_in"), a), text_of(backing, "seams"),
            text_of(backing, "buy_text"), text_of(backing, "buy_metric_text"));
    fprintf(out, "batting     %s x %s in%s%s\n",
            inches(side_of(batting, "size_in", 0), a),
            inches(side_of(batting, "size_in", 1), b),
            text_of(batting, "packaged")[0] == '\0' ? "" : ", packaged: ",
            text_of(batting, "packaged"));
    fprintf(out, "binding     %lld strips of %s in, %s in round: %s or %s\n",
            whole_of(binding, "strips"), inches(number_of(binding, "width_in"), a),
            inches(number_of(binding, "length_in"), b), text_of(binding, "buy_text"),
            text_of(binding, "buy_metric_text"));
    if (json_is_object(sleeve))
        fprintf(out, "sleeve      cut %lld of %s x %s in\n", whole_of(sleeve, "count"),
                inches(side_of(sleeve, "cut_in", 0), a),
                inches(side_of(sleeve, "cut_in", 1), b));
    print_quilting(json_object_get(document, "quilting"), out);
    json_array_foreach (json_object_get(document, "steps"), i, step)
        fprintf(out, "%s %s\n",
                json_is_true(json_object_get(step, "done")) ? "[x]" : "[ ]",
                text_of(step, "step"));
    print_warnings(json_object_get(document, "notes"), out);
}

static const char *day_or_never(const json_t *range, const char *field)
{
    const char *day = text_of(range, field);
    return day[0] != '\0' ? day : "not in sight";
}

static void print_range(const char *what, const json_t *range, FILE *out)
{
    fprintf(out, "%-11s %s, or between %s and %s (8 times in 10)\n", what,
            day_or_never(range, "p50"), day_or_never(range, "p10"),
            day_or_never(range, "p90"));
}

static void print_supply(const char *what, const json_t *supply, FILE *out)
{
    if (!json_is_object(supply))
        return;
    double lasts = number_of(supply, "lasts");
    fprintf(out, "%-11s %lld there, %lld needed: ", what, whole_of(supply, "squares"),
            whole_of(supply, "needed"));
    if (lasts > 0.995)
        fprintf(out, "they last\n");
    else
        fprintf(out, "they last %.0f times in 100, else short about %s\n", 100 * lasts,
                day_or_never(supply, lasts < 0.5 ? "p50" : "p10"));
}

/* A stitch for each block, or for so many that the fullest line fits. */
static void print_pace(const json_t *list, size_t most, FILE *out)
{
    enum { STITCHES = 48 };
    long long highest = 1;
    size_t i, all = json_array_size(list);
    json_t *one;
    json_array_foreach (list, i, one)
        if (whole_of(one, "blocks") > highest)
            highest = whole_of(one, "blocks");
    json_array_foreach (list, i, one) {
        long long blocks = whole_of(one, "blocks");
        long long stitches =
            highest <= STITCHES ? blocks : (blocks * STITCHES + highest - 1) / highest;
        if (i + most < all)
            continue;
        fprintf(out, "  %s %4lld ", text_of(one, "from"), blocks);
        for (long long k = 0; k < stitches; k++)
            fputc('-', out);
        fputc('\n', out);
    }
}

static void print_background(const json_t *background, FILE *out)
{
    if (!json_is_object(background)) {
        fprintf(out, "Background  what is bought is not said (motley bought)\n");
        return;
    }
    if (number_of(background, "needed_in") <= 0)
        return;
    if (json_is_true(json_object_get(background, "enough"))) {
        fprintf(out, "Background  enough is bought\n");
        return;
    }
    long long blocks = whole_of(background, "blocks");
    fprintf(out, "Background  what is bought reaches for %lld block%s", blocks,
            plural(blocks));
    if (json_is_string(json_object_get(background, "p50")))
        fprintf(out, ", to about %s", text_of(background, "p50"));
    fprintf(out, "\n");
}

void cli_text_forecast(const json_t *document, FILE *out)
{
    const json_t *pace = json_object_get(document, "pace");
    const json_t *basket = json_object_get(document, "basket");
    const json_t *wished = json_object_get(document, "if");
    fprintf(out,
            "%s: %lld of %lld made, about %.1f a week (%s, %lld week%s; it tells %s)\n",
            text_of(document, "quilt"), whole_of(document, "made"),
            whole_of(document, "blocks"), number_of(pace, "blocks_a_week"),
            text_of(pace, "of"), whole_of(pace, "weeks"), plural(whole_of(pace, "weeks")),
            strcmp(text_of(pace, "sure"), "hardly") == 0    ? "hardly anything yet"
            : strcmp(text_of(pace, "sure"), "roughly") == 0 ? "roughly"
                                                            : "well");
    fprintf(out, "Blocks by week\n");
    print_pace(json_object_get(pace, "by_week"), 12, out);
    fprintf(out, "Blocks by season\n");
    print_pace(json_object_get(pace, "seasons"), 8, out);
    print_range("Half done", json_object_get(document, "half"), out);
    print_range("Done", json_object_get(document, "done"), out);
    print_supply("Squares", json_object_get(basket, "all"), out);
    print_supply("Lights", json_object_get(basket, "lights"), out);
    print_supply("Darks", json_object_get(basket, "darks"), out);
    print_background(json_object_get(document, "background"), out);
    if (json_is_object(wished))
        fprintf(out, "At %lld a week: half %s, done %s\n",
                whole_of(wished, "blocks_a_week"), day_or_never(wished, "half"),
                day_or_never(wished, "done"));
}

void cli_text_years(const json_t *document, FILE *out)
{
    size_t i, q, c;
    json_t *year, *quarter, *colour;
    json_array_foreach (json_object_get(document, "years"), i, year) {
        fprintf(out, "%lld  %lld in, %lld out, %lld block%s, %zu quilt%s finished\n",
                whole_of(year, "year"), whole_of(year, "squares_in"),
                whole_of(year, "squares_out"), whole_of(year, "blocks"),
                plural(whole_of(year, "blocks")),
                json_array_size(json_object_get(year, "finished")),
                plural((long long)json_array_size(json_object_get(year, "finished"))));
        json_array_foreach (json_object_get(year, "quarters"), q, quarter) {
            if (whole_of(quarter, "squares_in") == 0)
                continue;
            fprintf(out,
                    "  quarter %zu: %lld in, %lld still there; %lld light, %lld medium,"
                    " %lld dark;",
                    q + 1, whole_of(quarter, "squares_in"), whole_of(quarter, "stays"),
                    whole_of(quarter, "light"), whole_of(quarter, "medium"),
                    whole_of(quarter, "dark"));
            json_array_foreach (json_object_get(quarter, "colours"), c, colour)
                if (c < 4)
                    fprintf(out, "%s %s %.0f %%", c > 0 ? "," : "",
                            text_of(colour, "name"), 100 * number_of(colour, "share"));
            fprintf(out, "\n");
        }
    }
}

void cli_text_story(const json_t *document, FILE *out)
{
    size_t i;
    json_t *source, *fabric;
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    bool measured = json_is_array(json_object_get(document, "measured_in"));
    const char *size = measured ? "measured_in" : "finished_in";
    fprintf(out, "%s, %s; begun %.10s", text_of(document, "quilt"),
            text_of(document, "state"), text_of(document, "started"));
    if (*text_of(document, "closed") != '\0')
        fprintf(out, ", finished %.10s", text_of(document, "closed"));
    fprintf(out, "\n%s, %s x %s in%s, %lld of %lld blocks on %lld day%s\n",
            text_of(document, "design_name"), inches(side_of(document, size, 0), a),
            inches(side_of(document, size, 1), b), measured ? " as measured" : "",
            whole_of(document, "made"), whole_of(document, "blocks"),
            whole_of(document, "days_sewn"), plural(whole_of(document, "days_sewn")));
    json_array_foreach (json_object_get(document, "sources"), i, source)
        fprintf(out, "  from %s: %lld square%s, %.0f %%\n",
                *text_of(source, "source") == '\0' ? "where no one said"
                                                   : text_of(source, "source"),
                whole_of(source, "squares"), plural(whole_of(source, "squares")),
                100 * number_of(source, "share"));
    json_array_foreach (json_object_get(document, "fabrics"), i, fabric)
        if (i < 12)
            fprintf(out, "  %s: %s%lld\n", text_of(fabric, "name"),
                    json_is_true(json_object_get(fabric, "exact")) ? "" : "about ",
                    whole_of(fabric, "patches"));
}

void cli_text_record(const json_t *document, FILE *out)
{
    if (json_object_get(document, "quilt") != NULL) {
        cli_text_story(document, out);
        return;
    }
    cli_text_quilts(document, out);
    size_t i;
    json_t *month;
    json_array_foreach (json_object_get(document, "months"), i, month)
        fprintf(out, "%s  %4lld in, %4lld out, %3lld block%s\n", text_of(month, "month"),
                whole_of(month, "squares_in"), whole_of(month, "squares_out"),
                whole_of(month, "blocks"), plural(whole_of(month, "blocks")));
}

void cli_text_fabrics(const json_t *document, FILE *out)
{
    size_t i;
    json_t *fabric;
    json_array_foreach (json_object_get(document, "fabrics"), i, fabric)
        fprintf(out, "%6lld  %-8s %s\n", whole_of(fabric, "fabric"),
                text_of(fabric, "value"), text_of(fabric, "name"));
}

void cli_text_sources(const json_t *document, FILE *out)
{
    size_t i;
    json_t *source;
    json_array_foreach (json_object_get(document, "sources"), i, source)
        fprintf(out, "%-24s %s%lld in the basket\n", text_of(source, "source"),
                json_is_true(json_object_get(source, "exact")) ? "" : "about ",
                whole_of(source, "squares"));
}

void cli_text_fabric(const json_t *document, FILE *out)
{
    size_t i;
    json_t *one;
    fprintf(out, "%s, %s: %s%lld in the basket\n", text_of(document, "name"),
            text_of(document, "value"),
            json_is_true(json_object_get(document, "exact")) ? "" : "about ",
            whole_of(document, "squares"));
    json_array_foreach (json_object_get(document, "sources"), i, one)
        fprintf(out, "  from %s: %s%lld\n",
                *text_of(one, "source") != '\0' ? text_of(one, "source") : "nobody said",
                json_is_true(json_object_get(one, "exact")) ? "" : "about ",
                whole_of(one, "squares"));
    json_array_foreach (json_object_get(document, "quilts"), i, one)
        fprintf(out, "  into %s: %s%lld\n", text_of(one, "quilt"),
                whole_of(one, "about") == 0 ? "" : "about ",
                whole_of(one, "exact") + whole_of(one, "about"));
}
