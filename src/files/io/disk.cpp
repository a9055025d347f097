// SPDX-License-Identifier: MIT
#include "io/disk.h"

#include "io/fault.h"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <system_error>

#if !defined(_WIN32)
#include <fcntl.h>
#include <unistd.h>
#endif

namespace aplomb::io {
namespace {

namespace fs = std::filesystem;

fs::path to_path(std::string_view utf8) {
    return fs::path(std::u8string(utf8.begin(), utf8.end()));
}

std::string text_of(const std::u8string& text) {
    return std::string(text.begin(), text.end());
}

std::string to_text(const fs::path& path) {
    return text_of(path.u8string());
}

[[noreturn]] void cannot(const char* verb, const fs::path& path, const std::string& reason) {
    throw Fault{APLOMB_CANNOT_OPEN, std::string("cannot ") + verb + " '" + to_text(path) + "': " + reason,
                "path", -1, to_text(path)};
}

/// A name beside the target that no other writer of this process or another is likely to hold.
fs::path name_beside(const fs::path& path) {
    for (int attempt = 0; attempt < 1000; ++attempt) {
        fs::path candidate = path;
        candidate += ".part" + std::to_string(attempt);
        std::error_code ignored;
        if (!fs::exists(fs::symlink_status(candidate, ignored))) return candidate;
    }
    cannot("write", path, "too many unfinished files lie beside it");
}

void flush_to_disk([[maybe_unused]] const fs::path& path, [[maybe_unused]] const fs::path& target) {
#if !defined(_WIN32)
    const int descriptor = ::open(path.c_str(), O_RDONLY);
    if (descriptor < 0) cannot("write", target, std::strerror(errno));
    const int result = ::fsync(descriptor);
    const int reason = errno;
    ::close(descriptor);
    if (result != 0) cannot("write", target, std::strerror(reason));
#endif
}

/// `target` is the name that the caller knows.
void write_new(const fs::path& path, const fs::path& target, std::string_view bytes) {
    std::ofstream stream(path, std::ios::binary | std::ios::trunc);
    if (!stream) cannot("write", target, std::strerror(errno));
    stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    stream.close();
    if (!stream) cannot("write", target, std::strerror(errno));
    flush_to_disk(path, target);
}

} // namespace

std::string read_file(const std::string& name) {
    const fs::path path = to_path(name);
    std::error_code problem;
    if (fs::is_directory(path, problem)) cannot("read", path, "it is a folder");
    errno = 0;
    std::ifstream stream(path, std::ios::binary);
    if (!stream) cannot("read", path, errno != 0 ? std::strerror(errno) : "it cannot be opened");
    std::string bytes((std::istreambuf_iterator<char>(stream)), std::istreambuf_iterator<char>());
    if (stream.bad()) cannot("read", path, "reading stopped short");
    return bytes;
}

void replace_file(const std::string& name, std::string_view bytes) {
    const fs::path wished = to_path(name);
    std::error_code problem;
    // A link is written through, not replaced.
    const fs::path path = fs::is_symlink(wished, problem) ? fs::weakly_canonical(wished, problem) : wished;
    if (fs::is_directory(path, problem)) cannot("write", wished, "it is a folder");
    const fs::path part = name_beside(path);
    try {
        write_new(part, wished, bytes);
        const fs::file_status old = fs::status(path, problem);
        if (fs::exists(old)) fs::permissions(part, old.permissions(), problem);
        fs::rename(part, path);
    } catch (const fs::filesystem_error& error) {
        fs::remove(part, problem);
        cannot("write", wished, error.code().message());
    } catch (const Fault& fault) {
        fs::remove(part, problem);
        throw Fault{fault.status, fault.message, fault.field, fault.index, name};
    } catch (...) { // without memory
        fs::remove(part, problem);
        throw;
    }
}

bool is_on_disk(const std::string& path) {
    std::error_code ignored;
    return fs::exists(to_path(path), ignored);
}

bool is_endless(const std::string& path) {
    std::error_code ignored;
    return fs::is_other(to_path(path), ignored);
}

std::string whole_path(const std::string& folder) {
    return to_text(fs::weakly_canonical(fs::absolute(folder.empty() ? "." : to_path(folder))));
}

std::string path_between(const std::string& from, const std::string& to) {
    return text_of(to_path(to).lexically_relative(to_path(from)).generic_u8string());
}

} // namespace aplomb::io
