// SPDX-License-Identifier: MIT
// Random moments by the thousand or the million (poses, stances, loads, options, figures): nothing that is not
// finite, no limit exceeded, no failure without a sentence; and the worst that was seen. Usage: endurance [count
// [first seed]]
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>

#include "balance/checks.h"
#include "balance/corpus.h"

namespace {

struct Worst {
    double value = 0;
    uint64_t seed = 0;
    void see(double now, uint64_t by) {
        if (now > value) value = now, seed = by;
    }
};

struct Survey {
    std::map<int, long> statuses;
    Worst iterations, violation, limit, reach;
    long faults = 0;

    void fault(uint64_t seed, const char* what) {
        ++faults;
        if (faults <= 20) std::printf("seed %lu: %s\n", static_cast<unsigned long>(seed), what);
    }
};

bool all_finite(const std::vector<double>& values) {
    for (const double v : values) {
        if (!std::isfinite(v)) return false;
    }
    return true;
}

bool all_unit(const std::vector<double>& rotations) {
    for (size_t i = 0; i + 3 < rotations.size(); i += 4) {
        double sum = 0;
        for (size_t k = i; k < i + 4; ++k)
            sum += rotations[k] * rotations[k];
        if (std::fabs(sum - 1) > 2e-4) return false; // as keyed, or to rounding
    }
    return true;
}

bool result_is_finite(const aplomb_result& r) {
    const double values[] = {r.objective,         r.slack,           r.violation,    r.stationarity,
                             r.complementarity,   r.margin_after,    r.margin_asked, r.controls.hips_shift[0],
                             r.controls.chest[0], r.controls.neck[0]};
    for (const double v : values) {
        if (!std::isfinite(v)) return false;
    }
    return true;
}

void run_case(const own::Company& company, uint64_t seed, Survey& survey) {
    const own::Case given = own::make_case(company, seed);
    const own::Character& c = company[given.figure];
    const own::Answer a = own::balance(c, given.moment);
    ++survey.statuses[a.status];
    if (a.status < 0) {
        if (a.error.message[0] == '\0') survey.fault(seed, "refused without a sentence");
        return;
    }
    if (!all_finite(a.translations) || !all_finite(a.rotations)) survey.fault(seed, "a pose is not finite");
    if (!all_unit(a.rotations)) survey.fault(seed, "a rotation is not of unit length");
    if (a.result.changed && !result_is_finite(a.result)) survey.fault(seed, "a result is not finite");
    survey.iterations.see(a.result.iterations, seed);
    if (!a.result.changed) return;
    survey.violation.see(a.result.violation, seed);
    if (a.result.violation > 1e-6) survey.fault(seed, "a limit is violated");
    const own::World keyed = c.bones.world(given.moment.translations.data(), given.moment.rotations.data());
    const double limit = own::angle_excess(c, given.moment, keyed, a.world);
    // A part of a correction may leave a leg as straight as it was keyed.
    const bool whole = given.moment.options.amount == 1;
    const double reach = whole ? own::reach_excess(c, given.moment, keyed, a.world) : 0;
    survey.limit.see(limit, seed);
    survey.reach.see(reach, seed);
    if (limit > 1e-6 || reach > 1e-6) survey.fault(seed, "a limit of the written pose is exceeded");
}

void print(const char* what, const Worst& worst) {
    std::printf("  most %s: %.3g (seed %lu)\n", what, worst.value, static_cast<unsigned long>(worst.seed));
}

} // namespace

int main(int argc, char** argv) {
    const uint64_t count = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 20000;
    const uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1000000;
    const own::Company company;
    Survey survey;
    for (uint64_t i = 0; i < count; ++i)
        run_case(company, first + i, survey);
    std::printf("%lu moments\n", static_cast<unsigned long>(count));
    for (const auto& [status, cases] : survey.statuses)
        std::printf("  %s: %ld\n", aplomb_status_text(static_cast<aplomb_status>(status)), cases);
    print("iterations", survey.iterations);
    print("violation by the result", survey.violation);
    print("excess of a limit", survey.limit);
    print("excess of reach", survey.reach);
    std::printf("%ld faults\n", survey.faults);
    return survey.faults == 0 ? 0 : 1;
}
