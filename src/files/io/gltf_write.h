// SPDX-License-Identifier: MIT
// Patches the original glTF document: a changed track goes into new accessors of new bytes, once, and the tracks of the
// corrected joints alone are pointed at them. Whatever else the file holds stays.
#pragma once

#include "io/gltf_animation.h"

#include <map>
#include <string>

namespace aplomb::io {

class GltfPatch {
public:
    explicit GltfPatch(const GltfDocument& document);

    /// Sets the node's own translation or rotation; a matrix stays a matrix.
    void set_node(int node, const NodeTransform& transform, bool translation, bool rotation);

    /// Adds a further clip, still without tracks; returns its index.
    std::size_t add_animation(const std::string& name);

    /// Makes this the node's track; `old_track` null: it had none.
    void set_track(std::size_t animation, int node, TrackKind kind, const Track* old_track,
                   const Track& track);

    /// The file will lie in this folder: relative URIs are rewritten where it is another one than before.
    void relocate(const std::string& folder);

    /// The file's bytes.
    std::string finish();

private:
    std::size_t append_floats(const std::vector<double>& values, const char* type);
    /// Tracks with the same times share them.
    std::size_t append_times(const std::vector<double>& times);
    std::size_t own_buffer();
    std::string text() const;
    std::string container() const;

    const GltfDocument& m_document;
    Json m_json;
    std::map<std::vector<double>, std::size_t> m_times; // accessors
    std::string m_bytes;    // appended to the .glb's own chunk, or a buffer by itself
    std::size_t m_base = 0; // where they start in their buffer
    bool m_changed = false;
    int m_buffer = -1;
};

} // namespace aplomb::io
