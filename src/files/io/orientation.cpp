// SPDX-License-Identifier: MIT
#include "io/orientation.h"

#include "io/facing.h"
#include "io/fault.h"
#include "io/figure_from_file.h"
#include "io/flat_feet.h"
#include "io/near_names.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>

namespace aplomb::io {
namespace {

constexpr int most_samples = 512, most_clips = 64;
constexpr double telling_share = 0.3;                  // of the frames: the motion stands along an axis
constexpr int sure_votes = 3;                          // against a standard: more than one kind of evidence
constexpr double near_ground = 0.35, off_ground = 0.5; // of the leg's length

const char* axis_text(int axis) {
    static constexpr const char* names[] = {"-Z", "-Y", "-X", "", "X", "Y", "Z"};
    return names[axis + 3];
}

std::string seconds_text(double seconds) {
    char text[32];
    std::snprintf(text, sizeof text, "%.2f s", seconds);
    return text;
}

/// Even steps through every clip; moments that the file cannot give are left out.
std::vector<Sample> samples_of(const CharacterFile& file) {
    std::vector<Sample> samples;
    const int clips = std::min(file.clip_count(), most_clips);
    for (int clip = 0; clip < clips; ++clip) {
        const std::vector<double>& times = file.key_times(clip);
        if (times.empty()) continue;
        const auto keys = static_cast<int>(std::min<std::size_t>(times.size(), most_samples));
        const int count = std::clamp(most_samples / clips, 1, keys);
        for (int i = 0; i < count; ++i) {
            const auto key = static_cast<std::size_t>(i) * (times.size() - 1) /
                             static_cast<std::size_t>(std::max(count - 1, 1));
            try {
                Sample sample{clip, times[key], world_of(file.joints(), file.pose(clip, times[key]))};
                if (sample.world.is_finite()) samples.push_back(std::move(sample));
            } catch (const Fault&) {
                continue; // if a caller asks for it by name, it is refused with its reason
            }
        }
    }
    return samples;
}

/// How many frames stand along each axis.
class Census {
public:
    Census(const BodyPlan& plan, const std::vector<Sample>& samples)
        : m_all(static_cast<int>(samples.size())) {
        for (const Sample& sample : samples)
            ++m_counts[index(attitude_of(plan, sample.world).standing_axis())];
    }

    int all() const { return m_all; }
    int along(int axis) const { return m_counts[index(axis)]; }
    bool tells(int axis) const { return axis != 0 && along(axis) > telling_share * m_all; }
    /// The axis that most standing frames have, where they are many and no other one has half as many; else 0.
    int axis() const {
        int best = 0;
        for (const int axis : {2, 3, 1, -1, -2, -3})
            if (best == 0 || along(axis) > along(best)) best = axis;
        if (!tells(best)) return 0;
        for (const int axis : {2, 3, 1, -1, -2, -3})
            if (axis != best && 2 * along(axis) > along(best)) return 0;
        return best;
    }
    std::string text(int axis) const {
        return std::to_string(along(axis)) + " of " + std::to_string(m_all) +
               " frames looked at stand along it";
    }

private:
    static std::size_t index(int axis) { return static_cast<std::size_t>(axis + 3); }
    std::array<int, 7> m_counts{};
    int m_all;
};

/// The rest pose, or a frame, turned about the world's origin.
void turn(Pose& pose, const Quat& by) {
    pose.translations[0] = rotate(by, pose.translations[0]);
    pose.rotations[0] = normalized(by * pose.rotations[0]);
}

class Finder {
public:
    Finder(const CharacterFile& file, const Description& given)
        : m_file(file), m_given(given), m_samples(samples_of(file)), m_rest(file.rest()) {}

