#include "test.h"

#include "photo/homography.h"

/* Random pairs of points and where OpenCV 4.6.0 maps three others by the homography that
 * it fits to them: cv2.getPerspectiveTransform for four pairs, cv2.findHomography(p, q,
 * 0) for more, whose pairs carry noise of 0.7 px. */
static const struct {
    int count;
    photo_point from[16], to[16], other[3], want[3];
} opencv[] = {
    { 4,
      { { 3.56, -0.9 }, { -0.42, 3.57 }, { 1.15, -1.4 }, { -2, -0.26 } },
      { { 1742.06, 1183.32 },
        { 1453.78, 683.44 },
        { 1565.96, 1242.82 },
        { 1328.42, 1122.47 } },
      { { -1.4, -0.5 }, { -4.1, -2.9 }, { -4.8, -1.4 } },
      { { 1374.721, 1148.502 }, { 1163.819, 1424.724 }, { 1106.967, 1257.748 } } },
    { 4,
      { { 0.47, 1.66 }, { -0.75, -3.12 }, { -1.88, -0.05 }, { 3.2, -1.85 } },
      { { 1670.39, 453.05 },
        { 1656.10, 1079.98 },
        { 1595.83, 692.12 },
        { 1794.69, 884.01 } },
      { { 2, 0.4 }, { 4.4, -0.4 }, { 2.7, 3.1 } },
      { { 1734.755, 600.885 }, { 1829.968, 683.925 }, { 1742.831, 247.892 } } },
    { 5,
      { { -1.4, 2.94 }, { 0.87, 3.37 }, { 2.19, 3.48 }, { 2.75, 1.67 }, { -0.63, 0.63 } },
      { { 1386.84, 1753.45 },
        { 1402.83, 1764.89 },
        { 1417.02, 1788.21 },
        { 1469.95, 2020.73 },
        { 1457.85, 2063.39 } },
      { { -3.5, 3.3 }, { 2.5, -0.5 }, { -3.9, -0.4 } },
      { { 1349.389, 1645.656 }, { 1523.612, 2278.170 }, { 1446.061, 2110.900 } } },
    { 6,
      { { -1.6, -0.68 },
        { -2.22, 3.23 },
        { -2.15, 0.28 },
        { 2.03, -3.94 },
        { -0.19, -1.11 },
        { 2.07, 1.21 } },
      { { 1416.65, 1346.59 },
        { 1133.87, 1011.93 },
        { 1281.31, 1259.52 },
        { 2175.73, 1665.88 },
        { 1670.60, 1397.79 },
        { 1948.62, 1226.20 } },
      { { 4.4, -4.1 }, { 1.8, -3.7 }, { 2.5, 1 } },
      { { 2598.865, 1711.739 }, { 2125.683, 1641.923 }, { 2032.735, 1249.241 } } },
    { 8,
      { { 0.97, 2.06 },
        { 3.58, 1.75 },
        { 3.91, -0.13 },
        { 0.86, 1.08 },
        { -2.41, 2.56 },
        { -3.06, -3.14 },
        { 3.93, -0.51 },
        { 1.94, -3.47 } },
      { { 1575.64, 990.26 },
        { 1944.98, 1074.86 },
        { 2075.66, 1275.83 },
        { 1604.56, 1089.98 },
        { 1092.00, 870.78 },
        { 1260.61, 1451.12 },
        { 2094.46, 1315.83 },
        { 1960.06, 1586.34 } },
      { { -1, -3.8 }, { -0.9, -1.3 }, { 1.6, -0.9 } },
      { { 1572.825, 1561.737 }, { 1472.744, 1302.276 }, { 1795.871, 1310.446 } } },
    { 12,
      { { -1.16, 2.75 },
        { -2.12, 2.23 },
        { -3.43, -2.61 },
        { -3.16, -0.51 },
        { 3.21, 3.4 },
        { -0.29, -2.58 },
        { 1.08, 2.25 },
        { -0.07, -3.64 },
        { -1.65, -3.09 },
        { 2.37, 3.32 },
        { 3.02, -2.92 },
        { -3.47, 3.62 } },
      { { 1324.58, 924.89 },
        { 1219.51, 980.87 },
        { 1132.18, 1459.87 },
        { 1135.54, 1256.47 },
        { 1807.20, 840.50 },
        { 1483.95, 1426.17 },
        { 1584.46, 961.40 },
        { 1517.84, 1518.11 },
        { 1338.69, 1484.57 },
        { 1715.54, 850.33 },
        { 1831.97, 1423.32 },
        { 1035.63, 845.89 } },
      { { 0.1, 2.9 }, { 4, -3.3 }, { -4.8, -0.9 } },
      { { 1468.010, 902.692 }, { 1933.286, 1447.537 }, { 945.283, 1310.146 } } },
    { 16,
      { { 0.83, 2.54 },
        { -2, 1.79 },
        { -3.46, 0.93 },
        { -1.46, -0.35 },
        { -2.99, -2.05 },
        { -2.09, -1.58 },
        { -2.43, -1.54 },
        { 2.28, 0.19 },
        { -0.97, -2.39 },
        { -0.39, -0.88 },
        { -0.88, -1.02 },
        { -2.38, 2.14 },
        { -1.68, 2.84 },
        { 2.75, 2.33 },
        { -3.47, 3.23 },
        { 1.14, 3.54 } },
      { { 1538.63, 1304.79 },
        { 1287.58, 1420.33 },
        { 1148.38, 1540.12 },
        { 1286.96, 1687.38 },
        { 1121.33, 1914.91 },
        { 1207.72, 1848.79 },
        { 1180.34, 1847.03 },
        { 1609.60, 1592.70 },
        { 1283.51, 1944.32 },
        { 1364.29, 1746.46 },
        { 1320.09, 1767.49 },
        { 1263.49, 1378.94 },
        { 1337.89, 1283.83 },
        { 1694.61, 1317.47 },
        { 1197.60, 1248.21 },
        { 1586.08, 1175.91 } },
      { { 4.9, 3.7 }, { 0.7, -2.4 }, { -0.4, 3.7 } },
      { { 1901.505, 1128.829 }, { 1422.278, 1933.090 }, { 1462.026, 1166.925 } } },
    { 16,
      { { 1.83, 3.57 },
        { 1.64, 2.34 },
        { -1.38, -3.62 },
        { -0.07, -3.53 },
        { -0.86, -3.71 },
        { 0.98, 2.38 },
        { 3.27, -1.23 },
        { 1.82, -3.82 },
        { -3.38, 2.43 },
        { 0.73, -3.32 },
        { 0.53, 0.71 },
        { 2.2, -3.72 },
        { -1.89, -1.95 },
        { -1.52, 3.29 },
        { 2.87, -2.89 },
        { -2.11, -2.19 } },
      { { 1754.09, 439.16 },
        { 1782.05, 569.60 },
        { 1598.95, 1211.88 },
        { 1796.16, 1210.13 },
        { 1683.20, 1226.33 },
        { 1682.04, 559.62 },
        { 2193.92, 977.42 },
        { 2097.47, 1257.46 },
        { 1018.48, 514.61 },
        { 1908.37, 1191.67 },
        { 1690.45, 738.66 },
        { 2151.71, 1249.04 },
        { 1441.87, 1016.40 },
        { 1263.40, 437.13 },
        { 2212.54, 1160.71 },
        { 1419.91, 1043.55 } },
      { { -2.8, 0.8 }, { 1.9, 3 }, { 0.5, 3.8 } },
      { { 1178.714, 700.338 }, { 1790.885, 500.592 }, { 1545.526, 401.105 } } },
};

