/* web/jobs-internal.h: the queue for what may take over 50 ms, worked off by two threads.
 * Thread-safe. */
#pragma once

#include "app/app.h"
#include "web/seat-internal.h"

typedef struct web_jobs web_jobs;
typedef struct web_job web_job;

/** What a job is to do: an action, or else a sheet to draw. */
typedef struct web_work {
    const app_action *action;
    char *sheet; /* "chart.pdf" */
    json_t *request;
    char *temporary; /* a file to be removed when the job is over; or NULL */
} web_work;

/** Frees what it holds and removes its file. */
void web_work_clear(web_work *work);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(web_work, web_work_clear)

/**
 * @changed  called after each job whose action changes the book
 *
 * Stop with web_jobs_stop(), then free with web_jobs_free().
 */
web_jobs *web_jobs_new(app *self, void (*changed)(void *data), void *data);

/** Cancels every job and waits for the threads; nothing can be submitted any more. */
void web_jobs_stop(web_jobs *jobs);
void web_jobs_free(web_jobs *jobs);

/**
 * Queues the work. Refuses with WEB_BUSY when too much waits already.
 *
 * @work  emptied when it was queued
 *
 * Unref the job with web_job_unref().
 */
web_job *web_jobs_submit(web_jobs *jobs, web_work *work, GError **error);

/** The job of that id, or NULL with WEB_NO_SUCH_JOB; unref with web_job_unref(). What is
 * over is kept for ten minutes, and no more than 64 of them. */
web_job *web_jobs_find(web_jobs *jobs, const char *id, GError **error);

web_job *web_job_ref(web_job *job);
void web_job_unref(web_job *job);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(web_job, web_job_unref)

/** Random, so that it cannot be guessed. Lives as long as the job. */
const char *web_job_id(const web_job *job);

/** {job, state, done, doing} and, when over, result or error; free with json_decref(). */
json_t *web_job_document(web_job *job);

/** Tells the seat progress, done and failed as they happen; ends it when it is over. */
void web_job_tell(web_job *job, web_seat *seat);

/** Suspends the seat's connection until the job is over, to be called by its access
 * handler. Returns false at once when it is over, or when the seat has ended. */
bool web_job_wait(web_job *job, web_seat *seat);

/** Asks it to end; one that waits is over at once. */
void web_job_cancel(web_job *job);

/**
 * What a sheet's job has drawn.
 *
 * @ret_over  whether it is over; when not, NULL is returned without an error
 *
 * Free with g_bytes_unref().
 */
GBytes *web_job_sheet(web_job *job, const char **ret_type, bool *ret_over,
                      GError **error);
