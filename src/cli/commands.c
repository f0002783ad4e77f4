#include "command-internal.h"

#include "text-internal.h"

#define END                                                                              \
    {                                                                                    \
        NULL, CLI_SWITCH, NULL, NULL                                                     \
    }

#define PLAN_FLAGS                                                                       \
    { "design", CLI_VALUE, "NAME", "a design of the catalogue or of your own" },         \
        { "across", CLI_VALUE, "N", "blocks across" },                                   \
        { "down", CLI_VALUE, "M", "blocks down" },                                       \
        { "size", CLI_VALUE, "WxH", "or the finished size that you want" },              \
        { "cover", CLI_VALUE, "bed:SIZE:COUNTRY",                                        \
          "or the bed to cover; bed:WxH by your own measures" },                         \
        { "drop", CLI_VALUE, "L", "how far it hangs down beside the mattress" },         \
        { "tuck", CLI_VALUE, "L", "how much goes round the pillow" },                    \
        { "even", CLI_SWITCH, NULL, "begin so that both edges end alike" },              \
        { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },             \
        { "seam", CLI_VALUE, "L", "seam allowance" },                                    \
        { "set", CLI_VALUE, "straight|on-point", "how the blocks are set" },             \
        { "sash", CLI_VALUE, "L", "finished width of sashes" },                          \
        { "sash-role", CLI_VALUE, "ROLE", "what sashes are cut from (background)" },     \
        { "sash-around", CLI_SWITCH, NULL, "sashes round the outside too" },             \
        { "cornerstones", CLI_SWITCH, NULL, "squares where sashes meet" },               \
        { "cornerstone-role", CLI_VALUE, "ROLE", "what they are cut from (scrap)" },     \
    {                                                                                    \
        "border", CLI_MANY, "\"L [ROLE] [mitred]\"",                                     \
            "a border, from the inside out: \"3in accent mitred\""                       \
    }

#define BUY_FLAGS                                                                        \
    { "width-of-fabric", CLI_VALUE, "L", "usable width of cloth" },                      \
        { "selvage", CLI_VALUE, "L", "what is not used of it at each edge (0)" },        \
        { "overage", CLI_VALUE, "L", "cloth to spare" },                                 \
        { "binding", CLI_VALUE, "L", "width that binding strips are cut to" },           \
        { "bias", CLI_SWITCH, NULL, "cut the binding on the bias" },                     \
        { "ends", CLI_SWITCH, NULL, "cut smaller squares from the ends of strips" },     \
        { "sleeve", CLI_VALUE, "L", "finished height of a hanging sleeve" },             \
        { "triangles", CLI_VALUE, "two|trimmed|eight|corner",                            \
          "how half-squares are made" },                                                 \
        { "shrink", CLI_VALUE, "N", "per cent that the cloth loses in the wash" },       \
        { "spare", CLI_VALUE, "N", "per cent to buy over, for safety" },                 \
        { "backing-margin", CLI_VALUE, "L", "backing beyond the top on each side" },     \
    {                                                                                    \
        "batting-margin", CLI_VALUE, "L", "batting beyond the top on each side"          \
    }

