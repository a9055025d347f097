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

/// A folder that does not exist would be found out only when all the work is done.
void check_folder(const std::string& option, const std::string& path) {
    std::error_code fault;
    const std::string refusal = option + " " + path + ": ";
    if (fs::is_directory(path, fault)) throw Failure{refusal + "that is a folder; give the name of a file"};
    const fs::path folder = fs::path(path).parent_path();
    if (folder.empty() || fs::is_directory(folder, fault)) return;
    throw Failure{
        refusal + "'" + folder.string() + "' " +
        (fs::exists(folder, fault) ? "is not a folder" : "does not exist; create that folder first")};
}

void check_picture(const std::string& picture) {
    if (picture.empty() || extension(picture) == ".svg") return;
    throw Failure{"--picture " + picture + ": pictures are drawn as SVG; name it .svg"};
}

void check_page(const std::string& page) {
    if (page.empty() || extension(page) == ".html" || extension(page) == ".htm") return;
    throw Failure{"--page " + page + ": pages are written as HTML; name it .html"};
}

void check_out(const std::string& out, const Arguments& arguments) {
    if (out.empty()) return;
    const std::string& file = arguments.file.file;
    if (same_file(out, file))
        throw Failure{"--out " + out + ": that is the keyed file itself; give another name"};
    if (extension(out) != extension(file))
        throw Failure{"--out " + out + ": the file keeps its format; end the name in " + extension(file)};
}

/// A picture or page on the disk under a passing name, beside its own; removed unless it is kept.
class StagedPicture {
public:
    explicit StagedPicture(const std::string& path) : m_path(path), m_staged(path + ".part") {}
    StagedPicture(const StagedPicture&) = delete;
    StagedPicture& operator=(const StagedPicture&) = delete;
    ~StagedPicture() {
        std::error_code fault;
        if (m_written) fs::remove(m_staged, fault);
    }

    template<class Shown>
    void draw(aplomb_status (*write)(const Shown*, const char*, aplomb_error*), const Shown& shown) {
        if (m_path.empty()) return;
        aplomb_error error{};
        const aplomb_status status = write(&shown, m_staged.c_str(), &error);
        if (status == APLOMB_CANNOT_OPEN) throw Failure{own_name(error.message)};
        check(status, error);
        m_written = true;
    }
    void keep() {
        if (!m_written) return;
        std::error_code fault;
        fs::rename(m_staged, m_path, fault);
        if (fault) throw Failure{m_path + ": cannot be written: " + fault.message()};
        m_written = false;
    }

private:
    /// The sentence with the name that the user gave.
    std::string own_name(std::string sentence) const {
        const size_t at = sentence.find(m_staged);
        return at == std::string::npos ? sentence : sentence.replace(at, m_staged.size(), m_path);
    }

    std::string m_path, m_staged;
    bool m_written = false;
};

} // namespace

void check_targets(const Arguments& arguments) {
    const std::string& out = arguments.balance.out;
    const std::string &picture = arguments.moment.picture, &page = arguments.moment.page;
    for (const auto& [option, path] : {Written{"--write", arguments.write}, Written{"--out", out},
                                       Written{"--picture", picture}, Written{"--page", page}})
        if (!path.empty()) check_folder(option, path);
    check_out(out, arguments);
    check_picture(picture);
    check_page(page);
    if (arguments.moment.lines && picture.empty() && page.empty())
        throw Failure{"--lines belongs to --picture or --page, and neither is given"};
    std::vector<std::string> earlier;
    for (const std::string& target : {arguments.write, picture, page, out}) {
        for (const std::string& other : earlier)
            if (!target.empty() && same_file(target, other))
                throw Failure{target + ": two results cannot go to the same file; give another name"};
        if (!target.empty()) earlier.push_back(target);
        if (!target.empty() && same_file(target, arguments.file.file))
            throw Failure{target + ": that is the keyed file itself; give another name"};
    }
}

void write_results(const Character& character, const Moment& moment, const Results& results) {
    StagedPicture picture(results.picture), page(results.page);
    picture.draw(aplomb_picture_write, results.drawing);
    page.draw(aplomb_page_write, results.drawing);
    if (!results.out.empty()) {
        aplomb_error error{};
        check(aplomb_character_write(character.handle(), moment.clip, moment.seconds, results.translations,
                                     results.rotations, results.out.c_str(), &error),
              error);
    }
    picture.keep();
    page.keep();
}

void write_frames(const Character& character, int clip, int first, const std::vector<double>& translations,
                  const std::vector<double>& rotations, const std::string& path, const std::string& layer) {
    const auto joints = static_cast<size_t>(aplomb_figure_joint_count(character.figure()));
    std::vector<int32_t> keys(translations.size() / (3 * joints));
    for (size_t k = 0; k < keys.size(); ++k)
        keys[k] = first + static_cast<int32_t>(k);
    aplomb_corrected_frames frames;
    aplomb_corrected_frames_init(&frames, sizeof frames);
    frames.clip = clip;
    frames.count = static_cast<int32_t>(keys.size());
    frames.keys = keys.data();
    frames.translations = translations.data(), frames.rotations = rotations.data();
    if (!layer.empty()) frames.layer = layer.c_str();
    aplomb_error error{};
    check(aplomb_character_write_frames(character.handle(), &frames, path.c_str(), &error), error);
}

void write_shot_page(const std::string& path, const aplomb_shot_page& shown) {
    StagedPicture page(path);
    page.draw(aplomb_shot_page_write, shown);
    page.keep();
}

std::vector<Written> written(const Arguments& arguments) {
    std::vector<Written> files;
    for (const auto& [what, path] :
         {Written{"out", arguments.balance.out}, Written{"picture", arguments.moment.picture},
          Written{"page", arguments.moment.page}})
        if (!path.empty()) files.push_back({what, path});
    return files;
}

std::string wrote_text(const Arguments& arguments) {
    std::string text;
    for (const Written& file : written(arguments))
        text += "Wrote " + file.path + "\n";
    return text.empty() ? "" : "\n" + text;
}

aplomb_picture begin_picture(const Character& character, const Moment& moment, const Situation& situation,
                             const aplomb_reading& reading, const MomentArguments& arguments) {
    aplomb_picture picture;
    aplomb_picture_init(&picture, sizeof picture);
    picture.figure = character.figure();
    picture.situation = &situation.value;
    picture.before = {moment.translations.data(), moment.rotations.data(), &reading, "keyed", nullptr};
    picture.lines = arguments.lines;
    return picture;
}

} // namespace aplomb::cli
