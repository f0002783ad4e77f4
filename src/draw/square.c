#include "draw/square-internal.h"

#include <math.h>

draw_point draw_square_at(const draw_square *square, double s, double t)
{
    const draw_square *q = square;
    return (draw_point){ (length)lround(q->x + s * q->right_x + t * q->down_x),
                         (length)lround(q->y + s * q->right_y + t * q->down_y) };
}

draw_square draw_square_turned(const draw_square *square, int turn)
{
    draw_square q = *square;
    for (int i = 0; i < (turn & 3); i++)
        q = (draw_square){ q.x + q.right_x, q.y + q.right_y, q.down_x,
                           q.down_y,        -q.right_x,      -q.right_y };
    return q;
}

void draw_patch_corners(const draw_square *square, int n, int i, draw_point ret[static 4])
{
    double left = (double)(i % n) / n, right = (double)(i % n + 1) / n;
    double top = (double)(i / n) / n, bottom = (double)(i / n + 1) / n;
    ret[0] = draw_square_at(square, left, top);
    ret[1] = draw_square_at(square, right, top);
    ret[2] = draw_square_at(square, right, bottom);
    ret[3] = draw_square_at(square, left, bottom);
}

draw_pieces draw_patch_pieces(const quilt_patch *patch,
                              const draw_point corners[static 4])
{
    const draw_point a = corners[0], b = corners[1], c = corners[2], d = corners[3];
    switch ((quilt_split)patch->split) {
    case QUILT_RISING:
        return (draw_pieces){ 2, 3, { { a, b, d }, { b, c, d } } };
    case QUILT_FALLING:
        return (draw_pieces){ 2, 3, { { a, b, c }, { a, c, d } } };
    case QUILT_WHOLE:
        break;
    }
    return (draw_pieces){ 1, 4, { { a, b, c, d } } };
}
