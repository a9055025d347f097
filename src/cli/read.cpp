// SPDX-License-Identifier: MIT
// aplomb read: how a pose stands and what it reads as. Changes nothing.
#include <filesystem>

#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/json.h"
#include "cli/looks.h"
#include "cli/read_clip.h"
#include "cli/reading_text.h"
#include "cli/results.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

std::string text_of(const Character& character, const Moment& moment, const Situation& situation,
                    const aplomb_reading& reading) {
    std::string text = printable(character.path()) + ", " + moment.place + choice_line(moment) + "\n" +
                       figure_line(character, situation) + "\n\n";
    text += "The pose is " + verdict(character, moment, situation, reading) + ".\n";
    text += standing_text(character, moment, situation, reading);
    if (reading.load_count > 0)
        text += "\nWhat it carries, going by the pose alone:\n" + loads_text(situation, reading);
    return text + cues_text("How it reads", reading);
}

} // namespace

int run_read(const Arguments& arguments) {
    if (!arguments.moment.frames.empty()) return run_read_clip(arguments);
    refuse_reading_of_frames(arguments.moment);
    check_targets(arguments);
    const Character character(arguments.file);
    const Moment moment = choose_moment(character, arguments.moment);
    const Situation situation = make_situation(character, moment, arguments.moment);
    warn_of_loads_in_trunk(character, situation.loads);
    const Options options = make_options(character, arguments);
    const Solver solver = make_solver(character);

    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_error error{};
    check(aplomb_read(solver.get(), &situation.value, &options.value, &reading, &error), error);

    Results results;
    results.picture = arguments.moment.picture;
    results.page = arguments.moment.page;
    results.drawing = begin_picture(character, moment, situation, reading, arguments.moment);
    const std::string title =
        std::filesystem::path(arguments.file.file).filename().string() + ", " + moment.place;
    results.drawing.title = title.c_str();
    Looks looks(character, moment, results.draws());
    looks.dress(character, results.drawing);
    write_results(character, moment, results);

    print(arguments.file.json ? json_of_reading(character, moment, situation, reading, written(arguments))
                              : text_of(character, moment, situation, reading) + wrote_text(arguments));
    return reading.in_balance ? exit_in_balance : exit_out_of_balance;
}

} // namespace aplomb::cli
