// SPDX-License-Identifier: MIT
#include "io/bytes.h"

#include "base/utf8.h"
#include "io/fault.h"

#include <cerrno>
#include <cstring>
#include <fstream>
#include <system_error>

#if !defined(_WIN32)
#include <fcntl.h>
#include <unistd.h>
#endif

namespace aplomb::io {
namespace {

namespace fs = std::filesystem;

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

fs::path to_path(std::string_view utf8) {
    return fs::path(std::u8string(utf8.begin(), utf8.end()));
}

std::string to_text(const fs::path& path) {
    const std::u8string text = path.u8string();
    return std::string(text.begin(), text.end());
}

std::string read_file(const fs::path& path) {
    std::error_code problem;
    if (fs::is_directory(path, problem)) cannot("read", path, "it is a folder");
    errno = 0;
    std::ifstream stream(path, std::ios::binary);
    if (!stream) cannot("read", path, errno != 0 ? std::strerror(errno) : "it cannot be opened");
    std::string bytes((std::istreambuf_iterator<char>(stream)), std::istreambuf_iterator<char>());
    if (stream.bad()) cannot("read", path, "reading stopped short");
    return bytes;
}

void replace_file(const fs::path& wished, std::string_view bytes) {
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
        throw Fault{fault.status, fault.message, fault.field, fault.index, to_text(wished)};
    } catch (...) { // without memory
        fs::remove(part, problem);
        throw;
    }
}

void hand_over(std::string_view bytes, aplomb_take_file take, void* user) {
    if (take == nullptr) bad_argument("take", "take is NULL");
    if (take(user, bytes.data(), bytes.size()) == 0)
        throw Fault{APLOMB_CANNOT_OPEN,
                    "take returned 0: the " + std::to_string(bytes.size()) + " bytes were not taken", "take"};
}

bool is_utf8(std::string_view text) {
    return aplomb::is_utf8(text.data(), text.size());
}

} // namespace aplomb::io
