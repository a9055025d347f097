// SPDX-License-Identifier: MIT
#include "io/gltf_document.h"

#include "io/fault.h"
#include "io/path.h"
#include "io/uri.h"

#include <cmath>

namespace aplomb::io {
namespace {

std::string number_text(const Json& value) {
    if (value.is_structured()) return value.is_array() ? "a list" : "an object";
    std::string text = value.dump(-1, ' ', Json::Broken::replaced);
    return text.size() > 40 ? text.substr(0, 40) + "..." : text;
}

/// The lists that this library reads must be lists of objects.
void check_lists(const Json& json) {
    for (const char* list : {"nodes", "skins", "meshes", "cameras", "animations", "accessors", "bufferViews",
                             "buffers", "images"}) {
        const Json* items = member(json, list);
        if (items == nullptr) continue;
        if (!items->is_array()) refuse(std::string("'") + list + "' is not a list");
        for (const Json& item : *items)
            if (!item.is_object())
                refuse(std::string("'") + list + "' holds something that is not an object");
    }
}

} // namespace

Json parse_json(std::string_view text, const std::string& what) {
    // Copies and texts of a document are made level by level on the stack.
    constexpr int deepest = 256;
    int depth = 0;
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (c == '"')
            quoted = !quoted;
        else if (quoted)
            i += c == '\\';
        else if (c == '{' || c == '[')
            ++depth;
        else if (c == '}' || c == ']')
            --depth;
        if (depth > deepest)
            refuse(what + " is JSON nested deeper than " + std::to_string(deepest) + " levels");
    }
    try {
        return Json::parse(text);
    } catch (const std::invalid_argument&) {
        refuse(what + " is not valid JSON in UTF-8");
    }
}

std::uint32_t read_u32(std::string_view bytes, std::size_t offset) {
    std::uint32_t value = 0;
    for (std::size_t k = 0; k < 4; ++k)
        value |= static_cast<std::uint32_t>(static_cast<unsigned char>(bytes[offset + k])) << (8 * k);
    return value;
}

GltfDocument::GltfDocument(std::string bytes, Beside beside)
    : m_bytes(std::move(bytes)), m_beside(std::move(beside)) {
    m_binary = m_bytes.size() >= 4 && read_u32(m_bytes, 0) == glb_magic;
    if (m_binary)
        read_binary();
    else
        read_text(m_bytes);
    const Json* asset = member(m_json, "asset");
    const std::string version = asset != nullptr ? optional_text(*asset, "version", "'asset'") : "";
    if (version.empty()) refuse("it is not glTF: 'asset' with a 'version' is missing");
    if (version.substr(0, 2) != "2.") refuse("it is glTF " + version + "; only glTF 2.0 is read");
    check_lists(m_json);
    m_buffers.resize(count("buffers"));
}

void GltfDocument::read_binary() {
    if (m_bytes.size() < 12) refuse("the .glb header is truncated");
    const std::uint32_t version = read_u32(m_bytes, 4), length = read_u32(m_bytes, 8);
    if (version != 2) refuse("it is .glb version " + std::to_string(version) + "; only version 2 is read");
    if (length > m_bytes.size())
        refuse("the file is truncated: its header says " + std::to_string(length) + " bytes, it has " +
               std::to_string(m_bytes.size()));
    std::string text;
    for (std::size_t at = 12; at < length;) {
        if (length - at < 8) refuse("a .glb chunk header is truncated at byte " + std::to_string(at));
        const std::uint32_t size = read_u32(m_bytes, at), type = read_u32(m_bytes, at + 4);
        if (size > length - at - 8)
            refuse("the .glb chunk at byte " + std::to_string(at) + " says " + std::to_string(size) +
                   " bytes, only " + std::to_string(length - at - 8) + " are left");
        if (at == 12 && type != glb_json) refuse("the first .glb chunk is not JSON");
        if (at == 12)
            text = m_bytes.substr(at + 8, size);
        else
            m_chunks.push_back({type, m_bytes.substr(at + 8, size)});
        at += 8 + std::size_t{size};
    }
    read_text(text);
}

void GltfDocument::read_text(std::string_view text) {
    m_json = parse_json(text, "it");
    if (!m_json.is_object()) refuse("it is not glTF: the JSON is not an object");
    const std::size_t line = text.find('\n');
    if (line == std::string_view::npos || line + 1 >= text.size()) return;
    const std::size_t end = text.find_first_not_of(text[line + 1], line + 1);
    if (text[line + 1] != ' ' && text[line + 1] != '\t') return;
    m_indent_character = text[line + 1];
    m_indent = end == std::string_view::npos ? 2 : static_cast<int>(end - line - 1);
}

int GltfDocument::buffer_chunk() const {
    if (count("buffers") == 0 || member(element("buffers", 0), "uri") != nullptr) return -1;
    return !m_chunks.empty() && m_chunks[0].type == glb_bin ? 0 : -1;
}

