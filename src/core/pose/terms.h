// SPDX-License-Identifier: MIT
// All that a correction wishes for, beside keeping its variables small. The list is the one place that knows which terms
// there are.
#pragma once

#include <iterator>
#include <tuple>

#include "pose/aim_term.h"
#include "pose/away_term.h"
#include "pose/bend_term.h"
#include "pose/chest_cap_term.h"
#include "pose/shin_cap_term.h"

namespace aplomb {

/// How many lines of the options' table a term has: those of its `options`, or none.
template<class Term>
constexpr int own_options() {
    if constexpr (requires { Term::options; })
        return static_cast<int>(std::size(Term::options));
    else
        return 0;
}

template<class... Term>
class TermList {
public:
    static constexpr int most(int limbs) { return (0 + ... + Term::most.of(limbs)); }
    static constexpr int option_count = (0 + ... + own_options<Term>());

    static const OptionLine& option_line(int index) {
        const OptionLine* found = nullptr;
        const auto look_in = [&](auto term) {
            using One = typename decltype(term)::type;
            if constexpr (own_options<One>() > 0) {
                if (index >= 0 && index < own_options<One>()) found = One::options + index;
                index -= own_options<One>();
            }
        };
        (look_in(Named<Term>{}), ...);
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
    template<class Term_>
    struct Named {
        using type = Term_;
    };

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

using Terms = TermList<AimTerm, BendTerm, ChestCapTerm, ShinCapTerm, AwayTerm>;

inline constexpr int max_residuals = Terms::most(max_limbs);

} // namespace aplomb
