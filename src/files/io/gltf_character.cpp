// SPDX-License-Identifier: MIT
// Scale is multiplied in: with S the product of the scales above a joint, its translation in the pose is S
// times that of its node, and rotations are the nodes' own. The nodes above joint 0 are folded into it.
// S is of one size along all axes but keeps its signs. As a pose holds no mirror, a joint below one turns as it is
// seen in it: with M the signs of S, by M R M, a rotation again; its own frame then is M times that of its node.
#include "io/gltf_character.h"

#include "io/bound_pose.h"
#include "io/corrected_frames.h"
#include "io/fault.h"
#include "io/gltf_camera.h"
#include "io/gltf_fit.h"
#include "io/gltf_mesh.h"
#include "io/gltf_track.h"
#include "io/gltf_write.h"
#include "io/path.h"

#include <algorithm>
#include <map>
#include <utility>

namespace aplomb::io {
namespace {

/// All nodes above joint 0 in one.
struct Above {
    Vec3 place;
    Quat turn;
    Vec3 scale = {1, 1, 1};
};

/// What the joints of a pose stand in at one moment.
struct Outside {
    Above above;
    std::vector<Vec3> scales; // above each joint
};

Vec3 scaled(const Vec3& scale, const Vec3& v) {
    return {scale.x * v.x, scale.y * v.y, scale.z * v.z};
}
Vec3 unscaled(const Vec3& scale, const Vec3& v) {
    return {v.x / scale.x, v.y / scale.y, v.z / scale.z};
}

bool is_mirror(const Vec3& scale) {
    return (scale.x < 0) != ((scale.y < 0) != (scale.z < 0));
}

/// M R M, with M the signs of the scale: the axis goes through the mirror, and with an odd number of signs the
/// sense of the turn changes as well. Its own inverse.
Quat seen_in(const Vec3& scale, const Quat& q) {
    if (scale.x > 0 && scale.y > 0 && scale.z > 0) return q;
    const double sense = is_mirror(scale) ? -1 : 1;
    const auto sign = [&](double s) { return s < 0 ? -sense : sense; };
    return {sign(scale.x) * q.x, sign(scale.y) * q.y, sign(scale.z) * q.z, q.w};
}

class GltfCharacter final : public CharacterFile {
public:
    GltfCharacter(std::string bytes, Beside beside, const std::string& skin);

    const std::vector<SkeletonJoint>& joints() const override { return m_joints; }
    int clip_count() const override { return static_cast<int>(m_clips.size()); }
    const std::string& clip_name(int clip) const override {
        return m_clips[static_cast<std::size_t>(clip)].name;
    }
    const std::vector<double>& key_times(int clip) const override {
        return m_clips[static_cast<std::size_t>(clip)].key_times;
    }
    Pose pose(int clip, double seconds) const override;
    Pose rest() const override { return bound_pose(m_skin.skin, m_joints, pose(-1, 0), above(-1, 0).turn); }
    /// glTF 2.0, section 3.4.
    int standard_up() const override { return APLOMB_AXIS_Y; }
    int standard_forward() const override { return APLOMB_AXIS_Z; }
    std::string standard_name() const override { return "the glTF standard"; }
    bool is_mirrored() const override { return is_mirror(above(-1, 0).scale); }
    std::vector<std::string> remarks() const override { return m_skin.remarks; }
    using CharacterFile::rewritten;
    std::string rewritten(int clip, const std::vector<CorrectedFrame>& frames,
                          const std::optional<std::string>& target, const char* layer) const override;
    bool has_turn_key(int clip, int joint, double seconds) const override;
    std::unique_ptr<CharacterFile> with_own_keys(int clip, const std::vector<CorrectedFrame>& frames,
                                                 const FurtherKeys& further) const override;
    std::string rewritten_on_own_keys(int clip, const std::vector<CorrectedFrame>& frames,
                                      const FurtherKeys& further,
                                      const std::optional<std::string>& target) const override;
    const Skin* skin() const override { return m_skin.skin.bound.empty() ? nullptr : &m_skin.skin; }
    std::string why_no_skin() const override { return m_skin.unread; }
    int camera_count() const override { return m_cameras.count(); }
    aplomb_camera camera(int camera, int clip, double seconds) const override {
        return m_cameras.at(m_nodes, camera, clip, seconds);
    }

private:
    const Clip* clip_at(int clip) const {
        return clip < 0 ? nullptr : &m_clips[static_cast<std::size_t>(clip)];
    }
    NodeTransform local(int node, int clip, double seconds) const;
    Vec3 scale_of(int node, const NodeTransform& transform) const;
    Above above(int clip, double seconds) const;
    /// The product of the scales above each joint.
    std::vector<Vec3> scales(int clip, double seconds) const;
    Outside outside(int clip, double seconds) const { return {above(clip, seconds), scales(clip, seconds)}; }
    /// A joint of a pose as its node's transform; without its scale, which stays.
    NodeTransform to_node(int joint, const Pose& pose, const Outside& outside) const;
    /// The frames in the order of their moments, none outside the clip.
    std::vector<const CorrectedFrame*> in_order(const std::vector<CorrectedFrame>& frames, int clip,
                                                std::vector<TrackKey>& moments) const;
    void rewrite_nodes(const CorrectedFrame& frame, GltfPatch& patch) const;
    void rewrite_clip(int clip, const std::vector<CorrectedFrame>& frames, GltfPatch& patch) const;
    void add_layer(int clip, const std::vector<CorrectedFrame>& frames, const char* name,
                   GltfPatch& patch) const;
    Track own_keys_of(const Clip& own, int node, TrackKind kind) const;
    std::map<std::pair<int, TrackKind>, Track>
    own_key_tracks(int clip, const std::vector<CorrectedFrame>& frames, const FurtherKeys& further) const;
    void read_joints();
    void read_meshes();

