// SPDX-License-Identifier: MIT
#include "cli/swing.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <initializer_list>

#include "base/rotation.h"
#include "cli/failure.h"
#include "cli/numbers.h"

namespace aplomb::cli {
namespace {

Vec3 down_of(const Character& character) {
    const int32_t axis = character.info().up_axis;
    Vec3 down;
    down[std::abs(axis) - 1] = axis > 0 ? -1 : 1;
    return down;
}

/// Where the load hangs from in the joint's own frame: its palm, where it is a hand.
Vec3 grip(const Character& character, int32_t joint) {
    for (int32_t i = 0; i < character.limb_count(); ++i) {
        const aplomb_limb_info limb = character.limb(i);
        if (limb.end == joint) return {limb.palm[0], limb.palm[1], limb.palm[2]};
    }
    return {};
}

/// All joints of one frame in the world, the file's unit.
class Placed {
public:
    Placed(const Character& character, const double* translations, const double* rotations)
        : m_matrices(16 * static_cast<std::size_t>(aplomb_figure_joint_count(character.figure()))) {
        aplomb_error error{};
        check(aplomb_pose_to_matrices(character.figure(), translations, rotations, m_matrices.data(),
                                      APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD, &error),
              error);
    }
    Vec3 column(int32_t joint, int k) const {
        const double* m = &m_matrices[16 * static_cast<std::size_t>(joint) + 4 * static_cast<std::size_t>(k)];
        return {m[0], m[1], m[2]};
    }
    Vec3 at(int32_t joint, const Vec3& point) const {
        return column(joint, 0) * point.x + column(joint, 1) * point.y + column(joint, 2) * point.z +
               column(joint, 3);
    }
    Quat rotation(int32_t joint) const {
        if (joint < 0) return {};
        return to_quat(Mat3::from_columns(column(joint, 0), column(joint, 1), column(joint, 2)));
    }

private:
    std::vector<double> m_matrices;
};

/// A state of the last frame, taken to where the character stands in the first.
void begin_again(const Quat& turned, const Vec3& hand, aplomb_hanging_state& state) {
    for (double* vector :
         {state.away, state.spin, state.velocity, state.end_velocity, state.given, state.given_velocity})
        put(vector, rotate(conjugate(turned), {vector[0], vector[1], vector[2]}));
    put(state.hand, hand);
}

/// How far two states of the same frame are from each other: string's lengths, radians a second.
double apart(const aplomb_hanging_state& a, const aplomb_hanging_state& b) {
    double most = a.slack == b.slack ? 0 : 1;
    for (int axis = 0; axis < 3; ++axis)
        most =
            std::max({most, std::fabs(a.away[axis] - b.away[axis]), std::fabs(a.spin[axis] - b.spin[axis])});
    return most;
}

void go_halfway(const aplomb_hanging_state& from, double length, aplomb_hanging_state& to) {
    if (from.slack || to.slack) return;
    const auto half = [](const double* a, const double* b) {
        return Vec3{a[0] + b[0], a[1] + b[1], a[2] + b[2]} * 0.5;
    };
    put(to.away, normalized(half(from.away, to.away)) * length);
    put(to.spin, reject(half(from.spin, to.spin), normalized(Vec3{to.away[0], to.away[1], to.away[2]})));
    put(to.given, half(from.given, to.given));
    put(to.given_velocity, half(from.given_velocity, to.given_velocity));
}

/// The first frame of a loop is the last one of the round before: how the hand was hurried into it is known there alone.
void end_first(Swing& swing) {
    const Quat back = conjugate(*swing.round);
    const aplomb_hanging_result& last = swing.frames.back();
    aplomb_hanging_result first = last;
    const Vec3 away = Vec3{last.place[0], last.place[1], last.place[2]} - swing.hand.back();
    put(first.place, swing.hand.front() + rotate(back, away));
    put(first.tension, rotate(back, {last.tension[0], last.tension[1], last.tension[2]}));
    swing.frames.front() = first;
}

/// A load, what it hangs from, and the frames.
class Swinger {
public:
    Swinger(const Character& character, const Frames& frames, const Poses& poses, const aplomb_load& load)
        : m_character(character), m_frames(frames), m_poses(poses), m_load(load), m_down(down_of(character)),
          m_hand(load.holder[0]), m_grip(grip(character, m_hand)) {
        for (int32_t i = 0; i < character.limb_count(); ++i) {
            const aplomb_limb_info limb = character.limb(i);
            if (limb.kind == APLOMB_ARM && limb.end == m_hand) m_arm = limb;
        }
        for (int32_t i = 0; m_arm && i < character.limb_count(); ++i) {
            const aplomb_limb_info limb = character.limb(i);
            if (limb.kind == APLOMB_LEG && limb.side == m_arm->side) m_leg = limb;
        }
    }

