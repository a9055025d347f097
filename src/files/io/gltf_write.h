// SPDX-License-Identifier: MIT
// Patches the original glTF document: new keys go into new accessors of new bytes, and the tracks of the
// corrected joints alone are pointed at them. Whatever else the file holds stays.
#pragma once

#include "io/gltf_animation.h"

#include <filesystem>
#include <string>

namespace aplomb::io {

class GltfPatch {
public:
    explicit GltfPatch(const GltfDocument& document);

    /// Sets the node's own translation or rotation; a matrix stays a matrix.
    void set_node(int node, const NodeTransform& transform, bool translation, bool rotation);

    /// A key at `seconds` of the node's track; `value` of width 3 or 4. A node without such a track gets one
    /// that keeps `rest` at the clip's neighbouring key times.
    void set_key(std::size_t animation, const Clip& clip, int node, TrackKind kind, double seconds,
                 Sample value, const Sample& rest);

    /// The file's bytes; relative URIs are rewritten where `folder` is another one.
    std::string finish(const std::filesystem::path& folder);

private:
    std::size_t append_floats(const std::vector<double>& values, const char* type, bool with_range);
    std::size_t own_buffer();
    void relocate(const std::filesystem::path& folder);
    std::string text() const;
    std::string container() const;

    const GltfDocument& m_document;
    Json m_json;
    std::string m_bytes;    // appended to the .glb's own chunk, or a buffer by itself
    std::size_t m_base = 0; // where they start in their buffer
    bool m_changed = false;
    int m_buffer = -1;
};

/// The track with `value` at `seconds`: a key there is replaced, else one is put in.
Track with_key(Track track, double seconds, Sample value);

} // namespace aplomb::io
