/* reference.c: writes motley.1 or the completion of a shell to standard output.
 *
 * usage: reference manual|bash|zsh|fish */
#include "cli/reference.h"

#include <string.h>

int main(int argc, char **argv)
{
    static const struct {
        const char *name;
        void (*write)(FILE *out);
    } texts[] = { { "manual", cli_write_manual },
                  { "bash", cli_write_bash },
                  { "zsh", cli_write_zsh },
                  { "fish", cli_write_fish } };
    for (size_t i = 0; argc == 2 && i < sizeof texts / sizeof *texts; i++) {
        if (strcmp(texts[i].name, argv[1]) == 0) {
            texts[i].write(stdout);
            return fflush(stdout) == 0 ? 0 : 1;
        }
    }
    fputs("usage: reference manual|bash|zsh|fish\n", stderr);
    return 2;
}