    Orientation find() {
        m_result.pose = m_rest;
        if (!world_of(m_file.joints(), m_rest).is_finite()) {
            settle({}); // the figure's own check names the joint
            return m_result;
        }
        // Roles are found better with names and axes than from branches alone, and axes with roles: so both are found twice.
        // Where a standard tells, branches are too weak to say more: they may be a rig's controls.
        settle(m_file.standard_up() == 0 ? plan_of_tree(m_file.joints(), m_rest) : BodyPlan{});
        const BodyPlan plan = plan_of_roles(m_result.up.value, m_result.forward.value);
        m_roles_tell = plan.legs.size() > 1;
        if (m_roles_tell) settle(plan);
        const bool stands = m_stands_along_up || !m_rest_attitude.is_no_stand(m_result.up.value);
        if (m_file.standard_up() != 0 && !stands) try_other_axes();
        return m_result;
    }

private:
    void settle(BodyPlan plan) {
        plan.trunk_lies = trunk_lies(plan, world_of(m_file.joints(), m_rest));
        m_result = {};
        m_flat.clear();
        m_result.pose = m_rest;
        m_rest_attitude = attitude_of(plan, world_of(m_file.joints(), m_rest));
        const Census census(plan, m_samples);
        settle_up(plan, census);
        m_stands_along_up = m_rest_attitude.stands(m_result.up.value) || census.tells(m_result.up.value);
        settle_stand(plan, census);
        settle_facing(plan);
    }

    // ---- up ----

    void settle_up(const BodyPlan& plan, const Census& census) {
        Found& up = m_result.up;
        const int rest = m_rest_attitude.standing_axis(), motion = census.axis();
        const int standard = m_file.standard_up();
        if (m_given.up != 0) {
            up = {m_given.up, APLOMB_SOURCE_GIVEN, "as given"};
        } else if (standard != 0) {
            up = {standard, APLOMB_SOURCE_STANDARD, m_file.standard_name()};
            const bool motion_agrees = motion == rest || (motion == 0 && census.along(standard) == 0);
            if (rest == 0 || rest == standard || !motion_agrees) return;
            up = {rest, motion == rest ? APLOMB_SOURCE_MOTION : APLOMB_SOURCE_SHAPE,
                  "the rest pose stands along it" +
                      (motion == rest ? " and " + census.text(rest) : std::string())};
            m_result.remarks.push_back("Up is " + std::string(axis_text(rest)) + ", not " +
                                       axis_text(standard) + " as " + m_file.standard_name() +
                                       " has it: " + up.why + "; up_axis says otherwise.");
        } else if (rest != 0 && (motion == 0 || motion == rest)) {
            up = {rest, APLOMB_SOURCE_SHAPE,
                  "the rest pose stands along it" +
                      (motion == rest ? " and " + census.text(rest) : std::string())};
        } else if (rest != 0 && lies(plan, rest, motion)) {
            up = {rest, APLOMB_SOURCE_SHAPE,
                  "the rest pose stands along it, and the motion lies on its ground"};
        } else if (motion != 0) {
            up = {motion, APLOMB_SOURCE_MOTION,
                  census.text(motion) +
                      (rest != 0 ? std::string(", though the rest pose stands along ") + axis_text(rest)
                                 : ", and the rest pose stands along none")};
        } else {
            settle_by_rise(plan);
        }
    }

    /// Neither stands: from the legs to the rest of the body, in most frames or else in the rest pose.
    void settle_by_rise(const BodyPlan& plan) {
        Found& up = m_result.up;
        std::array<int, 7> counts{};
        for (const Sample& sample : m_samples)
            ++counts[static_cast<std::size_t>(nearest_axis(attitude_of(plan, sample.world).rise) + 3)];
        const auto most = std::max_element(counts.begin(), counts.end());
        const int motion = static_cast<int>(most - counts.begin()) - 3;
        const bool told = !plan.legs.empty();
        if (told && !m_samples.empty() && 5 * *most > 3 * static_cast<int>(m_samples.size())) {
            up = {motion, APLOMB_SOURCE_MOTION,
                  "the body is above the legs along it in " + std::to_string(*most) + " of " +
                      std::to_string(m_samples.size()) + " frames looked at"};
        } else if (told) {
            up = {nearest_axis(m_rest_attitude.rise), APLOMB_SOURCE_SHAPE,
                  "the body is above the legs along it in the rest pose"};
        } else {
            up = {APLOMB_AXIS_Y, APLOMB_SOURCE_ASSUMED, "neither shape nor motion tells (common practice)"};
        }
    }

