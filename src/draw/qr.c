#include "draw/qr.h"

#include <qrencode.h>

char **draw_qr_rows(const char *text)
{
    QRcode *code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);
    g_assert(code != NULL); /* so short a text always fits */
    char **rows = g_new0(char *, code->width + 1);
    for (int r = 0; r < code->width; r++) {
        rows[r] = g_new0(char, code->width + 1);
        for (int c = 0; c < code->width; c++)
            rows[r][c] = code->data[r * code->width + c] & 1 ? '1' : '0';
    }
    QRcode_free(code);
    return rows;
}
