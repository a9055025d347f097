// SPDX-License-Identifier: MIT
#include "fit/pairs.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <new>

#include "base/error.h"

namespace aplomb::fit {
namespace {

constexpr double step = 1e-3;    // of a logarithm; answers are exact to about 1e-8
constexpr double jump = 15;      // standard deviations per unit of a logarithm; steeper is a jump
constexpr double nothing = 1e-3; // standard deviations: 0.01 degrees, 0.03 mm of an adult

std::vector<double> copied(const void* from, int32_t floats, size_t count) {
    std::vector<double> to(count);
    if (floats != 0)
        std::copy_n(static_cast<const float*>(from), count, to.begin());
    else
        std::copy_n(static_cast<const double*>(from), count, to.begin());
    return to;
}

aplomb_options exactly(aplomb_options options) {
    options.exact = 1;
    return options;
}

} // namespace

Pairs::Pairs(const aplomb_figure* figure, const aplomb_options& start)
    : start_(exactly(start)), measure_(figure), numbers_(learnt_numbers(start)) {
    if (aplomb_solver_create(figure, nullptr, &solver_, nullptr) != APLOMB_OK) throw std::bad_alloc();
    const auto joints = static_cast<size_t>(aplomb_figure_joint_count(figure));
    translations_.resize(3 * joints);
    rotations_.resize(4 * joints);
}

aplomb_status Pairs::answer(const Pair& pair, const aplomb_options& options, aplomb_error* error) const {
    ++solves_;
    aplomb_situation situation = pair.situation;
    situation.translations = pair.translations.data();
    situation.rotations = pair.rotations.data();
    return aplomb_balance(solver_, &situation, &options, translations_.data(), rotations_.data(), nullptr,
                          error);
}

aplomb_status Pairs::add(const aplomb_pair& given, aplomb_error* error) {
    const int index = count();
    if (!given.situation || !given.translations || !given.rotations)
        return fail(error, APLOMB_BAD_ARGUMENT, "pairs", index, "Pair %d: %s is NULL.", index,
                    !given.situation      ? "situation"
                    : !given.translations ? "translations"
                                          : "rotations");
    const aplomb_situation& keyed = *given.situation;
    Pair pair;
    aplomb_situation_init(&pair.situation, sizeof pair.situation);
    if (keyed.struct_size != sizeof keyed)
        return fail(error, APLOMB_WRONG_VERSION, "pairs.situation", index,
                    "Pair %d: struct_size of its situation is %u; this library knows %zu.", index,
                    keyed.struct_size, sizeof keyed);
    if (!keyed.translations || !keyed.rotations)
        return fail(error, APLOMB_BAD_ARGUMENT, "pairs.situation", index, "Pair %d: its keyed pose is NULL.",
                    index);
    pair.situation = keyed;
    pair.situation.floats = 0;
    pair.translations = copied(keyed.translations, keyed.floats, translations_.size());
    pair.rotations = copied(keyed.rotations, keyed.floats, rotations_.size());
    const auto t = copied(given.translations, keyed.floats, translations_.size());
    const auto r = copied(given.rotations, keyed.floats, rotations_.size());
    aplomb_error refusal{};
    aplomb_status status = answer(pair, start_, &refusal);
    if (status < 0) return fail(error, status, refusal.field, index, "Pair %d: %s", index, refusal.message);
    status = measure_.shape(t.data(), r.data(), pair.wanted, &refusal);
    if (status < 0)
        return fail(error, status, refusal.field, index, "Pair %d, the animator's pose: %s", index,
                    refusal.message);
    measure_.shape(pair.translations.data(), pair.rotations.data(), shape_);
    pair.axes = measure_.axes(shape_);
    std::vector<double> change(static_cast<size_t>(size()));
    measure_.difference(shape_, pair.wanted, pair.axes, change.data());
    const auto changed = [](double value) { return std::fabs(value) > nothing; };
    if (std::none_of(change.begin(), change.end(), changed))
        return fail(error, APLOMB_BAD_ARGUMENT, "pairs", index,
                    "Pair %d: nothing was changed from the keyed pose to the animator's.", index);
    pairs_.push_back(std::move(pair));
    return APLOMB_OK;
}

bool Pairs::differences(int index, const double* logarithms, double* values) const {
    const Pair& pair = pairs_[static_cast<size_t>(index)];
    if (answer(pair, with_numbers(start_, numbers_, logarithms), nullptr) < 0) return false;
    measure_.shape(translations_.data(), rotations_.data(), shape_);
    measure_.difference(shape_, pair.wanted, pair.axes, values);
    return true;
}

/// An answer jumps where another minimum takes over, and the difference across the jump does not tell the slope. Then the
/// other side is taken, and where that is no better the number counts as without effect.
bool Pairs::derivatives(int pair, const double* logarithms, size_t number, const double* here,
                        double* values) const {
    const double x = logarithms[number], first = x + step > numbers_[number].highest ? -step : step;
    std::vector<double> at(logarithms, logarithms + unknowns());
    for (const double way : {first, -first}) {
        at[number] = x + way;
        if (!differences(pair, at.data(), values)) return false;
        double steepest = 0;
        for (int i = 0; i < size(); ++i) {
            values[i] = (values[i] - here[i]) / way;
            steepest = std::max(steepest, std::fabs(values[i]));
        }
        if (steepest < jump) return true;
    }
    std::fill_n(values, size(), 0.0);
    return true;
}

} // namespace aplomb::fit
