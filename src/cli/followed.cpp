// SPDX-License-Identifier: MIT
#include "cli/followed.h"

#include <algorithm>

#include "cli/failure.h"
#include "cli/results.h"

namespace aplomb::cli {
namespace {

void let_follow(const Character& character, const Poses& led, const double* keyed_translations,
                const double* keyed_rotations, const Arguments& arguments, Followed& f) {
    std::vector<aplomb_chain> chains;
    for (const ChainChoice& choice : f.chains)
        chains.push_back(choice.chain);
    aplomb_follow_desc desc;
    aplomb_follow_desc_init(&desc, sizeof desc);
    desc.chains = chains.data(), desc.chain_count = static_cast<int32_t>(chains.size());
    aplomb_follow* made = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_follow_create(character.figure(), &desc, nullptr, &made, &error);
    if (status < 0 && error.index >= 0 && !arguments.follow.chains.empty())
        throw Failure{"--chain " + f.chains[static_cast<std::size_t>(error.index)].wish + ": " +
                      error.message};
    check(status, error);
    f.plan.reset(made);
    aplomb_follow_shot shot;
    aplomb_follow_shot_init(&shot, sizeof shot);
    shot.frame_count = static_cast<int32_t>(f.frames.times.size()), shot.closed = arguments.follow.loop;
    shot.times = f.frames.times.data();
    shot.translations = led.translations.data(), shot.rotations = led.rotations.data();
    shot.keyed_translations = keyed_translations, shot.keyed_rotations = keyed_rotations;
    std::vector<double> state(static_cast<std::size_t>(aplomb_follow_state_size(made)));
    f.led = led.rotations;
    f.followed.resize(led.rotations.size());
    check(aplomb_follow_frames(made, state.data(), &shot, f.followed.data(), &error), error);
}

/// What the chains did since they were led, on top of the keys.
void put_on_keys(const Followed& f, std::vector<double>& rotations) {
    for (std::size_t k = 0; k < f.frames.times.size(); ++k)
        for (const ChainChoice& choice : f.chains)
            for (const int32_t joint : choice.joints) {
                const Quat was = f.rotation(f.led, k, joint), is = f.rotation(f.followed, k, joint);
                if (norm(f.turn(k, joint)) == 0) continue;
                double* to = &rotations[4 * (k * f.joints() + static_cast<std::size_t>(joint))];
                put(to, normalized(Quat{to[0], to[1], to[2], to[3]} * conjugate(was) * is));
            }
}

bool gives_way(const std::vector<aplomb_clip_given>& given) {
    return std::any_of(given.begin(), given.end(),
                       [](const aplomb_clip_given& frame) { return frame.hips != 0 || frame.arms != 0; });
}

/// The furthest that the hips are from one to the other, metres.
double hips_apart(const Character& character, const Followed& f, const Poses& a, const Poses& b) {
    const auto hips = static_cast<std::size_t>(character.info().hips);
    double most = 0;
    for (std::size_t k = 0; k < f.frames.times.size(); ++k) {
        const std::size_t at = 3 * (f.joints() * k + hips);
        most = std::max(most, norm(Vec3{a.translations[at] - b.translations[at],
                                        a.translations[at + 1] - b.translations[at + 1],
                                        a.translations[at + 2] - b.translations[at + 2]}));
    }
    return most * character.info().metres_per_unit;
}

} // namespace

/// Keyed, balanced, given; followed, so that chains feel a body that sinks; given for what the chains have moved; and balanced
/// once more, now with what swings from the corrected hands.
Followed follow(const Character& character, const Frames& frames, const Frames* keyed,
                const Arguments& arguments) {
    Followed f;
    f.frames = frames;
    f.chains =
        choose_chains(character, keyed ? *keyed : frames, arguments.follow.chains, arguments.moment.loads);
    f.cargo = make_cargo(character, frames, arguments);
    if (!arguments.follow.swing.empty() && !f.cargo.swings())
        throw Failure{"--swing goes with a --load that hangs; add its length, as hang=0.35"};
    if (arguments.follow.balance && arguments.follow.loop && (arguments.follow.landings || f.cargo.arrives()))
        throw Failure{"--balance with --loop: in a loop nothing arrives or lands so far; leave that out, or "
                      "--loop"};
    const Weight weight(character, f.frames, f.cargo, arguments);
    f.step_seconds = weight.step_seconds();
    f.poses = {frames.translations, frames.rotations};
    const auto swing = [&] { return swing_loads(character, f.frames, f.cargo, f.poses, arguments.follow); };
    Poses led = arguments.follow.balance ? weight.balance(f.poses, {}).poses : f.poses;
    const bool gives = weight.counts() && gives_way(weight.give(led));
    if (arguments.follow.balance || (gives && !keyed))
        let_follow(character, led, frames.translations.data(), frames.rotations.data(), arguments, f);
    else
        let_follow(character, led, keyed ? keyed->translations.data() : nullptr,
                   keyed ? keyed->rotations.data() : nullptr, arguments, f);
    if (arguments.follow.balance || gives)
        put_on_keys(f, f.poses.rotations);
    else
        f.poses.rotations = f.followed;
    quiet_arms(character, f.frames, f.cargo, f.poses);
    if (weight.counts()) f.given = weight.give(f.poses);
    f.swings = swing();
    if (!arguments.follow.balance) return f;
    constexpr int most_rounds = 8;
    constexpr double settled = 5e-4; // metres
    const Poses asked = f.poses;
    const std::vector<Swing> before = f.swings;
    f.balanced = weight.balance(asked, {});
    for (f.rounds = 0; f.rounds < most_rounds && !before.empty(); ++f.rounds) {
        if (f.rounds > 0 && f.last_round < settled) break;
        f.poses = f.balanced->poses;
        f.swings = swing();
        f.balanced = weight.balance(asked, tensions_of(f.swings, before, f.frames));
        f.last_round = hips_apart(character, f, f.balanced->poses, f.poses);
    }
    f.poses = f.balanced->poses;
    f.swings = swing();
    return f;
}

} // namespace aplomb::cli
