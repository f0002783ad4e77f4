/* tests/web/server_fixture.h: a server on a stand-in for app, for tests that talk to it.
 */
#pragma once

#include "client.h"
#include "fake_app.h"

#include "web/server-internal.h"

typedef struct fixture {
    app *app;
    web_server *server;
    int port;
} fixture;

/** Starts one with the limits, which lets the client in; NULL fails the test. Free with
 * fixture_stop(). */
fixture *fixture_start(const web_limits *limits, bool lan);
void fixture_stop(fixture *f);

/** A cmocka setup and teardown of a server with the usual limits. */
int fixture_setup(void **state);
int fixture_teardown(void **state);
