// SPDX-License-Identifier: MIT
// aplomb balance: the smallest change that brings a pose into balance.
#include <filesystem>

#include "cli/commands.h"
#include "cli/correction.h"
#include "cli/failure.h"
#include "cli/json.h"
#include "cli/looks.h"
#include "cli/read_clip.h"
#include "cli/reading_text.h"
#include "cli/results.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

/// The library's explanation, as long as it is.
std::string explain(const Character& character, const aplomb_result& result) {
    const int32_t length = aplomb_explain(character.figure(), &result, nullptr, 0);
    std::string text(static_cast<size_t>(length > 0 ? length : 0) + 1, '\0');
    aplomb_explain(character.figure(), &result, text.data(), text.size());
    text.pop_back();
    while (text.ends_with('\n'))
        text.pop_back();
    return text;
}

aplomb_reading empty_reading() {
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    return reading;
}

/// --move-foot: the moment with the suggested foot moved, and what was done in words.
std::string move_foot(const Character& character, const Options& options, const MomentArguments& arguments,
                      Moment& moment, Situation& situation) {
    aplomb_foot_suggestion foot;
    aplomb_foot_suggestion_init(&foot, sizeof foot);
    aplomb_error error{};
    check(aplomb_suggest_foot(make_solver(character).get(), &situation.value, &options.value,
                              moment.translations.data(), moment.rotations.data(), &foot, &error),
          error);
    if (!foot.found) return "no foot, nothing would be gained";
    situation = make_situation(character, moment, arguments);
    return foot.text;
}

void write_all(const Character& character, const Moment& moment, const Situation& situation,
               const Correction& made, const Arguments& arguments) {
    Results results;
    results.out = arguments.balance.out;
    results.picture = arguments.moment.picture;
    results.page = arguments.moment.page;
    results.translations = made.pose.translations.data();
    results.rotations = made.pose.rotations.data();
    results.drawing = begin_picture(character, moment, situation, made.before, arguments.moment);
    results.drawing.after = {results.translations, results.rotations, &made.after, "corrected", nullptr};
    const std::string title =
        std::filesystem::path(arguments.file.file).filename().string() + ", " + moment.place;
    results.drawing.title = title.c_str();
    results.drawing.text = made.explanation.c_str();
    results.drawing.result = &made.result;
    results.drawing.foot = &made.foot;
    Looks looks(character, moment, results.draws());
    looks.dress(character, results.drawing);
    write_results(character, moment, results);
}

std::string text_of(const Character& character, const Moment& moment, const Situation& situation,
                    const Correction& made, const Arguments& arguments) {
    std::string text = printable(character.path()) + ", " + moment.place + choice_line(moment) + "\n" +
                       figure_line(character, situation) + "\n\n";
    if (!made.foot_moved.empty()) text += "Moved: " + made.foot_moved + "\n\n";
    const bool changed = made.result.changed && !made.explanation.empty();
    text += "Keyed:     " + verdict(character, moment, situation, made.before) + "\n";
    if (changed) text += "Corrected: " + verdict(character, moment, situation, made.after) + "\n";
    text += "\n" + (made.explanation.empty() ? "Nothing changes." : made.explanation) + "\n\n";
    if (made.foot.found) text += "Suggested, not done: " + std::string(made.foot.text) + " (--move-foot)\n\n";
    text += standing_text(character, moment, situation, made.after);
    if (made.after.load_count > 0)
        text += "\nWhat it carries now, going by the pose:\n" + loads_text(situation, made.after);
    return text + cues_text("How it reads now", made.after) + wrote_text(arguments);
}

void refuse_options_of_frames(const Arguments& arguments) {
    refuse_reading_of_frames(arguments.moment);
    const auto refuse = [](bool given, const char* option) {
        if (given) throw Failure{std::string(option) + " goes with --frames"};
    };
    refuse(arguments.balance.loop, "--loop");
    refuse(arguments.balance.layer, "--layer");
    refuse(!arguments.balance.own_keys.empty(), "--own-keys");
    refuse(!arguments.balance.exempt.empty(), "--exempt");
    refuse(!arguments.balance.flights.empty(), "--flights");
    refuse(arguments.balance.held, "--held");
    refuse(!arguments.balance.flow.empty(), "--flow");
    refuse(!arguments.balance.key_acceleration.empty(), "--key-acceleration");
}

} // namespace

Correction correct(const Character& character, const Moment& moment, const Situation& situation,
                   const Options& options) {
    const Solver solver = make_solver(character);
    Correction made;
    made.before = empty_reading();
    made.after = empty_reading();
    aplomb_result_init(&made.result, sizeof made.result);
    made.options = options.value;
    made.pose = moment;
    double* translations = made.pose.translations.data();
    double* rotations = made.pose.rotations.data();

    aplomb_error error{};
    check(aplomb_read(solver.get(), &situation.value, &options.value, &made.before, &error), error);
    made.status = aplomb_balance(solver.get(), &situation.value, &options.value, translations, rotations,
                                 &made.result, &error);
    check(made.status, error);
    check(aplomb_read_corrected(solver.get(), &situation.value, &options.value, translations, rotations,
                                &made.result, &made.after, &error),
          error);
    made.explanation = explain(character, made.result);
    aplomb_foot_suggestion_init(&made.foot, sizeof made.foot);
    check(aplomb_suggest_foot(solver.get(), &situation.value, &options.value, nullptr, nullptr, &made.foot,
                              &error),
          error);
    return made;
}

int run_balance(const Arguments& arguments) {
    if (!arguments.moment.frames.empty()) return run_balance_clip(arguments);
    refuse_options_of_frames(arguments);
    check_targets(arguments);
    const Character character(arguments.file);
    const Moment keyed = choose_moment(character, arguments.moment);
    Moment moment = keyed;
    Situation situation = make_situation(character, moment, arguments.moment);
    warn_of_loads_in_trunk(character, situation.loads);
    const Options options = make_options(character, arguments);
    std::string foot_moved;
    if (arguments.balance.move_foot)
        foot_moved = move_foot(character, options, arguments.moment, moment, situation);
    Correction made = correct(character, moment, situation, options);
    made.foot_moved = foot_moved;
    write_all(character, moment, situation, made, arguments);
    print(arguments.file.json ? json_of_correction(character, keyed, situation, made, written(arguments))
                              : text_of(character, moment, situation, made, arguments));
    return made.status == APLOMB_OK ? exit_in_balance : exit_out_of_balance;
}

} // namespace aplomb::cli
