// SPDX-License-Identifier: MIT
// Character files that the tests make up.
#pragma once

#include "base/rotation.h"
#include "io/gltf_document.h"
#include "printed_json.h"

#include <filesystem>
#include <string>
#include <vector>

namespace made {

/// A folder of its own for each test, removed at the end.
class Folder {
public:
    Folder();
    ~Folder();
    std::filesystem::path operator/(const std::string& name) const { return m_path / name; }

private:
    std::filesystem::path m_path;
};

std::string read(const std::filesystem::path& path);
void write(const std::filesystem::path& path, const std::string& bytes);

/// A glTF file from parts.
class Gltf {
public:
    aplomb::io::Json json;
    std::string bytes; // of buffer 0

    Gltf();
    int node(const std::string& name, int parent, aplomb::io::Json members = aplomb::io::Json::object());
    /// Float accessor over new bytes.
    int floats(const std::string& type, const std::vector<float>& values);
    int accessor(const std::string& type, int component, std::size_t count, const std::string& raw,
                 bool normalized = false);
    /// A track of animation 0 and on; the animation is added where it is not there.
    void track(std::size_t animation, int node, const std::string& path, const std::vector<float>& times,
               const std::vector<float>& values, const std::string& interpolation = "LINEAR");

    std::string text() const;                              // buffer 0 as a data: URI
    std::string text_beside(const std::string& uri) const; // buffer 0 in another file
    std::string glb() const;
};

/// 16 joints, 1.7 m, arms hanging; node 0 is an armature above the hips, the skin's joints follow.
Gltf lay_figure();
/// The same as BVH, in centimetres.
std::string lay_figure_bvh();

} // namespace made
