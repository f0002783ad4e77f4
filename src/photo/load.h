/* photo/load.h: a photo from a file. */
#pragma once

#include "photo/watch.h"

#include <stdint.h>

enum {
    PHOTO_BYTES_MAX = 64 << 20,  /* of a file */
    PHOTO_PIXELS_MAX = 64000000, /* this many and more are refused before decoding */
    PHOTO_CAMERA_SIZE = 96,
};

/** A photo in memory, upright and usually reduced: the tags and a plan of 48 pixels an
 * inch need no more than about 3 MP. */
typedef struct photo_picture {
    int width, height; /* of the upright picture as stored in the file */
    int shrink;        /* side of one of our pixels in pixels of the file: 1, 2, 4 or 8 */
    int columns, rows; /* ours; column c and row r cover (c..c+1, r..r+1) * shrink */
    uint8_t *rgb;      /* rows x columns x 3, sRGB; owned */
    double focal_px;   /* focal length by EXIF in pixels of the file; 0 when unknown */
    char camera[PHOTO_CAMERA_SIZE]; /* maker and model by EXIF; "" when unknown */
    GBytes *file; /* the bytes as they came, so that it can be loaded again larger */
} photo_picture;

/**
 * Loads a JPEG or PNG photo: two loaders are enough, and each more is more to trust. EXIF
 * orientation
 * is applied; grey, CMYK, 16 bits, transparency (on white) and colour profiles all become
 * 8-bit sRGB.
 *
 * @path   the file
 * @watch  or NULL
 *
 * Returns the picture, free with photo_picture_free(); NULL with an error:
 * file.unreadable; photo.empty-file; photo.not-a-picture (also a GIF, whatever it is
 * called); photo.heic; photo.too-large, by its header, before decoding; photo.truncated;
 * photo.too-small, under 64 pixels a side; photo.undecodable (photo/apart.h); cancelled.
 */
photo_picture *photo_load(const char *path, const photo_watch *watch,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same from bytes in memory, reduced so that its long side is at least @side_px
 * where the file has that many (photo_load() asks for PHOTO_SIDE_PX). */
photo_picture *photo_load_bytes(GBytes *file, int side_px, const photo_watch *watch,
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;
enum { PHOTO_SIDE_PX = 1900 };

/** Frees a picture; NULL is nothing. */
void photo_picture_free(photo_picture *picture);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(photo_picture, photo_picture_free)

/** Encodes rows x columns x 3 sRGB bytes as a baseline JPEG; quality 1 to 100. Returns
 * the bytes, free with g_bytes_unref(); NULL with internal. */
GBytes *photo_jpeg(int columns, int rows, const uint8_t *rgb, int quality,
                   GError **error) G_GNUC_WARN_UNUSED_RESULT;
