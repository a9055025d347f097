// SPDX-License-Identifier: MIT
#include "io/own_keys.h"

#include <algorithm>
#include <cmath>

namespace aplomb::io {
namespace {

struct World {
    std::vector<Vec3> place;
    std::vector<Quat> turn;

    Vec3 at(const FootPoint& point) const {
        const auto j = static_cast<std::size_t>(point.joint);
        return place[j] + rotate(turn[j], point.place);
    }
};

World world_of(const CharacterFile& file, const Pose& pose) {
    World w;
    for (std::size_t j = 0; j < pose.rotations.size(); ++j) {
        const int parent = file.joints()[j].parent;
        if (parent < 0) {
            w.place.push_back(pose.translations[j]), w.turn.push_back(pose.rotations[j]);
            continue;
        }
        const auto p = static_cast<std::size_t>(parent);
        w.place.push_back(w.place[p] + rotate(w.turn[p], pose.translations[j]));
        w.turn.push_back(normalized(w.turn[p] * pose.rotations[j]));
    }
    return w;
}

/// Sets a joint's own turn so that its turn in the world becomes `turn`.
void face(const CharacterFile& file, int joint, const Quat& turn, Pose& pose) {
    const int parent = file.joints()[static_cast<std::size_t>(joint)].parent;
    const Quat above = parent < 0 ? Quat{} : world_of(file, pose).turn[static_cast<std::size_t>(parent)];
    pose.rotations[static_cast<std::size_t>(joint)] = normalized(conjugate(above) * turn);
}

void face_leg(const CharacterFile& file, const Leg& leg, const World& asked, Pose& pose) {
    for (const int joint : {leg.upper, leg.lower, leg.end})
        face(file, joint, asked.turn[static_cast<std::size_t>(joint)], pose);
}

/// Sets the leg as it was asked for, under hips that are elsewhere: its end where it stands, the middle joint by the law of
/// cosines, then the whole leg by the smallest turn of its line.
void stand(const CharacterFile& file, const Leg& leg, const World& asked, Pose& pose) {
    face_leg(file, leg, asked, pose);
    const World w = world_of(file, pose);
    const auto at = [](int joint) { return static_cast<std::size_t>(joint); };
    const Vec3 a = w.place[at(leg.upper)], k = w.place[at(leg.lower)], e = w.place[at(leg.end)],
               place = asked.place[at(leg.end)];
    const double upper = norm(a - k), lower = norm(e - k);
    if (norm(e - place) <= 1e-12 * (upper + lower)) return; // under hips where they were
    const Vec3 hinge = cross(a - k, e - k);
    if (!(norm(hinge) > 1e-9 * upper * lower)) return; // dead straight: no side to bend to
    const double way = std::clamp(norm(place - a), std::fabs(upper - lower), upper + lower);
    const auto angle = [](double cosine) { return std::acos(std::clamp(cosine, -1.0, 1.0)); };
    const double now = angle(dot(a - k, e - k) / (upper * lower)),
                 wished = angle((upper * upper + lower * lower - way * way) / (2 * upper * lower));
    const Quat bend = exp_rotation(normalized(hinge) * (wished - now));
    const Vec3 end = k + rotate(bend, e - k);
    const Quat swing = rotation_between(normalized(end - a), normalized(place - a));
    face(file, leg.upper, swing * w.turn[at(leg.upper)], pose);
    face(file, leg.lower, swing * bend * w.turn[at(leg.lower)], pose);
    face(file, leg.end, asked.turn[at(leg.end)], pose);
}

double furthest(const std::vector<FootPoint>& points, const World& is, const World& asked) {
    double off = 0;
    for (const FootPoint& point : points)
        off = std::max(off, norm(is.at(point) - asked.at(point)));
    return off;
}

/// Of the frames that will do, the one nearest to frame `to`; of two the earlier one.
template<class Will>
std::optional<std::size_t> nearest(std::size_t count, std::size_t to, const Will& will) {
    for (std::size_t away = 0; away < count; ++away) {
        if (away <= to && will(to - away)) return to - away;
        if (to + away < count && will(to + away)) return to + away;
    }
    return {};
}

} // namespace

OwnKeys on_own_keys(const CharacterFile& file, int clip, const std::vector<CorrectedFrame>& frames,
                    const std::vector<Leg>& legs, const std::vector<Planted>& planted, double most_drift,
                    const std::optional<std::string>& target) {
    OwnKeys out;
    FurtherKeys further;
    std::vector<World> asked;
    for (const CorrectedFrame& frame : frames)
        asked.push_back(world_of(file, frame.pose));
    // Hips and trunk come as their keys have them; the legs under them stand where they have to.
    std::vector<CorrectedFrame> led = frames;
    const auto first = file.with_own_keys(clip, frames, further);
    for (std::size_t f = 0; f < frames.size(); ++f) {
        Pose pose = first->pose(clip, frames[f].seconds);
        for (const Leg& leg : legs) {
            stand(file, leg, asked[f], pose);
            for (const int joint : {leg.upper, leg.lower, leg.end})
                led[f].pose.rotations[static_cast<std::size_t>(joint)] =
                    pose.rotations[static_cast<std::size_t>(joint)];
        }
    }
    const auto has_key = [&](const Leg& leg, std::size_t f) {
        const double seconds = frames[f].seconds;
        const std::vector<double>& put = further[leg.end];
        const auto own = [&](int joint) { return file.has_turn_key(clip, joint, seconds); };
        return std::find(put.begin(), put.end(), seconds) != put.end() ||
               (own(leg.upper) && own(leg.lower) && own(leg.end));
    };
    for (bool settled = false; !settled;) {
        const auto now = file.with_own_keys(clip, led, further);
        settled = true, out.drift = 0, out.poses.clear();
        std::vector<World> is;
        for (const CorrectedFrame& frame : frames) {
            out.poses.push_back(now->pose(clip, frame.seconds));
            is.push_back(world_of(file, out.poses.back()));
        }
        for (const Planted& stands : planted) {
            const auto off = [&](std::size_t f) { return furthest(stands.leg.points, is[f], asked[f]); };
            auto worst = static_cast<std::size_t>(stands.first);
            for (std::size_t f = worst; f <= static_cast<std::size_t>(stands.last); ++f)
                if (off(f) > off(worst)) worst = f;
            out.drift = std::max(out.drift, off(worst));
            if (off(worst) <= most_drift) continue;
            const std::optional<std::size_t> free =
                nearest(frames.size(), worst, [&](std::size_t f) { return !has_key(stands.leg, f); });
            if (!free) continue; // a key in every frame, and nothing left to move
            settled = false;
            const CorrectedFrame& frame = frames[*free];
            for (const int joint : {stands.leg.upper, stands.leg.lower, stands.leg.end})
                further[joint].push_back(frame.seconds);
            out.added.push_back({stands.leg.limb, frame.index, frame.seconds});
        }
    }
    std::sort(out.added.begin(), out.added.end(), [](const aplomb_added_key& a, const aplomb_added_key& b) {
        return a.limb != b.limb ? a.limb < b.limb : a.frame < b.frame;
    });
    out.bytes = file.rewritten_on_own_keys(clip, led, further, target);
    return out;
}

} // namespace aplomb::io