    /// Turns the arm that ends at the hand at its shoulder, so that the grip is below it, and as far out to the side as it is
    /// keyed on the whole: that keeps what hangs off the leg.
    void quiet_arm(std::vector<double>& rotations) const {
        if (!m_arm) return;
        const std::size_t count = m_frames.times.size();
        double aside = 0;
        for (std::size_t k = 0; k < count; ++k) {
            const Placed placed = placed_in(k);
            aside -= dot(inwards(placed), normalized(line_of(placed))) / static_cast<double>(count);
        }
        aside = std::clamp(aside, 0.0, 0.5);
        const int32_t upper = m_arm->upper, above = m_character.joint(upper).parent;
        for (std::size_t k = 0; k < count; ++k) {
            const Placed placed = placed_in(k);
            const Vec3 way = line_of(placed);
            if (!(norm(way) > 0)) continue;
            const Vec3 quiet = m_down * std::sqrt(1 - aside * aside) - inwards(placed) * aside;
            const Quat turned = rotation_between(normalized(way), quiet) * placed.rotation(upper);
            put(&rotations[4 * (m_frames.joints * k + static_cast<std::size_t>(upper))],
                normalized(conjugate(placed.rotation(above)) * turned));
        }
    }

    void swing(double damping, bool loop, Swing& swing) const {
        const double metres = m_character.info().metres_per_unit;
        aplomb_hanging hanging;
        aplomb_hanging_init(&hanging, sizeof hanging);
        hanging.length = m_load.hang * metres, hanging.mass = m_load.mass, hanging.damping = damping;
        put(hanging.gravity, m_down * 9.80665);
        std::vector<Vec3> stops;
        for (std::size_t k = 0; k < m_frames.times.size(); ++k) {
            const Placed placed = placed_in(k);
            swing.hand.push_back(placed.at(m_hand, m_grip) * metres);
            stops.push_back(way_to_thigh(placed) * metres);
        }
        swing.frames.resize(swing.hand.size());
        aplomb_hanging_state state{};
        const auto step = [&](std::size_t k, double seconds) {
            put(hanging.stop, stops[k]);
            double place[3];
            put(place, swing.hand[k]);
            aplomb_error error{};
            check(aplomb_hanging_step(&hanging, &state, seconds, place, &swing.frames[k], &error), error);
        };
        const auto go_on = [&] {
            for (std::size_t k = 1; k < swing.frames.size(); ++k)
                step(k, m_frames.times[k] - m_frames.times[k - 1]);
        };
        step(0, 0);
        go_on();
        if (!loop) return;
        swing.round = turned_by_the_end();
        // Damping brings most loads round in a few dozen rounds. One that a thigh throws to and fro between two rounds begins
        // between them.
        constexpr int most_rounds = 2000, plain_rounds = 300;
        begin_again(*swing.round, swing.hand.front(), state);
        for (int round = 0; round < most_rounds; ++round) {
            const aplomb_hanging_state began = state;
            step(0, 0);
            go_on();
            begin_again(*swing.round, swing.hand.front(), state);
            if (apart(began, state) < 1e-12) return end_first(swing);
            if (round >= plain_rounds) go_halfway(began, hanging.length, state);
        }
        throw Failure{
            "--loop: what swings does not come back to where it began; damp it more, as --swing 10%"};
    }

private:
    Placed placed_in(std::size_t frame) const {
        return Placed(m_character, &m_poses.translations[3 * m_frames.joints * frame],
                      &m_poses.rotations[4 * m_frames.joints * frame]);
    }

    Quat turned_by_the_end() const {
        const auto root = [&](std::size_t frame) {
            const double* q = &m_poses.rotations[4 * m_frames.joints * frame];
            return Quat{q[0], q[1], q[2], q[3]};
        };
        return normalized(root(m_frames.times.size() - 1) * conjugate(root(0)));
    }

    Vec3 line_of(const Placed& placed) const {
        return placed.at(m_hand, m_grip) - placed.at(m_arm->upper, {});
    }
    /// Level, unit, from the arm's side of the body to its middle; none without a leg beside.
    Vec3 inwards(const Placed& placed) const {
        if (!m_leg) return {};
        return normalized(
            reject(placed.at(m_character.info().hips, {}) - placed.at(m_leg->upper, {}), m_down));
    }

    /// How far the load's middle may come from the hand towards the leg beside it, at the height at which it hangs: up to
    /// .8 of its own half breadth and 5 % of leg from the leg's middle, as an arm that hangs keeps it clear in a
    /// correction.
    Vec3 way_to_thigh(const Placed& placed) const {
        constexpr double of_breadth = 0.8, of_leg = 0.05, usual_breadth = 0.16; // the latter of the leg, too
        if (!m_leg) return {};
        const double leg = m_character.info().leg_length;
        const Vec3 hand = placed.at(m_hand, m_grip), load = hand + m_down * m_load.hang;
        const Vec3 hip = placed.at(m_leg->upper, {}), knee = placed.at(m_leg->lower, {}),
                   ankle = placed.at(m_leg->end, {});
        const auto depth = [&](const Vec3& point) { return dot(m_down, point); };
        const bool below = depth(load) > depth(knee);
        const Vec3 &from = below ? knee : hip, &to = below ? ankle : knee;
        const double length = depth(to) - depth(from);
        if (!(length > 0.1 * leg)) return {}; // a leg that is drawn up is in nobody's way
        const double part = std::clamp((depth(load) - depth(from)) / length, 0.0, 1.0);
        // To the side alone: a leg that swings past the load does not stop it.
        const Vec3 in = inwards(placed);
        const double breadth = m_load.half_size[0] > 0 ? m_load.half_size[0] : usual_breadth * leg;
        const double room = dot(in, from + (to - from) * part - hand) - of_breadth * breadth - of_leg * leg;
        return in * std::max(room, 1e-3 * leg);
    }