static const cli_flag no_flags[] = { END };
static const cli_flag card_flags[] = {
    { "paper", CLI_VALUE, "a4|letter", "the paper in the printer" },
    { "output", CLI_VALUE, "F.pdf",
      "the file to write (-o); F.svg or F.png by its ending" },
    { "source", CLI_VALUE, "NAME", "picture: what came from it stands out" },
    { "fabric", CLI_VALUE, "F", "picture: or one fabric" },
    { "year", CLI_VALUE, "YEAR", "year: which; the last without it" },
    END,
};
static const cli_flag measure_flags[] = {
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    { "keep", CLI_SWITCH, NULL, "keep the scraps in the book" },
    { "source", CLI_VALUE, "NAME", "where they came from" },
    { "corners-px", CLI_VALUE, "x,y x,y x,y x,y",
      "without a card: the corners of a sheet in the photo, in pixels" },
    { "size", CLI_VALUE, "a4|letter|WxH", "the size of that sheet" },
    END,
};
static const cli_flag cut_flags[] = {
    { "rect", CLI_VALUE, "WxH", "plan a rectangle" },
    { "outline", CLI_VALUE, "F.json", "plan an outline from a file" },
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    { "method", CLI_VALUE, "grid|strips|best|easiest",
      "how to cut; without it the best, and the easiest where that is another" },
    { "angles", CLI_VALUE, "grain|free", "along the grain, or any way" },
    { "ruler", CLI_VALUE, "NAME", "one of your rulers" },
    { "trim", CLI_VALUE, "L", "to leave along every edge" },
    { "selvage", CLI_MAYBE, "L", "leave out the selvage along the longest side" },
    { "tolerance", CLI_VALUE, "N", "degrees either side of the grain" },
    { "want", CLI_VALUE, "2in:1,5in:7",
      "several sizes with their worth; \"needed\": those that quilts still need" },
    { "stages", CLI_VALUE, "two|any", "strips and then pieces, or cuts in any order" },
    { "no-turn", CLI_SWITCH, NULL, "pieces keep their direction" },
    { "done", CLI_MAYBE, "N",
      "cut: put the squares, N if it wasn't as planned, into the basket" },
    END,
};
static const cli_flag scrap_list_flags[] = {
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    { "after", CLI_VALUE, "N", "go on after this scrap" },
    { "limit", CLI_VALUE, "N", "at most so many (60)" },
    END,
};
static const cli_flag scrap_part_flags[] = {
    { "line-in", CLI_MANY, "X,Y X,Y", "the line, inches from the card's middle" },
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    END,
};
static const cli_flag scrap_grow_flags[] = {
    { "taps-in", CLI_MANY, "X,Y X,Y",
      "two far places on it, inches from the card's middle" },
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    END,
};
static const cli_flag scrap_mend_flags[] = {
    { "outline", CLI_VALUE, "F.json",
      "the outline as you want it, outline_in in a file" },
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    END,
};
static const cli_flag basket_flags[] = {
    { "count", CLI_VALUE, "N", "how many squares" },
    { "unit", CLI_VALUE, "U", "their cut size" },
    { "fabric", CLI_VALUE, "F", "number or name of the fabric, where you know it" },
    { "source", CLI_VALUE, "S", "where they came from" },
    END,
};
static const cli_flag weigh_flags[] = {
    { "sample", CLI_VALUE, "N", "how many squares were weighed first (20)" },
    { "sample-weight", CLI_VALUE, "W", "what they weigh" },
    { "pile-weight", CLI_VALUE, "W", "what all of them weigh, on the same balance" },
    { "unit", CLI_VALUE, "U", "their cut size" },
    END,
};
static const cli_flag rulers_flags[] = {
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    { "rulers", CLI_MANY, "NAME:LxW[:SLOTS:PITCH]", "rulers that you think of" },
    END,
};
static const cli_flag ruler_flags[] = {
    { "size", CLI_VALUE, "LxW", "cutting length and width" },
    { "slots", CLI_VALUE, "N", "slots across it; none for a plain ruler" },
    { "pitch", CLI_VALUE, "L", "from slot to slot" },
    END,
};
static const cli_flag mat_flags[] = {
    { "size", CLI_VALUE, "WxH", "of the mat" },
    { "turns", CLI_SWITCH, NULL, "it turns under the cloth" },
    END,
};
static const cli_flag pile_flags[] = {
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    END,
};
static const cli_flag cutting_flags[] = {
    { "tolerance", CLI_VALUE, "N", "degrees either side of the grain" },
    { "trim", CLI_VALUE, "L", "left along every edge to true it up" },
    { "selvage", CLI_VALUE, "L", "how wide a selvage is" },
    { "whole", CLI_VALUE, "WxH", "scraps that hold this are kept whole" },
    { "least-squares", CLI_VALUE, "N", "scraps that give so many are cut to squares" },
    { "string", CLI_VALUE, "LxW", "length and width of the least string" },
    END,
};
static const cli_flag times_flags[] = {
    { "passes", CLI_VALUE, "N", "layings of the ruler" },
    { "cuts", CLI_VALUE, "N", "cuts" },
    { "turns", CLI_VALUE, "N", "turns of the mat" },
    { "handled", CLI_VALUE, "N", "pieces taken up" },
    { "seconds", CLI_VALUE, "S", "how long it took" },
    END,
};
static const cli_flag designs_flags[] = {
    { "block", CLI_VALUE, "N", "only those with N patches on a side" },
    { "triangles", CLI_VALUE, "yes|no",
      "only those with half-square triangles, or none" },
    { "as-cut", CLI_SWITCH, NULL, "only those that take unit squares as they are cut" },
    { "scraps", CLI_VALUE, "N", "at least N per cent from the basket" },
    { "own", CLI_SWITCH, NULL, "only your own" },
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    END,
};
static const cli_flag plan_flags[] = { PLAN_FLAGS, END };
static const cli_flag buy_flags[] = { PLAN_FLAGS, BUY_FLAGS, END };
static const cli_flag backgrounds_flags[] = {
    { "fabric", CLI_VALUE, "F", "one of your fabrics instead of the wheel of solids" },
    { "from", CLI_VALUE, "WHAT", "wheel (of solids), or fabrics (your own)" },
    { "count", CLI_VALUE, "N", "how many to show (12)" },
    END,
};
static const cli_flag wants_flags[] = {
    { "size", CLI_VALUE, "WxH", "about how large it shall be (60 x 72 in)" },
    { "unit", CLI_VALUE, "U", "the size that unit squares are cut to" },
    END,
};
static const cli_flag reuse_flags[] = {
    { "across", CLI_VALUE, "N", "blocks across, where they differ" },
    { "down", CLI_VALUE, "M", "blocks down" },
    END,
};
static const cli_flag design_flags[] = {
    { "output", CLI_VALUE, "F.design", "a file to write its text to (-o)" },
    END,
};
static const cli_flag design_add_flags[] = {
    { "design", CLI_VALUE, "NAME", "the name to keep it under, if not the file's" },
    { "replace", CLI_SWITCH, NULL, "in place of your design of that name" },
    END,
};
static const cli_flag bought_flags[] = {
    { "length", CLI_VALUE, "L", "what is bought in all: 2yd" },
    { "more", CLI_VALUE, "L", "what comes to what was bought before" },
    { "ticked", CLI_VALUE, "yes|no", "done with this line" },
    END,
};
static const cli_flag quilt_fabric_flags[] = {
    { "role", CLI_VALUE, "ROLE",
      "background (which it is without), light, dark, accent" },
    { "fabric", CLI_VALUE, "F", "number or name of the fabric; none without it" },
    END,
};
static const cli_flag next_flags[] = {
    { "count", CLI_VALUE, "N", "how many blocks" },
    { "seed", CLI_VALUE, "N", "another number, other blocks" },
    END,
};
static const cli_flag sew_flags[] = {
    { "next", CLI_VALUE, "N", "how many blocks to make ready for" },
    { "measured", CLI_VALUE, "L", "what three strips sewn side by side measure across" },
    { "press", CLI_VALUE, "side|open", "for once; to keep it, motley assembled" },
    END,
};
static const cli_flag picture_flags[] = {
    { "photo", CLI_PHOTOS, "PHOTO", "the photo" },
    END,
};
static const cli_flag assemble_flags[] = {
    { "by", CLI_VALUE, "rows|quarters", "in which order" },
    END,
};
static const cli_flag assembled_flags[] = {
    { "by", CLI_VALUE, "rows|quarters", "in which order" },
    { "press", CLI_VALUE, "side|open",
      "how seams are pressed: to one side, so that they nest, or open" },
    { "step", CLI_VALUE, "STEP", "one of those that motley assemble lists" },
    { "done", CLI_VALUE, "yes|no", "it is done" },
    { "measured", CLI_VALUE, "L", "what the row of that step measures" },
    { "middle", CLI_VALUE, "WxH", "what the top measures through its middle" },
    END,
};
static const cli_flag finishing_flags[] = {
    { "step", CLI_VALUE, "STEP", "one of those that motley finish lists" },
    { "done", CLI_VALUE, "yes|no", "it is done" },
    { "top", CLI_VALUE, "WxH", "what the quilt really measures" },
    { "limit", CLI_VALUE, "L", "how far apart the batting's maker lets quilting be" },
    { "spacing", CLI_VALUE, "L", "how far apart your lines will be" },
    { "sleeve", CLI_VALUE, "L", "finished height of a hanging sleeve; 0 for none" },
    END,
};
static const cli_flag fabrics_flags[] = {
    { "find", CLI_VALUE, "WORD", "a name, or a colour: teal" },
    { "basket", CLI_SWITCH, NULL, "only those with squares in the basket" },
    { "limit", CLI_VALUE, "N", "at most so many" },
    END,
};
static const cli_flag forecast_flags[] = {
    { "per-week", CLI_VALUE, "N", "and when, if she makes so many blocks a week" },
    END,
};
static const cli_flag made_flags[] = {
    { "place", CLI_MANY, "R,C", "row and column, from 1" },
    { "kind", CLI_VALUE, "K", "or so many of a kind" },
    { "count", CLI_VALUE, "N", "how many of that kind" },
    { "photo", CLI_PHOTOS, "PHOTO", "or all that lie beside the card in photos" },
    { "undo", CLI_SWITCH, NULL, "take the cross away again" },
    END,
};
static const cli_flag place_flags[] = {
    { "photo", CLI_PHOTOS, "PHOTO", "finished blocks beside the card" },
    END,
};
static const cli_flag arrange_flags[] = {
    { "seconds", CLI_VALUE, "S", "how long to search (3); 0 judges what lies there" },
    { "seed", CLI_VALUE, "N", "another number, another arrangement" },
    { "pin", CLI_MANY, "R,C=BLOCK", "this block stays at this place" },
    { "nest", CLI_SWITCH, NULL, "seams shall lock where blocks meet" },
    { "seams", CLI_VALUE, "W", "how much it matters that like fabrics do not meet (1)" },
    { "spread", CLI_VALUE, "W", "how much, that colours are spread evenly (1)" },
    { "from", CLI_VALUE, "now|afresh", "go on from how they lie, or begin anew" },
    { "whole", CLI_SWITCH, NULL, "over the whole quilt; else open places stay open" },
    { "layout", CLI_VALUE, "L", "light and dark by none, rings, diagonals or gradient" },
    { "keep", CLI_SWITCH, NULL, "move the blocks so in the book" },
    END,
};
static const cli_flag print_flags[] = {
    { "paper", CLI_VALUE, "a4|letter", "the paper in the printer" },
    { "output", CLI_VALUE, "F.pdf", "the file to write (-o)" },
    { "ruler", CLI_VALUE, "NAME", "cutting: one of your rulers" },
    { "angles", CLI_VALUE, "grain|free", "cutting: along the grain, or any way" },
    { "count", CLI_VALUE, "N", "next: how many blocks (10)" },
    { "seed", CLI_VALUE, "N", "next: another number, other blocks" },
    { "maker", CLI_VALUE, "NAME", "label: who made it" },
    { "for", CLI_VALUE, "NAME", "label: whom it is for" },
    { "care", CLI_VALUE, "TEXT", "label: how to wash it" },
    PLAN_FLAGS,
    BUY_FLAGS,
    END,
};
static const cli_flag serve_flags[] = {
    { "port", CLI_VALUE, "N", "the port; 0 takes any that is free" },
    { "lan", CLI_SWITCH, NULL, "also for the phone and tablet at home" },
    { "open", CLI_SWITCH, NULL, "let the browser of this computer in, and open it" },
    END,
};

