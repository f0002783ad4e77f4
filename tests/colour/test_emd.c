#include "test.h"

#include "base/random.h"
#include "colour/emd.h"

#include <glpk.h>

enum { N = 6 };

static void random_weights(motley_random *random, int n, double w[static N])
{
    double sum = 0;
    for (int i = 0; i < n; i++) {
        /* some of them nothing, as a solver must bear */
        w[i] =
            motley_random_below(random, 5) == 0 && i > 0 ? 0 : motley_random_unit(random);
        sum += w[i];
    }
    for (int i = 0; i < n; i++)
        w[i] /= sum;
}

/* The transportation problem as a linear programme, solved by GLPK's simplex method. */
static double by_simplex(int m, int n, const double *from, const double *to,
                         const double *cost)
{
    glp_prob *lp = glp_create_prob();
    glp_set_obj_dir(lp, GLP_MIN);
    glp_add_rows(lp, m + n);
    glp_add_cols(lp, m * n);
    for (int i = 0; i < m; i++)
        glp_set_row_bnds(lp, i + 1, GLP_FX, from[i], from[i]);
    /* the last column's sum follows from the others */
    for (int j = 0; j < n; j++)
        glp_set_row_bnds(lp, m + j + 1, j + 1 < n ? GLP_FX : GLP_FR, to[j], to[j]);
    for (int i = 0; i < m; i++) {
        for (int j = 0; j < n; j++) {
            int col = i * n + j + 1;
            int rows[3] = { 0, i + 1, m + j + 1 };
            double ones[3] = { 0, 1, 1 };
            glp_set_col_bnds(lp, col, GLP_LO, 0, 0);
            glp_set_obj_coef(lp, col, cost[i * n + j]);
            glp_set_mat_col(lp, col, 2, rows, ones);
        }
    }
    glp_smcp parameters;
    glp_init_smcp(&parameters);
    parameters.msg_lev = GLP_MSG_OFF;
    assert_int_equal(glp_simplex(lp, &parameters), 0);
    assert_int_equal(glp_get_status(lp), GLP_OPT);
    double best = glp_get_obj_val(lp);
    glp_delete_prob(lp);
    return best;
}

static void it_is_the_optimum_of_the_linear_programme(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 5);
    for (int round = 0; round < 3000; round++) {
        int m = 1 + (int)motley_random_below(&random, N);
        int n = 1 + (int)motley_random_below(&random, N);
        double from[N], to[N], cost[N * N];
        random_weights(&random, m, from);
        random_weights(&random, n, to);
        for (int i = 0; i < m * n; i++) /* whole numbers often tie */
            cost[i] = round % 2 ? motley_random_below(&random, 6)
                                : 20 * motley_random_unit(&random);
        double got = colour_emd(m, n, from, to, cost);
        double want = by_simplex(m, n, from, to, cost);
        if (fabs(got - want) > 1e-7)
            fail_msg("round %d, %d x %d: %.9f, by simplex %.9f", round, m, n, got, want);
    }
}

static double apart(int m, double p[][2], const double *wp, int n, double q[][2],
                    const double *wq)
{
    double cost[N * N];
    for (int i = 0; i < m; i++)
        for (int j = 0; j < n; j++)
            cost[i * n + j] = hypot(p[i][0] - q[j][0], p[i][1] - q[j][1]);
    return colour_emd(m, n, wp, wq, cost);
}

static void it_is_a_metric_over_a_metric(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 6);
    for (int round = 0; round < 2000; round++) {
        double at[3][N][2], w[3][N];
        for (int k = 0; k < 3; k++) {
            random_weights(&random, N, w[k]);
            for (int i = 0; i < N; i++) {
                at[k][i][0] = motley_random_unit(&random);
                at[k][i][1] = motley_random_unit(&random);
            }
        }
        double ab = apart(N, at[0], w[0], N, at[1], w[1]);
        double ba = apart(N, at[1], w[1], N, at[0], w[0]);
        double bc = apart(N, at[1], w[1], N, at[2], w[2]);
        double ac = apart(N, at[0], w[0], N, at[2], w[2]);
        assert_true(apart(N, at[0], w[0], N, at[0], w[0]) < 1e-9);
        assert_true(fabs(ab - ba) < 1e-9);
        assert_true(ab > 0);
        assert_true(ac <= ab + bc + 1e-9);
    }
}

/* In one dimension it is the area between the two running sums. */
static void on_a_line_it_is_the_area_between_the_sums(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 7);
    for (int round = 0; round < 500; round++) {
        double p[N], q[N], cost[N * N], want = 0, sum = 0;
        random_weights(&random, N, p);
        random_weights(&random, N, q);
        for (int i = 0; i < N; i++)
            for (int j = 0; j < N; j++)
                cost[i * N + j] = abs(i - j);
        for (int i = 0; i < N; i++) {
            sum += p[i] - q[i];
            want += fabs(sum);
        }
        assert_true(fabs(colour_emd(N, N, p, q, cost) - want) < 1e-9);
    }
}

static void weights_need_not_sum_to_one(void **state)
{
    (void)state;
    const double a[2] = { 30, 10 }, b[2] = { 1, 3 }, cost[4] = { 0, 2, 2, 0 };
    assert_true(fabs(colour_emd(2, 2, a, b, cost) - 1) < 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_the_optimum_of_the_linear_programme),
        cmocka_unit_test(it_is_a_metric_over_a_metric),
        cmocka_unit_test(on_a_line_it_is_the_area_between_the_sums),
        cmocka_unit_test(weights_need_not_sum_to_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
