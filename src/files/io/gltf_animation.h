// SPDX-License-Identifier: MIT
// Animation tracks and what lies between their keys (glTF 2.0, section 3.11 and appendix C).
#pragma once

#include "io/gltf_document.h"
#include "io/gltf_nodes.h"

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace aplomb::io {

enum class Interpolation { step, linear, cubic };

enum class TrackKind { translation, rotation, scale };
inline constexpr std::array<TrackKind, 3> track_kinds = {TrackKind::translation, TrackKind::rotation,
                                                         TrackKind::scale};
const char* path_of(TrackKind kind);

struct Track {
    Interpolation interpolation = Interpolation::linear;
    std::size_t width = 3;      // 4 for a rotation
    std::size_t channel = 0;    // in the animation
    std::vector<double> times;  // ascending
    std::vector<double> values; // `width` per key; cubic: in-tangent, value, out-tangent

    /// The index of a number of key `key`; part 0 in-tangent, 1 value, 2 out-tangent. Other tracks have part 1 alone.
    std::size_t at(std::size_t key, std::size_t part) const {
        return interpolation == Interpolation::cubic ? (key * 3 + part) * width : key * width;
    }
};

using Sample = std::array<double, 4>;
inline Sample as_sample(const Vec3& v) {
    return {v.x, v.y, v.z, 0};
}
inline Sample as_sample(const Quat& q) {
    return {q.x, q.y, q.z, q.w};
}

/// The value at a moment; outside the keys that of the first or last. Rotations are not yet normalised.
Sample sample(const Track& track, double seconds);
/// Its change per second inside the keys of a cubic track.
Sample slope(const Track& track, double seconds);

/// The tracks of one node.
struct NodeTracks {
    std::array<std::optional<Track>, 3> of; // by TrackKind
};

struct Clip {
    std::string name;
    std::map<int, NodeTracks> nodes;
    std::vector<double> key_times; // of all tracks, ascending, each once

    /// Null where the node has none of this kind.
    const Track* track(int node, TrackKind kind) const {
        const auto found = nodes.find(node);
        if (found == nodes.end()) return nullptr;
        const std::optional<Track>& slot = found->second.of[static_cast<std::size_t>(kind)];
        return slot ? &*slot : nullptr;
    }
};

/// The tracks of the `wanted` nodes alone; the rest of the animation is not looked at.
Clip read_clip(GltfDocument& document, std::size_t animation, const std::vector<GltfNode>& nodes,
               const std::vector<char>& wanted);

/// The transform of a node at a moment of a clip; null: the node's own.
NodeTransform transform_at(const GltfNode& node, int index, const Clip* clip, double seconds);

} // namespace aplomb::io
