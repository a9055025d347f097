// SPDX-License-Identifier: MIT
// From the command line to what the library reads or solves.
#pragma once

#include <memory>
#include <vector>

#include "cli/character.h"
#include "cli/loads.h"
#include "cli/pulls.h"
#include "cli/stance.h"

namespace aplomb::cli {

/// `value` points into the vectors beside it and into the moment; it stays valid when this is moved.
struct Situation {
    std::vector<Load> loads;
    std::vector<aplomb_load> carried;
    ChosenStance stance;
    std::vector<GivenPull> pulls;
    std::vector<aplomb_pull> pulled;
    aplomb_situation value;
};
/// --gravity, three numbers.
void set_gravity(const std::string& text, double* gravity);
Situation make_situation(const Character& character, const Moment& moment, const MomentArguments& arguments);

struct Options {
    std::vector<uint8_t> locked;
    aplomb_options value;
};
Options make_options(const Character& character, const Arguments& arguments);

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};
using Solver = std::unique_ptr<aplomb_solver, DestroySolver>;
Solver make_solver(const Character& character);

} // namespace aplomb::cli
