#include "apart-internal.h"

#include "base/error.h"
#include "photo/memory-internal.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

enum {
    LOOK_MS = 20,        /* between looks whether the work shall stop */
    WAIT_MS = 30 * 1000, /* for one photo, on a machine busy with others */
    MESSAGE_SIZE = 240,
};

/* What the starter is asked for, with the three files of a task. */
typedef struct task {
    int32_t side_px;
} task;

enum { TASK_PHOTO, TASK_PIXELS, TASK_ANSWER, TASK_FILES };

/* What the decoding process says. The pixels lie in the file that it was given. */
typedef struct answer {
    int32_t error; /* of the table; -1: none */
    char message[MESSAGE_SIZE];
    int32_t width, height, shrink, columns, rows;
    double focal_px;
    char camera[PHOTO_CAMERA_SIZE];
} answer;

static int starter = -1; /* our end of the socket to it */
static pid_t starter_pid;
static GMutex asking;

/* --- files over a socket -------------------------------------------------------------
 */

static bool send_files(int socket, const void *bytes, size_t size, const int *files,
                       int n)
{
    union {
        struct cmsghdr header;
        char room[CMSG_SPACE(TASK_FILES * sizeof(int))];
    } control = { 0 };
    struct iovec part = { (void *)bytes, size };
    struct msghdr message = { .msg_iov = &part,
                              .msg_iovlen = 1,
                              .msg_control = &control,
                              .msg_controllen = CMSG_SPACE((size_t)n * sizeof(int)) };
    struct cmsghdr *header = CMSG_FIRSTHDR(&message);
    header->cmsg_level = SOL_SOCKET;
    header->cmsg_type = SCM_RIGHTS;
    header->cmsg_len = CMSG_LEN((size_t)n * sizeof(int));
    memcpy(CMSG_DATA(header), files, (size_t)n * sizeof(int));
    ssize_t sent;
    do
        sent = sendmsg(socket, &message, MSG_NOSIGNAL);
    while (sent < 0 && errno == EINTR);
    return sent == (ssize_t)size;
}

static bool receive_files(int socket, void *bytes, size_t size, int *files, int n)
{
    union {
        struct cmsghdr header;
        char room[CMSG_SPACE(TASK_FILES * sizeof(int))];
    } control;
    struct iovec part = { bytes, size };
    struct msghdr message = { .msg_iov = &part,
                              .msg_iovlen = 1,
                              .msg_control = &control,
                              .msg_controllen = sizeof control };
    ssize_t received;
    do
        received = recvmsg(socket, &message, MSG_CMSG_CLOEXEC);
    while (received < 0 && errno == EINTR);
    struct cmsghdr *header = received > 0 ? CMSG_FIRSTHDR(&message) : NULL;
    if (header == NULL || header->cmsg_type != SCM_RIGHTS ||
        header->cmsg_len != CMSG_LEN((size_t)n * sizeof(int)))
        return false;
    memcpy(files, CMSG_DATA(header), (size_t)n * sizeof(int));
    return received == (ssize_t)size;
}

/* --- the decoding process ------------------------------------------------------------
 */

static GBytes *map_photo(int file)
{
    off_t size = lseek(file, 0, SEEK_END);
    void *bytes =
        size > 0 ? mmap(NULL, (size_t)size, PROT_READ, MAP_PRIVATE, file, 0) : MAP_FAILED;
    return bytes == MAP_FAILED ? NULL : g_bytes_new_static(bytes, (gsize)size);
}

static bool hand_over_pixels(const photo_picture *picture, int file)
{
    size_t size = (size_t)picture->columns * (size_t)picture->rows * 3;
    if (ftruncate(file, (off_t)size) != 0)
        return false;
    void *to = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
    if (to == MAP_FAILED)
        return false;
    memcpy(to, picture->rgb, size);
    return true;
}

static void fill_answer(const photo_picture *picture, const GError *error, answer *says)
{
    says->error = error != NULL ? error->code : -1;
    if (error != NULL) {
        g_strlcpy(says->message, error->message, sizeof says->message);
        return;
    }
    says->width = picture->width;
    says->height = picture->height;
    says->shrink = picture->shrink;
    says->columns = picture->columns;
    says->rows = picture->rows;
    says->focal_px = picture->focal_px;
    memcpy(says->camera, picture->camera, sizeof says->camera);
}

