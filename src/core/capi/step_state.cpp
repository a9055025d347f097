// SPDX-License-Identifier: MIT
#include "capi/step_state.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>

#include "base/check.h"
#include "base/error.h"

namespace aplomb {
namespace {

constexpr double largest_number = 10 * largest_length;
constexpr double largest_correction = 1e3; // metres or radians
constexpr int double_count = static_cast<int>(offsetof(StepMemory, history) / sizeof(double));

/// Brings counts and parts of 1 into their range: a wrong value then does no more harm than a fresh state.
void bring_into_range(StepMemory& m) {
    const auto part = [](double& value) { value = std::clamp(value, 0.0, 1.0); };
    const auto whole = [](double& value, int most) {
        value = std::floor(std::clamp(value, 0.0, static_cast<double>(most)));
    };
    part(m.trust), part(m.agreement);
    whole(m.count, most_followed), whole(m.next_sample, history_length - 1);
    whole(m.sample_count, history_length), whole(m.doubt, frames_between_trials);
    for (double* time : {&m.height, &m.in_flight, &m.period, &m.since_sample})
        *time = std::max(*time, 0.0);
    for (FootMemory& foot : m.foot) {
        part(foot.ride);
        for (PartMemory& p : foot.part)
            part(p.ramp), p.still_for = std::max(p.still_for, 0.0);
    }
    for (PatchMemory& patch : m.patch)
        part(patch.ramp);
}

} // namespace

aplomb_status recall(uint32_t check, const aplomb_step_state& state, StepMemory& memory,
                     aplomb_error* error) {
    memory = StepMemory{};
    if (state.version == 0) return APLOMB_OK;
    if (state.version != memory_version)
        return fail(error, APLOMB_WRONG_VERSION, "version", -1,
                    "state.version is %u; this library knows %u. Zero the state to start anew.",
                    state.version, memory_version);
    if (state.figure != check)
        return fail(
            error, APLOMB_BAD_ARGUMENT, "figure", -1,
            "state.figure is %u, of another figure; the solver's is %u. Zero the state to start anew.",
            state.figure, check);
    const auto refuse = [error](int index, double value) {
        return fail(error, APLOMB_BAD_ARGUMENT, "numbers", index,
                    "state.numbers[%d] is %g, which no step leaves.", index, value);
    };
    std::memcpy(static_cast<void*>(&memory), state.numbers, sizeof memory);
    for (int i = 0; i < double_count; ++i) {
        if (!(std::fabs(state.numbers[i]) <= largest_number)) return refuse(i, state.numbers[i]);
    }
    for (int k = 0; k < history_length; ++k) {
        for (const float number : memory.history[k]) {
            if (!(std::fabs(number) <= static_cast<float>(largest_correction)))
                return refuse(double_count + 2 * k, static_cast<double>(number));
        }
    }
    for (const Followed* one : {&memory.is, &memory.speed, &memory.sound}) {
        for (int i = 0; i < most_followed; ++i) {
            const auto first = offsetof(StepMemory, is) / sizeof(double);
            if (std::fabs(one->at[i]) > largest_correction)
                return refuse(static_cast<int>(first) + static_cast<int>(one - &memory.is) * most_followed +
                                  i,
                              one->at[i]);
        }
    }
    bring_into_range(memory);
    return APLOMB_OK;
}

void keep(uint32_t check, const StepMemory& memory, aplomb_step_state& state) {
    state.version = memory_version;
    state.figure = check;
    std::fill(state.numbers, state.numbers + APLOMB_STEP_NUMBERS, 0.0);
    std::memcpy(state.numbers, &memory, sizeof memory);
}

} // namespace aplomb
