// SPDX-License-Identifier: MIT
#include "cli/misuse.h"

#include <CLI/CLI.hpp>

#include <vector>

#include "io/near_names.h"

namespace aplomb::cli {
namespace {

bool is_option(const std::string& word) {
    return word.size() > 1 && word[0] == '-';
}

/// "--out" of "--out=new.bvh".
std::string name_of(const std::string& word) {
    return word.substr(0, word.find('='));
}

bool knows(const CLI::App& command, const std::string& word) {
    return is_option(word) && command.get_option_no_throw(name_of(word)) != nullptr;
}

std::vector<const CLI::App*> commands_of(const CLI::App& app) {
    return app.get_subcommands([](const CLI::App*) { return true; });
}

/// "inspect, read or balance"
std::string listed(const std::vector<std::string>& names, const std::string& conjunction) {
    std::string all = names.front();
    for (size_t i = 1; i < names.size(); ++i)
        all += (i + 1 < names.size() ? ", " : " " + conjunction + " ") + names[i];
    return all;
}

/// No command was given, maybe something else in its place.
std::string without_command(const CLI::App& app) {
    std::vector<std::string> names;
    for (const CLI::App* command : commands_of(app))
        names.push_back(command->get_name());
    if (app.remaining_size() == 0) return "a command is needed: " + listed(names, "or");
    const std::string word = app.remaining().front();
    for (const CLI::App* command : commands_of(app))
        if (knows(*command, word))
            return word + " belongs after a command, as in: aplomb " + command->get_name() + " FILE " + word;
    const std::string near = io::near_names(word, names);
    const std::string refusal = "'" + word + "' is not a command";
    if (!near.empty()) return refusal + near;
    return refusal + "; use " + listed(names, "or") +
           (is_option(word) ? "" : ", such as: aplomb read " + word);
}

/// An option that this command does not have.
std::string strange_option(const CLI::App& app, const CLI::App& command, const std::string& word) {
    std::vector<std::string> owners;
    for (const CLI::App* other : commands_of(app))
        if (knows(*other, word)) owners.push_back(other->get_name());
    if (!owners.empty())
        return name_of(word) + " belongs to " + listed(owners, "and") + "; " + command.get_name() +
               " does not use it";
    std::vector<std::string> known;
    for (const CLI::Option* option : command.get_options())
        known.push_back(option->get_name());
    const std::string near = io::near_names(word, known);
    return "'" + word + "' is not known here" +
           (near.empty() ? "; 'aplomb " + command.get_name() + " --help' lists the options" : near);
}

/// A word too many, which is no option.
std::string strange_word(const CLI::App& app, const CLI::App& command, const std::string& word) {
    for (const CLI::App* other : commands_of(app))
        if (word == other->get_name())
            return "two commands, " + command.get_name() + " and " + word + "; give one";
    for (const CLI::Option* option : command.get_options())
        for (const std::string& value : option->results())
            if (value.ends_with(','))
                return option->get_name() + " " + value + " breaks off; leave out the blank after the comma";
    if (command.get_name() == "timing") return "one thing at a time; '" + word + "' is a second";
    return "one FILE at a time; '" + word + "' is a second";
}

/// The option that the parser complains of, by the name in its message.
const CLI::Option* blamed(const CLI::App& command, const std::string& message) {
    for (const CLI::Option* option : command.get_options())
        if (!option->get_positional() && message.find(option->get_name()) != std::string::npos) return option;
    return nullptr;
}

std::string wrong_value(const CLI::App& command, const CLI::Error& error) {
    const std::string message = error.what();
    const bool counted = dynamic_cast<const CLI::ArgumentMismatch*>(&error) != nullptr;
    const bool converted = dynamic_cast<const CLI::ConversionError*>(&error) != nullptr;
    const CLI::Option* option = counted || converted ? blamed(command, message) : nullptr;
    if (option == nullptr) return message.substr(0, message.find('\n'));
    if (converted) return option->get_name() + " takes no value";
    if (option->count() > 1) return option->get_name() + " is given twice; give it once";
    return option->get_name() + " needs " + option->get_type_name() + " after it";
}

} // namespace

void ask_for_values(CLI::App& command) {
    for (CLI::Option* option : command.get_options([](CLI::Option*) { return true; })) {
        if (option->get_expected_max() == 0) continue; // a flag
        const std::string wanted = option->get_type_name();
        option->transform(CLI::Validator(
            [wanted, &command](std::string& value) {
                if (value.empty()) return "it is empty; " + wanted + " is needed";
                if (!value.starts_with("--") || !knows(command, value)) return std::string();
                return wanted + " is needed; '" + value + "' came instead";
            },
            ""));
    }
}

std::string misuse(const CLI::App& app, const CLI::Error& error) {
    if (app.get_subcommands().empty()) return without_command(app);
    const CLI::App& command = *app.get_subcommands().front();
    const std::string use = "aplomb " + command.get_name();
    if (app.remaining_size() > 0)
        return app.remaining().front() + " belongs after " + command.get_name() + ", as in: " + use +
               " FILE " + app.remaining().front();
    if (command.remaining_size() > 0 && dynamic_cast<const CLI::ExtrasError*>(&error) != nullptr) {
        const std::string word = command.remaining().front();
        return is_option(word) ? strange_option(app, command, word) : strange_word(app, command, word);
    }
    if (dynamic_cast<const CLI::RequiredError*>(&error) != nullptr)
        return "a FILE is needed, as in: " + use + " FILE";
    return wrong_value(command, error) + " ('" + use + " --help' shows the use)";
}

} // namespace aplomb::cli