    /// A sleeper looks as if he stood along another axis; but he lies on the ground, which is the origin's level, and
    /// his feet do not stand on it.
    bool lies(const BodyPlan& plan, int rest, int motion) const {
        std::vector<double> along_rest, along_motion;
        for (const Sample& sample : m_samples) {
            along_rest.push_back(lowest(sample.world, rest));
            along_motion.push_back(lowest(sample.world, motion));
        }
        const auto median = [](std::vector<double>& values) {
            const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
            std::nth_element(values.begin(), middle, values.end());
            return std::fabs(*middle);
        };
        const double leg = leg_length(plan, world_of(m_file.joints(), m_rest));
        return !along_rest.empty() && median(along_rest) < near_ground * leg &&
               median(along_motion) > off_ground * leg;
    }

    static double lowest(const World& world, int axis) {
        double least = 1e300;
        for (const Vec3& place : world.places)
            least = std::min(least, dot(place, direction_of(axis)));
        return least;
    }

    static double leg_length(const BodyPlan& plan, const World& world) {
        double longest = 0;
        for (const PlanLeg& leg : plan.legs)
            longest = std::max(longest, norm(world.at(leg.upper) - world.at(leg.end)));
        return longest;
    }

    // ---- the pose that it is measured in ----

    void settle_stand(const BodyPlan& plan, const Census& census) {
        Found& stand = m_result.stand;
        const bool rests = m_rest_attitude.stands(m_result.up.value);
        stand = {-1, rests ? APLOMB_SOURCE_SHAPE : APLOMB_SOURCE_ASSUMED,
                 rests ? "the rest pose, which stands" : "the rest pose"};
        if (m_given.stand && !m_given.stand->clip.empty()) return take_given_stand();
        if (m_given.stand) stand.source = APLOMB_SOURCE_GIVEN;
        const int up = m_result.up.value;
        const int rest = m_rest_attitude.standing_axis();
        if (rest != 0 && rest != up && census.tells(up)) {
            turn_rest_upright(plan, rest);
        } else if (!m_given.stand && plan.legs.size() > 1 && m_rest_attitude.is_no_stand(up)) {
            take_best_frame(plan);
        }
    }

    void take_given_stand() {
        const StandDescription& given = *m_given.stand;
        for (int clip = 0; clip < m_file.clip_count() && m_result.stand.value < 0; ++clip)
            if (m_file.clip_name(clip) == given.clip) m_result.stand.value = clip;
        if (m_result.stand.value < 0) m_result.stand.value = number_of(given.clip);
        check_seconds(m_result.stand.value, given.seconds);
        take_frame(m_result.stand.value, given.seconds);
        m_result.stand.source = APLOMB_SOURCE_GIVEN;
        m_result.stand.why = frame_text() + ", as given";
    }

    int number_of(const std::string& clip) const {
        const int number = whole_number(clip);
        if (number >= 0 && number < m_file.clip_count()) return number;
        std::vector<std::string> names;
        for (int i = 0; i < m_file.clip_count(); ++i)
            names.push_back(m_file.clip_name(i));
        throw Fault{APLOMB_BAD_ARGUMENT,
                    "the stand's clip is '" + clip + "'; " +
                        (m_file.clip_count() == 0 ? "the file has no clips" : "the file has no such clip") +
                        near_names(clip, names),
                    "stand_clip"};
    }

