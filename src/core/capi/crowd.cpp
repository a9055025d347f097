// SPDX-License-Identifier: MIT
// aplomb_balance_many: many corrections, on whatever threads the caller has.
#include "base/structs.h"

using namespace aplomb;

namespace {

struct Crowd {
    aplomb_job* jobs;
    int32_t count;
};

aplomb_status run_job(const aplomb_job& job, aplomb_error* error) {
    return job.frame ? aplomb_step(job.solver, job.state, job.situation, job.options, job.pace, job.frame,
                                   job.translations, job.rotations, job.result, error)
                     : aplomb_balance(job.solver, job.situation, job.options, job.translations, job.rotations,
                                      job.result, error);
}

/// Jobs in a row that share a solver are all run by the task of the first; the tasks of the others do nothing.
void run_from(void* work, int32_t index) {
    const Crowd& crowd = *static_cast<Crowd*>(work);
    const aplomb_solver* solver = crowd.jobs[index].solver;
    if (index > 0 && crowd.jobs[index - 1].solver == solver) return;
    for (int32_t i = index; i < crowd.count && crowd.jobs[i].solver == solver; ++i)
        crowd.jobs[i].status = run_job(crowd.jobs[i], nullptr);
}

/// A failed job has changed nothing and fails again in the same way. So it is run once more for its error,
/// and threads need not take turns at writing one.
aplomb_status tell_failure(const Crowd& crowd, aplomb_status gravest, aplomb_error* error) {
    int32_t i = 0;
    while (crowd.jobs[i].status >= 0)
        ++i;
    aplomb_error told{};
    run_job(crowd.jobs[i], &told);
    fail(error, static_cast<aplomb_status>(told.status), told.field, told.index, "jobs[%d]: %s", i,
         told.message);
    return gravest;
}

/// A job that wrote nothing is graver than any that wrote a pose.
aplomb_status graver(aplomb_status a, aplomb_status b) {
    if (a < 0 || b < 0) return a < 0 ? a : b;
    return a > b ? a : b;
}

} // namespace

aplomb_status aplomb_balance_many(aplomb_job* jobs, int32_t job_count, aplomb_run_tasks run, void* user,
                                  aplomb_error* error) {
    if (job_count < 0)
        return fail(error, APLOMB_BAD_ARGUMENT, "job_count", -1, "job_count is %d; it must not be negative.",
                    job_count);
    if (job_count > 0 && !jobs)
        return fail(error, APLOMB_BAD_ARGUMENT, "jobs", -1, "jobs is NULL, but job_count is %d.", job_count);
    for (int32_t i = 0; i < job_count; ++i) {
        if (!jobs[i].solver)
            return fail(error, APLOMB_BAD_ARGUMENT, "jobs", i, "jobs[%d].solver is NULL.", i);
    }
    Crowd crowd{jobs, job_count};
    if (run) {
        run(run_from, &crowd, job_count, user);
    } else {
        for (int32_t i = 0; i < job_count; ++i)
            run_from(&crowd, i);
    }
    aplomb_status gravest = APLOMB_OK;
    for (int32_t i = 0; i < job_count; ++i)
        gravest = graver(gravest, jobs[i].status);
    return gravest < 0 && error ? tell_failure(crowd, gravest, error) : gravest;
}
