// SPDX-License-Identifier: MIT
// aplomb_suggest_foot: where one foot would change the body least.
#include <cmath>

#include "aplomb/foot.h"
#include "base/structs.h"
#include "capi/call.h"
#include "capi/situation.h"
#include "capi/text.h"
#include "figure/words.h"
#include "model/put_pose.h"
#include "pose/options.h"
#include "suggest/foot.h"

using namespace aplomb;

namespace {

constexpr int least_told = 2; // cm

int whole(double value) {
    return static_cast<int>(std::floor(value + 0.5));
}

void tell(const Figure& figure, const FootSuggestion& found, char* text, size_t size) {
    Text words = {text, size};
    const int ahead = whole(std::fabs(found.way.fore) * 100), out = whole(std::fabs(found.out) * 100);
    words.add("%s foot", side_text(figure.limbs[found.limb].side));
    const bool fore = ahead >= least_told, aside = out >= least_told;
    if (fore) words.add(" %d cm %s", ahead, found.way.fore < 0 ? "back" : "ahead");
    if (aside) words.add("%s %d cm %s", fore ? "," : "", out, found.out < 0 ? "in" : "out");
    const auto change = [&](const char* lead, const char* falls, const char* stays, double from, double to,
                            const char* unit) {
        if (whole(from) == whole(to))
            words.add("%s %s at %d %s", lead, stays, whole(to), unit);
        else
            words.add("%s%s from %d to %d %s", lead, falls, whole(from), whole(to), unit);
    };
    change(": the lean", " falls", "stays", found.lean[0] / degree, found.lean[1] / degree, "degrees");
    change(", the hips", "", "stay", found.hips[0] * 100, found.hips[1] * 100, "cm");
}

aplomb_foot_suggestion public_suggestion(const Figure& figure, const Ground& ground,
                                         const FootSuggestion& found) {
    aplomb_foot_suggestion out{};
    if (!found.found) return out;
    const double unit = figure.frame.metres_per_unit;
    out.found = 1, out.limb = found.limb;
    put(out.way, length_out(figure.frame, ground.fore * found.way.fore + ground.left * found.way.left));
    out.ahead = found.way.fore / unit, out.out = found.out / unit, out.drop = found.drop / unit;
    out.lean_before = found.lean[0], out.lean_after = found.lean[1];
    out.hips_before = found.hips[0] / unit, out.hips_after = found.hips[1] / unit;
    out.outline_count = found.outline_count;
    for (int k = 0; k < found.outline_count; ++k)
        put(out.outline[k], length_out(figure.frame, ground.lift(found.outline[k])));
    tell(figure, found, out.text, sizeof out.text);
    return out;
}

template<class T>
void put_stepped(const aplomb_solver& solver, const Changed* changed, const aplomb_situation& given,
                 void* translations, void* rotations) {
    put_pose(*solver.figure, changed, solver.keyed.translations, solver.keyed.rotations,
             static_cast<const T*>(given.translations), static_cast<const T*>(given.rotations),
             static_cast<T*>(translations), static_cast<T*>(rotations));
}

} // namespace

void aplomb_foot_suggestion_init(aplomb_foot_suggestion* suggestion, size_t size) {
    init_struct(suggestion, size, aplomb_foot_suggestion{});
}

aplomb_status aplomb_suggest_foot(aplomb_solver* solver, const aplomb_situation* situation,
                                  const aplomb_options* options, void* translations, void* rotations,
                                  aplomb_foot_suggestion* suggestion, aplomb_error* error) {
    if (!solver) return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL.");
    if (const auto s = check_struct(situation, "situation", error)) return s;
    if (options) {
        if (const auto s = check_struct(options, "options", error)) return s;
    }
    if (const auto s = check_struct(suggestion, "suggestion", error)) return s;
    if (!translations != !rotations)
        return fail(error, APLOMB_BAD_ARGUMENT, translations ? "rotations" : "translations", -1,
                    "%s is NULL, but %s is not; give both or neither.",
                    translations ? "rotations" : "translations", translations ? "translations" : "rotations");
    const InUse used(*solver);
    if (used.by_another()) return refuse_shared(error);
    const Figure& figure = *solver->figure;
    const aplomb_situation given = read_struct(situation, aplomb_situation{});
    const aplomb_options o = options ? read_struct(options, default_options()) : default_options();
    if (const auto s = check_options(o, error)) return s;
    Key key;
    if (const auto s = bring_key(figure, solver->plan, given, solver->keyed, key, error)) return s;
    FootSuggestion found;
    Changed changed;
    suggest_foot(figure, solver->plan, solver->keyed, key, o, solver->bench, found, changed);
    const Changed* moved = found.found ? &changed : nullptr;
    if (translations && given.floats)
        put_stepped<float>(*solver, moved, given, translations, rotations);
    else if (translations)
        put_stepped<double>(*solver, moved, given, translations, rotations);
    write_struct(suggestion, public_suggestion(figure, key.ground, found));
    return APLOMB_OK;
}
