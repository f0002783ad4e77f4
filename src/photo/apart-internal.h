/* apart-internal.h: between load.c, which decodes, and apart.c, which says where. */
#pragma once

#include "photo/apart.h"

/** Decodes in this process: what photo_load_bytes() promises, for bytes that were found
 * to be neither none nor too many. */
photo_picture *photo_decode_here(GBytes *file, int side_px, const photo_watch *watch,
                                 GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Makes the decoders ready, so that forks need not. */
void photo_decode_prepare(void);

/** The same in a process of its own; only where photo_apart_runs(). Also
 * photo.undecodable, when that process died or took too long. */
photo_picture *photo_decode_apart(GBytes *file, int side_px, const photo_watch *watch,
                                  GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Believes what a decoding process says as far as it can be: a picture, or a refusal with
 * a code of photos. It may have been taken over by the photo that it read, so anything
 * else is photo.undecodable.
 *
 * @said    as it came from its pipe, `size` bytes
 * @pixels  the file that it was given for them
 */
photo_picture *photo_hear_decoder(const void *said, size_t size, int pixels, GBytes *file,
                                  GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Shuts this process in for good: no file, no socket, no program, little memory and
 * processor time. What it has open stays usable. FALSE when the system has no filter of
 * system calls. */
bool photo_shut_in(void);
