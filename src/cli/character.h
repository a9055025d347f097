// SPDX-License-Identifier: MIT
// An open character file and one pose of it.
#pragma once

#include <initializer_list>
#include <memory>
#include <string>
#include <vector>

#include "aplomb/files.h"
#include "cli/arguments.h"

namespace aplomb::cli {

/// What makes a figure itself doubtful.
struct Doubt {
    int32_t kind; // aplomb_doubt
    std::string text;
};

class Character {
public:
    /// Remarks on the file and doubts about the figure go to standard error.
    explicit Character(const FileArguments& arguments);
    /// Of a file that the command itself made; nothing is remarked on. `path` is what it is called.
    Character(const aplomb_memory_file& file, const aplomb_character_options& options, std::string path);

    const aplomb_character* handle() const { return m_handle.get(); }
    const aplomb_figure* figure() const { return aplomb_character_figure(handle()); }
    const std::string& path() const { return m_path; }

    aplomb_figure_info info() const;
    /// How the file was understood.
    aplomb_character_info understood() const;
    /// Of the file, then of the figure.
    std::vector<std::string> remarks() const;
    /// Without those about a size or a mass that was asked for.
    std::vector<Doubt> doubts(const FileArguments& arguments) const;
    /// Whether it has soles to stand on.
    bool stands() const;
    aplomb_joint_info joint(int32_t joint) const;
    aplomb_limb_info limb(int32_t limb) const;
    int32_t limb_count() const { return aplomb_figure_limb_count(figure()); }
    /// Fit for a terminal; "joint 7" where it has no name.
    std::string joint_name(int32_t joint) const;
    /// "; near: ..." of the joints' names and other words that are allowed; empty where nothing is near.
    std::string near(const std::string& wished, std::initializer_list<const char*> words) const;
    std::vector<std::string> clip_names() const;
    std::vector<double> key_times(int32_t clip) const;
    /// To standard error, after the file's name.
    void warn(const std::string& remark) const;

private:
    struct Close {
        void operator()(aplomb_character* character) const { aplomb_character_close(character); }
    };

    std::string m_path;
    std::unique_ptr<aplomb_character, Close> m_handle;
};

/// The keyed pose and where in the file it stands.
struct Moment {
    int32_t clip = -1;
    double seconds = 0;
    std::string place;  // "clip 'motion', frame 0 (0.00 s)"
    std::string chosen; // how, where the command line did not name it and there was a choice; else empty
    std::vector<double> translations, rotations;
    std::vector<aplomb_contact> contacts; // where something else than the pose tells what bears; else empty
};

Moment choose_moment(const Character& character, const MomentArguments& arguments);

/// Control characters, which a file may put into a name, become '?'.
std::string printable(std::string text);

/// A remark fit for a terminal. The library names its own members in it; here they are options.
std::string with_options(const std::string& remark);

} // namespace aplomb::cli