    void check_seconds(int clip, double seconds) const {
        const std::vector<double>& times = m_file.key_times(clip);
        constexpr double slack = 0.005; // ends are printed to hundredths
        if (times.empty() || (seconds > times.front() - slack && seconds < times.back() + slack)) return;
        throw Fault{APLOMB_BAD_ARGUMENT,
                    "the stand's second is " + seconds_text(seconds) + "; clip '" + m_file.clip_name(clip) +
                        "' runs from " + seconds_text(times.front()) + " to " + seconds_text(times.back()),
                    "stand_seconds"};
    }

    std::string frame_text() const {
        return "clip '" + m_file.clip_name(m_result.stand.value) + "' at " +
               seconds_text(m_result.stand_seconds);
    }

    void take_frame(int clip, double seconds) {
        m_result.pose = m_file.pose(clip, seconds);
        m_result.stand.value = clip;
        m_result.stand_seconds = seconds;
    }

    /// The joints keep their places relative to each other; the whole figure turns by half about its left, or where that is
    /// not needed, by the smallest turn.
    void turn_rest_upright(const BodyPlan& plan, int rest) {
        const Vec3 from = direction_of(rest), to = direction_of(m_result.up.value);
        Vec3 left = cross(from, to);
        if (dot(left, left) == 0) {
            const Vec3 facing = facing_of(plan, world_of(m_file.joints(), m_rest), from);
            left = dot(facing, facing) > 0 ? cross(from, facing) : any_perpendicular(from);
        }
        const double angle = dot(from, to) < 0 ? pi : pi / 2;
        turn(m_result.pose, exp_rotation(normalized(left) * angle));
        m_result.stand.why = std::string("the rest pose, turned from ") + axis_text(rest) + " up to " +
                             axis_text(m_result.up.value) + " up, as the motion has it";
        m_result.stand.source = APLOMB_SOURCE_MOTION;
    }

    void take_best_frame(const BodyPlan& plan) {
        const int up = m_result.up.value;
        const std::vector<FootSlope> flat = flat_slopes(plan, m_file.joints(), m_samples, up);
        const Sample* best = nullptr;
        double least = 1e300;
        for (const Sample& sample : m_samples) {
            if (!attitude_of(plan, sample.world).stands(up)) continue;
            const double unrest =
                unrest_of(plan, sample.world, up) + unevenness(plan, m_file.joints(), sample.world, flat, up);
            if (best == nullptr || unrest < least) best = &sample, least = unrest;
        }
        if (best == nullptr) {
            m_result.remarks.emplace_back(
                "The rest pose is nothing like a stand, and no frame of the motion stands; what is measured "
                "in it "
                "may be wrong. Name a frame that stands (stand_clip), where there is one.");
            return;
        }
        take_frame(best->clip, best->seconds);
        m_flat = flat;
        m_result.stand.source = APLOMB_SOURCE_MOTION;
        m_result.stand.why = frame_text() +
                             ", the most upright frame, with feet flat as where they stand lowest; the "
                             "rest pose is nothing like a stand";
        m_result.remarks.push_back("The figure is measured in " + m_result.stand.why + ".");
    }

    // ---- facing ----

    void settle_facing(const BodyPlan& plan) {
        const Vec3 up = direction_of(m_result.up.value);
        const Vec3 one_way = facing_of(plan, world_of(m_file.joints(), m_result.pose), up);
        FacingVotes votes;
        if (!plan.legs.empty())
            votes = facing_votes(plan, m_file.joints(), m_file.skin(), m_result.pose, m_samples,
                                 m_result.up.value);
        // In a mirrored file the joints whose names say left are on the right.
        const bool names_mirrored = m_file.is_mirrored() && votes.names * votes.way() < 0;
        if (names_mirrored) votes.names = -votes.names;
        const int way = votes.way();
        const Vec3 facing = one_way * way; // zero where no pair of legs tells
        const bool told = votes.any(1) || votes.any(-1);
        choose_forward(facing, told, votes, way);
        if (dot(facing, facing) > 0)
            put_feet_flat(plan, m_file.joints(), m_flat, m_result.up.value, facing, m_result.pose);
        if (m_result.stand.value >= 0) turn_to_face(facing);
        if (names_mirrored)
            swap_sides();
        else if (votes.names * way < 0)
            remark_on_names(votes, way);
    }

