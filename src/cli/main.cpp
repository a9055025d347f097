// SPDX-License-Identifier: MIT
// The aplomb command.
#include <CLI/CLI.hpp>

#include <cstdio>
#include <exception>
#include <string>

#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/misuse.h"

namespace {

using namespace aplomb::cli;

void complain(const std::string& sentence) {
    std::fprintf(stderr, "aplomb: %s\n", sentence.c_str());
}

/// A subcommand with its arguments and what it runs.
void add_command(CLI::App& app, const char* name, const char* about, void (*add)(CLI::App&, Arguments&),
                 int (*run)(const Arguments&), Arguments& arguments, int& status) {
    CLI::App* command = app.add_subcommand(name, about);
    add(*command, arguments);
    ask_for_values(*command);
    command->set_version_flag("--version", aplomb_build_info())->group("");
    command->group("Commands");
    command->final_callback([=, &arguments, &status] { status = run(arguments); });
}

int run(int count, char** words) {
    CLI::App app(
        "Makes posed characters carry weight: reads how a pose stands, and brings it into balance with the\n"
        "smallest change of hips and spine.",
        "aplomb");
    app.set_version_flag("--version", aplomb_build_info());
    app.get_formatter()->column_width(28);
    app.get_formatter()->label("SUBCOMMAND", "COMMAND");
    app.footer("'aplomb COMMAND --help' shows the options of a command, with examples.\n"
               "Results are about drawn and simulated characters; they say nothing about what a living "
               "person can lift.");
    Arguments arguments;
    int status = exit_wrong_use;
    add_command(app, "inspect", "Show what a figure is made of: roles, masses, limits, limbs, remarks",
                add_inspect_arguments, run_inspect, arguments, status);
    add_command(app, "read", "Show how a pose stands and what it reads as; changes nothing",
                add_read_arguments, run_read, arguments, status);
    add_command(app, "balance", "Bring a pose into balance with the smallest change", add_balance_arguments,
                run_balance, arguments, status);
    add_command(app, "fit", "Learn a studio's manner from poses that its animators corrected",
                add_fit_arguments, run_fit, arguments, status);
    add_command(app, "follow", "Let tail, arms, head and straps of a clip drag and settle",
                add_follow_arguments, run_follow, arguments, status);
    add_command(app, "timing", "Say how many frames a fall, a bounce, a swing, a step or a settling takes",
                add_timing_arguments, run_timing, arguments, status);
    add_command(app, "dots", "Lay a figure under the dots of a drawing, read it and correct it",
                add_dots_arguments, run_dots, arguments, status);
    app.require_subcommand(1);
    app.failure_message([](const CLI::App* whole, const CLI::Error& error) {
        return "aplomb: " + misuse(*whole, error) + "\n";
    });
    try {
        app.parse(count, words);
    } catch (const CLI::ParseError& error) {
        const bool answered = app.exit(error) == 0; // prints help or version, else the sentence
        return answered ? exit_in_balance : exit_wrong_use;
    }
    return status;
}

} // namespace

int main(int count, char** words) {
    try {
        return run(count, words);
    } catch (const Failure& failure) {
        complain(failure.sentence);
    } catch (const std::exception& fault) {
        complain(fault.what());
    }
    return exit_wrong_use;
}
