// SPDX-License-Identifier: MIT
#include "io/uri.h"

#include "io/fault.h"

#include <cstdint>

namespace aplomb::io {
namespace {

constexpr std::string_view digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

int hex_value(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

bool is_unreserved(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
           std::string_view("-._~/!$&'()*+,;=@").find(c) != std::string_view::npos;
}

} // namespace

std::string base64_encode(std::string_view bytes) {
    std::string text;
    text.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        std::uint32_t word = 0;
        const std::size_t count = bytes.size() - i < 3 ? bytes.size() - i : 3;
        for (std::size_t k = 0; k < 3; ++k)
            word = word << 8 | (k < count ? static_cast<unsigned char>(bytes[i + k]) : 0u);
        for (std::size_t k = 0; k < 4; ++k)
            text += k <= count ? digits[(word >> (18 - 6 * k)) & 63u] : '=';
    }
    return text;
}

bool base64_decode(std::string_view text, std::string& bytes) {
    while (!text.empty() && text.back() == '=')
        text.remove_suffix(1);
    if (text.size() % 4 == 1) return false;
    bytes.clear();
    bytes.reserve(text.size() / 4 * 3 + 2);
    std::uint32_t word = 0;
    int bits = 0;
    for (const char c : text) {
        const std::size_t value = digits.find(c);
        if (value == std::string_view::npos) return false;
        word = (word << 6 | static_cast<std::uint32_t>(value)) & 0xFFFFFFu;
        bits += 6;
        if (bits >= 8) {
            bits -= 8;
            bytes += static_cast<char>((word >> bits) & 0xFFu);
        }
    }
    return true;
}

bool is_data_uri(std::string_view uri) {
    return uri.substr(0, 5) == "data:";
}

bool is_relative_uri(std::string_view uri) {
    if (uri.empty() || uri.front() == '/' || uri.front() == '\\') return false;
    const std::size_t colon = uri.find(':');
    return colon == std::string_view::npos || uri.substr(0, colon).find('/') != std::string_view::npos;
}

std::string decode_data_uri(std::string_view uri, const std::string& where) {
    const std::size_t comma = uri.find(',');
    constexpr std::string_view mark = ";base64";
    if (comma == std::string_view::npos || comma < mark.size() ||
        uri.substr(comma - mark.size(), mark.size()) != mark)
        refuse(where + " has a data: URI that is not base64");
    std::string bytes;
    if (!base64_decode(uri.substr(comma + 1), bytes)) refuse(where + " has a data: URI with broken base64");
    return bytes;
}

std::string path_from_uri(std::string_view uri) {
    std::string text;
    for (std::size_t i = 0; i < uri.size(); ++i) {
        if (uri[i] == '%' && i + 2 < uri.size() && hex_value(uri[i + 1]) >= 0 && hex_value(uri[i + 2]) >= 0) {
            text += static_cast<char>(hex_value(uri[i + 1]) * 16 + hex_value(uri[i + 2]));
            i += 2;
        } else {
            text += uri[i];
        }
    }
    return text;
}

std::string uri_from_path(std::string_view path) {
    constexpr std::string_view hex = "0123456789ABCDEF";
    std::string uri;
    for (const char c : path) {
        const auto byte = static_cast<unsigned char>(c);
        if (is_unreserved(c))
            uri += c;
        else
            (uri += '%') += {hex[byte >> 4], hex[byte & 15u]};
    }
    return uri;
}

} // namespace aplomb::io
