/* Decoding in a process of its own: what it gives, what it may, and what happens when it
 * dies. The same pictures and refusals as without it are held by "photo load apart". */
#include "test.h"

#include "base/error.h"
#include "photo/apart-internal.h"
#include "scene.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

/* --- what a process that is shut in may do -------------------------------------------
 */

static int try_to_read_a_file(void)
{
    return open("/etc/passwd", O_RDONLY) < 0;
}

static int try_to_write_a_file(void)
{
    return open("/tmp/motley-was-here", O_WRONLY | O_CREAT, 0600) < 0;
}

static int try_to_list_a_folder(void)
{
    return opendir("/") == NULL;
}

static int try_to_reach_the_network(void)
{
    return socket(AF_INET, SOCK_STREAM, 0) < 0;
}

static int try_to_reach_a_neighbour(void)
{
    return socket(AF_UNIX, SOCK_STREAM, 0) < 0;
}

static int try_to_start_a_process(void)
{
    pid_t child = fork();
    if (child == 0)
        _exit(0);
    return child < 0;
}

static int try_to_run_a_program(void)
{
    execl("/bin/true", "true", (char *)NULL);
    return 1; /* still here */
}

static int try_to_kill(void)
{
    return kill(getppid(), 0) != 0;
}

static int try_to_remove_a_file(void)
{
    return unlink("/tmp/motley-was-never-here") != 0 && errno == EPERM;
}

static void *nothing(void *data)
{
    return data;
}

static int threads_still_work(void)
{
    pthread_t thread;
    return pthread_create(&thread, NULL, nothing, NULL) == 0 &&
           pthread_join(thread, NULL) == 0;
}

static void a_process_that_is_shut_in_can_do_nothing_but_compute(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        int (*holds)(void);
    } cases[] = {
        { "read a file", try_to_read_a_file },
        { "write a file", try_to_write_a_file },
        { "list a folder", try_to_list_a_folder },
        { "reach the network", try_to_reach_the_network },
        { "reach a neighbour", try_to_reach_a_neighbour },
        { "start a process", try_to_start_a_process },
        { "run a program", try_to_run_a_program },
        { "kill", try_to_kill },
        { "remove a file", try_to_remove_a_file },
        { "start a thread", threads_still_work },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(cases); i++) {
        pid_t child = fork();
        if (child == 0)
            _exit(photo_shut_in() && cases[i].holds() ? 0 : 1);
        int status = 0;
        waitpid(child, &status, 0);
        if (!WIFEXITED(status) || WEXITSTATUS(status) != 0)
            fail_msg("%s: status %d", cases[i].what, status);
    }
}

/* --- when it dies --------------------------------------------------------------------
 */

/* The parent of a process by /proc/PID/stat (proc(5)); 0 when there is none. */
static pid_t parent_of(const char *pid)
{
    g_autofree char *path = g_strdup_printf("/proc/%s/stat", pid);
    g_autofree char *text = NULL;
    if (!g_file_get_contents(path, &text, NULL, NULL))
        return 0;
    const char *after_name = strrchr(text, ')');
    int parent = 0;
    return after_name != NULL && sscanf(after_name, ") %*c %d", &parent) == 1 ? parent
                                                                              : 0;
}

/* Kills every grandchild of this process: those that decode. */
static int kill_grandchildren(void)
{
    int killed = 0;
    g_autoptr(GDir) processes = g_dir_open("/proc", 0, NULL);
    for (const char *name; (name = g_dir_read_name(processes)) != NULL;) {
        pid_t parent = g_ascii_isdigit(name[0]) ? parent_of(name) : 0;
        if (parent <= 1)
            continue;
        g_autofree char *starter = g_strdup_printf("%d", parent);
        if (parent_of(starter) == getpid())
            killed += kill(atoi(name), SIGKILL) == 0;
    }
    return killed;
}

static atomic_bool done;

static void *kill_one(void *data)
{
    (void)data;
    while (!atomic_load(&done) && kill_grandchildren() == 0)
        g_usleep(500);
    return NULL;
}

static GBytes *large_photo(void)
{
    scene drawn;
    scene_default(&drawn);
    drawn.noise = 0;
    return scene_jpeg(&drawn, 90, 1);
}

static void a_decoder_that_dies_costs_that_photo_and_nothing_else(void **state)
{
    (void)state;
    g_autoptr(GBytes) file = large_photo();
    g_autoptr(GError) error = NULL;
    bool refused = false;
    /* It may be done before it is killed. */
    for (int i = 0; i < 50 && !refused; i++) {
        pthread_t killer;
        atomic_store(&done, false);
        pthread_create(&killer, NULL, kill_one, NULL);
        g_autoptr(photo_picture) picture =
            photo_load_bytes(file, PHOTO_SIDE_PX, NULL, &error);
        atomic_store(&done, true);
        pthread_join(killer, NULL);
        refused = picture == NULL;
    }
    assert_true(refused);
    assert_string_equal(motley_error_code(error), "photo.undecodable");

    g_clear_error(&error);
    g_autoptr(photo_picture) next = photo_load_bytes(file, PHOTO_SIDE_PX, NULL, &error);
    assert_non_null(next);
}

static void it_stops_when_told(void **state)
{
    (void)state;
    g_autoptr(GBytes) file = large_photo();
    g_autoptr(GError) error = NULL;
    atomic_bool stop = false;
    const photo_watch watch = { .stop = &stop };
    g_autoptr(photo_picture) kept = photo_load_bytes(file, 4000, &watch, &error);
    assert_non_null(kept);
    atomic_store(&stop, true);
    assert_null(photo_decode_apart(file, 4000, &watch, &error));
    assert_string_equal(motley_error_code(error), "cancelled");
}

static void *load_some(void *data)
{
    for (int i = 0; i < 5; i++) {
        g_autoptr(photo_picture) picture =
            photo_load_bytes(data, PHOTO_SIDE_PX, NULL, NULL);
        if (picture == NULL)
            return NULL;
    }
    return data;
}

static void many_photos_at_once_get_each_their_own(void **state)
{
    (void)state;
    GBytes *files[4];
    pthread_t threads[4];
    for (int i = 0; i < 4; i++) {
        scene drawn;
        scene_default(&drawn);
        drawn.width = 640 + 16 * i;
        drawn.height = 480;
        files[i] = scene_jpeg(&drawn, 90, 1);
        pthread_create(&threads[i], NULL, load_some, files[i]);
    }
    for (int i = 0; i < 4; i++) {
        void *well;
        pthread_join(threads[i], &well);
        assert_non_null(well);
        g_autoptr(photo_picture) picture =
            photo_load_bytes(files[i], PHOTO_SIDE_PX, NULL, NULL);
        assert_int_equal(picture->width, 640 + 16 * i);
        g_bytes_unref(files[i]);
    }
}

int main(void)
{
    photo_apart_start(); /* before a drawn photo starts threads */
    if (!photo_apart_runs())
        return 1;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_process_that_is_shut_in_can_do_nothing_but_compute),
        cmocka_unit_test(a_decoder_that_dies_costs_that_photo_and_nothing_else),
        cmocka_unit_test(it_stops_when_told),
        cmocka_unit_test(many_photos_at_once_get_each_their_own),
    };
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    photo_apart_stop();
    return failed;
}
