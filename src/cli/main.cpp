// SPDX-License-Identifier: MIT
// The aplomb command.
#include <CLI/CLI.hpp>

#include <cstdio>
#include <exception>
#include <string>
#include <vector>

#include "cli/commands.h"
#include "cli/failure.h"
#include "io/near_names.h"

namespace {

using namespace aplomb::cli;

void complain(const std::string& sentence) {
    std::fprintf(stderr, "aplomb: %s\n", sentence.c_str());
}

/// One line of a parser's message, which may have several.
std::string first_line(const std::string& text) {
    return text.substr(0, text.find('\n'));
}

/// What the parser does not know, and what may have been meant.
std::string unknown_word(const CLI::App& app) {
    const std::string word = app.remaining(true).front();
    const auto chosen = app.get_subcommands();
    std::vector<std::string> known;
    for (const CLI::Option* option : (chosen.empty() ? &app : chosen.front())->get_options())
        known.push_back(option->get_name());
    for (const CLI::App* command : app.get_subcommands([&](const CLI::App*) { return chosen.empty(); }))
        known.push_back(command->get_name());
    return "'" + word + "' is not known here" + aplomb::io::near_names(word, known);
}

/// A subcommand with its arguments and what it runs.
void add_command(CLI::App& app, const char* name, const char* about, void (*add)(CLI::App&, Arguments&),
                 int (*run)(const Arguments&), Arguments& arguments, int& status) {
    CLI::App* command = app.add_subcommand(name, about);
    add(*command, arguments);
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
    try {
        app.parse(count, words);
    } catch (const CLI::CallForHelp&) {
        std::fputs(app.help().c_str(), stdout);
        return exit_in_balance;
    } catch (const CLI::CallForVersion& version) {
        std::puts(version.what());
        return exit_in_balance;
    } catch (const CLI::ExtrasError&) {
        complain(unknown_word(app));
        return exit_wrong_use;
    } catch (const CLI::ParseError& error) {
        complain(first_line(error.what()) + " ('aplomb --help' shows the use)");
        return exit_wrong_use;
    }
    if (app.get_subcommands().empty()) throw Failure{"a command is needed: inspect, read or balance"};
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