static const cli_flag service_flags[] = {
    { "port", CLI_VALUE, "N", "the port (8766)" },
    { "lan", CLI_SWITCH, NULL, "also for the phone and tablet at home" },
    END,
};

static const cli_flag open_flags[] = {
    { "port", CLI_VALUE, "N", "the port that motley serve listens on (8766)" },
    END,
};

static const cli_flag pair_flags[] = {
    { "port", CLI_VALUE, "N", "the port that motley serve --lan listens on" },
    END,
};

const cli_flag cli_common_flags[] = {
    { "book", CLI_VALUE, "FILE",
      "the book (without it, motley/motley.book among your data)" },
    { "json", CLI_SWITCH, NULL, "print the document" },
    { "quiet", CLI_SWITCH, NULL, "print nothing but errors" },
    { "verbose", CLI_SWITCH, NULL, "tell more" },
    { "color", CLI_SWITCH, NULL, "show fabrics in colour" },
    { "help", CLI_SWITCH, NULL, "this help" },
    { "version", CLI_SWITCH, NULL, "the version" },
    END,
};

const cli_command cli_commands[] = {
    { "card", "print", "what=card", "", CLI_BOOK_MAYBE,
      "print the measuring card that gives photos their scale", cli_text_file,
      card_flags },
    { "measure", "measure", NULL, "photos...", CLI_BOOK_MAKE,
      "measure the scraps in photos", cli_text_measure, measure_flags },
    { "cut", "cut", NULL, "[scraps...]", CLI_BOOK_MAYBE,
      "plan unit squares from scraps, and say what was cut", cli_text_cut, cut_flags },
    { "scrap list", "scraps", NULL, "", CLI_BOOK_READ, "the scraps that lie there",
      cli_text_scraps, scrap_list_flags },
    { "scrap mend", "scrap.mend", NULL, "scrap", CLI_BOOK_READ, "put an outline right",
      cli_text_scraps, scrap_mend_flags },
    { "scrap part", "scrap.part", NULL, "scrap", CLI_BOOK_READ,
      "tell apart two that were taken for one", cli_text_scraps, scrap_part_flags },
    { "scrap join", "scrap.join", NULL, "scraps...", CLI_BOOK_READ,
      "make one of two that are one", cli_text_scraps, pile_flags },
    { "scrap remove", "scrap.remove", NULL, "scrap", CLI_BOOK_READ,
      "say that it is no scrap", cli_text_done, no_flags },
    { "scrap grow", "scrap.grow", NULL, "photo", CLI_BOOK_READ,
      "find one that was missed, from two places on it", cli_text_scraps,
      scrap_grow_flags },
    { "basket add", "basket.add", NULL, "", CLI_BOOK_MAKE, "put counted squares in",
      cli_text_basket, basket_flags },
    { "basket take", "basket.take", NULL, "", CLI_BOOK_READ, "take squares out",
      cli_text_basket, basket_flags },
    { "basket correct", "basket.correct", NULL, "", CLI_BOOK_MAKE,
      "say how many there really are", cli_text_basket, basket_flags },
    { "basket weigh", "basket.weigh", NULL, "", CLI_BOOK_MAKE,
      "count by weight: some squares, then all of them", cli_text_basket, weigh_flags },
    { "rulers", "rulers", NULL, "", CLI_BOOK_READ,
      "compare rulers on the scraps that lie there", cli_text_rulers, rulers_flags },
    { "ruler add", "ruler.keep", NULL, "name", CLI_BOOK_MAKE, "describe a ruler",
      cli_text_tools, ruler_flags },
    { "ruler drop", "ruler.drop", NULL, "name", CLI_BOOK_READ, "forget a ruler",
      cli_text_tools, no_flags },
    { "mat", "mat.say", NULL, "", CLI_BOOK_MAKE, "describe the mat", cli_text_tools,
      mat_flags },
    { "pile", "pile", NULL, "", CLI_BOOK_READ, "sort the scraps that lie there",
      cli_text_pile, pile_flags },
    { "cutting", "cutting.say", NULL, "", CLI_BOOK_MAKE,
      "say how you true up edges and sort the pile", cli_text_tools, cutting_flags },
    { "times", "times.add", NULL, "", CLI_BOOK_MAKE, "say how long a pile took to cut",
      cli_text_tools, times_flags },
    { "tools", "tools", NULL, "", CLI_BOOK_READ, "your rulers, mat and times",
      cli_text_tools, no_flags },
    { "basket", "basket", NULL, "", CLI_BOOK_READ, "what is in the basket",
      cli_text_basket, no_flags },
    { "sources", "sources", NULL, "", CLI_BOOK_READ,
      "where your fabric came from, the newest source first", cli_text_sources,
      no_flags },
    { "designs", "designs", NULL, "", CLI_BOOK_MAYBE, "the catalogue", cli_text_designs,
      designs_flags },
    { "design check", "design.check", NULL, "file", CLI_BOOK_MAYBE,
      "look a design file over", cli_text_design, no_flags },
    { "design add", "design.add", NULL, "file", CLI_BOOK_MAKE,
      "keep a design of your own in the book", cli_text_design, design_add_flags },
    { "design drop", "design.drop", NULL, "design", CLI_BOOK_READ,
      "drop a design of your own", cli_text_done, no_flags },
    { "design", "design", NULL, "design", CLI_BOOK_MAYBE, "one design", cli_text_design,
      design_flags },
    { "beds", "beds", NULL, "", CLI_BOOK_MAYBE, "beds and other sizes to start from",
      cli_text_beds, no_flags },
    { "plan", "plan", NULL, "", CLI_BOOK_MAYBE, "size a quilt and count what it needs",
      cli_text_plan, plan_flags },
    { "buy", "buy", NULL, "[quilt]", CLI_BOOK_MAYBE,
      "everything to buy and cut for a quilt", cli_text_buy, buy_flags },
    { "bought", "bought", NULL, "quilt item", CLI_BOOK_READ,
      "say what is bought of a line of the shopping list", cli_text_buy, bought_flags },
    { "quilt fabric", "quilt.fabric", NULL, "quilt", CLI_BOOK_READ,
      "choose the fabric for a role", cli_text_quilt, quilt_fabric_flags },
    { "backgrounds like", "backgrounds.photo", NULL, "photos...", CLI_BOOK_READ,
      "the same for a fabric that you photographed", cli_text_backgrounds, no_flags },
    { "backgrounds", "backgrounds", NULL, "", CLI_BOOK_READ,
      "backgrounds ranked against what is in the basket", cli_text_backgrounds,
      backgrounds_flags },
    { "wants", "wants", NULL, "", CLI_BOOK_READ,
      "what the basket wants to become: designs and backgrounds", cli_text_wants,
      wants_flags },
    { "reuse", "reuse", NULL, "[quilt]", CLI_BOOK_READ,
      "designs that take the blocks or squares that you have", cli_text_reuse,
      reuse_flags },
    { "quilt start", "quilt.start", NULL, "quilt", CLI_BOOK_MAKE, "start a quilt",
      cli_text_quilt, plan_flags },
    { "quilt list", "quilts", NULL, "", CLI_BOOK_READ, "all quilts", cli_text_quilts,
      no_flags },
    { "quilt show", "quilt", NULL, "quilt", CLI_BOOK_READ, "one quilt", cli_text_quilt,
      no_flags },
    { "quilt close", "quilt.close", NULL, "quilt", CLI_BOOK_READ, "call a quilt finished",
      cli_text_quilt, no_flags },
    { "quilt delete", "quilt.delete", NULL, "quilt", CLI_BOOK_READ, "drop a quilt",
      cli_text_done, no_flags },
    { "next", "next", NULL, "quilt", CLI_BOOK_READ, "a block to sew from the basket",
      cli_text_next, next_flags },
    { "made", "made", NULL, "quilt", CLI_BOOK_READ, "cross blocks off", cli_text_made,
      made_flags },
    { "place", "blocks.place", NULL, "quilt", CLI_BOOK_READ,
      "where the blocks in a photo go", cli_text_place, place_flags },
    { "arrange", "arrange", NULL, "quilt", CLI_BOOK_READ,
      "find the best place and turn for every block made", cli_text_arrange,
      arrange_flags },
    { "sew", "sew", NULL, "quilt", CLI_BOOK_READ,
      "in which order to sew, which way to press, what to cut ahead", cli_text_sew,
      sew_flags },
    { "assemble", "assemble", NULL, "quilt", CLI_BOOK_READ,
      "join the blocks: in which order, what nests, how long borders are",
      cli_text_assemble, assemble_flags },
    { "assembled", "assembled", NULL, "quilt", CLI_BOOK_READ,
      "say what a row or the top measures, and what is done", cli_text_assemble,
      assembled_flags },
    { "finish", "finish", NULL, "quilt", CLI_BOOK_READ,
      "backing, batting, quilting and binding for the quilt as it measures",
      cli_text_finish, no_flags },
    { "finishing", "finishing", NULL, "quilt", CLI_BOOK_READ,
      "say what it measures, the batting's limit, and what is done", cli_text_finish,
      finishing_flags },
    { "quilt picture", "quilt.picture", NULL, "quilt", CLI_BOOK_READ,
      "keep a picture of a quilt", cli_text_story, picture_flags },
    { "forecast", "forecast", NULL, "quilt", CLI_BOOK_READ,
      "when it will be done, and whether the basket lasts", cli_text_forecast,
      forecast_flags },
    { "record", "record", NULL, "[quilt]", CLI_BOOK_READ,
      "the years, or one quilt's record", cli_text_record, no_flags },
    { "years", "years", NULL, "", CLI_BOOK_READ, "the basket through the years",
      cli_text_years, no_flags },
    { "fabrics like", "fabrics.photo", NULL, "photos...", CLI_BOOK_READ,
      "which of your fabrics a photo shows", cli_text_fabrics, no_flags },
    { "fabrics", "fabrics", NULL, "", CLI_BOOK_READ,
      "your fabrics, those used last first, or those of a colour", cli_text_fabrics,
      fabrics_flags },
    { "fabric", "fabric", NULL, "fabric", CLI_BOOK_READ, "one fabric", cli_text_fabric,
      no_flags },
    { "print", "print", NULL, "what [quilt]", CLI_BOOK_MAYBE,
      "a sheet: card, chart, cutting, design, label, map, next, picture, rows, sew, "
      "shopping, story or year",
      cli_text_file, print_flags },
    { "backup", "backup", NULL, "file", CLI_BOOK_READ, "copy the book", cli_text_done,
      no_flags },
    { "restore", "restore", NULL, "file", CLI_BOOK_HURT,
      "take a copy back: a file, or the name of one that motley copies lists",
      cli_text_done, no_flags },
    { "copies", "copies", NULL, "", CLI_BOOK_HURT,
      "the copies that lie beside the book, and what is damaged in it", cli_text_copies,
      no_flags },
    { "salvage", "salvage", NULL, "file", CLI_BOOK_HURT,
      "copy what can be read of a damaged book into a new one", cli_text_salvage,
      no_flags },
    { "export", "export", NULL, "folder", CLI_BOOK_READ,
      "write everything in open formats", cli_text_done, no_flags },
    { "import", "import", NULL, "folder", CLI_BOOK_MAKE, "read such a folder back",
      cli_text_done, no_flags },
    { "check", "check", NULL, "", CLI_BOOK_READ, "look the book over", cli_text_done,
      no_flags },
    { "undo", "undo", NULL, "", CLI_BOOK_READ, "take the last change back", cli_text_done,
      no_flags },
    { "redo", "redo", NULL, "", CLI_BOOK_READ, "make it again", cli_text_done, no_flags },
    { "demo", "demo", NULL, "", CLI_BOOK_MAKE,
      "fill an empty book with an invented scenario", cli_text_done, no_flags },
    { "open", "open", NULL, "", CLI_BOOK_READ,
      "let the browser of this computer in, and open it", cli_text_open, open_flags },
    { "pair", "pair", NULL, "", CLI_BOOK_MAKE,
      "show the code that pairs a phone or tablet", cli_text_pair, pair_flags },
    { "devices", "devices", NULL, "", CLI_BOOK_READ, "list the devices that are paired",
      cli_text_devices, no_flags },
    { "device drop", "device.drop", NULL, "device", CLI_BOOK_READ,
      "let a device in no more", cli_text_devices, no_flags },
    { "serve", NULL, NULL, "", CLI_BOOK_MAKE, "serve the page", NULL, serve_flags },
    { "service enable", "service", "what=enable", "", CLI_BOOK_READ,
      "start Motley at each login, and now", cli_text_done, service_flags },
    { "service disable", "service", "what=disable", "", CLI_BOOK_NONE,
      "stop it and start it at no login", cli_text_done, no_flags },
    { "service status", "service", "what=status", "", CLI_BOOK_NONE,
      "whether it runs and starts at login", cli_text_done, no_flags },
    { NULL, NULL, NULL, NULL, CLI_BOOK_MAYBE, NULL, NULL, NULL },
};

