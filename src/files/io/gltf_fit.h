// SPDX-License-Identifier: MIT
// A track's own keys, moved so that the track between them comes as near as it can to what is wanted.
#pragma once

#include "io/gltf_animation.h"

#include <vector>

namespace aplomb::io {

/// The track with the same keys and other values, by linear least squares under its own interpolation; in a cubic one the
/// tangents give, too. `seconds` ascend. A key stays bit for bit where the track is to be what it was.
Track fitted(Track track, const std::vector<double>& seconds, const std::vector<Sample>& values);

} // namespace aplomb::io
