// SPDX-License-Identifier: MIT
#include "io/gltf_animation.h"

#include "io/fault.h"
#include "io/gltf_accessor.h"
#include "io/interpolate.h"

#include <algorithm>
#include <cmath>

namespace aplomb::io {
namespace {

Sample key_value(const Track& track, std::size_t key, std::size_t part = 1) {
    Sample value{};
    for (std::size_t k = 0; k < track.width; ++k)
        value[k] = track.values[track.at(key, part) + k];
    return value;
}

/// The key at or before a moment that lies inside the keys.
std::size_t key_before(const Track& track, double seconds) {
    const auto after = std::upper_bound(track.times.begin(), track.times.end(), seconds);
    return static_cast<std::size_t>(after - track.times.begin()) - 1;
}

Sample between(const Track& track, const Sample& a, const Sample& b, double u) {
    if (track.width == 4) {
        const Quat q = slerp({a[0], a[1], a[2], a[3]}, {b[0], b[1], b[2], b[3]}, u);
        return {q.x, q.y, q.z, q.w};
    }
    const Vec3 v = lerp({a[0], a[1], a[2]}, {b[0], b[1], b[2]}, u);
    return {v.x, v.y, v.z, 0};
}

/// Weights of value, out-tangent, next value and next in-tangent on a segment of `length` seconds.
Sample weigh(const Track& track, std::size_t key, const std::array<double, 4>& weights) {
    const Sample v0 = key_value(track, key), b0 = key_value(track, key, 2);
    const Sample v1 = key_value(track, key + 1), a1 = key_value(track, key + 1, 0);
    Sample result{};
    for (std::size_t k = 0; k < track.width; ++k)
        result[k] = weights[0] * v0[k] + weights[1] * b0[k] + weights[2] * v1[k] + weights[3] * a1[k];
    return result;
}

std::optional<TrackKind> kind_of(const std::string& path) {
    for (const TrackKind kind : track_kinds)
        if (path == path_of(kind)) return kind;
    return std::nullopt; // weights, or a pointer of an extension
}

Interpolation interpolation_of(const Json& sampler, const std::string& where) {
    const std::string text = optional_text(sampler, "interpolation", where);
    if (text.empty() || text == "LINEAR") return Interpolation::linear;
    if (text == "STEP") return Interpolation::step;
    if (text == "CUBICSPLINE") return Interpolation::cubic;
    refuse(where + ": 'interpolation' is '" + text + "', not one of STEP, LINEAR, CUBICSPLINE");
}

void check_keys(const Track& track, const std::string& where) {
    const std::size_t per_key = track.width * (track.interpolation == Interpolation::cubic ? 3 : 1);
    if (track.times.empty()) refuse(where + " has no keys");
    if (track.values.size() != track.times.size() * per_key)
        refuse(where + " has " + std::to_string(track.times.size()) + " times and " +
               std::to_string(track.values.size() / track.width) + " values");
    for (std::size_t i = 1; i < track.times.size(); ++i)
        if (track.times[i] < track.times[i - 1])
            refuse(where + ": time " + std::to_string(i) + " lies before the one ahead of it");
    if (track.width != 4) return;
    for (std::size_t i = 0; i < track.times.size(); ++i) {
        const Sample q = key_value(track, i);
        if (std::fabs(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3] - 1) > 0.05)
            refuse(where + ": the rotation of key " + std::to_string(i) + " is not of unit length");
    }
}

const Json& list_of(const Json& animation, const char* key, const std::string& where) {
    const Json* list = member(animation, key);
    if (list == nullptr || !list->is_array()) refuse(where + ": '" + key + "' is missing or not a list");
    return *list;
}

Track read_track(GltfDocument& document, const Json& animation, std::size_t channel, TrackKind kind,
                 const std::string& where) {
    const Json& samplers = list_of(animation, "samplers", where);
    const std::size_t index =
        required_index(animation.at("channels").at(channel), "sampler", samplers.size(), where);
    const Json& sampler = samplers[index];
    const std::size_t accessors = document.count("accessors");
    Track track;
    track.channel = channel;
    track.width = kind == TrackKind::rotation ? 4 : 3;
    track.interpolation = interpolation_of(sampler, where);
    track.times = read_accessor(document, required_index(sampler, "input", accessors, where), "SCALAR");
    track.values = read_accessor(document, required_index(sampler, "output", accessors, where),
                                 track.width == 4 ? "VEC4" : "VEC3");
    check_keys(track, where);
    return track;
}

void collect_key_times(Clip& clip) {
    for (const auto& [node, tracks] : clip.nodes)
        for (const auto& track : tracks.of)
            if (track) clip.key_times.insert(clip.key_times.end(), track->times.begin(), track->times.end());
    std::sort(clip.key_times.begin(), clip.key_times.end());
    clip.key_times.erase(std::unique(clip.key_times.begin(), clip.key_times.end()), clip.key_times.end());
}

} // namespace

