// SPDX-License-Identifier: MIT
#include "io/gltf_accessor.h"

#include "io/fault.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>

namespace aplomb::io {
namespace {

// An accessor without a bufferView may claim any count without bytes to show for.
constexpr std::size_t most_elements = 1u << 20;
// Every element takes a byte at least; the bound keeps products with a stride from overflowing.
constexpr std::uint64_t most_bytes = std::uint64_t{1} << 32;

struct ComponentType {
    int code;
    std::size_t size;
    double scale; // of a normalised integer
};

ComponentType component_type(std::size_t code, const std::string& where) {
    switch (code) {
    case 5120:
        return {5120, 1, 127};
    case 5121:
        return {5121, 1, 255};
    case 5122:
        return {5122, 2, 32767};
    case 5123:
        return {5123, 2, 65535};
    case 5125:
        return {5125, 4, 4294967295.0};
    case 5126:
        return {5126, 4, 1};
    default:
        refuse(where + ": 'componentType' " + std::to_string(code) + " is not one of glTF 2.0");
    }
}

double read_component(const char* at, const ComponentType& type) {
    std::uint32_t word = 0;
    for (std::size_t k = 0; k < type.size; ++k)
        word |= static_cast<std::uint32_t>(static_cast<unsigned char>(at[k])) << (8 * k);
    switch (type.code) {
    case 5120:
        return static_cast<std::int8_t>(word);
    case 5122:
        return static_cast<std::int16_t>(word);
    case 5126:
        return static_cast<double>(std::bit_cast<float>(word));
    default:
        return word;
    }
}

std::size_t width_of(const std::string& type, const std::string& where) {
    if (type == "SCALAR") return 1;
    if (type == "VEC3") return 3;
    if (type == "VEC4") return 4;
    if (type == "MAT4") return 16; // four rows leave no padding between columns, whatever the component
    refuse(where + ": type '" + type + "' does not fit its use");
}

/// Part of a bufferView, checked to hold `count` elements of `size` bytes.
struct Run {
    const char* start;
    std::size_t stride;
};

Run locate(GltfDocument& document, std::size_t view_index, std::size_t offset, std::size_t count,
           std::size_t size, const std::string& where) {
    const std::string view_where = "bufferView " + std::to_string(view_index);
    const Json& view = document.element("bufferViews", view_index);
    if (const Json* extensions = member(view, "extensions"))
        if (member(*extensions, "EXT_meshopt_compression") != nullptr)
            refuse(view_where + " is compressed (EXT_meshopt_compression), which is not read");
    const std::size_t buffer_index = required_index(view, "buffer", document.count("buffers"), view_where);
    const std::string_view buffer = document.buffer(buffer_index);
    const std::size_t view_offset = optional_index(view, "byteOffset", any_size, view_where).value_or(0);
    const std::size_t length = required_index(view, "byteLength", any_size, view_where);
    const std::size_t stride = optional_index(view, "byteStride", 256, view_where).value_or(size);
    if (view_offset + length > buffer.size())
        refuse(view_where + " ends at byte " + std::to_string(view_offset + length) + " of buffer " +
               std::to_string(buffer_index) + ", which has " + std::to_string(buffer.size()));
    if (stride < size) refuse(view_where + ": 'byteStride' is smaller than an element");
    const std::uint64_t needed = count == 0 ? 0 : offset + (count - std::uint64_t{1}) * stride + size;
    if (needed > length)
        refuse(where + " needs " + std::to_string(needed) + " bytes of " + view_where + ", which has " +
               std::to_string(length));
    return {buffer.data() + view_offset + offset, stride};
}

void read_sparse(GltfDocument& document, const Json& sparse, const ComponentType& type, std::size_t width,
                 std::vector<double>& values, const std::string& where) {
    const std::size_t views = document.count("bufferViews");
    const std::size_t count = required_index(sparse, "count", values.size() / width + 1, where + " sparse");
    const Json* indices = member(sparse, "indices");
    const Json* replaced = member(sparse, "values");
    if (indices == nullptr || replaced == nullptr)
        refuse(where + " sparse: 'indices' or 'values' is missing");
    const ComponentType index_type =
        component_type(required_index(*indices, "componentType", 65536, where + " sparse indices"), where);
    if (index_type.code != 5121 && index_type.code != 5123 && index_type.code != 5125)
        refuse(where + " sparse indices are not unsigned integers");
    const Run index_run = locate(
        document, required_index(*indices, "bufferView", views, where + " sparse indices"),
        optional_index(*indices, "byteOffset", any_size, where).value_or(0), count, index_type.size, where);
    const Run value_run =
        locate(document, required_index(*replaced, "bufferView", views, where + " sparse values"),
               optional_index(*replaced, "byteOffset", any_size, where).value_or(0), count, type.size * width,
               where);
    for (std::size_t i = 0; i < count; ++i) {
        const auto element =
            static_cast<std::size_t>(read_component(index_run.start + i * index_run.stride, index_type));
        if (element >= values.size() / width)
            refuse(where + " sparse index " + std::to_string(i) + " is " + std::to_string(element) +
                   ", past the last element");
        for (std::size_t k = 0; k < width; ++k)
            values[element * width + k] =
                read_component(value_run.start + i * value_run.stride + k * type.size, type);
    }
}

} // namespace

std::vector<double> read_accessor(GltfDocument& document, std::size_t accessor, const std::string& type,
                                  Unfinite unfinite) {
    const std::string where = "accessor " + std::to_string(accessor);
    const Json& json = document.element("accessors", accessor);
    const std::size_t width = width_of(type, where);
    const std::string found = optional_text(json, "type", where);
    if (found != type) refuse(where + " is of type '" + found + "', '" + type + "' is needed here");
    const ComponentType component =
        component_type(required_index(json, "componentType", 65536, where), where);
    const std::size_t count = required_index(json, "count", any_size, where);
    const std::size_t offset = optional_index(json, "byteOffset", any_size, where).value_or(0);
    const auto view = optional_index(json, "bufferView", document.count("bufferViews"), where);
    if (count > (view ? most_bytes : most_elements))
        refuse(where + " claims " + std::to_string(count) + " elements");

    std::vector<double> values;
    if (!view) {
        document.account_for(count * width, where);
        values.assign(count * width, 0.0);
    }
    if (view) {
        const Run run = locate(document, *view, offset, count, component.size * width, where);
        document.account_for(count * width, where);
        values.resize(count * width); // not before the bytes are known to be there
        for (std::size_t i = 0; i < count; ++i)
            for (std::size_t k = 0; k < width; ++k)
                values[i * width + k] =
                    read_component(run.start + i * run.stride + k * component.size, component);
    }
    if (const Json* sparse = member(json, "sparse"))
        read_sparse(document, *sparse, component, width, values, where);

    const Json* normalized = member(json, "normalized");
    const bool scaled = normalized != nullptr && normalized->is_boolean() && normalized->get<bool>();
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (unfinite == Unfinite::refused && !std::isfinite(values[i]))
            refuse(where + " element " + std::to_string(i / width) + " is not finite");
        if (scaled && component.code != 5126) values[i] = std::max(values[i] / component.scale, -1.0);
    }
    return values;
}

} // namespace aplomb::io
