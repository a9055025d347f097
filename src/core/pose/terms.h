// SPDX-License-Identifier: MIT
// All that a correction wishes for, beside keeping its variables small. The list is the one place that knows which terms
// there are.
#pragma once

#include <iterator>
#include <tuple>

#include "pose/aim_term.h"
#include "pose/bend_term.h"
#include "pose/head_term.h"

namespace aplomb {

template<class... Term>
class TermList {
public:
    static constexpr int most(int limbs) { return (0 + ... + Term::most.of(limbs)); }
    static constexpr int option_count = (0 + ... + static_cast<int>(std::size(Term::options)));

    static const OptionLine& option_line(int index) {
        const OptionLine* found = nullptr;
        const auto look_in = [&](const auto& lines) {
            const int count = static_cast<int>(std::size(lines));
            if (index >= 0 && index < count) found = lines + index;
            index -= count;
        };
        (look_in(Term::options), ...);
        return *found;
    }

    explicit TermList(const TermInput& in) : term_{Term(in)...} {}

    int count() const {
        return std::apply([](const auto&... term) { return (0 + ... + term.count()); }, term_);
    }
    void values(const ModelState& state, double* out) const {
        each([&](const auto& term, int first) { term.values(state, out + first); });
    }
    /// Adds the gradient of half the squares' sum.
    void push_all(const ModelState& state, const double* residual, Push& push) const {
        each([&](const auto& term, int first) {
            for (int k = 0; k < term.count(); ++k)
                term.push(state, k, residual[first + k], push);
        });
    }
    /// Calls `row(residual, push of its gradient)` for each.
    template<class Row>
    void each_push(const ModelState& state, Row row) const {
        each([&](const auto& term, int first) {
            for (int k = 0; k < term.count(); ++k)
                row(first + k, [&](Push& push) { term.push(state, k, 1, push); });
        });
    }

private:
    template<class Visit>
    void each(Visit visit) const {
        std::apply(
            [&](const auto&... term) {
                int first = 0;
                ((visit(term, first), first += term.count()), ...);
            },
            term_);
    }

    std::tuple<Term...> term_;
};

using Terms = TermList<AimTerm, BendTerm, HeadTerm>;

inline constexpr int max_residuals = Terms::most(max_limbs);

} // namespace aplomb
