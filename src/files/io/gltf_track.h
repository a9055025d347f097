// SPDX-License-Identifier: MIT
// Keys of a track, edited in memory: all that a write changes in it at once.
#pragma once

#include "io/gltf_animation.h"

#include <optional>
#include <vector>

namespace aplomb::io {

/// Key times are single precision in the file, and a caller may have them from anywhere: what is nearer than this to
/// a moment is that moment.
double same_moment(double seconds);

/// What a track has to be at a moment.
struct TrackKey {
    double seconds = 0;
    std::optional<Sample> value; // none: what the track is there already
};

/// The track with these keys; `keys` ascend, none two at the same moment. A key that is there is replaced, else one is
/// put in. Every key depends on the old track alone, not on the keys beside it.
Track with_keys(const Track& track, const std::vector<TrackKey>& keys);

/// A new track where there was none: `rest` at the clip's key times next to each key, and where a key has no value.
/// A clip whose tracks all step goes on so; in any other a new track is linear.
Interpolation fresh_interpolation(const Clip& clip);
Track fresh_track(const Clip& clip, std::size_t width, const std::vector<TrackKey>& keys, const Sample& rest);

} // namespace aplomb::io
