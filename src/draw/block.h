/* draw/block.h: blocks and whole designs as they look in fabric. */
#pragma once

#include "draw/scene.h"
#include "quilt/layout.h"
#include "quilt/size.h"

/** A fabric as it is drawn: a picture of it, or a plain weave in its colour; or a grey
 * that follows the medium, of cloth that nobody has seen or that shall stand back.
 * Borrowed. */
typedef struct draw_fabric {
    colour_srgb8 colour;
    draw_picture *picture; /* repeated like cloth; NULL paints the colour alone */
    length repeat;         /* how wide on the drawing one repeat of the picture is */
    draw_ink ink;          /* DRAW_NONE: the colour */
} draw_fabric;

/**
 * Draws a block as sewn: patches edge to edge with hairlines between.
 *
 * @block    as the design draws it
 * @fabrics  of each patch two, block->side squared pairs row by row: the whole patch or
 *           the triangle of role[0], then that of role[1]; NULL is the grey of its role
 * @turn     quarter turns clockwise
 */
void draw_block(draw_scene *scene, const quilt_block *block,
                const draw_fabric *const fabrics[], length x, length y, length side,
                int turn);

/** One block as a scene of its own, side x side. Free with draw_scene_free(). */
draw_scene *draw_block_scene(const quilt_block *block, const draw_fabric *const fabrics[],
                             int turn, length side, const char *title);

/** What a laid out design is sewn of. */
typedef struct draw_cloth {
    /**
     * The fabrics of the block at a place, as draw_block() takes them; NULL is greys.
     * Places are asked for once each, in the order of the layout.
     *
     * @place  index in the layout's places
     * @turn   the layout's on the way in; how the block lies on the way out
     */
    const draw_fabric *const *(*block)(void *data, int place, int *turn);
    void *data;
    const draw_fabric *role[QUILT_ROLES]; /* of sashes, setting and borders; NULL: grey */
} draw_cloth;

/**
 * A design laid out and sewn: blocks, sashes, setting triangles and borders, in true
 * proportion, with its upper left corner at left, top.
 *
 * @layout  of this design
 * @frame   its sizes; quilt_frame_make() gives them
 * @sizes   of this frame
 * @width   of the drawing
 *
 * Returns its height.
 */
length draw_quilt(draw_scene *scene, const quilt_design *design,
                  const quilt_layout *layout, const quilt_frame *frame,
                  const quilt_sizes *sizes, const draw_cloth *cloth, length left,
                  length top, length width);

/** How high draw_quilt() comes out. */
length draw_quilt_height(const quilt_sizes *sizes, length width);

/** Fabrics to choose from for each role; roles without any are painted grey. */
typedef struct draw_cloths {
    int count[QUILT_ROLES];
    const draw_fabric *fabrics[QUILT_ROLES]; /* count of each */
} draw_cloths;

/**
 * draw_quilt() as a scene of its own. Scraps are chosen by the seed, never the fabric of
 * the patch to the left or above where there is another.
 *
 * Returns NULL with an error of quilt_frame_sizes(). Free with draw_scene_free().
 */
draw_scene *draw_design_scene(const quilt_design *design, const quilt_layout *layout,
                              const quilt_frame *frame, const draw_cloths *cloths,
                              uint64_t seed, length width, GError **error);

/** The same on a scene that there is, with its upper left corner at left, top. */
gboolean draw_design(draw_scene *scene, const quilt_design *design,
                     const quilt_layout *layout, const quilt_frame *frame,
                     const draw_cloths *cloths, uint64_t seed, length left, length top,
                     length width, GError **error) G_GNUC_WARN_UNUSED_RESULT;
