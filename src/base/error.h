/* base/error.h: every error that a maker can run into, its stable code and how to mend
 * it.
 *
 * Who notices an error says what is wrong, each caller puts before it where
 * (g_prefix_error), and this table adds how to mend it. Codes are a contract with
 * other programs: add rows, never rename one. */
#pragma once

#include <glib.h>

/* X(NAME, code, exit status, how to mend it); 1 failed, 2 wrong usage. */
#define MOTLEY_ERRORS(X)                                                                 \
    /* base */                                                                           \
    X(LENGTH_UNREADABLE, "length.unreadable", 2,                                         \
      "Write a length like 2, 2.5, 2 1/2 in, 5 cm or 1 1/8 yd.")                         \
    X(LENGTH_RANGE, "length.range", 2, "Give a length above zero and under 1 km.")       \
    X(LENGTH_NOT_POSITIVE, "length.not-positive", 2, "Give a length above zero.")        \
    X(USAGE, "usage", 2, "Run motley --help for the commands and their flags.")          \
    X(INTERNAL, "internal", 1,                                                           \
      "This is a fault of the program. Nothing in the book was changed.")                \
    X(CANCELLED, "cancelled", 1, "Nothing was changed. Start it again when you like.")   \
    /* files */                                                                          \
    X(FILE_UNREADABLE, "file.unreadable", 1, "Check the name and that it may be read.")  \
    X(FILE_UNWRITABLE, "file.unwritable", 1,                                             \
      "Choose a folder that may be written to and has room left.")                       \
    /* quilt */                                                                          \
    X(DESIGN_UNREADABLE, "design.unreadable", 1,                                         \
      "Mend the text at the line and column named.")                                     \
    X(DESIGN_SIZES, "design.block-sizes-differ", 1,                                      \
      "Draw all blocks of a design on one grid.")                                        \
    X(DESIGN_NAME, "design.name-unknown", 1,                                             \
      "Define the block above the repeat that names it, or mend its spelling.")          \
    X(DESIGN_TWICE, "design.name-taken", 1, "Choose another name, or drop one of them.") \
    X(DESIGN_TOO_LARGE, "design.too-large", 1,                                           \
      "A design is a page of text at most; check that this is the right file.")          \
    X(DESIGN_UNKNOWN, "design.unknown", 2,                                               \
      "Run motley designs for their names, or give the file of your own.")               \
    X(DESIGN_BUILT_IN, "design.of-the-catalogue", 1,                                     \
      "Only designs of your own can be dropped.")                                        \
    X(QUILT_SIZE, "quilt.size", 2, "Give from 1 to 1000 blocks across and down.")        \
    X(QUILT_UNEVEN, "quilt.uneven", 2, "Take one block more or less that way.")          \
    X(QUILT_MEASURE, "quilt.measure", 2,                                                 \
      "Change the length named so that it can be cut and sewn.")                         \
    X(QUILT_BED, "quilt.bed-unknown", 2,                                                 \
      "Write a bed like bed:queen:us, or give its measures as WxH.")                     \
    X(QUILT_CLOTH, "quilt.cloth-too-narrow", 2,                                          \
      "Take wider cloth, or let the wide pieces run along it.")                          \
    /* scrap */                                                                          \
    X(SCRAP_OUTLINE_TOO_FEW, "scrap.outline-too-few", 2,                                 \
      "An outline needs three corners or more that are not all in one line.")            \
    X(SCRAP_OUTLINE_TOO_MANY, "scrap.outline-too-many", 2,                               \
      "Draw it with fewer corners, or leave the smallest holes out.")                    \
    X(SCRAP_OUTLINE_TOO_LARGE, "scrap.outline-too-large", 2,                             \
      "A scrap may be up to 5 m long. Check the unit, or give it in parts.")             \
    X(SCRAP_OUTLINE_CROSSES, "scrap.outline-crosses", 2,                                 \
      "Drag the corner back so that the edge runs round the scrap once.")                \
    X(SCRAP_HOLE_OUTSIDE, "scrap.hole-outside", 2,                                       \
      "Move the hole into the scrap, or remove it.")                                     \
    X(SCRAP_UNIT, "scrap.unit", 2, "Give a unit of 1/4 in or more, and up to 5 m.")      \
    X(SCRAP_REQUEST, "scrap.request", 2,                                                 \
      "Put the cutting settings back to their usual values, or give others.")            \
    X(SCRAP_RULER, "scrap.ruler", 2,                                                     \
      "Measure the ruler again: cutting length, width, slots and their pitch.")          \
    X(SCRAP_PITCH_CANNOT, "scrap.pitch-cannot", 2,                                       \
      "Choose a unit that this ruler can cut, or a plain ruler.")                        \
    X(SCRAP_WANT, "scrap.want", 2,                                                       \
      "Give each wanted size a length, a width and a value above zero.")                 \
    X(SCRAP_GUILLOTINE_TOO_FINE, "scrap.guillotine-too-fine", 2,                         \
      "Round the wanted sizes to 1/8 in or 2 mm, or ask for fewer at once.")             \
    X(SCRAP_LINE_MISSES, "scrap.line-misses", 1,                                         \
      "Draw the line right across the scrap, from edge to edge.")                        \
    X(SCRAP_APART, "scrap.apart", 1,                                                     \
      "Join only pieces that touch; move the outlines together first.")                  \
    X(SCRAP_PLAN_WRONG, "scrap.plan-wrong", 1,                                           \
      "This is a fault of the program. Do not cut by this plan.")                        \
    /* plan */                                                                           \
    X(PLAN_KIND, "plan.kind-without-place", 1,                                           \
      "The design may have changed since these blocks were made. Leave them for "        \
      "another quilt, or bring the design back.")                                        \
    X(PLAN_PIN_PLACE, "plan.pin-place-taken", 2,                                         \
      "Pin one block at a place; take one of the pins off.")                             \
    X(PLAN_PIN_BLOCK, "plan.pin-block-twice", 2,                                         \
      "Pin a block at one place; take one of its pins off.")                             \
    X(PLAN_PIN_KIND, "plan.pin-does-not-belong", 2,                                      \
      "Pin the block at a place of its own kind, turned as the design draws it.")        \
    X(PLAN_NO_PLACE, "plan.no-such-place", 2,                                            \
      "Places count from 1, row then column; blocks have their numbers in the "          \
      "list.")                                                                           \
    X(PLAN_FABRIC, "plan.fabric-unknown", 1,                                             \
      "Look at the fabrics of that block again; one is not in the book any "             \
      "more.")                                                                           \
    X(PLAN_TOO_MANY, "plan.too-many-blocks", 1,                                          \
      "Arrange up to 8192 blocks at once: a part of the quilt, then the next.")          \
    X(PLAN_WEIGHTS, "plan.weights", 2, "Give each weight from 0 to 10; 1 is usual.")     \
    X(PLAN_MEMORY, "plan.out-of-memory", 1,                                              \
      "Close other programs, or arrange fewer blocks at once.")                          \
    /* photo */                                                                          \
    X(PHOTO_EMPTY_FILE, "photo.empty-file", 1,                                           \
      "The file holds nothing. Take it from the phone again.")                           \
    X(PHOTO_NOT_A_PICTURE, "photo.not-a-picture", 1,                                     \
      "Choose a photo: a JPEG or PNG file as the phone makes it.")                       \
    X(PHOTO_HEIC, "photo.heic", 1,                                                       \
      "Set the phone's camera to its most compatible format (JPEG), or share the photo " \
      "as a JPEG.")                                                                      \
    X(PHOTO_TOO_LARGE, "photo.too-large", 1,                                             \
      "Photos under 64 megapixels and 64 MB are read. Set the phone to a smaller size.") \
    X(PHOTO_TOO_SMALL, "photo.too-small", 1,                                             \
      "Choose the photo itself, not its thumbnail.")                                     \
    X(PHOTO_TRUNCATED, "photo.truncated", 1,                                             \
      "The file breaks off or is damaged. Take it from the phone again.")                \
    X(PHOTO_UNDECODABLE, "photo.undecodable", 1,                                         \
      "The file may be damaged. Open it on the phone, save it as a new photo, and take " \
      "that.")                                                                           \
    X(PHOTO_NO_CARD, "photo.no-card", 1,                                                 \
      "Lay the whole measuring card beside the scraps, flat, all four corners in view "  \
      "and sharp.")                                                                      \
    X(PHOTO_HALF_CARD, "photo.half-card", 1,                                             \
      "Take it again with the whole card in view and nothing lying on it.")              \
    X(PHOTO_TOO_FAR, "photo.too-far", 1,                                                 \
      "Go nearer, so that the card fills a fifth of the picture's width.")               \
    X(PHOTO_CARDS_CLASH, "photo.cards-clash", 1,                                         \
      "Lay one card of each kind, printed at the same size, and no mirror or picture "   \
      "of one.")                                                                         \
    X(PHOTO_NOTHING_THERE, "photo.nothing-there", 1,                                     \
      "Tap on the fabric itself, at two places far apart, or draw its outline.")         \
    X(PHOTO_POINTS, "photo.points", 2,                                                   \
      "Tap the four corners in turn: top left, top right, bottom right, bottom left.")   \
    X(PHOTO_KEPT_DIFFERS, "photo.kept-differs", 1,                                       \
      "The kept picture was changed. Measure the photo again.")                          \
    /* draw */                                                                           \
    X(DRAW_FAILED, "draw.failed", 1,                                                     \
      "Try again; if it stays, choose a smaller picture or fewer pages.")                \
    X(DRAW_PAPER_UNKNOWN, "draw.paper-unknown", 2, "Choose a4 or letter.")               \
    X(DRAW_PICTURE_UNREADABLE, "draw.picture-unreadable", 1,                             \
      "Give a JPEG or PNG picture of at most 64 megapixels.")                            \
    /* store */                                                                          \
    X(STORE_NO_BOOK, "store.no-book", 1,                                                 \
      "Check the name, or start without --book to make a new book.")                     \
    X(STORE_NOT_A_BOOK, "store.not-a-book", 1,                                           \
      "Choose another file; this one was left as it is.")                                \
    X(STORE_NEWER, "store.newer", 1,                                                     \
      "Bring this program up to date, then open the book again.")                        \
    X(STORE_READ_ONLY, "store.read-only", 1,                                             \
      "Copy the book into a folder that you may write to, and open the copy.")           \
    X(STORE_BUSY, "store.busy", 1,                                                       \
      "Another program is writing to the book. Close it or wait, then try again.")       \
    X(STORE_ELSEWHERE, "store.elsewhere", 1,                                             \
      "Close Motley on that machine. If it can have the book no more, remove the file "  \
      "with .lock behind the book's name, then try again.")                              \
    X(STORE_FULL, "store.full", 1,                                                       \
      "Nothing was changed. Make room on the disk, then try again.")                     \
    X(STORE_MEMORY, "store.memory", 1,                                                   \
      "Nothing was changed. Close other programs, then try again.")                      \
    X(STORE_DAMAGED, "store.damaged", 1,                                                 \
      "Take a copy back (motley copies, then motley restore NAME; or Settings on the "   \
      "page), or save what can be read with motley salvage NEW-FILE. Keep the damaged "  \
      "file until that has worked.")                                                     \
    X(STORE_EXISTS, "store.exists", 1, "Choose another name, or move that file away.")   \
    X(STORE_UNKNOWN, "store.unknown", 1,                                                 \
      "It may have been removed or undone on another device; look again.")               \
    X(STORE_NAME_TAKEN, "store.name-taken", 1, "Choose another name.")                   \
    X(STORE_PLACE_TAKEN, "store.place-taken", 1,                                         \
      "Choose a free place, or take the other block off first.")                         \
    X(STORE_PHOTO_KNOWN, "store.photo-known", 1,                                         \
      "Its scraps are in the book already; remove that photo first to do it anew.")      \
    X(STORE_NOTHING_TO_UNDO, "store.nothing-to-undo", 1,                                 \
      "Everything that could be undone has been.")                                       \
    X(STORE_NOTHING_TO_REDO, "store.nothing-to-redo", 1,                                 \
      "Redo works right after undo, before the next change.")                            \
    X(STORE_UNDO_CONFLICT, "store.undo-conflict", 1,                                     \
      "Nothing was changed. Mend it by hand, by a new change.")                          \
    X(STORE_SENT_BEFORE, "store.sent-before", 1,                                         \
      "Nothing needs doing; it was not done twice.")                                     \
    X(STORE_UNREADABLE, "store.unreadable", 1,                                           \
      "Choose a folder that motley export has written.")                                 \
    /* app */                                                                            \
    X(APP_DONE_UNSEEN, "app.done-unseen", 1,                                             \
      "It is in the book. Look at the page again before doing it once more.")            \
    X(APP_FIELD_MISSING, "app.field-missing", 2,                                         \
      "Add it; motley --help shows each command's flags.")                               \
    X(APP_FIELD_WRONG, "app.field-wrong", 2, "Correct that one; nothing was changed.")   \
    X(APP_NO_SCRAP, "app.no-scrap", 1,                                                   \
      "motley measure lists the scraps with their numbers.")                             \
    X(APP_NO_PHOTO, "app.no-photo", 1, "The list of photos has their numbers.")          \
    X(APP_NO_FABRIC, "app.no-fabric", 1,                                                 \
      "motley basket lists the fabrics with their numbers.")                             \
    X(APP_NO_SOURCE, "app.no-source", 1, "motley basket lists the sources.")             \
    X(APP_NO_QUILT, "app.no-quilt", 1,                                                   \
      "Quilts on the page, or motley quilt list, names them.")                           \
    X(APP_QUILT_EXISTS, "app.quilt-exists", 1,                                           \
      "Choose another name, or close or delete that quilt first.")                       \
    X(APP_NO_PLACE, "app.no-place", 1, "Places count from 1: row, then column.")         \
    X(APP_PLACE_MADE, "app.place-made", 1,                                               \
      "It is crossed off already; undo it first if that was a slip.")                    \
    X(APP_PLACE_OPEN, "app.place-open", 1, "There is nothing to undo at this place.")    \
    X(APP_NO_KIND, "app.no-kind", 1,                                                     \
      "motley quilt show lists the kinds with their names.")                             \
    X(APP_BASKET_SHORT, "app.basket-short", 1,                                           \
      "Put squares in first, or correct the count of the basket.")                       \
    X(APP_BASKET_EMPTY, "app.basket-empty", 1,                                           \
      "Put squares in first: cut scraps, or add a counted number.")                      \
    X(APP_QUILT_CLOSED, "app.quilt-closed", 1,                                           \
      "Start a new quilt, or undo the closing.")                                         \
    X(APP_QUILT_DONE, "app.quilt-done", 1,                                               \
      "Every place is crossed off. Close the quilt when it is finished.")                \
    X(APP_BOOK_NOT_EMPTY, "app.book-not-empty", 1,                                       \
      "Give a new file with --book; the demo never goes into a maker's own book.")       \
    X(APP_NO_RENDER, "app.no-sheet", 2, "motley print --help lists the sheets.")         \
    X(APP_NO_RULER, "app.no-ruler", 1,                                                   \
      "motley tools lists your rulers; motley ruler add describes one.")                 \
    X(APP_CHART_TOO_LARGE, "app.chart-too-large", 1,                                     \
      "Cross blocks off on the page instead.")                                           \
    X(APP_NO_ITEM, "app.no-item", 1, "motley buy lists the lines of the shopping list.") \
    X(APP_NO_STEP, "app.no-step", 1,                                                     \
      "motley assemble and motley finish list the steps of a quilt.")                    \
    X(APP_SCRAP_CUT, "app.scrap-cut", 1,                                                 \
      "It was cut already; undo that first if it was a slip.")                           \
    X(APP_CHANGED_MEANWHILE, "app.changed-meanwhile", 1,                                 \
      "Look at it as it is now, and mend it again if it still needs it.")                \
    X(APP_NO_PLAN, "app.photo-not-kept", 1,                                              \
      "Measure the photo again; its picture is kept from then on.")                      \
    X(APP_NO_BLOCKS, "app.no-blocks", 1,                                                 \
      "Cross blocks off on the chart first; those that are made can be arranged.")       \
    X(APP_NO_BLOCK, "app.no-block", 1,                                                   \
      "Each block has its number on the wall and on the printed map.")                   \
    X(APP_BLOCK_SIZE, "app.block-size", 1, "Cross its blocks off on the chart.")         \
    X(APP_PLACE_EMPTY, "app.place-empty", 1, "Choose a place where a block lies.")       \
    X(APP_KINDS_DIFFER, "app.kinds-differ", 1,                                           \
      "Blocks change places with blocks of their own kind.")                             \
    X(APP_TURN_WRONG, "app.turn-wrong", 1,                                               \
      "Only blocks that look alike when turned may be turned where they lie.")           \
    X(APP_NO_NETWORK, "app.no-network", 1,                                               \
      "Connect this machine to the Wi-Fi at home, then ask for a new code.")             \
    X(APP_NOT_LAN, "app.not-lan", 1,                                                     \
      "Let phones and tablets in under Devices in Settings, or start motley serve "      \
      "--lan.")                                                                          \
    X(APP_NOT_SERVING, "app.not-serving", 1,                                             \
      "Start it with motley serve --open, or say with --port where it listens.")         \
    X(APP_SERVICE, "app.service", 1,                                                     \
      "See what systemctl --user status motley says. motley serve works without it.")    \
    X(APP_PAIR_CODE, "app.pair-code", 1,                                                 \
      "A code holds for five minutes and for one device. Ask for a new one: Settings, "  \
      "or motley pair.")                                                                 \
    X(APP_NO_DEVICE, "app.no-device", 1, "motley devices lists those that are paired.")  \
    /* web */                                                                            \
    X(WEB_PORT_IN_USE, "web.port-in-use", 1,                                             \
      "Motley may run already: motley open opens its page. Or choose another port with " \
      "--port.")                                                                         \
    X(WEB_NO_ADDRESS, "web.no-address", 1,                                               \
      "Choose another port with --port, above 1023, or leave --lan out.")                \
    X(WEB_NO_SUCH_PAGE, "web.no-such-page", 2, "Start at the first page, /.")            \
    X(WEB_NO_SUCH_JOB, "web.no-such-job", 1,                                             \
      "Results are kept for ten minutes. Start it again.")                               \
    X(WEB_METHOD, "web.method", 2, "The header Allow names what may be done here.")      \
    X(WEB_TARGET, "web.target", 2,                                                       \
      "Ask for a path such as /api/basket, with what is not plain written as %XX in "    \
      "UTF-8.")                                                                          \
    X(WEB_HEADERS, "web.headers", 2,                                                     \
      "Send one Host, and one Content-Length with each body.")                           \
    X(WEB_HEADERS_LARGE, "web.headers-large", 2, "Keep all headers under 32 KiB.")       \
    X(WEB_HOST, "web.host", 2, "Open the address that motley serve printed.")            \
    X(WEB_ORIGIN, "web.origin", 2,                                                       \
      "Only Motley's own page may do this. Open the address that motley serve "          \
      "printed.")                                                                        \
    X(WEB_LENGTH_REQUIRED, "web.length-required", 2,                                     \
      "Say how long the body is with Content-Length.")                                   \
    X(WEB_BODY_LARGE, "web.body-large", 2,                                               \
      "A photo may have 32 MiB, anything else 1 MiB. Save the photo smaller.")           \
    X(WEB_BODY_TYPE, "web.body-type", 2,                                                 \
      "Send photos as JPEG or PNG (on a phone: camera format \"most compatible\"), "     \
      "anything else as application/json.")                                              \
    X(WEB_BODY_UNREADABLE, "web.body-unreadable", 2, "Send one JSON object.")            \
    X(WEB_FILE_NAMED, "web.file-named", 2,                                               \
      "Send what is in the file instead of its name.")                                   \
    X(WEB_NOT_PAIRED, "web.not-paired", 1,                                               \
      "On the computer that runs Motley, motley open lets its own browser in. Other "    \
      "devices are paired there: Settings, or motley pair.")                             \
    X(WEB_GUESSES, "web.guesses", 1, "Wait a minute, then scan a new code.")             \
    X(WEB_BUSY, "web.busy", 1, "Wait until the work under way is done, or cancel it.")   \
    /* end */

typedef enum motley_error {
#define MOTLEY_ERROR_ENUM(name, code, status, hint) MOTLEY_ERROR_##name,
    MOTLEY_ERRORS(MOTLEY_ERROR_ENUM)
#undef MOTLEY_ERROR_ENUM
        MOTLEY_ERROR_COUNT
} motley_error;

#define MOTLEY_ERROR (motley_error_quark())
GQuark motley_error_quark(void);

/** The stable code of an error, such as "photo.no-card"; "internal" for foreign ones. */
const char *motley_error_code(const GError *error);

/** How to mend it, one or two sentences. Never NULL. */
const char *motley_error_hint(const GError *error);

/** 1 for what failed, 2 for wrong usage. */
int motley_error_exit_status(const GError *error);