static void fits_agree_with_opencv(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(opencv); i++) {
        double h[9];
        assert_true(
            photo_homography_fit(opencv[i].count, opencv[i].from, opencv[i].to, h));
        for (int j = 0; j < 3; j++) {
            photo_point got;
            assert_true(photo_homography_map(h, opencv[i].other[j], &got));
            double off = hypot(got.x - opencv[i].want[j].x, got.y - opencv[i].want[j].y);
            /* OpenCV reads four pairs as floats. */
            if (off > 0.01)
                fail_msg("set %zu, point %d: off by %.4f px", i, j, off);
        }
    }
}

static void a_map_and_its_inverse_give_the_point_back(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(opencv); i++) {
        double h[9], back[9];
        assert_true(
            photo_homography_fit(opencv[i].count, opencv[i].from, opencv[i].to, h));
        assert_true(photo_homography_invert(h, back));
        for (int j = 0; j < opencv[i].count; j++) {
            photo_point there, here;
            assert_true(photo_homography_map(h, opencv[i].from[j], &there));
            assert_true(photo_homography_map(back, there, &here));
            assert_true(
                hypot(here.x - opencv[i].from[j].x, here.y - opencv[i].from[j].y) < 1e-9);
        }
    }
}

static void points_on_a_line_fix_no_map(void **state)
{
    (void)state;
    static const photo_point square[4] = { { 0, 0 }, { 1, 0 }, { 1, 1 }, { 0, 1 } };
    static const photo_point three_in_line[4] = {
        { 0, 0 }, { 1, 1 }, { 2, 2 }, { 0, 1 }
    };
    static const photo_point in_line[4] = { { 0, 0 }, { 1, 1 }, { 2, 2 }, { 3, 3 } };
    static const photo_point one_point[4] = { { 1, 1 }, { 1, 1 }, { 1, 1 }, { 1, 1 } };
    double h[9];
    assert_false(photo_homography_fit(4, square, three_in_line, h));
    assert_false(photo_homography_fit(4, three_in_line, square, h));
    assert_false(photo_homography_fit(4, in_line, square, h));
    assert_false(photo_homography_fit(4, square, in_line, h));
    assert_false(photo_homography_fit(4, one_point, square, h));
    assert_false(photo_homography_fit(3, square, square, h));
    assert_true(photo_homography_fit(4, square, square, h));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fits_agree_with_opencv),
        cmocka_unit_test(a_map_and_its_inverse_give_the_point_back),
        cmocka_unit_test(points_on_a_line_fix_no_map),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
