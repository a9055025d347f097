// SPDX-License-Identifier: MIT
#include "cli/situation.h"

#include "cli/failure.h"
#include "cli/numbers.h"
#include "cli/options.h"

namespace aplomb::cli {

void set_gravity(const std::string& text, double* gravity) {
    const std::vector<std::string> parts = split(text, ',');
    bool zero = true;
    for (size_t i = 0; i < 3 && parts.size() == 3; ++i) {
        const auto value = parse_number(parts[i]);
        if (!value) throw Failure{"--gravity " + text + ": '" + parts[i] + "' is not a number"};
        gravity[i] = *value;
        zero = zero && *value == 0;
    }
    if (parts.size() != 3)
        throw Failure{"--gravity " + text + ": three numbers are needed, such as 0,-9.81,0"};
    if (zero) throw Failure{"--gravity " + text + ": without gravity nothing is in or out of balance"};
}

namespace {

/// A group of movements by its word.
uint32_t kept_group(const std::string& word) {
    if (word == "hips") return APLOMB_FREE_HIPS_SIDE | APLOMB_FREE_HIPS_HEIGHT | APLOMB_FREE_HIPS_FORE;
    if (word == "turn") return APLOMB_FREE_HIPS_TURN;
    return word == "spine" ? APLOMB_FREE_SPINE : 0;
}

void keep(const Character& character, const std::string& word, Options& options) {
    if (const uint32_t group = kept_group(word)) {
        options.value.free &= ~group;
        return;
    }
    if (word == "neck") return void(options.value.neck = 0);
    const int32_t joint = aplomb_figure_find_joint(character.figure(), word.c_str());
    if (joint < 0)
        throw Failure{"--keep " + word + ": it is neither hips, turn, spine, neck nor a joint" +
                      character.near(word, {"hips", "turn", "spine", "neck"})};
    const int32_t role = character.joint(joint).role;
    if (role != APLOMB_ROLE_SPINE && role != APLOMB_ROLE_NECK && role != APLOMB_ROLE_HEAD &&
        role != APLOMB_ROLE_GIRDLE)
        throw Failure{"--keep " + word +
                      ": only joints of spine, neck, head and girdles can be kept; this one is a " +
                      aplomb_role_text(static_cast<aplomb_role>(role))};
    options.locked[static_cast<size_t>(joint)] = 1;
}

} // namespace

Situation make_situation(const Character& character, const Moment& moment, const MomentArguments& arguments) {
    Situation situation;
    situation.loads = parse_loads(character, arguments.loads);
    for (const Load& load : situation.loads) {
        if (load.over_time())
            throw Failure{"--load " + load.text + ": frames, pick-up and put-down go with --frames"};
        situation.carried.push_back(load.value);
    }
    situation.pulls = parse_pulls(character, moment, arguments.pulls);
    for (const GivenPull& pull : situation.pulls)
        situation.pulled.insert(situation.pulled.end(), pull.value.begin(), pull.value.end());
    situation.stance = choose_stance(character, moment, arguments);

    aplomb_situation& value = situation.value;
    aplomb_situation_init(&value, sizeof value);
    value.translations = moment.translations.data();
    value.rotations = moment.rotations.data();
    value.contacts = situation.stance.contacts.data();
    value.contact_count = static_cast<int32_t>(situation.stance.contacts.size());
    value.pulls = situation.pulled.data();
    value.pull_count = static_cast<int32_t>(situation.pulled.size());
    value.loads = situation.carried.data();
    value.load_count = static_cast<int32_t>(situation.carried.size());
    if (!arguments.gravity.empty()) set_gravity(arguments.gravity, value.gravity);
    return situation;
}

Options make_options(const Character& character, const Arguments& arguments) {
    Options options;
    aplomb_options& value = options.value;
    aplomb_options_init(&value, sizeof value);
    options.locked.resize(static_cast<size_t>(aplomb_figure_joint_count(character.figure())));
    value.locked = options.locked.data();
    if (!arguments.manner.empty()) {
        aplomb_error error{};
        check(aplomb_manner_read(arguments.manner.c_str(), &value, &error), error);
    }
    set_options(arguments.options, value);
    for (const std::string& word : split_all(arguments.balance.keep))
        keep(character, word, options);
    if (value.free == 0)
        throw Failure{"--keep: nothing may move: hips, turn and spine are all kept; leave one out"};
    return options;
}

Solver make_solver(const Character& character) {
    aplomb_solver* solver = nullptr;
    aplomb_error error{};
    check(aplomb_solver_create(character.figure(), nullptr, &solver, &error), error);
    return Solver(solver);
}

} // namespace aplomb::cli