const char* path_of(TrackKind kind) {
    return kind == TrackKind::translation ? "translation"
           : kind == TrackKind::rotation  ? "rotation"
                                          : "scale";
}

Sample sample(const Track& track, double seconds) {
    if (!(seconds > track.times.front())) return key_value(track, 0);
    if (seconds >= track.times.back()) return key_value(track, track.times.size() - 1);
    const std::size_t key = key_before(track, seconds);
    const double length = track.times[key + 1] - track.times[key], u = (seconds - track.times[key]) / length;
    if (track.interpolation == Interpolation::step || u == 0) return key_value(track, key);
    if (track.interpolation == Interpolation::linear)
        return between(track, key_value(track, key), key_value(track, key + 1), u);
    const double u2 = u * u, u3 = u2 * u;
    return weigh(track, key,
                 {2 * u3 - 3 * u2 + 1, length * (u3 - 2 * u2 + u), -2 * u3 + 3 * u2, length * (u3 - u2)});
}

Sample slope(const Track& track, double seconds) {
    const std::size_t key = key_before(track, seconds);
    const double length = track.times[key + 1] - track.times[key], u = (seconds - track.times[key]) / length;
    const double rise = 6 * (u * u - u) / length;
    return weigh(track, key, {rise, 3 * u * u - 4 * u + 1, -rise, 3 * u * u - 2 * u});
}

Clip read_clip(GltfDocument& document, std::size_t animation, const std::vector<GltfNode>& nodes,
               const std::vector<char>& wanted) {
    const Json& json = document.element("animations", animation);
    std::string where = "animation " + std::to_string(animation);
    Clip clip;
    clip.name = optional_text(json, "name", where);
    if (clip.name.empty())
        clip.name = "clip " + std::to_string(animation);
    else
        where += " ('" + clip.name + "')";
    const Json& channels = list_of(json, "channels", where);
    for (std::size_t c = 0; c < channels.size(); ++c) {
        const std::string channel_where = where + " channel " + std::to_string(c);
        const Json* target = member(channels[c], "target");
        if (target == nullptr) refuse(channel_where + ": 'target' is missing");
        const auto node = optional_index(*target, "node", nodes.size(), channel_where);
        const auto kind = kind_of(optional_text(*target, "path", channel_where));
        if (!node || !kind || !wanted[*node]) continue;
        std::optional<Track>& slot = clip.nodes[static_cast<int>(*node)].of[static_cast<std::size_t>(*kind)];
        if (slot)
            refuse(channel_where + " moves the " + path_of(*kind) + " of " + nodes[*node].label +
                   " a second time");
        slot = read_track(document, json, c, *kind, channel_where);
    }
    list_of(json, "samplers", where); // the list has to be sound: a written key goes there, too
    collect_key_times(clip);
    return clip;
}

NodeTransform transform_at(const GltfNode& node, int index, const Clip* clip, double seconds) {
    NodeTransform transform = node.transform;
    if (clip != nullptr) {
        for (const TrackKind kind : track_kinds) {
            const Track* track = clip->track(index, kind);
            if (track == nullptr) continue;
            const Sample v = sample(*track, seconds);
            if (kind == TrackKind::rotation)
                transform.rotation = {v[0], v[1], v[2], v[3]};
            else
                (kind == TrackKind::scale ? transform.scale : transform.translation) = {v[0], v[1], v[2]};
        }
    }
    const double square = dot(transform.rotation, transform.rotation);
    if (!(square > 1e-6))
        refuse(node.label + " has no rotation at " + std::to_string(seconds) + " s: its keys cancel");
    transform.rotation = normalized(transform.rotation);
    return transform;
}

} // namespace aplomb::io
