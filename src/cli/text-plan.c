/* Texts of what is planned and bought: designs, sizes, cloth, backgrounds. */
#include "fields-internal.h"
#include "text-internal.h"

static void print_size(const json_t *size, FILE *out)
{
    char width[LENGTH_TEXT_SIZE], height[LENGTH_TEXT_SIZE];
    fprintf(out, "%s x %s in", inches(json_number_value(json_array_get(size, 0)), width),
            inches(json_number_value(json_array_get(size, 1)), height));
}

void cli_text_designs(const json_t *document, FILE *out)
{
    size_t i;
    json_t *design;
    json_array_foreach (json_object_get(document, "designs"), i, design)
        fprintf(out, "%-22s %-28s %lld x %lld, %lld kind%s%s%s\n",
                text_of(design, "design"), text_of(design, "name"),
                whole_of(design, "block"), whole_of(design, "block"),
                whole_of(design, "kinds"), plural(whole_of(design, "kinds")),
                json_is_true(json_object_get(design, "triangles")) ? ", triangles" : "",
                json_is_true(json_object_get(design, "own")) ? ", your own" : "");
}

void cli_text_design(const json_t *document, FILE *out)
{
    fprintf(out, "%s\n%s\n\n%s", text_of(document, "name"), text_of(document, "about"),
            text_of(document, "text"));
    if (*text_of(document, "taken") != '\0')
        fprintf(out,
                "\nNote: there is a design of that name already (%s); give it another to"
                " keep it.\n",
                text_of(document, "taken"));
}

static void print_roles(const json_t *roles, FILE *out)
{
    static const struct {
        const char *letter, *name;
    } names[] = { { "S", "scrap" },
                  { "B", "background" },
                  { "L", "light" },
                  { "D", "dark" },
                  { "A", "accent" } };
    const char *gap = "";
    for (size_t i = 0; i < G_N_ELEMENTS(names); i++) {
        long long count = whole_of(roles, names[i].letter);
        if (count == 0)
            continue;
        fprintf(out, "%s%lld %s", gap, count, names[i].name);
        gap = ", ";
    }
}

static void print_notes(const json_t *document, FILE *out)
{
    size_t i;
    json_t *note;
    json_array_foreach (json_object_get(document, "notes"), i, note)
        fprintf(out, "Note: %s\n", text_of(note, "message"));
}

/* What whole repeats give below and above a size that was asked for. */
static void print_nearest(const json_t *nearest, FILE *out)
{
    static const char *const ways[] = { "across", "down" };
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    for (int i = 0; i < 2 && nearest != NULL; i++) {
        const json_t *fit = json_object_get(nearest, ways[i]);
        if (whole_of(fit, "below") == whole_of(fit, "above"))
            continue;
        fprintf(out, "Nearest %s: ", ways[i]);
        if (whole_of(fit, "below") > 0)
            fprintf(out, "%lld blocks, %s in; ", whole_of(fit, "below"),
                    inches(number_of(fit, "below_in"), a));
        fprintf(out, "%lld blocks, %s in\n", whole_of(fit, "above"),
                inches(number_of(fit, "above_in"), b));
    }
}

void cli_text_beds(const json_t *document, FILE *out)
{
    size_t i;
    json_t *row;
    json_array_foreach (json_object_get(document, "beds"), i, row) {
        fprintf(out, "%-24s %-24s ", text_of(row, "cover"), text_of(row, "name"));
        print_size(json_object_get(row, "mattress_in"), out);
        fprintf(out, "\n");
    }
    json_array_foreach (json_object_get(document, "sizes"), i, row) {
        fprintf(out, "%-24s %-24s ", "", text_of(row, "name"));
        print_size(json_object_get(row, "size_in"), out);
        fprintf(out, "\n");
    }
}

