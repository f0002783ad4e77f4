/* Teeth and bites are taken off straight sides, and nothing else is touched: held by
 * drawn rings whose true shape is known. */
#include "test.h"

#include "photo/outline-internal.h"

enum { SIDE = 120, N = 4 * SIDE };

/* A square walked with its inside to the left as the table sees it: rows run down, so on
 * the picture it goes right along its lower side first. */
static void square(photo_point p[static N])
{
    for (int i = 0; i < SIDE; i++) {
        p[i] = (photo_point){ i, SIDE };
        p[SIDE + i] = (photo_point){ SIDE, SIDE - i };
        p[2 * SIDE + i] = (photo_point){ SIDE - i, 0 };
        p[3 * SIDE + i] = (photo_point){ 0, i };
    }
}

static double worst_off(const photo_point *a, const photo_point *b, int n)
{
    double worst = 0;
    for (int i = 0; i < n; i++)
        worst = fmax(worst, hypot(a[i].x - b[i].x, a[i].y - b[i].y));
    return worst;
}

static void the_ring_runs_as_those_of_masks_do(void **state)
{
    (void)state;
    photo_point p[N];
    square(p);
    const photo_ring ring = { N, p };
    assert_true(photo_ring_area(&ring) > 0);
}

static void a_plain_square_keeps_its_sides_and_corners(void **state)
{
    (void)state;
    photo_point p[N], want[N];
    square(p);
    square(want);
    photo_ring_straighten(N, p);
    assert_true(worst_off(p, want, N) < 1e-9);
}

static void a_tooth_and_a_bite_are_taken_off(void **state)
{
    (void)state;
    photo_point p[N], want[N];
    square(p);
    square(want);
    for (int i = 55; i < 61; i++)
        p[i].y += 3; /* outward, below the lower side */
    for (int i = 2 * SIDE + 50; i < 2 * SIDE + 60; i++)
        p[i].y += 6; /* inward, below the upper side */
    photo_ring_straighten(N, p);
    assert_true(worst_off(p, want, N) < 0.3);
}

static void a_deep_notch_and_a_wide_bay_stay(void **state)
{
    (void)state;
    photo_point p[N], want[N];
    square(p);
    for (int i = 55; i < 61; i++)
        p[i].y -= 12;
    for (int i = 2 * SIDE + 40; i < 2 * SIDE + 80; i++)
        p[i].y += 7;
    memcpy(want, p, sizeof p);
    photo_ring_straighten(N, p);
    assert_true(worst_off(p, want, N) < 0.3);
}

static void a_circle_stays_round(void **state)
{
    (void)state;
    photo_point p[N], want[N];
    for (int i = 0; i < N; i++) {
        double a = -2 * G_PI * i / N;
        p[i] =
            (photo_point){ 100 + N / (2 * G_PI) * cos(a), 100 + N / (2 * G_PI) * sin(a) };
    }
    memcpy(want, p, sizeof p);
    photo_ring_straighten(N, p);
    assert_true(worst_off(p, want, N) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_ring_runs_as_those_of_masks_do),
        cmocka_unit_test(a_plain_square_keeps_its_sides_and_corners),
        cmocka_unit_test(a_tooth_and_a_bite_are_taken_off),
        cmocka_unit_test(a_deep_notch_and_a_wide_bay_stay),
        cmocka_unit_test(a_circle_stays_round),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