    void choose_forward(const Vec3& facing, bool told, const FacingVotes& votes, int way) {
        Found& forward = m_result.forward;
        const int found = dot(facing, facing) > 0 ? level_axis(facing) : 0;
        const std::string why = told ? votes.words(way) + " say so" : "";
        const Found by_body = {found, votes.is_of_motion() ? APLOMB_SOURCE_MOTION : APLOMB_SOURCE_SHAPE, why};
        if (m_given.forward != 0) {
            forward = {m_given.forward, APLOMB_SOURCE_GIVEN, "as given"};
        } else if (const int standard = m_file.standard_forward();
                   standard != 0 && !leaves_standard(standard)) {
            forward = {standard, APLOMB_SOURCE_STANDARD, m_file.standard_name()};
            if (found == standard && told) forward.why += "; " + votes.words(way) + " say the same";
            if (found == 0 || found == standard || !told) return;
            const bool sure = std::abs(votes.sum()) >= sure_votes && !votes.any(-way);
            m_result.remarks.push_back(sure ? std::string("The figure faces ") + axis_text(found) + ", not " +
                                                  axis_text(standard) + " as " + m_file.standard_name() +
                                                  " has it: " + why + "; forward_axis says otherwise."
                                            : std::string("The figure is taken to face ") +
                                                  axis_text(standard) + ", as " + m_file.standard_name() +
                                                  " has it, though " + votes.words(way) + " say " +
                                                  axis_text(found) + "; forward_axis says otherwise.");
            if (sure) forward = by_body;
        } else if (found != 0 && told) {
            forward = by_body;
        } else {
            forward = {custom_forward(facing), APLOMB_SOURCE_ASSUMED,
                       "neither feet, names nor motion tell (common practice)"};
        }
    }

    /// True for a frame of the motion, and where the body stands along the axis that the standard calls ahead. Not where only
    /// the caller says so: then both axes have to be given.
    bool leaves_standard(int standard) const {
        const bool parallel = std::abs(standard) == std::abs(m_result.up.value);
        return m_result.stand.value >= 0 || (parallel && m_stands_along_up);
    }

    int level_axis(const Vec3& facing) const {
        int best = 0;
        for (const int axis : {3, -3, 1, -1, 2, -2})
            if (std::abs(axis) != std::abs(m_result.up.value) &&
                (best == 0 || dot(direction_of(axis), facing) > dot(direction_of(best), facing)))
                best = axis;
        return best;
    }

    /// +Z where Y is up, -Y where Z is up; along the way in which the hips lie, where that is known.
    int custom_forward(const Vec3& facing) const {
        const int up = std::abs(m_result.up.value);
        const int custom = up == 3 ? APLOMB_AXIS_MINUS_Y : APLOMB_AXIS_Z;
        if (dot(facing, facing) == 0 || std::fabs(dot(facing, direction_of(custom))) > 0.5) return custom;
        return std::abs(level_axis(facing));
    }

    /// The body of a frame may face anywhere. It is turned onto its axis about up, by less than a right angle, so that an axis
    /// that is given can say which of both ways is ahead.
    void turn_to_face(Vec3 facing) {
        const Vec3 up = direction_of(m_result.up.value), ahead = direction_of(m_result.forward.value);
        if (dot(facing, facing) == 0 || dot(up, ahead) != 0) return;
        if (dot(facing, ahead) < 0) facing = -facing;
        turn(m_result.pose, exp_rotation(up * arctan2(dot(up, cross(facing, ahead)), dot(facing, ahead))));
    }

    void remark_on_names(const FacingVotes& votes, int way) {
        m_result.remarks.push_back("What the names call left lies to the right of the way that the " +
                                   votes.words(way) + " say; forward_axis or sides say otherwise.");
    }

