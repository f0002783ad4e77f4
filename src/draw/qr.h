/* draw/qr.h: a text as a QR code (ISO/IEC 18004), for a phone's camera. */
#pragma once

#include <glib.h>

/**
 * The modules row by row, '1' dark and '0' light, without the quiet zone of four modules
 * that whoever draws it leaves around. Error correction of level M.
 *
 * @text  up to 1,000 bytes
 *
 * Free with g_strfreev().
 */
char **draw_qr_rows(const char *text);
