/* Any bytes as a design: refused with a place, or read, laid out, shopped for, written
 * and read back alike. */
#include "base/error.h"
#include "quilt/buy.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void shop_for(const quilt_design *design)
{
    g_auto(quilt_layout) layout = { 0 };
    if (!quilt_layout_make(design, 4, 6, (quilt_start){ 1, 2 }, &layout, NULL))
        abort();
    quilt_frame frame = quilt_frame_make(design, 4, 6, LENGTH_INCH * 5 / 2, QUILT_SEAM);
    quilt_buying buying = quilt_buying_defaults();
    quilt_shopping shop;
    g_autoptr(GError) error = NULL;
    if (!quilt_shopping_make(design, &layout, &frame, &buying, &shop, &error) &&
        !g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_CLOTH))
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    quilt_design design, again;
    g_autoptr(GError) error = NULL;
    if (!quilt_design_parse((const char *)data, size, "fuzz", &design, &error)) {
        if (size <= QUILT_TEXT_MAX && !g_str_has_prefix(error->message, "line "))
            abort();
        return 0;
    }
    shop_for(&design);
    g_autofree char *text = quilt_design_write(&design);
    if (strlen(text) <= QUILT_TEXT_MAX &&
        (!quilt_design_parse(text, strlen(text), "fuzz", &again, NULL) ||
         !quilt_design_equal(&design, &again) || strcmp(design.about, again.about) != 0))
        abort();
    return 0;
}