G_GNUC_NORETURN static void decode_and_end(const task *asked, const int *files)
{
    if (!photo_shut_in())
        _exit(1);
    GError *error = NULL;
    g_autoptr(GBytes) photo = map_photo(files[TASK_PHOTO]);
    photo_picture *picture =
        photo == NULL ? NULL : photo_decode_here(photo, asked->side_px, NULL, &error);
    if (picture == NULL && error == NULL)
        _exit(1);
    if (picture != NULL && !hand_over_pixels(picture, files[TASK_PIXELS]))
        _exit(1);
    answer says = { 0 };
    fill_answer(picture, error, &says);
    _exit(write(files[TASK_ANSWER], &says, sizeof says) == sizeof says ? 0 : 1);
}

/* --- the starter ---------------------------------------------------------------------
 */

static void close_files(const int *files, int n)
{
    for (int i = 0; i < n; i++)
        close(files[i]);
}

/* Forks a decoding process for each task and sends back a handle by which it can be
 * ended; ends when nobody can ask any more. It has done nothing but prepare, so its forks
 * start at once and hold nothing of the maker's. */
G_GNUC_NORETURN static void start_decoders(int socket)
{
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    signal(SIGINT, SIG_IGN); /* the terminal's Ctrl-C is for the one who asks */
    bool prepared = false;
    task asked;
    int files[TASK_FILES];
    while (receive_files(socket, &asked, sizeof asked, files, TASK_FILES)) {
        if (!prepared)
            photo_decode_prepare();
        prepared = true;
        /* Those that ended before. Not at once: a process that is quick to refuse must
         * still be there when its handle is asked for. */
        while (waitpid(-1, NULL, WNOHANG) > 0)
            ;
        pid_t child = fork();
        if (child == 0) {
            close(socket);
            decode_and_end(&asked, files);
        }
        close_files(files, TASK_FILES);
        int handle = child < 0 ? -1 : (int)syscall(SYS_pidfd_open, child, 0);
        int shown = handle >= 0 ? handle : socket;
        bool told =
            send_files(socket, &(int32_t){ handle >= 0 }, sizeof(int32_t), &shown, 1);
        if (handle >= 0)
            close(handle);
        if (!told)
            break;
    }
    _exit(0);
}

void photo_apart_start(void)
{
    int ends[2];
    if (starter >= 0 || socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends) != 0)
        return;
    starter_pid = fork();
    if (starter_pid == 0) {
        close(ends[0]);
        start_decoders(ends[1]);
    }
    close(ends[1]);
    if (starter_pid < 0)
        close(ends[0]);
    else
        starter = ends[0];
}

bool photo_apart_runs(void)
{
    return starter >= 0;
}

void photo_apart_stop(void)
{
    if (starter < 0)
        return;
    close(starter);
    starter = -1;
    kill(starter_pid, SIGKILL);
}

/* --- the one who asks ----------------------------------------------------------------
 */

static int photo_in_memory(GBytes *file)
{
    int fd = memfd_create("photo", MFD_CLOEXEC | MFD_ALLOW_SEALING);
    gsize size;
    const uint8_t *bytes = g_bytes_get_data(file, &size);
    for (gsize done = 0; fd >= 0 && done < size;) {
        ssize_t written = write(fd, bytes + done, size - done);
        if (written <= 0) {
            close(fd);
            return -1;
        }
        done += (gsize)written;
    }
    if (fd >= 0)
        fcntl(fd, F_ADD_SEALS, F_SEAL_SHRINK | F_SEAL_GROW | F_SEAL_WRITE | F_SEAL_SEAL);
    return fd;
}

/* The handle of a process at work on the task; below 0 when none could be started. */
static int start_one(const task *asked, const int *files)
{
    int32_t started = 0;
    int handle = -1;
    g_mutex_lock(&asking);
    bool told = send_files(starter, asked, sizeof *asked, files, TASK_FILES) &&
                receive_files(starter, &started, sizeof started, &handle, 1);
    g_mutex_unlock(&asking);
    if (told && !started) {
        close(handle);
        handle = -1;
    }
    return handle;
}

typedef enum outcome { ANSWERED, DIED, STOPPED } outcome;

static outcome wait_for_answer(int from, const photo_watch *watch, answer *ret_says)
{
    for (int waited = 0; waited < WAIT_MS; waited += LOOK_MS) {
        if (watch != NULL && watch->stop != NULL && atomic_load(watch->stop))
            return STOPPED;
        struct pollfd look = { .fd = from, .events = POLLIN };
        if (poll(&look, 1, LOOK_MS) > 0)
            /* An answer is shorter than what a pipe hands over in one piece (PIPE_BUF).
             */
            return read(from, ret_says, sizeof *ret_says) == sizeof *ret_says ? ANSWERED
                                                                              : DIED;
    }
    return DIED;
}

