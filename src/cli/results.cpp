// SPDX-License-Identifier: MIT
#include "cli/results.h"

#include <filesystem>
#include <system_error>

#include "cli/failure.h"
#include "io/near_names.h"

namespace aplomb::cli {
namespace {

namespace fs = std::filesystem;

std::string extension(const std::string& path) {
    return io::lower_case(fs::path(path).extension().string());
}

/// The same place on the disk, or the same name of a file that is yet to come.
bool same_file(const std::string& a, const std::string& b) {
    std::error_code fault;
    if (fs::equivalent(a, b, fault)) return true;
    return fs::weakly_canonical(a, fault) == fs::weakly_canonical(b, fault);
}

void check_picture(const std::string& picture) {
    if (picture.empty() || extension(picture) == ".svg") return;
    throw Failure{"--picture " + picture + ": pictures are drawn as SVG; name it .svg"};
}

void check_out(const std::string& out, const Arguments& arguments) {
    if (out.empty()) return;
    const std::string& file = arguments.file.file;
    if (same_file(out, file))
        throw Failure{"--out " + out + ": that is the keyed file itself; give another name"};
    if (extension(out) != extension(file))
        throw Failure{"--out " + out + ": the file is written in its own format; name it " + extension(file)};
}

/// A picture on the disk under a passing name, beside its own; removed unless it is kept.
class StagedPicture {
public:
    explicit StagedPicture(const std::string& path) : m_path(path), m_staged(path + ".part") {}
    StagedPicture(const StagedPicture&) = delete;
    StagedPicture& operator=(const StagedPicture&) = delete;
    ~StagedPicture() {
        std::error_code fault;
        if (m_written) fs::remove(m_staged, fault);
    }

    void draw(const aplomb_picture& picture) {
        aplomb_error error{};
        check(aplomb_picture_write(&picture, m_staged.c_str(), &error), error);
        m_written = true;
    }
    void keep() {
        std::error_code fault;
        fs::rename(m_staged, m_path, fault);
        if (fault) throw Failure{m_path + ": cannot be written: " + fault.message()};
        m_written = false;
    }

private:
    std::string m_path, m_staged;
    bool m_written = false;
};

} // namespace

void check_targets(const Arguments& arguments) {
    const std::string& out = arguments.balance.out;
    check_out(out, arguments);
    check_picture(arguments.moment.picture);
    if (arguments.moment.lines && arguments.moment.picture.empty())
        throw Failure{"--lines belongs to --picture, which is not given"};
    for (const std::string& target : {arguments.write, arguments.moment.picture, out}) {
        std::error_code fault;
        if (!target.empty() && fs::is_directory(target, fault)) throw Failure{target + ": that is a folder"};
        if (!target.empty() && same_file(target, arguments.file.file))
            throw Failure{target + ": that is the keyed file itself; give another name"};
    }
}

void write_results(const Character& character, const Moment& moment, const Results& results) {
    StagedPicture picture(results.picture);
    if (!results.picture.empty()) picture.draw(results.drawing);
    if (!results.out.empty()) {
        aplomb_error error{};
        check(aplomb_character_write(character.handle(), moment.clip, moment.seconds, results.translations,
                                     results.rotations, results.out.c_str(), &error),
              error);
    }
    if (!results.picture.empty()) picture.keep();
}

aplomb_picture begin_picture(const Character& character, const Moment& moment, const Situation& situation,
                             const aplomb_reading& reading, const MomentArguments& arguments) {
    aplomb_picture picture;
    aplomb_picture_init(&picture, sizeof picture);
    picture.figure = character.figure();
    picture.situation = &situation.value;
    picture.before = {moment.translations.data(), moment.rotations.data(), &reading, "keyed"};
    picture.lines = arguments.lines;
    return picture;
}

} // namespace aplomb::cli