    const Character& m_character;
    const Frames& m_frames;
    const Poses& m_poses;
    const aplomb_load& m_load;
    const Vec3 m_down;
    const int32_t m_hand;
    const Vec3 m_grip;
    std::optional<aplomb_limb_info> m_arm, m_leg;
};

/// By how much a correction has moved a hand, over the frames of a shot or, round after round, of a loop.
class MovedHand {
public:
    MovedHand(const Swing& is, const Swing& was, const std::vector<double>& times)
        : m_is(is), m_was(was), m_times(times), m_last(static_cast<long>(times.size()) - 1) {}

    /// None at the ends of a shot.
    Vec3 acceleration(long k) const {
        if (!reaches(k - 1) || !reaches(k + 1)) return {};
        const double h0 = time(k) - time(k - 1), h1 = time(k + 1) - time(k);
        const Vec3 here = smooth(k);
        return ((smooth(k + 1) - here) / h1 - (here - smooth(k - 1)) / h0) * (2 / (h0 + h1));
    }

private:
    bool reaches(long k) const { return m_is.round || (k >= 0 && k <= m_last); }
    long rounds(long k) const { return m_is.round ? (k < 0 ? -1 : k / m_last) : 0; }
    double time(long k) const {
        return m_times[static_cast<std::size_t>(k - rounds(k) * m_last)] +
               static_cast<double>(rounds(k)) * (m_times.back() - m_times.front());
    }
    Vec3 at(long k) const {
        const auto frame = static_cast<std::size_t>(k - rounds(k) * m_last);
        const Vec3 moved = m_is.hand[frame] - m_was.hand[frame];
        if (rounds(k) == 0) return moved;
        return rotate(rounds(k) < 0 ? conjugate(*m_is.round) : *m_is.round, moved);
    }
    /// Over neighbours on either side, fewer at the ends of a shot: an arm that a leg pushes aside in passing moves its hand by a
    /// centimetre in five hundredths of a second, and twice differenced that would be forces that no round repeats.
    Vec3 smooth(long k) const {
        double reach = 0.08; // seconds
        if (!m_is.round) reach = std::min({reach, time(k) - m_times.front(), m_times.back() - time(k)});
        Vec3 sum = at(k);
        double whole = 1;
        for (long off = 1; off < m_last && reaches(k - off) && reaches(k + off); ++off) {
            const double before = time(k) - time(k - off), after = time(k + off) - time(k);
            if (!(std::max(before, after) < reach)) break;
            const double weight = 1 - std::max(before, after) / reach;
            sum += (at(k - off) + at(k + off)) * weight;
            whole += 2 * weight;
        }
        return sum / whole;
    }

    const Swing &m_is, &m_was;
    const std::vector<double>& m_times;
    const long m_last;
};

} // namespace

void quiet_arms(const Character& character, const Frames& frames, const Cargo& cargo, Poses& poses) {
    for (std::size_t c = 0; c < cargo.carries.value.size(); ++c)
        if (cargo.hangs(c))
            Swinger(character, frames, poses, cargo.carries.value[c].load).quiet_arm(poses.rotations);
}

std::vector<Swing> swing_loads(const Character& character, const Frames& frames, const Cargo& cargo,
                               const Poses& poses, const FollowArguments& follow) {
    const double part = follow.swing.empty() ? 0.2 : part_between("--swing", follow.swing, 1);
    std::vector<Swing> swings;
    for (std::size_t c = 0; c < cargo.carries.value.size(); ++c) {
        if (!cargo.hangs(c)) continue;
        const aplomb_load& load = cargo.carries.value[c].load;
        swings.push_back({load, cargo.loads[cargo.carries.loads[c]].text, c, {}, {}, {}});
        Swinger(character, frames, poses, load).swing(part, follow.loop, swings.back());
    }
    return swings;
}

std::vector<Tension> tensions_of(const std::vector<Swing>& swings, const std::vector<Swing>& before,
                                 const Frames& frames) {
    std::vector<Tension> tensions;
    const std::size_t count = frames.times.size();
    for (std::size_t i = 0; i < swings.size(); ++i) {
        Tension tension{swings[i].carry, std::vector<double>(3 * count)};
        const MovedHand moved(swings[i], before[i], frames.times);
        for (std::size_t k = 0; k < count; ++k) {
            const double* pull = swings[i].frames[k].tension;
            put(&tension.forces[3 * k], Vec3{pull[0], pull[1], pull[2]} +
                                            moved.acceleration(static_cast<long>(k)) * swings[i].load.mass);
        }
        tensions.push_back(tension);
    }
    return tensions;
}

} // namespace aplomb::cli