static void print_flags_of(const cli_flag *flags, FILE *out)
{
    for (; flags->name != NULL; flags++) {
        g_autofree char *shown =
            flags->value == NULL ? g_strdup_printf("--%s", flags->name)
            : flags->kind == CLI_MAYBE
                ? g_strdup_printf("--%s [%s]", flags->name, flags->value)
            : flags->kind == CLI_MANY || flags->kind == CLI_PHOTOS
                ? g_strdup_printf("--%s %s...", flags->name, flags->value)
                : g_strdup_printf("--%s %s", flags->name, flags->value);
        fprintf(out, "  %-26s %s\n", shown, flags->help);
    }
}

void cli_print_help(const cli_command *command, FILE *out)
{
    if (command != NULL) {
        g_autofree char *places = g_ascii_strup(command->places, -1);
        fprintf(out, "motley %s%s%s\n  %s.\n", command->words, *places == '\0' ? "" : " ",
                places, command->summary);
        if (command->flags->name != NULL)
            fprintf(out, "\n");
        print_flags_of(command->flags, out);
    } else {
        fprintf(out, "motley: for people who make scrap quilts\n\n");
        for (command = cli_commands; command->words != NULL; command++)
            fprintf(out, "  %-16s %s\n", command->words, command->summary);
        fprintf(out, "\nmotley COMMAND --help shows the flags of a command.\n");
    }
    fprintf(out, "\nWith every command:\n");
    print_flags_of(cli_common_flags, out);
}