std::size_t GltfDocument::count(const char* list) const {
    const Json* items = member(m_json, list);
    return items == nullptr ? 0 : items->size();
}

const Json& GltfDocument::element(const char* list, std::size_t index) const {
    return m_json.at(list).at(index);
}

void GltfDocument::account_for(std::size_t numbers, const std::string& where) {
    constexpr std::size_t always = std::size_t{1} << 24, per_byte = 16;
    std::size_t bytes = m_bytes.size();
    for (const auto& buffer : m_buffers)
        bytes += buffer ? buffer->size() : 0;
    const std::size_t most = always + per_byte * bytes;
    m_numbers += numbers;
    if (m_numbers > most)
        refuse(where + " is used so often that the file expands to " + std::to_string(m_numbers) +
               " numbers; for its size at most " + std::to_string(most) + " are read");
}

std::string_view GltfDocument::buffer(std::size_t index) {
    std::optional<std::string>& slot = m_buffers.at(index);
    if (!slot) slot = load_buffer(index);
    return *slot;
}

std::string GltfDocument::load_buffer(std::size_t index) const {
    const std::string where = "buffer " + std::to_string(index);
    const Json& buffer = element("buffers", index);
    const std::size_t length = required_index(buffer, "byteLength", any_size, where);
    const std::string uri = optional_text(buffer, "uri", where);
    std::string bytes;
    if (uri.empty()) {
        if (index != 0 || buffer_chunk() < 0) refuse(where + " has no data: neither a URI nor a .glb chunk");
        bytes = m_chunks[0].bytes;
    } else if (is_data_uri(uri)) {
        bytes = decode_data_uri(uri, where);
    } else if (is_relative_uri(uri)) {
        const std::string relative = path_from_uri(uri);
        // "%2Fetc" only shows once it is decoded; a NUL would cut the name short.
        if (is_absolute(relative) || relative.find('\0') != std::string::npos)
            refuse(where + " lies at '" + uri + "': only relative paths and data: URIs are read");
        if (m_beside.is_endless(relative)) refuse(where + " lies at '" + uri + "', which is no file");
        bytes = m_beside.read(relative);
    } else {
        refuse(where + " lies at '" + uri + "': only relative paths and data: URIs are read");
    }
    if (bytes.size() < length)
        refuse(where + " says " + std::to_string(length) + " bytes, only " + std::to_string(bytes.size()) +
               " are there");
    bytes.resize(length);
    return bytes;
}

const Json* member(const Json& object, const char* key) {
    if (!object.is_object()) return nullptr;
    const auto found = object.find(key);
    return found == object.end() ? nullptr : &*found;
}

std::size_t index_value(const Json& value, const char* key, std::size_t limit, const std::string& where) {
    const std::string is = (where.empty() ? "'" : where + ": '") + key + "' is " + number_text(value);
    // Some writers print whole numbers as 3.0; JSON makes no difference between the two.
    const double number = value.is_number() ? value.get<double>() : -1.0;
    if (number < 0 || number != std::floor(number)) refuse(is + ", not a whole number of 0 or more");
    if (limit == 0) refuse(is + ", but the file has none");
    if (number >= static_cast<double>(limit)) refuse(is + "; it must be below " + std::to_string(limit));
    return static_cast<std::size_t>(number);
}

std::optional<std::size_t> optional_index(const Json& object, const char* key, std::size_t limit,
                                          const std::string& where) {
    const Json* value = member(object, key);
    if (value == nullptr) return std::nullopt;
    return index_value(*value, key, limit, where);
}

std::size_t required_index(const Json& object, const char* key, std::size_t limit, const std::string& where) {
    const std::optional<std::size_t> value = optional_index(object, key, limit, where);
    if (!value) refuse(where + ": '" + key + "' is missing");
    return *value;
}

std::optional<std::vector<double>> optional_numbers(const Json& object, const char* key, std::size_t count,
                                                    const std::string& where) {
    const Json* value = member(object, key);
    if (value == nullptr) return std::nullopt;
    const std::string shape =
        where + ": '" + key + "' is not a list of " + std::to_string(count) + " finite numbers";
    if (!value->is_array() || value->size() != count) refuse(shape);
    std::vector<double> numbers;
    for (const Json& item : *value) {
        if (!item.is_number() || !std::isfinite(item.get<double>())) refuse(shape);
        numbers.push_back(item.get<double>());
    }
    return numbers;
}

std::string optional_text(const Json& object, const char* key, const std::string& where) {
    const Json* value = member(object, key);
    if (value == nullptr) return "";
    if (!value->is_string()) refuse(where + ": '" + key + "' is not a text");
    return value->get<std::string>();
}

} // namespace aplomb::io