void cli_text_plan(const json_t *document, FILE *out)
{
    char unit[LENGTH_TEXT_SIZE], finished[LENGTH_TEXT_SIZE], unfinished[LENGTH_TEXT_SIZE];
    const json_t *block = json_object_get(document, "block");
    fprintf(out, "%s, %lld x %lld blocks, finished ", text_of(document, "design"),
            whole_of(document, "across"), whole_of(document, "down"));
    print_size(json_object_get(document, "finished_in"), out);
    fprintf(
        out,
        "\nUnit squares cut %s in; a block finishes at %s in, measures %s in before\n",
        inches(number_of(document, "unit_in"), unit),
        inches(number_of(block, "finished_in"), finished),
        inches(number_of(block, "unfinished_in"), unfinished));
    size_t i;
    json_t *kind;
    json_array_foreach (json_object_get(document, "kinds"), i, kind) {
        fprintf(out, "  %5lld %-16s each ", whole_of(kind, "blocks"),
                text_of(kind, "kind"));
        print_roles(json_object_get(kind, "roles"), out);
        fprintf(out, "\n");
    }
    fprintf(out, "Squares in all: ");
    print_roles(json_object_get(document, "squares"), out);
    fprintf(out, "\n");
    json_t *border;
    json_array_foreach (json_object_get(document, "borders"), i, border) {
        fprintf(out, "Border of %s in, %s%s: then ",
                inches(number_of(border, "width_in"), unit), text_of(border, "role"),
                json_is_true(json_object_get(border, "mitred")) ? ", mitred" : "");
        print_size(json_object_get(border, "finished_in"), out);
        fprintf(out, "\n");
    }
    print_nearest(json_object_get(document, "nearest"), out);
    print_notes(document, out);
}

/* "into 140 of 5 x 5 in, halved": what the strips are then cut into. */
static void print_into(const json_t *into, FILE *out)
{
    static const struct {
        long long parts;
        const char *then;
    } ways[] = { { 2, ", halved" }, { 4, ", quartered" }, { 8, ", eight at a time" } };
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    fprintf(out, "%lld of %s x %s in", whole_of(into, "count"),
            inches(number_of(into, "width_in"), a),
            inches(number_of(into, "length_in"), b));
    for (size_t i = 0; i < G_N_ELEMENTS(ways); i++)
        if (whole_of(into, "parts") == ways[i].parts)
            fputs(ways[i].then, out);
}

/* A line without strips of its own is cut from the joined strips of the line above. */
static void print_cut(const json_t *cut, FILE *out)
{
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    size_t i;
    json_t *into;
    bool strips = whole_of(cut, "count") > 0;
    if (strips)
        fprintf(out, "    %4lld %-18s %s x %s in%s, into ", whole_of(cut, "count"),
                text_of(cut, "piece"), inches(number_of(cut, "width_in"), a),
                inches(number_of(cut, "length_in"), b),
                json_is_true(json_object_get(cut, "joined")) ? " joined" : "");
    else
        fprintf(out, "         %-18s from the strips above, ", text_of(cut, "piece"));
    json_array_foreach (json_object_get(cut, "into"), i, into) {
        fputs(i > 0 ? "; from their ends " : "", out);
        print_into(into, out);
        if (i > 0)
            fprintf(out, " (%s)", text_of(into, "piece"));
    }
    fprintf(out, "\n");
}

/* What is asked of scraps and the basket. */
static void print_scraps(const json_t *scraps, FILE *out)
{
    size_t i;
    json_t *one;
    char a[LENGTH_TEXT_SIZE];
    if (json_array_size(scraps) > 0)
        fprintf(out, "From scraps and the basket\n");
    json_array_foreach (scraps, i, one)
        fprintf(out, "    %4lld %s, cut %s in: %s\n", whole_of(one, "count"),
                text_of(one, "role"), inches(number_of(one, "cut_in"), a),
                text_of(one, "piece"));
}

