// SPDX-License-Identifier: MIT
#include "cli/swing.h"

#include <cmath>
#include <cstdlib>

#include "base/rotation.h"
#include "cli/failure.h"
#include "cli/loads.h"
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

/// A load, what it hangs from, and the frames.
class Swinger {
public:
    Swinger(const Character& character, const Frames& frames, std::vector<double>& rotations,
            const aplomb_load& load)
        : m_character(character), m_frames(frames), m_rotations(rotations), m_load(load),
          m_down(down_of(character)), m_hand(load.holder[0]), m_grip(grip(character, m_hand)) {}

    /// Turns the arm that ends at the hand at its shoulder, so that the grip is plumb below it.
    void quiet_arm() {
        for (int32_t i = 0; i < m_character.limb_count(); ++i) {
            const aplomb_limb_info limb = m_character.limb(i);
            if (limb.kind != APLOMB_ARM || limb.end != m_hand) continue;
            const int32_t above = m_character.joint(limb.upper).parent;
            for (std::size_t k = 0; k < m_frames.times.size(); ++k) {
                const Placed placed = placed_in(k);
                const Vec3 way = placed.at(m_hand, m_grip) - placed.at(limb.upper, {});
                if (!(norm(way) > 0)) continue;
                const Quat turned = rotation_between(normalized(way), m_down) * placed.rotation(limb.upper);
                put(turns(k) + 4 * static_cast<std::size_t>(limb.upper),
                    normalized(conjugate(placed.rotation(above)) * turned));
            }
        }
    }

    std::vector<aplomb_hanging_result> swing(double damping) {
        const double metres = m_character.info().metres_per_unit;
        aplomb_hanging hanging;
        aplomb_hanging_init(&hanging, sizeof hanging);
        hanging.length = m_load.hang * metres, hanging.mass = m_load.mass, hanging.damping = damping;
        put(hanging.gravity, m_down * 9.80665);
        aplomb_hanging_state state{};
        std::vector<aplomb_hanging_result> results(m_frames.times.size());
        for (std::size_t k = 0; k < results.size(); ++k) {
            double place[3];
            put(place, placed_in(k).at(m_hand, m_grip) * metres);
            const double seconds = k == 0 ? 0 : m_frames.times[k] - m_frames.times[k - 1];
            aplomb_error error{};
            check(aplomb_hanging_step(&hanging, &state, seconds, place, &results[k], &error), error);
        }
        return results;
    }

private:
    double* turns(std::size_t frame) { return &m_rotations[4 * m_frames.joints * frame]; }
    Placed placed_in(std::size_t frame) {
        return Placed(m_character, &m_frames.translations[3 * m_frames.joints * frame], turns(frame));
    }

    const Character& m_character;
    const Frames& m_frames;
    std::vector<double>& m_rotations;
    const aplomb_load& m_load;
    const Vec3 m_down;
    const int32_t m_hand;
    const Vec3 m_grip;
};

void check_hangs(const Load& load, const std::string& word) {
    const auto refuse = [&](const char* why) { throw Failure{"--load " + word + ": " + why}; };
    const aplomb_load& l = load.value;
    if (!l.hanging || !(l.hang > 0)) refuse("only what hangs can swing; add its length, as hang=0.35");
    if (l.holder[1] >= 0) refuse("it swings from one hand; give left-hand or right-hand");
    if (l.offset[0] != 0 || l.offset[1] != 0 || l.offset[2] != 0)
        refuse("it swings from the hand itself; leave ways out");
    if (!(l.mass > 0)) refuse("what swings has a mass above 0");
}

} // namespace

std::vector<Swing> swing_loads(const Character& character, const Frames& frames,
                               std::vector<double>& rotations, const std::vector<std::string>& loads,
                               const std::string& damping) {
    const double part = damping.empty() ? 0.2 : part_between("--swing", damping, 1);
    std::vector<Swing> swings;
    const std::vector<Load> parsed = parse_loads(character, loads);
    for (std::size_t i = 0; i < parsed.size(); ++i) {
        check_hangs(parsed[i], loads[i]);
        Swinger swinger(character, frames, rotations, parsed[i].value);
        swinger.quiet_arm();
        swings.push_back({parsed[i].value, loads[i], swinger.swing(part)});
    }
    return swings;
}

} // namespace aplomb::cli
