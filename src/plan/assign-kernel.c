#include "plan/assign-internal.h"

/* Compilers make multiply-and-add instructions of the first; where the machine has wider
 * ones, the loader picks the clone for it. Sums are of whole numbers: alike everywhere.
 */
#if defined(__x86_64__) && defined(__gnu_linux__) && !defined(__clang__) &&              \
    !defined(__SANITIZE_ADDRESS__) /* clang 14 names clones so that callers miss them */
#define WIDEST __attribute__((target_clones("avx2", "default")))
#else
#define WIDEST
#endif

WIDEST
int64_t assign_dot16(size_t count, const int16_t *near_p, const int16_t *near_q,
                     const int16_t *weight_p, const int16_t *weight_q)
{
    int32_t sum = 0;
    for (size_t k = 0; k < count / ASSIGN_LANES * ASSIGN_LANES; k++) {
        int16_t nearer = (int16_t)(near_p[k] - near_q[k]);
        int16_t heavier = (int16_t)(weight_q[k] - weight_p[k]);
        sum += nearer * heavier;
    }
    return sum;
}

WIDEST
int64_t assign_dot32(size_t count, const int32_t *near_p, const int32_t *near_q,
                     const int32_t *weight_p, const int32_t *weight_q)
{
    int64_t sum = 0;
    for (size_t k = 0; k < count / ASSIGN_LANES * ASSIGN_LANES; k++)
        sum += (int64_t)(near_p[k] - near_q[k]) * (weight_q[k] - weight_p[k]);
    return sum;
}
