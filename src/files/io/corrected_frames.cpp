// SPDX-License-Identifier: MIT
#include "io/corrected_frames.h"

#include "io/fault.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace aplomb::io {
namespace {

bool equal(const Vec3& a, const Vec3& b) {
    return a.x == b.x && a.y == b.y && a.z == b.z;
}
bool equal(const Quat& a, const Quat& b) {
    return equal(a.vec(), b.vec()) && a.w == b.w;
}

/// The joints that differ from `keyed`; their rotations are normalised in `pose`.
std::vector<Change> find_changes(const Pose& keyed, Pose& pose) {
    std::vector<Change> changes;
    for (std::size_t i = 0; i < pose.translations.size(); ++i) {
        const Change change = {static_cast<int>(i), !equal(keyed.translations[i], pose.translations[i]),
                               !equal(keyed.rotations[i], pose.rotations[i])};
        if (!change.translation && !change.rotation) continue;
        pose.rotations[i] = normalized(pose.rotations[i]);
        changes.push_back(change);
    }
    return changes;
}

/// "keys[3]"; a single one is called without its number.
std::string entry(const char* list, const aplomb_corrected_frames& frames, int index) {
    return frames.count > 1 ? std::string(list) + "[" + std::to_string(index) + "]" : list;
}

double moment(const CharacterFile& file, const aplomb_corrected_frames& frames, int index) {
    if (frames.clip < 0) return 0;
    if (frames.seconds != nullptr) {
        const double seconds = frames.seconds[index];
        if (!std::isfinite(seconds))
            bad_argument("seconds", entry("seconds", frames, index) + " is not finite", index);
        return seconds;
    }
    const std::vector<double>& times = file.key_times(frames.clip);
    const int32_t key = frames.keys[index];
    if (key < 0 || static_cast<std::size_t>(key) >= times.size())
        bad_argument("keys",
                     entry("keys", frames, index) + " is " + std::to_string(key) + "; the clip has " +
                         std::to_string(times.size()) + " key times, counted from 0",
                     index);
    return times[static_cast<std::size_t>(key)];
}

void check_lists(const aplomb_corrected_frames& frames) {
    if (frames.count < 0)
        bad_argument("count", "count is " + std::to_string(frames.count) + "; it must be 0 or more");
    if (frames.clip < 0 && frames.count > 1)
        bad_argument("count", "count is " + std::to_string(frames.count) +
                                  "; clip -1, the pose of the nodes, takes one frame");
    if (frames.count == 0) return;
    if (frames.clip >= 0 && (frames.seconds == nullptr) == (frames.keys == nullptr))
        bad_argument("seconds",
                     frames.seconds == nullptr
                         ? "seconds and keys are both NULL; one of them says when the frames are"
                         : "seconds and keys are both given; one of them says when the frames are");
    if (frames.translations == nullptr) bad_argument("translations", "translations is NULL");
    if (frames.rotations == nullptr) bad_argument("rotations", "rotations is NULL");
}

} // namespace

Pose read_pose(const CharacterFile& file, const double* translations, const double* rotations,
               const std::string& where) {
    Pose pose;
    for (std::size_t i = 0; i < file.joints().size(); ++i) {
        const double* t = translations + 3 * i;
        const double* r = rotations + 4 * i;
        const auto refuse_joint = [&](const char* field, const char* what) {
            throw Fault{APLOMB_BAD_POSE,
                        std::string(field) + " of joint " + std::to_string(i) + " ('" +
                            file.joints()[i].name + "')" + where + " " + what,
                        field, static_cast<int>(i)};
        };
        if (!std::isfinite(t[0]) || !std::isfinite(t[1]) || !std::isfinite(t[2]))
            refuse_joint("translations", "is not finite");
        const double length = std::sqrt(r[0] * r[0] + r[1] * r[1] + r[2] * r[2] + r[3] * r[3]);
        if (!(std::fabs(length - 1) <= 1e-4)) refuse_joint("rotations", "is not of unit length");
        pose.translations.push_back({t[0], t[1], t[2]});
        pose.rotations.push_back({r[0], r[1], r[2], r[3]});
    }
    return pose;
}

std::vector<CorrectedFrame> read_frames(const CharacterFile& file, const aplomb_corrected_frames& frames) {
    check_lists(frames);
    const std::size_t joints = file.joints().size();
    std::vector<CorrectedFrame> result;
    for (int index = 0; index < frames.count; ++index) {
        const auto f = static_cast<std::size_t>(index);
        const std::string where = frames.count > 1 ? " in frame " + std::to_string(index) : "";
        CorrectedFrame frame;
        frame.index = index;
        frame.seconds = moment(file, frames, index);
        frame.pose =
            read_pose(file, frames.translations + 3 * joints * f, frames.rotations + 4 * joints * f, where);
        frame.changes = find_changes(file.pose(frames.clip, frame.seconds), frame.pose);
        result.push_back(std::move(frame));
    }
    return result;
}

void refuse_same_moment(const CorrectedFrame& a, const CorrectedFrame& b) {
    char times[80];
    std::snprintf(times, sizeof times, "%g s and %g s", a.seconds, b.seconds);
    bad_argument("seconds",
                 "frames " + std::to_string(a.index) + " and " + std::to_string(b.index) + ", at " + times +
                     ", are the same frame of the file",
                 b.index);
}

} // namespace aplomb::io
