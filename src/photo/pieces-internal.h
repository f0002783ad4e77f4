/* photo/pieces-internal.h: from distances to separate pieces of cloth. */
#pragma once

#include "colour/signature.h"
#include "photo/outline-internal.h"
#include "photo/surface-internal.h"

/** Radii in inches that tell lines from cloth: a disc that grid lines and numerals lack,
 * the gaps between a print's fine stripes, the inscribed disc of a fragment too narrow to
 * be cloth by itself, and half of what parts such fragments of one scrap. */
#define PHOTO_LINE_IN 0.055
#define PHOTO_GAP_IN  0.03
#define PHOTO_THIN_IN 0.2
#define PHOTO_JOIN_IN 0.09

/** A first look at half the size: what is no part of the surface, grown by shadows and
 * loose threads, to learn the surface from the rest. Free with photo_bits_free(). */
photo_bits *photo_pieces_first_look(const photo_surface *surface, const photo_plan *plan);

/** What differs enough from the surface to be something, cleaned of grid lines. Learns
 * the surface's print on the way. Free with photo_bits_free(). */
photo_bits *photo_pieces_mask(photo_surface *surface);

/** An empty list of photo_piece that owns them. Free with g_ptr_array_unref(). */
GPtrArray *photo_pieces_new_list(void);

/**
 * The pieces of the mask, each closed and filled by itself, as photo_piece. What lies
 * along the photo's edge for more than 3 in is most often the table beyond a mat, and
 * left out; but what reaches into the photo as cloth does may be a scrap.
 *
 * @long_on_edge  a list by photo_pieces_new_list(): these are added to it
 *
 * Free with g_ptr_array_unref().
 */
GPtrArray *photo_pieces_from_mask(const photo_surface *surface, const photo_bits *mask,
                                  GPtrArray *long_on_edge);

/** Keeps the largest 4-connected part of a piece. */
void photo_piece_keep_largest(photo_piece *piece);

/** Decides the pixels near the edge of each piece anew, by its own colours against those
 * of the surface and its print. */
void photo_pieces_refine(const photo_surface *surface, GPtrArray *pieces);

/** Fills the holes of a piece that are small or unlike the surface, and keeps its largest
 * part. */
void photo_piece_tidy(const photo_surface *surface, photo_piece *piece);

/** Divides pieces that are scraps of different cloth side by side. */
void photo_pieces_split(const photo_surface *surface, GPtrArray *pieces);

/** How much of a disc round a place of the mask it fills: half beside a straight edge,
 * less at a corner, more where two outlines meet. */
double photo_piece_filled_round(const photo_bits *mask, double x, double y,
                                double radius_px);

/** How deep a traced piece is notched at both ends of a line that parts it in two, as the
 * outline of two scraps that touch is: how much of a disc of 0.25 in round either notch
 * it fills, added up. Beside an inner corner that turns by t degrees that is
 * 0.5 + t / 360; a strip that ends at a straight side turns by 180 at its two corners
 * together, so fills 1.5. A single scrap may be cut so too. 0 where it is under 1.3. */
double photo_piece_notched(const photo_piece *piece, int per_in);

/** A line between two points of a piece's outer ring at which it is notched. */
typedef struct photo_neck {
    int from, to; /* indices */
    double fill;  /* both, as photo_piece_notched() adds them up */
} photo_neck;

/** All such lines through a traced piece whose notches fill more than that, that part off
 * no less than so many square pixels and are shorter than so many times the root of what
 * they part off; the deepest first. Free with g_array_unref(). */
GArray *photo_piece_necks(const photo_piece *piece, int per_in, double least_fill,
                          double most_length, double least_px2);

/** The pixels of a piece on one side of a neck at which two scraps hang together; NULL
 * where it has none. Before a piece is closed, since closing fills its notches. Free with
 * photo_bits_free(). */
photo_bits *photo_piece_beside_neck(const photo_surface *surface,
                                    const photo_piece *piece);

/** Parts a piece in two: at the border of what is marked of it, but pixel by pixel where
 * colours tell, for a scrap that lies over another ends in a corner or in teeth. */
void photo_piece_cut(const photo_surface *surface, const photo_piece *piece,
                     const photo_bits *side, photo_piece *ret_parts[static 2]);

/** The colours of a piece well inside its edge. */
colour_signature photo_piece_colours(const photo_surface *surface,
                                     const photo_piece *piece);

/** Judges traced pieces: those without a sharp edge go to rejects, the others get what
 * is doubtful about them. */
void photo_pieces_verify(const photo_surface *surface, GPtrArray *pieces,
                         GPtrArray *rejects);
