// SPDX-License-Identifier: MIT
// What aplomb_balance and one frame of aplomb_step have in common: arguments in, answer out.
#pragma once

#include "capi/solver.h"

namespace aplomb {

/// The arguments that both have.
struct Call {
    aplomb_solver* solver;
    const aplomb_situation* situation;
    const aplomb_options* options;
    void *translations, *rotations;
    aplomb_result* result;
    aplomb_error* error;
};

aplomb_status check_call(const Call& call);
/// To be called after check_call.
aplomb_status read_options(const Call& call, aplomb_options& options);
/// Writes pose and result, and returns the correction's status.
aplomb_status write_out(const Call& call, const aplomb_situation& given, const Key& key,
                        const Correction& correction);

} // namespace aplomb
