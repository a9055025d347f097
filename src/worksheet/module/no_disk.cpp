// SPDX-License-Identifier: MIT
// In place of io/disk.cpp: a page has no disk. Nothing of the desk asks for one.
#include "io/disk.h"

#include "io/fault.h"

namespace aplomb::io {

namespace {
[[noreturn]] void refuse_disk(const std::string& path) {
    throw Fault{APLOMB_CANNOT_OPEN, "there is no disk here", "path", -1, path};
}
} // namespace

std::string read_file(const std::string& path) {
    refuse_disk(path);
}
void replace_file(const std::string& path, std::string_view) {
    refuse_disk(path);
}
bool is_on_disk(const std::string&) {
    return false;
}
bool is_endless(const std::string&) {
    return false;
}
std::string whole_path(const std::string& folder) {
    return folder;
}
std::string path_between(const std::string&, const std::string& to) {
    return to;
}

} // namespace aplomb::io
