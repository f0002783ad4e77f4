/* cli/reference.h: the manual page and the completions of shells, written from the one
 * table of commands, so that none can lag behind. The build runs these; see
 * packaging/reference.c. */
#pragma once

#include <stdio.h>

/** motley.1, for man. */
void cli_write_manual(FILE *out);

/** What bash, zsh and fish complete after "motley". */
void cli_write_bash(FILE *out);
void cli_write_zsh(FILE *out);
void cli_write_fish(FILE *out);
