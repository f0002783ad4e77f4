#include "server_fixture.h"

fixture *fixture_start(const web_limits *limits, bool lan)
{
    fixture *f = g_new0(fixture, 1);
    f->app = fake_app_new();
    web_options options = { .quiet = true, .lan = lan };
    g_autoptr(GError) error = NULL;
    f->server = web_server_start_limited(f->app, &options, limits, &error);
    if (f->server == NULL)
        fail_msg("%s", error->message);
    f->port = web_server_port(f->server);
    client_token = FAKE_APP_TOKEN;
    return f;
}

void fixture_stop(fixture *f)
{
    web_server_stop(f->server);
    fake_app_free(f->app);
    g_free(f);
}

int fixture_setup(void **state)
{
    *state = fixture_start(&web_limits_default, false);
    return 0;
}

int fixture_teardown(void **state)
{
    fixture_stop(*state);
    return 0;
}