void cli_text_buy(const json_t *document, FILE *out)
{
    size_t i, j;
    json_t *item, *cut;
    char a[LENGTH_TEXT_SIZE];
    json_array_foreach (json_object_get(document, "items"), i, item) {
        const json_t *bought = json_object_get(item, "bought");
        const json_t *fabric = json_object_get(item, "fabric");
        fprintf(out, "%s %-14s buy %s or %s",
                json_is_true(json_object_get(bought, "ticked")) ? "[x]" : "[ ]",
                text_of(item, "for"), text_of(item, "buy_text"),
                text_of(item, "buy_metric_text"));
        if (fabric != NULL)
            fprintf(out, " of %s", text_of(fabric, "name"));
        if (number_of(bought, "length_in") > 0)
            fprintf(out, "; %s in bought, %s left",
                    inches(number_of(bought, "length_in"), a),
                    text_of(bought, "left_text"));
        fprintf(out, "\n");
        json_array_foreach (json_object_get(item, "cuts"), j, cut)
            print_cut(cut, out);
    }
    print_scraps(json_object_get(document, "scraps"), out);
    const json_t *backing = json_object_get(document, "backing");
    if (backing != NULL)
        fprintf(out, "Backing: %lld panel%s, %s, buy %s\n", whole_of(backing, "panels"),
                plural(whole_of(backing, "panels")), text_of(backing, "seams"),
                text_of(backing, "buy_text"));
    const json_t *batting = json_object_get(document, "batting");
    if (batting != NULL) {
        fprintf(out, "Batting: ");
        print_size(json_object_get(batting, "size_in"), out);
        if (*text_of(batting, "packaged") != '\0')
            fprintf(out, ", packaged as %s", text_of(batting, "packaged"));
        fprintf(out, "\n");
    }
    const json_t *binding = json_object_get(document, "binding");
    if (binding != NULL)
        fprintf(out, "Binding: %lld strips for %s in\n", whole_of(binding, "strips"),
                inches(number_of(binding, "length_in"), a));
    print_notes(document, out);
}

void cli_text_wants(const json_t *document, FILE *out)
{
    size_t i;
    json_t *one;
    char a[LENGTH_TEXT_SIZE], b[LENGTH_TEXT_SIZE];
    fprintf(out, "%lld squares: %lld light, %lld medium, %lld dark\n",
            whole_of(document, "squares"), whole_of(document, "light"),
            whole_of(document, "medium"), whole_of(document, "dark"));
    json_array_foreach (json_object_get(document, "designs"), i, one)
        fprintf(out, "%2zu  %-22s %s x %s in: %lld squares, %.0f %% there\n", i + 1,
                text_of(one, "design"), inches(side_of(one, "finished_in", 0), a),
                inches(side_of(one, "finished_in", 1), b), whole_of(one, "squares"),
                100 * number_of(one, "enough"));
    json_array_foreach (json_object_get(document, "backgrounds"), i, one)
        fprintf(out, "    on %s: %.0f %% of the squares would melt into it\n",
                text_of(one, "name"), 100 * number_of(one, "melting"));
}

/* Which squares would melt into it, and how many there are of them. */
static void print_melting(const json_t *melt, FILE *out)
{
    size_t i;
    json_t *one;
    json_array_foreach (melt, i, one)
        fprintf(out, "%s%s (%lld)", i == 0 ? "        " : ", ", text_of(one, "name"),
                whole_of(one, "squares"));
    if (json_array_size(melt) > 0)
        fputc('\n', out);
}

void cli_text_backgrounds(const json_t *document, FILE *out)
{
    size_t i;
    json_t *one;
    json_array_foreach (json_object_get(document, "backgrounds"), i, one) {
        double lighter = number_of(one, "lighter");
        fprintf(out,
                "%-16s %2.0f %% of the squares melt into it; %.0f from them, %.0f %s\n",
                text_of(one, "name"), 100 * number_of(one, "melting"),
                number_of(one, "apart"), lighter < 0 ? -lighter : lighter,
                lighter < 0 ? "darker" : "lighter");
        print_melting(json_object_get(one, "melt"), out);
    }
}

void cli_text_reuse(const json_t *document, FILE *out)
{
    size_t i;
    json_t *one;
    json_array_foreach (json_object_get(document, "designs"), i, one) {
        fprintf(out, "%-24s takes %lld blocks, %lld to make, %lld squares (%lld short)",
                text_of(one, "name"), whole_of(one, "taken"), whole_of(one, "left"),
                whole_of(one, "squares_needed"), whole_of(one, "squares_short"));
        if (whole_of(one, "triangle_squares") > 0)
            fprintf(out, ", %lld to cut for triangles",
                    whole_of(one, "triangle_squares"));
        fputc('\n', out);
    }
}
