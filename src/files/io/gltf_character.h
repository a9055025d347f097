// SPDX-License-Identifier: MIT
// A glTF file as a character: node transforms on one side, poses on the other.
#pragma once

#include "io/character_file.h"
#include "io/gltf_animation.h"
#include "io/gltf_skeleton.h"

#include <memory>
#include <string>

namespace aplomb::io {

/// `skin`: name or number, or empty for the first.
std::unique_ptr<CharacterFile> open_gltf(std::string bytes, Beside beside, const std::string& skin);

} // namespace aplomb::io
