// SPDX-License-Identifier: MIT
#include "io/gltf_write.h"

#include "io/disk.h"
#include "io/fault.h"
#include "io/path.h"
#include "io/uri.h"

#include <algorithm>
#include <bit>

namespace aplomb::io {
namespace {

void append_u32(std::string& bytes, std::uint32_t value) {
    for (int k = 0; k < 4; ++k)
        bytes += static_cast<char>((value >> (8 * k)) & 0xFFu);
}

void pad_to_four(std::string& bytes, char filler) {
    while (bytes.size() % 4 != 0)
        bytes += filler;
}

Json numbers(std::initializer_list<double> values) {
    Json list = Json::array();
    for (const double value : values)
        list.push_back(value);
    return list;
}

Json column_major(const NodeTransform& t) {
    const Mat3 r = to_matrix(t.rotation);
    const Vec3 x = r.column(0) * t.scale.x, y = r.column(1) * t.scale.y, z = r.column(2) * t.scale.z;
    const Vec3& p = t.translation;
    return numbers({x.x, x.y, x.z, 0, y.x, y.y, y.z, 0, z.x, z.y, z.z, 0, p.x, p.y, p.z, 1});
}

Json& list_in(Json& json, const char* key) {
    if (!json.contains(key)) json[key] = Json::array();
    return json[key];
}

} // namespace

GltfPatch::GltfPatch(const GltfDocument& document) : m_document(document), m_json(document.json()) {}

void GltfPatch::set_node(int node, const NodeTransform& transform, bool translation, bool rotation) {
    m_changed = true;
    Json& json = m_json["nodes"][static_cast<std::size_t>(node)];
    if (json.contains("matrix")) {
        const Json fresh = column_major(transform);
        for (std::size_t i = 0; i < 16; ++i)
            if (i < 12 ? rotation : translation) json["matrix"][i] = fresh[i];
        return;
    }
    const Vec3& t = transform.translation;
    const Quat& q = transform.rotation;
    if (translation) json["translation"] = numbers({t.x, t.y, t.z});
    if (rotation) json["rotation"] = numbers({q.x, q.y, q.z, q.w});
}

std::size_t GltfPatch::add_animation(const std::string& name) {
    m_changed = true;
    Json& animations = list_in(m_json, "animations");
    animations.push_back({{"name", name}, {"samplers", Json::array()}, {"channels", Json::array()}});
    return animations.size() - 1;
}

void GltfPatch::set_track(std::size_t animation, int node, TrackKind kind, const Track* old_track,
                          const Track& track) {
    m_changed = true;
    const bool steps = track.interpolation == Interpolation::step;
    Json sampler = {{"input", 0}, {"output", 0}, {"interpolation", steps ? "STEP" : "LINEAR"}};
    if (old_track != nullptr) {
        const Json& old = m_json["animations"][animation];
        sampler = old["samplers"][old["channels"][old_track->channel]["sampler"].get<std::size_t>()];
    }
    // Times and values may be shared with other tracks, so they are never changed in place.
    if (old_track == nullptr || old_track->times.size() != track.times.size())
        sampler["input"] = append_times(track.times);
    sampler["output"] = append_floats(track.values, track.width == 4 ? "VEC4" : "VEC3");
    // No reference before this: appending may add bufferViews to the document, which moves its members.
    Json& json = m_json["animations"][animation];
    const std::size_t index = json["samplers"].size();
    json["samplers"].push_back(sampler);
    if (old_track != nullptr)
        json["channels"][old_track->channel]["sampler"] = index;
    else
        json["channels"].push_back(
            {{"sampler", index}, {"target", {{"node", node}, {"path", path_of(kind)}}}});
}

std::size_t GltfPatch::own_buffer() {
    if (m_buffer >= 0) return static_cast<std::size_t>(m_buffer);
    Json& buffers = list_in(m_json, "buffers");
    if (m_document.buffer_chunk() >= 0) {
        m_buffer = 0;
        const std::size_t there = m_document.chunks()[0].bytes.size();
        m_base = (required_index(buffers[0], "byteLength", there + 1, "buffer 0") + 3) / 4 * 4;
    } else {
        m_buffer = static_cast<int>(buffers.size());
        buffers.push_back({{"byteLength", 0}, {"uri", ""}});
    }
    return static_cast<std::size_t>(m_buffer);
}

std::size_t GltfPatch::append_floats(const std::vector<double>& values, const char* type) {
    const std::size_t width = std::string(type) == "SCALAR" ? 1 : std::string(type) == "VEC4" ? 4 : 3;
    const std::size_t buffer = own_buffer(), offset = m_base + m_bytes.size();
    for (const double value : values)
        append_u32(m_bytes, std::bit_cast<std::uint32_t>(static_cast<float>(value)));

    Json& views = list_in(m_json, "bufferViews");
    views.push_back({{"buffer", buffer}, {"byteOffset", offset}, {"byteLength", values.size() * 4}});
    Json& accessors = list_in(m_json, "accessors");
    accessors.push_back({{"bufferView", views.size() - 1},
                         {"componentType", 5126},
                         {"count", values.size() / width},
                         {"type", type}});
    return accessors.size() - 1;
}

std::size_t GltfPatch::append_times(const std::vector<double>& times) {
    const auto [entry, is_new] = m_times.try_emplace(times, 0);
    if (!is_new) return entry->second;
    entry->second = append_floats(times, "SCALAR");
    Json& accessor = m_json["accessors"][entry->second];
    accessor["min"] = numbers({static_cast<double>(static_cast<float>(times.front()))});
    accessor["max"] = numbers({static_cast<double>(static_cast<float>(times.back()))});
    return entry->second;
}

void GltfPatch::relocate(const std::string& folder) {
    if (!m_document.beside().folder()) return; // its names are the caller's business
    const std::string source = whole_path(*m_document.beside().folder()), target = whole_path(folder);
    if (source == target) return;
    for (const char* list : {"buffers", "images"}) {
        if (!m_json.contains(list)) continue;
        for (Json& item : m_json[list]) {
            const Json* uri = member(item, "uri");
            if (uri == nullptr || !uri->is_string() || is_data_uri(uri->get<std::string>())) continue;
            const std::string old_uri = uri->get<std::string>();
            if (!is_relative_uri(old_uri)) continue;
            const std::string moved = path_between(target, within(source, path_from_uri(old_uri)));
            if (moved.empty())
                refuse("'" + old_uri + "' cannot be reached from '" + target +
                       "': write beside the original");
            item["uri"] = uri_from_path(moved);
            m_changed = true;
        }
    }
}

std::string GltfPatch::text() const {
    std::string result = m_json.dump(m_document.indent(), m_document.indent_character());
    return m_document.indent() >= 0 && !m_document.binary() ? result + "\n" : result;
}

std::string GltfPatch::container() const {
    std::string json = text();
    pad_to_four(json, ' ');
    std::string body;
    append_u32(body, static_cast<std::uint32_t>(json.size()));
    append_u32(body, glb_json);
    body += json;
    for (std::size_t i = 0; i < m_document.chunks().size(); ++i) {
        const GltfChunk& chunk = m_document.chunks()[i];
        std::string bytes = chunk.bytes;
        if (i == 0 && m_buffer == 0 && m_document.buffer_chunk() >= 0) {
            bytes.resize(m_base, '\0');
            bytes += m_bytes;
        }
        pad_to_four(bytes, '\0');
        append_u32(body, static_cast<std::uint32_t>(bytes.size()));
        append_u32(body, chunk.type);
        body += bytes;
    }
    if (body.size() > 0xFFFFFFF0u) refuse("the file would grow past 4 GB, the most that a .glb can hold");
    std::string bytes;
    append_u32(bytes, glb_magic);
    append_u32(bytes, 2);
    append_u32(bytes, static_cast<std::uint32_t>(body.size() + 12));
    return bytes + body;
}

std::string GltfPatch::finish() {
    if (!m_changed) return m_document.bytes();
    if (m_buffer >= 0) {
        Json& buffer = m_json["buffers"][static_cast<std::size_t>(m_buffer)];
        buffer["byteLength"] = m_base + m_bytes.size();
        if (buffer.contains("uri"))
            buffer["uri"] = "data:application/octet-stream;base64," + base64_encode(m_bytes);
    }
    return m_document.binary() ? container() : text();
}

} // namespace aplomb::io
