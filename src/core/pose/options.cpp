// SPDX-License-Identifier: MIT
#include "pose/options.h"

#include "base/error.h"
#include "pose/terms.h"

namespace aplomb {
namespace {

using O = aplomb_options;

/// What no single term owns. Standard deviations and bounds: common practice.
constexpr OptionLine own_lines[] = {
    option("amount", &O::amount, 1, 0, 2, bare, "part of the correction that is written"),
    option("amount_hips", &O::amount_hips, 1, 0, 2, bare, "times amount, for the hips' shift and turn"),
    option("amount_spine", &O::amount_spine, 1, 0, 2, bare, "times amount, for the spine"),
    option("margin", &O::margin, 0.08, 0, 1, of_sole, "asked for inside the support area's edge"),
    option("hips_side", &O::hips_side, 0.03, 1e-4, 10, of_leg, "how freely the hips move to a side"),
    option("hips_fore", &O::hips_fore, 0.03, 1e-4, 10, of_leg, "how freely the hips move fore and aft"),
    option("hips_height", &O::hips_height, 0.05, 1e-4, 10, of_leg, "how freely the hips sink and rise"),
    option("hips_turn", &O::hips_turn, 6 * degree, 1e-4, 10, radians, "how freely the hips turn"),
    option("trunk_fore", &O::trunk_fore, 10 * degree, 1e-4, 10, radians,
           "how freely the whole trunk bends fore and aft"),
    option("trunk_side", &O::trunk_side, 12 * degree, 1e-4, 10, radians,
           "how freely the whole trunk leans to a side"),
    option("trunk_twist", &O::trunk_twist, 6 * degree, 1e-4, 10, radians,
           "how freely the whole trunk twists"),
    option("neck", &O::neck, 1, 0, 1.3, bare,
           "times the part of the chest's turn that neck and head give back"),
    option("heft", &O::heft, 1, 0, 1, bare, "how much of what a load does to a body is shown"),
    option("front", &O::front, 0, 0, 2, bare,
           "the answer to a front load; 0: arch, 1: straight, 2: sit back"),
    option("give", &O::give, 1, 0, 2, bare, "times what knees yield under a load"),
    option("hip_drop", &O::hip_drop, 1, 0, 2, bare, "times how far the pelvis drops on one side"),
    option("free_arm", &O::free_arm, 1, 0, 2, bare, "times how far a free arm goes out"),
    option("swivel", &O::swivel, 10 * degree, 1e-4, 10, radians,
           "how freely knees and elbows of fixed limbs turn about the line from start to end"),
    option("max_trunk", &O::max_trunk, 25 * degree, 1e-3, 3, radians,
           "most turn of the chest from the key, and of the hips about each axis"),
    option("max_hips", &O::max_hips, 0.30, 1e-3, 3, of_leg, "most shift of the hips"),
    option("exact", &O::exact, 0, 0, 1, bare, "0: cost within 0.1 %; 1: residual 1e-8"),
    option("thorough", &O::thorough, 0, 0, 1, bare, "1: a fixed list of up to 50 starts, for pipelines"),
    option("max_iterations", &O::max_iterations, 200, 1, 1000, bare, "most iterations of a start"),
    option("max_evaluations", &O::max_evaluations, 2000, 1, 1e6, bare,
           "most evaluations of the pose, over all starts"),
};
constexpr int own_count = sizeof own_lines / sizeof *own_lines;

} // namespace

int option_count() {
    return own_count + Terms::option_count;
}

const OptionLine& option_line(int index) {
    return index < own_count ? own_lines[index] : Terms::option_line(index - own_count);
}

const OptionLine& line_of(double aplomb_options::*member) {
    int i = 0;
    while (option_line(i).number != member)
        ++i;
    return option_line(i);
}

aplomb_options default_options() {
    aplomb_options o{};
    o.free = APLOMB_FREE_DEFAULT;
    for (int i = 0; i < option_count(); ++i)
        option_line(i).set(o, option_line(i).usual);
    return o;
}

aplomb_status check_option(const OptionLine& line, double value, aplomb_error* error) {
    if (line.allows(value)) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, line.name, -1, "options.%s is %g; %g to %g are allowed.",
                line.name, value, line.lowest, line.highest);
}

aplomb_status check_options(const aplomb_options& o, aplomb_error* error) {
    for (int i = 0; i < option_count(); ++i) {
        if (const auto s = check_option(option_line(i), option_line(i).get(o), error)) return s;
    }
    constexpr uint32_t all = APLOMB_FREE_DEFAULT | APLOMB_FREE_SWIVEL;
    if ((o.free & ~all) != 0)
        return fail(error, APLOMB_BAD_ARGUMENT, "free", -1,
                    "options.free is %u; sums of aplomb_free's bits are allowed.", o.free);
    return APLOMB_OK;
}

} // namespace aplomb