/* Whether what a decoding process says can be: it may have been taken over. */
static bool makes_sense(const answer *says, off_t pixel_bytes)
{
    const bool sizes_fit = says->width >= 64 && says->height >= 64 &&
                           (int64_t)says->width * says->height < PHOTO_PIXELS_MAX &&
                           (says->shrink == 1 || says->shrink == 2 || says->shrink == 4 ||
                            says->shrink == 8) &&
                           says->columns > 0 && says->rows > 0 &&
                           ABS((int64_t)says->columns * says->shrink - says->width) < 8 &&
                           ABS((int64_t)says->rows * says->shrink - says->height) < 8;
    return sizes_fit && (int64_t)says->columns * says->rows * 3 == pixel_bytes &&
           says->focal_px >= 0 && says->focal_px < 1e7 &&
           memchr(says->camera, '\0', sizeof says->camera) != NULL &&
           g_utf8_validate(says->camera, -1, NULL);
}

/* Codes that a decoding process may give: those of photos. */
static bool is_refusal(const answer *says)
{
    return says->error >= MOTLEY_ERROR_PHOTO_EMPTY_FILE &&
           says->error <= MOTLEY_ERROR_PHOTO_TRUNCATED &&
           memchr(says->message, '\0', sizeof says->message) != NULL &&
           g_utf8_validate(says->message, -1, NULL);
}

static photo_picture *take_over(const answer *says, int pixels, GBytes *file)
{
    off_t size = lseek(pixels, 0, SEEK_END);
    if (!makes_sense(says, size))
        return NULL;
    g_autoptr(photo_picture) picture = g_new0(photo_picture, 1);
    /* Hundreds of megabytes may be asked for, and not to be had. */
    picture->rgb = photo_memory_try((size_t)size);
    if (picture->rgb == NULL)
        return NULL;
    for (off_t done = 0; done < size;) {
        ssize_t got = pread(pixels, picture->rgb + done, (size_t)(size - done), done);
        if (got <= 0)
            return NULL;
        done += got;
    }
    picture->width = says->width;
    picture->height = says->height;
    picture->shrink = says->shrink;
    picture->columns = says->columns;
    picture->rows = says->rows;
    picture->focal_px = says->focal_px;
    memcpy(picture->camera, says->camera, sizeof picture->camera);
    picture->file = g_bytes_ref(file);
    return g_steal_pointer(&picture);
}

photo_picture *photo_hear_decoder(const void *said, size_t size, int pixels, GBytes *file,
                                  GError **error)
{
    answer says;
    photo_picture *picture = NULL;
    if (size == sizeof says) {
        memcpy(&says, said, sizeof says);
        if (is_refusal(&says)) {
            g_set_error_literal(error, MOTLEY_ERROR, says.error, says.message);
            return NULL;
        }
        if (says.error == -1)
            picture = take_over(&says, pixels, file);
    }
    if (picture == NULL)
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_UNDECODABLE,
                            "Reading the photo failed, and it was given up.");
    return picture;
}

static photo_picture *hear(outcome came, const answer *says, int pixels, GBytes *file,
                           GError **error)
{
    if (came == STOPPED) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_CANCELLED,
                            "It was stopped.");
        return NULL;
    }
    return photo_hear_decoder(says, came == ANSWERED ? sizeof *says : 0, pixels, file,
                              error);
}

photo_picture *photo_decode_apart(GBytes *file, int side_px, const photo_watch *watch,
                                  GError **error)
{
    int answers[2] = { -1, -1 };
    if (pipe2(answers, O_CLOEXEC) != 0)
        return photo_decode_here(file, side_px, watch, error);
    const int files[TASK_FILES] = {
        [TASK_PHOTO] = photo_in_memory(file),
        [TASK_PIXELS] = memfd_create("pixels", MFD_CLOEXEC),
        [TASK_ANSWER] = answers[1],
    };
    answer says = { 0 };
    outcome came = DIED;
    int process = -1;
    if (files[TASK_PHOTO] >= 0 && files[TASK_PIXELS] >= 0)
        process = start_one(&(task){ side_px }, files);
    close(answers[1]);
    if (process >= 0) {
        came = wait_for_answer(answers[0], watch, &says);
        /* Whatever it said, it is not to touch the pixels any more. */
        syscall(SYS_pidfd_send_signal, process, SIGKILL, NULL, 0);
        struct pollfd gone = { .fd = process, .events = POLLIN };
        poll(&gone, 1, WAIT_MS);
        close(process);
    }
    photo_picture *picture = hear(came, &says, files[TASK_PIXELS], file, error);
    close(answers[0]);
    if (files[TASK_PHOTO] >= 0)
        close(files[TASK_PHOTO]);
    if (files[TASK_PIXELS] >= 0)
        close(files[TASK_PIXELS]);
    return picture;
}
