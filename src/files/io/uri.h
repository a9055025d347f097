// SPDX-License-Identifier: MIT
// URIs as glTF 2.0 uses them (section 2.8): data: with base64, or a percent-encoded relative path (RFC 3986).
#pragma once

#include <string>
#include <string_view>

namespace aplomb::io {

std::string base64_encode(std::string_view bytes);
/// False where the text is not base64.
bool base64_decode(std::string_view text, std::string& bytes);

bool is_data_uri(std::string_view uri);
/// A relative path, neither data: nor another scheme nor absolute.
bool is_relative_uri(std::string_view uri);

/// The bytes of a data: URI; refuses what is not base64. `where` names the element.
std::string decode_data_uri(std::string_view uri, const std::string& where);

/// The path with slashes, whatever the disk uses.
std::string path_from_uri(std::string_view uri);
std::string uri_from_path(std::string_view path);

} // namespace aplomb::io
