// SPDX-License-Identifier: MIT
// The container of glTF 2.0 (Khronos, 2.0.1): .gltf text or the chunks of a .glb, and the bytes of its
// buffers.
#pragma once

#include "io/beside.h"
#include "json/json.h"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace aplomb::io {

using Json = aplomb::Json;

/// A chunk of a .glb that follows the JSON.
struct GltfChunk {
    std::uint32_t type = 0;
    std::string bytes;
};

class GltfDocument {
public:
    /// `beside` is where relative URIs start.
    GltfDocument(std::string bytes, Beside beside);

    const std::string& bytes() const { return m_bytes; }
    const Beside& beside() const { return m_beside; }
    const Json& json() const { return m_json; }
    bool binary() const { return m_binary; }
    /// The chunks of a .glb without the JSON chunk.
    const std::vector<GltfChunk>& chunks() const { return m_chunks; }
    /// The chunk that holds buffer 0, or -1.
    int buffer_chunk() const;
    /// Spaces or tabs that the text is indented with; -1: none.
    int indent() const { return m_indent; }
    char indent_character() const { return m_indent_character; }

    std::size_t count(const char* list) const;
    /// "accessors", 5. The index must be below `count`.
    const Json& element(const char* list, std::size_t index) const;
    /// Read when first asked for, so that a buffer from which nothing is read may be missing.
    std::string_view buffer(std::size_t index);
    /// Counts numbers that are about to be read from accessors. Refuses more in all than the bytes of a file
    /// account for: tracks may share one accessor, and each use of it takes memory again.
    void account_for(std::size_t numbers, const std::string& where);

private:
    void read_binary();
    void read_text(std::string_view text);
    std::string load_buffer(std::size_t index) const;

    std::string m_bytes;
    Beside m_beside;
    Json m_json;
    bool m_binary = false;
    std::vector<GltfChunk> m_chunks;
    int m_indent = -1;
    char m_indent_character = ' ';
    std::vector<std::optional<std::string>> m_buffers;
    std::size_t m_numbers = 0;
};

inline constexpr std::uint32_t glb_magic = 0x46546C67, glb_json = 0x4E4F534A, glb_bin = 0x004E4942;

/// Refuses what is not JSON, or nested so deep that it would overflow the stack later. `what`: for messages.
Json parse_json(std::string_view text, const std::string& what);

std::uint32_t read_u32(std::string_view bytes, std::size_t offset);

/// A member of an object, or null.
const Json* member(const Json& object, const char* key);
/// A whole number below `limit`. `where` names the element in messages, such as "accessor 5".
std::size_t index_value(const Json& value, const char* key, std::size_t limit, const std::string& where);
std::optional<std::size_t> optional_index(const Json& object, const char* key, std::size_t limit,
                                          const std::string& where);
std::size_t required_index(const Json& object, const char* key, std::size_t limit, const std::string& where);
/// `count` finite numbers, or none where the key is missing.
std::optional<std::vector<double>> optional_numbers(const Json& object, const char* key, std::size_t count,
                                                    const std::string& where);
std::string optional_text(const Json& object, const char* key, const std::string& where);

/// Larger than any file that fits into memory, and sums do not overflow.
inline constexpr std::size_t any_size = std::size_t{1} << (sizeof(std::size_t) > 4 ? 48 : 30);

} // namespace aplomb::io
