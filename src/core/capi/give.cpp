// SPDX-License-Identifier: MIT
// aplomb_give_rest and aplomb_give_pose: how far a pose gives, and the pose that gives.
#include "follow/give.h"

#include <cmath>
#include <initializer_list>
#include <utility>

#include "aplomb/follow.h"
#include "base/structs.h"
#include "capi/situation.h"
#include "capi/solver.h"
#include "figure/frame.h"
#include "model/put_pose.h"
#include "pose/options.h"

using namespace aplomb;

namespace {

aplomb_status check_call(const aplomb_solver* solver, const aplomb_situation* situation,
                         aplomb_error* error) {
    if (!solver) return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL.");
    return check_struct(situation, "situation", error);
}

aplomb_status check_way(const Figure& figure, const char* name, double way, aplomb_error* error) {
    const double most = figure.leg_length / figure.frame.metres_per_unit;
    if (std::fabs(way) <= most) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, name, -1, "%s is %g; at most a leg's length, %g, is allowed.",
                name, way, most);
}

template<class T>
void put_given(const aplomb_solver& solver, const Changed* changed, const aplomb_situation& given,
               void* translations, void* rotations) {
    const PoseRoom& written = solver.bench.written;
    put_pose(*solver.figure, changed, written.translations, written.rotations,
             static_cast<const T*>(given.translations), static_cast<const T*>(given.rotations),
             static_cast<T*>(translations), static_cast<T*>(rotations));
}

} // namespace

aplomb_status aplomb_give_rest(aplomb_solver* solver, const aplomb_situation* situation, double* hips,
                               aplomb_error* error) {
    if (const auto s = check_call(solver, situation, error)) return s;
    if (!hips) return fail(error, APLOMB_BAD_ARGUMENT, "hips", -1, "hips is NULL.");
    const InUse used(*solver);
    if (used.by_another()) return refuse_shared(error);
    const aplomb_situation given = read_struct(situation, aplomb_situation{});
    Key key;
    if (const auto s = bring_key(*solver->figure, solver->plan, given, solver->keyed, key, error)) return s;
    *hips = resting_give(*solver->figure, solver->plan, key, default_options()) /
            solver->figure->frame.metres_per_unit;
    return APLOMB_OK;
}

aplomb_status aplomb_give_pose(aplomb_solver* solver, const aplomb_situation* situation, double hips,
                               double arms, void* translations, void* rotations, aplomb_error* error) {
    if (const auto s = check_call(solver, situation, error)) return s;
    if (!translations) return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1, "translations is NULL.");
    if (!rotations) return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1, "rotations is NULL.");
    const Figure& figure = *solver->figure;
    for (const auto& [name, way] : {std::pair{"hips", hips}, std::pair{"arms", arms}})
        if (const auto s = check_way(figure, name, way, error)) return s;
    const InUse used(*solver);
    if (used.by_another()) return refuse_shared(error);
    const aplomb_situation given = read_struct(situation, aplomb_situation{});
    Key key;
    if (const auto s = bring_key(figure, solver->plan, given, solver->keyed, key, error)) return s;
    if (const auto s = check_correctable(figure, key.stance, error)) return s;
    Workbench& bench = solver->bench;
    Changed changed;
    const bool gives = hips != 0 || arms != 0;
    const double unit = figure.frame.metres_per_unit;
    if (gives)
        give_pose(figure, solver->plan, key, default_options(), {hips * unit, arms * unit},
                  {bench.group, bench.reduction, bench.evaluation[0].state}, bench.written.translations,
                  bench.written.rotations, changed);
    const auto put_out = given.floats ? put_given<float> : put_given<double>;
    put_out(*solver, gives ? &changed : nullptr, given, translations, rotations);
    return APLOMB_OK;
}
