// SPDX-License-Identifier: MIT
// A term of the objective is a wish about the pose, expressed as residuals whose squares are summed. It is a type with
//
//     static constexpr Residuals most              the most residuals that it can have
//     static constexpr OptionLine options[]        its own lines of the options' table; none where it has none
//     Term(const TermInput&)                       what the moment and the options make of it
//     int count() const                            its residuals for this moment
//     void values(const ModelState&, double*) const
//     void push(const ModelState&, int k, double weight, Push&) const
//                                                  adds weight times the gradient of residual k
//
// A Jacobian's row is the push of one residual by 1, a gradient the push of all by their values, so they agree.
#pragma once

#include "model/option.h"
#include "model/push.h"
#include "support/aim.h"

namespace aplomb {

struct Residuals {
    int own, per_limb;
    constexpr int of(int limbs) const { return own + per_limb * limbs; }
};

struct TermInput {
    const aplomb_options& options;
    const Figure& figure;
    const Model& model;
    const Stiffness& stiffness;
    const Carriage& carriage;
    const Aim& aim;
};

} // namespace aplomb
