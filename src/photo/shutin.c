/* What a decoding process may still do: compute, and read and write what is open. */
#include "apart-internal.h"

#include <errno.h>
#include <linux/landlock.h>
#include <sched.h>
#include <seccomp.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#if defined(__SANITIZE_ADDRESS__)
#define UNDER_SANITIZER 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define UNDER_SANITIZER 1
#endif
#endif

enum { SECONDS_OF_PROCESSOR = 10 };

static void limit(int what, rlim_t most)
{
    setrlimit((__rlimit_resource_t)what, &(struct rlimit){ most, most });
}

static void set_limits(void)
{
    limit(RLIMIT_CORE, 0);
    limit(RLIMIT_CPU, SECONDS_OF_PROCESSOR);
    limit(RLIMIT_NOFILE, 16);
#ifndef UNDER_SANITIZER /* whose shadow memory needs terabytes of addresses */
    /* 64 MP of 16 bits, a progressive JPEG's coefficients, and stacks of threads */
    limit(RLIMIT_AS, (rlim_t)2 << 30);
#endif
}

/* Landlock with no rule: no path can be opened, made, run or removed. Older kernels lack
 * it; the filter of system calls below stands by itself. */
static void close_the_files(void)
{
    const struct landlock_ruleset_attr all = {
        .handled_access_fs = LANDLOCK_ACCESS_FS_EXECUTE | LANDLOCK_ACCESS_FS_WRITE_FILE |
                             LANDLOCK_ACCESS_FS_READ_FILE | LANDLOCK_ACCESS_FS_READ_DIR |
                             LANDLOCK_ACCESS_FS_REMOVE_DIR |
                             LANDLOCK_ACCESS_FS_REMOVE_FILE |
                             LANDLOCK_ACCESS_FS_MAKE_CHAR | LANDLOCK_ACCESS_FS_MAKE_DIR |
                             LANDLOCK_ACCESS_FS_MAKE_REG | LANDLOCK_ACCESS_FS_MAKE_SOCK |
                             LANDLOCK_ACCESS_FS_MAKE_FIFO |
                             LANDLOCK_ACCESS_FS_MAKE_BLOCK | LANDLOCK_ACCESS_FS_MAKE_SYM,
    };
    int rules = (int)syscall(SYS_landlock_create_ruleset, &all, sizeof all, 0);
    if (rules < 0)
        return;
    syscall(SYS_landlock_restrict_self, rules, 0);
    close(rules);
}

static bool allow(scmp_filter_ctx filter)
{
    const int calls[] = {
        /* memory */
        SCMP_SYS(brk),
        SCMP_SYS(mmap),
        SCMP_SYS(munmap),
        SCMP_SYS(mremap),
        SCMP_SYS(mprotect),
        SCMP_SYS(madvise),
        /* what is open already */
        SCMP_SYS(read),
        SCMP_SYS(pread64),
        SCMP_SYS(write),
        SCMP_SYS(writev),
        SCMP_SYS(close),
        SCMP_SYS(lseek),
        SCMP_SYS(fstat),
        SCMP_SYS(ftruncate),
        SCMP_SYS(poll),
        SCMP_SYS(ppoll),
        /* threads */
        SCMP_SYS(futex),
        SCMP_SYS(set_robust_list),
        SCMP_SYS(rseq),
        SCMP_SYS(gettid),
        SCMP_SYS(getpid),
        SCMP_SYS(exit),
        SCMP_SYS(exit_group),
        SCMP_SYS(sched_yield),
        SCMP_SYS(sched_getaffinity),
        SCMP_SYS(membarrier),
        SCMP_SYS(restart_syscall),
        /* to die by a signal of its own */
        SCMP_SYS(rt_sigaction),
        SCMP_SYS(rt_sigprocmask),
        SCMP_SYS(rt_sigreturn),
        SCMP_SYS(sigaltstack),
        SCMP_SYS(tgkill),
        /* the time, and chance */
        SCMP_SYS(clock_gettime),
        SCMP_SYS(clock_nanosleep),
        SCMP_SYS(nanosleep),
        SCMP_SYS(getrandom),
    };
    for (size_t i = 0; i < G_N_ELEMENTS(calls); i++)
        if (seccomp_rule_add(filter, SCMP_ACT_ALLOW, calls[i], 0) != 0)
            return false;
    /* A thread, but no process. What clone3 asks for cannot be looked at: it is said to
     * be missing, and the C library then takes clone. */
    return seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(clone), 1,
                            SCMP_A0(SCMP_CMP_MASKED_EQ, CLONE_THREAD, CLONE_THREAD)) ==
               0 &&
           seccomp_rule_add(filter, SCMP_ACT_ERRNO(ENOSYS), SCMP_SYS(clone3), 0) == 0;
}

bool photo_shut_in(void)
{
    set_limits();
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0)
        return false;
    close_the_files();
    /* Decoders ask for files that they can do without: those calls fail. */
    scmp_filter_ctx filter = seccomp_init(SCMP_ACT_ERRNO(EPERM));
    if (filter == NULL)
        return false;
    bool shut = allow(filter) && seccomp_load(filter) == 0;
    seccomp_release(filter);
    return shut;
}
