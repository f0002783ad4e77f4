/* Whatever a maker types as a length is read or refused, and what is read stays in range.
 */
#include "base/length.h"
#include "base/error.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const length bares[] = { LENGTH_INCH, LENGTH_CM, LENGTH_MM, LENGTH_M, 1 };
    g_autofree char *text = g_strndup((const char *)data, size);
    for (size_t i = 0; i < G_N_ELEMENTS(bares); i++) {
        g_autoptr(GError) error = NULL;
        length x = -1;
        if (length_parse(text, bares[i], &x, &error))
            g_assert(x >= 0 && x <= LENGTH_MAX && error == NULL);
        else
            g_assert(x == -1 && error->domain == MOTLEY_ERROR);
        char shown[LENGTH_TEXT_SIZE], metric[LENGTH_TEXT_SIZE];
        if (x >= 0) {
            length again;
            length_text_in(x, 64, shown);
            g_assert(length_parse(shown, LENGTH_INCH, &again, NULL));
            g_assert(ABS(again - x) <= LENGTH_INCH / 128 + 1);
            length_text(x, LENGTH_METRIC, 8, metric);
            g_assert(length_parse(metric, LENGTH_INCH, &again, NULL));
            g_assert(ABS(again - x) <= LENGTH_MM / 2 + 1);
        }
    }
    return 0;
}