    void swap_sides() {
        const auto probe =
            probe_figure(m_file, described(m_result.up.value, m_result.forward.value), m_result.pose);
        if (!probe) return;
        for (std::size_t i = 0; i < m_file.joints().size(); ++i) {
            aplomb_joint_info info;
            aplomb_joint_info_init(&info, sizeof info);
            aplomb_figure_joint(probe.get(), static_cast<int32_t>(i), &info, nullptr);
            m_result.sides.push_back(info.side == APLOMB_SIDE_LEFT    ? APLOMB_SIDE_RIGHT
                                     : info.side == APLOMB_SIDE_RIGHT ? APLOMB_SIDE_LEFT
                                                                      : info.side);
        }
        m_result.remarks.emplace_back(
            "The file mirrors the figure: what its names call left is taken for its "
            "right side, and right for left.");
    }

    // ---- roles ----

    Description described(int up, int forward) const {
        Description description = m_given;
        description.up = up;
        description.forward = forward;
        return description;
    }

    BodyPlan plan_of_roles(int up, int forward) const {
        forward = std::abs(forward);
        if (forward == std::abs(up)) return {};
        const auto one = probe_figure(m_file, described(up, forward), m_result.pose);
        const auto other = probe_figure(m_file, described(up, -forward), m_result.pose);
        if (!one || !other) return {};
        BodyPlan plan = plan_of_figure(*one, *other);
        if (!plan.has_fore_legs() || feet_point(plan, up, forward) >= 0) return plan;
        // Without names, which legs are the fore legs goes by the way it was taken to face; its feet tell.
        BodyPlan turned = plan_of_figure(*other, *one);
        return feet_point(turned, up, -forward) > 0 ? turned : plan;
    }

    /// 1 where the feet point along `forward`, -1 where they point back, 0 where they do not tell.
    int feet_point(const BodyPlan& plan, int up, int forward) const {
        if (plan.legs.empty()) return 0;
        const FacingVotes votes = facing_votes(plan, m_file.joints(), m_file.skin(), m_result.pose, {}, up);
        const Vec3 facing = facing_of(plan, world_of(m_file.joints(), m_result.pose), direction_of(up));
        return dot(facing, direction_of(forward)) < 0 ? -votes.feet : votes.feet;
    }

    /// With wrong axes the shape of a four-footed figure tells wrong roles, and with those nothing stands; without names, a
    /// two-footed one's tells none. Other axes are right if the body, with the roles found by them, stands along them; along the
    /// same up it is enough that it is not upside down.
    void try_other_axes() {
        const int up = m_result.up.value;
        for (const int axis : {up, 3, -3, 2, -2, 1, -1})
            for (const int forward : {3, 1, 2}) {
                if ((axis == up && forward == std::abs(m_result.forward.value)) ||
                    (m_given.up != 0 && axis != m_given.up))
                    continue;
                const BodyPlan plan = plan_of_roles(axis, forward);
                const Attitude rest = attitude_of(plan, world_of(m_file.joints(), m_rest));
                const bool told = plan.has_fore_legs() || (!m_roles_tell && plan.legs.size() > 1);
                if (!told || (axis == up ? rest.is_no_stand(up) : !rest.stands(axis))) continue;
                settle(plan);
                return;
            }
    }

    const CharacterFile& m_file;
    const Description& m_given;
    std::vector<Sample> m_samples;
    Pose m_rest;
    Attitude m_rest_attitude;
    bool m_roles_tell = false;      // with the axes of the standard, or found from branches
    bool m_stands_along_up = false; // at rest or in motion
    std::vector<FootSlope> m_flat;  // where the library chose the frame
    Orientation m_result;
};

} // namespace

Orientation find_orientation(const CharacterFile& file, const Description& given) {
    return Finder(file, given).find();
}

} // namespace aplomb::io
