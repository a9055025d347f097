// SPDX-License-Identifier: MIT
// A moment brought to where the solver starts from: key, support, rest, reduced model and problem.
#pragma once

#include "balance/moment.h"
#include "capi/situation.h"
#include "capi/solver.h"
#include "support/standing.h"

namespace own {

/// What a clip does at the ends of a carry.
struct Carried {
    double level_ride = 1; // part of its way that a level load takes
    double with_chest = 0; // part of the chest's way that held hands take
};

struct Inside {
    Inside(const Character& character, const Moment& moment, const Carried& carried = {})
        : Inside(character.figure.get(), moment, carried) {}
    Inside(const aplomb_figure* given, const Moment& moment, const Carried& carried = {})
        : figure(*given), solver(make_solver(given)), options(moment.options),
          acceleration(moment.acceleration), momentum_rate(moment.momentum_rate), key(bring(moment)),
          support(aplomb::make_support(figure, key, options.margin)),
          aim(aplomb::make_aim(figure, solver->plan, key, support, options.heft)), carriage(carry(carried)),
          stiffness(aplomb::make_stiffness(figure, options, carriage)), model(reduced()),
          problem({options, figure, model, stiffness, carriage, aim}, support.bounds, solver->bench.rows,
                  solver->bench.wrench) {
        problem.find_start(solver->bench.evaluation[0]);
    }

    int size() const { return problem.size(); }
    const aplomb::Reduction& reduction() const { return solver->bench.reduction; }
    aplomb::Evaluation& evaluation() const { return solver->bench.evaluation[1]; }

    const aplomb::Figure& figure;
    SolverHandle solver;
    aplomb_options options;
    Vector acceleration, momentum_rate;
    aplomb::Key key;
    aplomb::Support support;
    aplomb::Aim aim;
    aplomb::Carriage carriage;
    aplomb::Stiffness stiffness;
    aplomb::Model model;
    aplomb::PoseProblem problem;

private:
    aplomb::Key bring(const Moment& moment) {
        aplomb_error error{};
        aplomb::Key brought;
        if (bring_key(figure, solver->plan, moment.situation(), solver->keyed, brought, &error))
            throw std::runtime_error(error.message);
        return brought;
    }
    aplomb::Carriage carry(const Carried& carried) {
        aplomb::Carriage made = aplomb::make_carriage(figure, solver->plan, key, aim, options);
        made.level.ride = carried.level_ride;
        for (int i = 0; i < figure.limb_count; ++i)
            if (figure.limbs[i].kind == APLOMB_ARM) made.with_chest[i] = carried.with_chest;
        return made;
    }
    aplomb::Model reduced() {
        reduce(figure, key, stiffness, carriage, solver->bench.group, solver->bench.reduction);
        return {key, solver->bench.reduction};
    }
};

} // namespace own