    GltfDocument m_document;
    std::vector<GltfNode> m_nodes;
    GltfSkeleton m_skeleton;
    std::vector<SkeletonJoint> m_joints;
    std::vector<char> m_has_child; // per joint
    std::vector<Clip> m_clips;
    GltfCameras m_cameras;
    GltfSkin m_skin;
};

GltfCharacter::GltfCharacter(std::string bytes, Beside beside, const std::string& skin)
    : m_document(std::move(bytes), std::move(beside)), m_nodes(read_nodes(m_document)),
      m_skeleton(read_skeleton(m_document, m_nodes, skin)), m_cameras(m_document, m_nodes) {
    read_joints();
    std::vector<char> wanted(m_nodes.size(), 0);
    for (const int node : m_skeleton.above)
        wanted[static_cast<std::size_t>(node)] = 1;
    for (const int node : m_skeleton.nodes)
        wanted[static_cast<std::size_t>(node)] = 1;
    for (std::size_t i = 0; i < m_document.count("animations"); ++i)
        m_clips.push_back(read_clip(m_document, i, m_nodes, wanted));
    read_meshes();
}

/// A skin's joints are all joints of the figure, but what they carry has their own scale too, which a pose does
/// not hold: it is that of the nodes, also in a clip.
void GltfCharacter::read_meshes() {
    std::vector<int> joint_of_node(m_nodes.size(), -1);
    for (std::size_t i = 0; i < m_skeleton.nodes.size(); ++i)
        joint_of_node[static_cast<std::size_t>(m_skeleton.nodes[i])] = static_cast<int>(i);
    m_skin = read_skin(m_document, m_nodes, joint_of_node);
    const std::vector<Vec3> above = scales(-1, 0);
    for (Bone& bone : m_skin.skin.bones) {
        const auto joint = static_cast<std::size_t>(bone.joint);
        const Vec3 scale =
            scaled(above[joint], m_nodes[static_cast<std::size_t>(m_skeleton.nodes[joint])].transform.scale);
        bone.turn.row[0] *= scale.x, bone.turn.row[1] *= scale.y, bone.turn.row[2] *= scale.z;
        bone.place = scaled(scale, bone.place);
    }
    keep_outside_out(m_skin.skin);
}

void GltfCharacter::read_joints() {
    const std::size_t count = m_skeleton.nodes.size();
    m_has_child.assign(count, 0);
    for (const int parent : m_skeleton.parents)
        if (parent >= 0) m_has_child[static_cast<std::size_t>(parent)] = 1;
    const std::vector<Vec3> scale = scales(-1, 0);
    for (std::size_t i = 0; i < count; ++i) {
        const auto node = static_cast<std::size_t>(m_skeleton.nodes[i]);
        SkeletonJoint joint;
        joint.name = m_nodes[node].name.empty() ? "node " + std::to_string(node) : m_nodes[node].name;
        joint.parent = m_skeleton.parents[i];
        if (m_skeleton.end_nodes[i] >= 0) {
            const Vec3 end = m_nodes[static_cast<std::size_t>(m_skeleton.end_nodes[i])].transform.translation;
            const Vec3 own = m_nodes[node].transform.scale; // uneven is harmless below the last joint
            joint.tip = scaled(scale[i], scaled(own, end));
        }
        m_joints.push_back(joint);
    }
}

NodeTransform GltfCharacter::local(int node, int clip, double seconds) const {
    return transform_at(m_nodes[static_cast<std::size_t>(node)], node, clip_at(clip), seconds);
}

Vec3 GltfCharacter::scale_of(int node, const NodeTransform& transform) const {
    return even_scale(m_nodes[static_cast<std::size_t>(node)], transform.scale);
}

Above GltfCharacter::above(int clip, double seconds) const {
    Above result;
    for (const int node : m_skeleton.above) {
        const NodeTransform t = local(node, clip, seconds);
        result.place += rotate(result.turn, scaled(result.scale, t.translation));
        result.turn = normalized(result.turn * seen_in(result.scale, t.rotation));
        result.scale = scaled(result.scale, scale_of(node, t));
    }
    return result;
}

std::vector<Vec3> GltfCharacter::scales(int clip, double seconds) const {
    std::vector<Vec3> scale(m_skeleton.nodes.size(), above(clip, seconds).scale);
    std::vector<Vec3> below(scale.size(), Vec3{1, 1, 1});
    for (std::size_t i = 0; i < scale.size(); ++i) {
        if (m_skeleton.parents[i] >= 0) scale[i] = below[static_cast<std::size_t>(m_skeleton.parents[i])];
        if (m_has_child[i])
            below[i] =
                scaled(scale[i], scale_of(m_skeleton.nodes[i], local(m_skeleton.nodes[i], clip, seconds)));
    }
    return scale;
}

Pose GltfCharacter::pose(int clip, double seconds) const {
    const Above outer = above(clip, seconds);
    const std::vector<Vec3> scale = scales(clip, seconds);
    Pose pose;
    for (std::size_t i = 0; i < m_skeleton.nodes.size(); ++i) {
        const NodeTransform t = local(m_skeleton.nodes[i], clip, seconds);
        if (i == 0 && !m_skeleton.above.empty()) {
            pose.translations.push_back(outer.place + rotate(outer.turn, scaled(outer.scale, t.translation)));
            pose.rotations.push_back(normalized(outer.turn * seen_in(outer.scale, t.rotation)));
        } else {
            pose.translations.push_back(scaled(scale[i], t.translation));
            pose.rotations.push_back(seen_in(scale[i], t.rotation));
        }
    }
    return pose;
}

NodeTransform GltfCharacter::to_node(int joint, const Pose& pose, const Outside& outside) const {
    const auto i = static_cast<std::size_t>(joint);
    NodeTransform t = m_nodes[static_cast<std::size_t>(m_skeleton.nodes[i])].transform;
    t.translation = unscaled(outside.scales[i], pose.translations[i]);
    t.rotation = seen_in(outside.scales[i], pose.rotations[i]);
    if (joint == 0 && !m_skeleton.above.empty()) {
        const Above& above = outside.above;
        t.translation =
            unscaled(above.scale, rotate(conjugate(above.turn), pose.translations[i] - above.place));
        t.rotation = seen_in(above.scale, normalized(conjugate(above.turn) * pose.rotations[i]));
    }
    return t;
}

void GltfCharacter::rewrite_nodes(const CorrectedFrame& frame, GltfPatch& patch) const {
    const Outside here = outside(-1, 0);
    for (const Change& change : frame.changes)
        patch.set_node(m_skeleton.nodes[static_cast<std::size_t>(change.joint)],
                       to_node(change.joint, frame.pose, here), change.translation, change.rotation);
}

std::vector<const CorrectedFrame*> GltfCharacter::in_order(const std::vector<CorrectedFrame>& frames,
                                                           int clip, std::vector<TrackKey>& moments) const {
    const std::vector<double>& times = key_times(clip);
    const auto moment = [&](const CorrectedFrame* frame) {
        return times.empty() ? frame->seconds : std::clamp(frame->seconds, times.front(), times.back());
    };
    std::vector<const CorrectedFrame*> order;
    for (const CorrectedFrame& frame : frames)
        order.push_back(&frame);
    std::stable_sort(order.begin(), order.end(),
                     [&](const CorrectedFrame* a, const CorrectedFrame* b) { return moment(a) < moment(b); });
    for (std::size_t f = 0; f < order.size(); ++f) {
        moments.push_back({moment(order[f]), std::nullopt});
        // A key between the two would count as a key of both.
        if (f > 0 && moments[f].seconds - moments[f - 1].seconds <= 2 * same_moment(moments[f].seconds))
            refuse_same_moment(*order[f - 1], *order[f]);
    }
    return order;
}

/// A track with a change anywhere gets a key at every frame: otherwise moving a key would change the poses that were
/// asked for between the keys.
void GltfCharacter::rewrite_clip(int clip, const std::vector<CorrectedFrame>& frames,
                                 GltfPatch& patch) const {
    std::vector<TrackKey> moments;
    const std::vector<const CorrectedFrame*> order = in_order(frames, clip, moments);
    std::map<std::pair<int, TrackKind>, std::vector<TrackKey>> changed; // by joint
    const auto keys_of = [&](int joint, TrackKind kind) -> std::vector<TrackKey>& {
        return changed.try_emplace({joint, kind}, moments).first->second;
    };
    for (std::size_t f = 0; f < order.size(); ++f) {
        if (order[f]->changes.empty()) continue;
        const Outside here = outside(clip, moments[f].seconds);
        for (const Change& change : order[f]->changes) {
            const NodeTransform t = to_node(change.joint, order[f]->pose, here);
            if (change.translation)
                keys_of(change.joint, TrackKind::translation)[f].value = as_sample(t.translation);
            if (change.rotation) keys_of(change.joint, TrackKind::rotation)[f].value = as_sample(t.rotation);
        }
    }
    const Clip& own = m_clips[static_cast<std::size_t>(clip)];
    for (const auto& [place, keys] : changed) {
        const auto [joint, kind] = place;
        const int node = m_skeleton.nodes[static_cast<std::size_t>(joint)];
        const NodeTransform& rest = m_nodes[static_cast<std::size_t>(node)].transform;
        const bool turns = kind == TrackKind::rotation;
        const Track* old_track = own.track(node, kind);
        patch.set_track(static_cast<std::size_t>(clip), node, kind, old_track,
                        old_track != nullptr
                            ? with_keys(*old_track, keys)
                            : fresh_track(own, turns ? 4 : 3, keys,
                                          turns ? as_sample(rest.rotation) : as_sample(rest.translation)));
    }
}

/// Writes every track that changes anywhere as a new one, with a key in every frame.
void GltfCharacter::add_layer(int clip, const std::vector<CorrectedFrame>& frames, const char* name,
                              GltfPatch& patch) const {
    std::vector<TrackKey> moments;
    const std::vector<const CorrectedFrame*> order = in_order(frames, clip, moments);
    std::map<std::pair<int, TrackKind>, Track> tracks; // by joint
    for (const CorrectedFrame& frame : frames)
        for (const Change& change : frame.changes) {
            if (change.translation) tracks[{change.joint, TrackKind::translation}].width = 3;
            if (change.rotation) tracks[{change.joint, TrackKind::rotation}].width = 4;
        }
    if (tracks.empty()) return; // a clip without tracks is no clip
    for (auto& [place, track] : tracks)
        track.interpolation = fresh_interpolation(m_clips[static_cast<std::size_t>(clip)]);
    for (std::size_t f = 0; f < order.size(); ++f) {
        const Outside here = outside(clip, moments[f].seconds);
        for (auto& [place, track] : tracks) {
            const NodeTransform t = to_node(place.first, order[f]->pose, here);
            const Sample value =
                place.second == TrackKind::rotation ? as_sample(t.rotation) : as_sample(t.translation);
            track.times.push_back(moments[f].seconds);
            track.values.insert(track.values.end(), value.begin(), value.begin() + track.width);
        }
    }
    const std::size_t animation = patch.add_animation(name);
    for (const auto& [place, track] : tracks)
        patch.set_track(animation, m_skeleton.nodes[static_cast<std::size_t>(place.first)], place.second,
                        nullptr, track);
}

/// A track as it is. One with a single key or none is still and has no times of its own: it gets the clip's key times.
Track GltfCharacter::own_keys_of(const Clip& own, int node, TrackKind kind) const {
    Track track;
    track.interpolation = fresh_interpolation(own);
    if (const Track* old = own.track(node, kind)) {
        track = *old;
    } else {
        const NodeTransform& rest = m_nodes[static_cast<std::size_t>(node)].transform;
        const bool turns = kind == TrackKind::rotation;
        const Sample still = turns ? as_sample(rest.rotation) : as_sample(rest.translation);
        track.width = turns ? 4 : 3;
        track.times = {0};
        track.values.assign(still.begin(), still.begin() + track.width);
    }
    if (track.times.size() > 1) return track;
    const std::vector<double> one = track.values;
    track.times = own.key_times;
    for (std::size_t key = 1; key < track.times.size(); ++key)
        track.values.insert(track.values.end(), one.begin(), one.end());
    return track;
}

/// Every track that changes anywhere.
std::map<std::pair<int, TrackKind>, Track>
GltfCharacter::own_key_tracks(int clip, const std::vector<CorrectedFrame>& frames,
                              const FurtherKeys& further) const {
    std::map<std::pair<int, TrackKind>, std::vector<Sample>> values; // by joint
    for (const CorrectedFrame& frame : frames)
        for (const Change& change : frame.changes) {
            if (change.translation) values[{change.joint, TrackKind::translation}];
            if (change.rotation) values[{change.joint, TrackKind::rotation}];
        }
    std::vector<double> seconds;
    for (const CorrectedFrame& frame : frames) {
        seconds.push_back(frame.seconds);
        const Outside here = outside(clip, frame.seconds);
        for (auto& [place, all] : values) {
            const NodeTransform t = to_node(place.first, frame.pose, here);
            all.push_back(place.second == TrackKind::rotation ? as_sample(t.rotation)
                                                              : as_sample(t.translation));
        }
    }
    const Clip& own = m_clips[static_cast<std::size_t>(clip)];
    std::map<std::pair<int, TrackKind>, Track> tracks;
    for (const auto& [place, all] : values) {
        const auto [joint, kind] = place;
        const int node = m_skeleton.nodes[static_cast<std::size_t>(joint)];
        Track track = own_keys_of(own, node, kind);
        if (const auto found = further.find(joint); found != further.end() && kind == TrackKind::rotation) {
            std::vector<double> times = found->second;
            std::sort(times.begin(), times.end());
            std::vector<TrackKey> keys;
            for (const double time : times)
                keys.push_back({time, std::nullopt});
            track = with_keys(track, keys);
        }
        tracks[place] = fitted(std::move(track), seconds, all);
    }
    return tracks;
}

bool GltfCharacter::has_turn_key(int clip, int joint, double seconds) const {
    const Clip& own = m_clips[static_cast<std::size_t>(clip)];
    const Track* track = own.track(m_skeleton.nodes[static_cast<std::size_t>(joint)], TrackKind::rotation);
    const std::vector<double>& times =
        track != nullptr && track->times.size() > 1 ? track->times : own.key_times;
    const double near = same_moment(seconds);
    const auto next = std::lower_bound(times.begin(), times.end(), seconds - near);
    return next != times.end() && *next <= seconds + near;
}

std::unique_ptr<CharacterFile> GltfCharacter::with_own_keys(int clip,
                                                            const std::vector<CorrectedFrame>& frames,
                                                            const FurtherKeys& further) const {
    auto copy = std::make_unique<GltfCharacter>(*this);
    for (auto& [place, track] : own_key_tracks(clip, frames, further)) {
        const int node = m_skeleton.nodes[static_cast<std::size_t>(place.first)];
        copy->m_clips[static_cast<std::size_t>(clip)].nodes[node].of[static_cast<std::size_t>(place.second)] =
            track;
    }
    return copy;
}

std::string GltfCharacter::rewritten_on_own_keys(int clip, const std::vector<CorrectedFrame>& frames,
                                                 const FurtherKeys& further,
                                                 const std::optional<std::string>& target) const {
    GltfPatch patch(m_document);
    for (const auto& [place, track] : own_key_tracks(clip, frames, further)) {
        const int node = m_skeleton.nodes[static_cast<std::size_t>(place.first)];
        patch.set_track(static_cast<std::size_t>(clip), node, place.second,
                        m_clips[static_cast<std::size_t>(clip)].track(node, place.second), track);
    }
    if (target) patch.relocate(folder_of(*target));
    return patch.finish();
}

std::string GltfCharacter::rewritten(int clip, const std::vector<CorrectedFrame>& frames,
                                     const std::optional<std::string>& target, const char* layer) const {
    GltfPatch patch(m_document);
    if (layer != nullptr && clip < 0)
        bad_argument("layer", "layer is given, and clip is -1: the nodes have no layers");
    if (layer != nullptr)
        add_layer(clip, frames, layer, patch);
    else if (clip >= 0)
        rewrite_clip(clip, frames, patch);
    else if (!frames.empty())
        rewrite_nodes(frames.front(), patch);
    if (target) patch.relocate(folder_of(*target));
    return patch.finish();
}

} // namespace

std::unique_ptr<CharacterFile> open_gltf(std::string bytes, Beside beside, const std::string& skin) {
    return std::make_unique<GltfCharacter>(std::move(bytes), std::move(beside), skin);
}

} // namespace aplomb::io
