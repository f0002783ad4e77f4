/* web/server-internal.h: what the parts of a running server share. */
#pragma once

#include "web/door-internal.h"
#include "web/events-internal.h"
#include "web/files-internal.h"
#include "web/guesses-internal.h"
#include "web/jobs-internal.h"
#include "web/memo-internal.h"
#include "web/seat-internal.h"
#include "web/web.h"

#include <stdatomic.h>

enum {
    WEB_DAEMONS = 4, /* a thread each */
};

struct web_server {
    app *app;
    bool verbose, quiet;
    web_limits limits;
    char **names;         /* that the page may be asked for by */
    char **network_names; /* those too, while it listens to the network */
    bool always_lan;      /* was started so */
    atomic_bool lan;      /* listens to the network too */
    GMutex moving;        /* held while that changes, and over what follows */
    bool ending;
    char *folder; /* for photos on their way */
    char *start;  /* part of etags, for revisions of two books may be the same */
    web_door *door;
    web_files *files;
    web_memo *memo;
    web_guesses *guesses;
    web_hall *hall;
    web_events *events;
    web_jobs *jobs;
    struct MHD_Daemon *daemons[WEB_DAEMONS];
};

/** web_server_start() with other limits. */
web_server *web_server_start_limited(app *self, const web_options *options,
                                     const web_limits *limits, GError **error);

/** To be called after each change of the book: listens to the network, or to this machine
 * alone, as its settings say now, and tells the pages. */
void web_server_book_changed(web_server *server);

/** One line on standard error, with the time before it. */
void web_log(const char *format, ...) G_GNUC_PRINTF(1, 2);
