// SPDX-License-Identifier: MIT
// aplomb follow: what follows from weight in a clip, as tracks and curves.
#include <optional>

#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/follow_page.h"
#include "cli/follow_text.h"
#include "cli/followed.h"
#include "cli/results.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

void write_out(const Character& character, const Followed& f, const std::string& out) {
    if (out.empty()) return;
    aplomb_corrected_frames frames;
    aplomb_corrected_frames_init(&frames, sizeof frames);
    const std::string layer = f.frames.clip_name + " follow-through";
    frames.clip = f.frames.clip, frames.count = static_cast<int32_t>(f.frames.times.size());
    frames.seconds = f.frames.file_times.data();
    frames.translations = f.poses.translations.data(), frames.rotations = f.poses.rotations.data();
    if (!out.ends_with(".bvh") && !out.ends_with(".BVH")) frames.layer = layer.c_str();
    aplomb_error error{};
    check(aplomb_character_write_frames(character.handle(), &frames, out.c_str(), &error), error);
}

} // namespace

int run_follow(const Arguments& arguments) {
    check_targets(arguments);
    if (arguments.file.json && arguments.moment.csv) throw Failure{"--csv does not go with --json"};
    const Character character(arguments.file);
    const Frames frames = read_frames(character, arguments);
    if (arguments.follow.loop && frames.times.size() < 4)
        throw Failure{"--loop: the shot has " + std::to_string(frames.times.size()) +
                      " frames; a loop has 4 or more"};
    if (arguments.follow.balance && !arguments.follow.keyed.empty())
        throw Failure{"--balance does not go with --keyed: what it balances is the key"};
    std::optional<Frames> keyed;
    if (!arguments.follow.keyed.empty()) keyed = read_keyed(frames, arguments);
    const Followed f = follow(character, frames, keyed ? &*keyed : nullptr, arguments);
    write_follow_page(character, f, arguments);
    write_out(character, f, arguments.balance.out);
    print(arguments.moment.csv  ? follow_csv_of(character, f)
          : arguments.file.json ? follow_json_of(character, f, arguments)
                                : follow_text_of(character, f, arguments));
    return f.balanced && f.balanced->status != APLOMB_OK ? exit_out_of_balance : exit_in_balance;
}

} // namespace aplomb::cli
