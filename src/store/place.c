#include "place-internal.h"

#include "base/error.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/magic.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/vfs.h>
#include <unistd.h>

enum {
    MACHINE_MOST = 512, /* bytes of a lock file that are read */
    TRIES = 50,
    PAUSE_US = 10 * 1000,
};

/* Numbers that linux/magic.h does not have are those of statfs(2). FUSE may be a disk of
 * this machine too, as may 9P between a machine and its guest: there the slower journal
 * costs little, and the wrong guess the other way could cost the book. */
static const struct {
    unsigned long f_type;
    const char *kind;
} kinds[] = {
    { NFS_SUPER_MAGIC, "nfs" },   { SMB_SUPER_MAGIC, "smb" },
    { 0xff534d42, "cifs" },       { 0xfe534d42, "smb2" },
    { FUSE_SUPER_MAGIC, "fuse" }, { AFS_SUPER_MAGIC, "afs" },
    { AFS_FS_MAGIC, "afs" },      { CODA_SUPER_MAGIC, "coda" },
    { NCP_SUPER_MAGIC, "ncp" },   { V9FS_MAGIC, "9p" },
    { CEPH_SUPER_MAGIC, "ceph" }, { OCFS2_SUPER_MAGIC, "ocfs2" },
};

const char *store_network_kind(unsigned long f_type)
{
    /* f_type is signed and of another width on some machines. */
    for (size_t i = 0; i < G_N_ELEMENTS(kinds); i++)
        if ((uint32_t)kinds[i].f_type == (uint32_t)f_type)
            return kinds[i].kind;
    return NULL;
}

static const char *network_of(const char *folder)
{
    struct statfs found;
    if (statfs(folder, &found) != 0)
        return NULL;
    return store_network_kind((unsigned long)found.f_type);
}

static char *machine(void)
{
    g_autofree char *id = NULL;
    if (!g_file_get_contents("/etc/machine-id", &id, NULL, NULL))
        id = g_strdup("-");
    return g_strdup_printf("%s\n%s\n", g_get_host_name(), g_strstrip(id));
}

const store_place store_place_here = { network_of, machine };

static char *lock_path(const char *book)
{
    return g_strconcat(book, ".lock", NULL);
}

/* Reads who holds it; empty when nobody has written a name yet. */
static gboolean read_holder(int fd, char text[static MACHINE_MOST])
{
    ssize_t got = pread(fd, text, MACHINE_MOST - 1, 0);
    text[MAX(got, 0)] = '\0';
    return got >= 0;
}

static gboolean write_holder(int fd, const char *text)
{
    size_t length = strlen(text);
    return pwrite(fd, text, length, 0) == (ssize_t)length && fsync(fd) == 0;
}

/* Whether the file is still the one by that name: the last holder takes it away, perhaps
 * just when we had opened it. */
static bool is_still_there(int fd, const char *path)
{
    struct stat ours, there;
    return fstat(fd, &ours) == 0 && stat(path, &there) == 0 &&
           ours.st_ino == there.st_ino && ours.st_dev == there.st_dev;
}

/* One try. Returns 1 when held, 0 to try again, -1 with errno, -2 when `holder` is
 * another. */
static int try_to_hold(int fd, const char *path, const char *text,
                       char holder[static MACHINE_MOST])
{
    if (flock(fd, LOCK_SH | LOCK_NB) != 0)
        return errno == EWOULDBLOCK ? 0 : -1;
    if (!is_still_there(fd, path))
        return 0;
    if (!read_holder(fd, holder))
        return -1;
    if (holder[0] == '\0') {
        /* New. Alone with it, write our name; who else wants to looks again. */
        if (flock(fd, LOCK_EX | LOCK_NB) != 0)
            return errno == EWOULDBLOCK ? 0 : -1;
        if (!is_still_there(fd, path) || !read_holder(fd, holder) || holder[0] != '\0')
            return 0;
        return write_holder(fd, text) && flock(fd, LOCK_SH) == 0 ? 1 : -1;
    }
    return strcmp(holder, text) == 0 ? 1 : -2;
}

static int fail_to_hold(const char *book, int result, int cause, char *holder,
                        GError **error)
{
    if (result == -2) {
        holder[strcspn(holder, "\n")] = '\0';
        g_autofree char *name = g_utf8_make_valid(holder, -1);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_ELSEWHERE,
                    "%s lies on a network disk, and the machine %s has it open", book,
                    name);
    } else if (result == 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_BUSY,
                    "%s.lock is held by another program", book);
    } else {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_READ_ONLY,
                    "%s lies on a network disk, and %s.lock cannot be made there: %s",
                    book, book, g_strerror(cause));
    }
    return -1;
}

int store_hold_begin(const char *book, const char *text, GError **error)
{
    g_autofree char *path = lock_path(book);
    char holder[MACHINE_MOST] = "";
    int result = 0, cause = 0;
    for (int i = 0; i < TRIES && result == 0; i++) {
        if (i > 0)
            g_usleep(PAUSE_US);
        int fd = open(path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0644);
        result = fd < 0 ? -1 : try_to_hold(fd, path, text, holder);
        cause = errno;
        if (result == 1)
            return fd;
        if (fd >= 0)
            close(fd);
    }
    return fail_to_hold(book, result, cause, holder, error);
}

void store_hold_end(const char *book, int fd)
{
    if (fd < 0)
        return;
    g_autofree char *path = lock_path(book);
    if (flock(fd, LOCK_EX | LOCK_NB) == 0 && is_still_there(fd, path))
        unlink(path);
    close(fd);
}
