// SPDX-License-Identifier: MIT
#include "io/manner.h"

#include <algorithm>
#include <vector>

#include "aplomb/files.h"

#include "io/border.h"
#include "io/disk.h"
#include "io/gltf_document.h"
#include "io/near_names.h"

namespace aplomb::io {
namespace {

std::vector<std::string> option_names() {
    std::vector<std::string> names;
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        aplomb_option_info info;
        aplomb_option_info_init(&info, sizeof info);
        aplomb_option_describe(i, &info, nullptr);
        names.emplace_back(info.name);
    }
    return names;
}

void check_options(const aplomb_options* options) {
    if (options == nullptr) bad_argument("options", "options is NULL");
    if (options->struct_size != sizeof *options)
        throw Fault{APLOMB_WRONG_VERSION,
                    "options: struct_size is " + std::to_string(options->struct_size) +
                        "; this library knows " + std::to_string(sizeof *options) +
                        ". Set it up with aplomb_options_init",
                    "options"};
}

void check_keys(const Json& json) {
    const std::vector<std::string> known = {"aplomb_manner", "note", "options"};
    for (const auto& [key, value] : json.items())
        if (std::find(known.begin(), known.end(), key) == known.end())
            refuse("the manner has an unknown key '" + key + "'" + near_names(key, known));
}

} // namespace

void read_manner(std::string_view bytes, aplomb_options& options) {
    parse_json(bytes, "the manner");
    const Json json = Json::parse(bytes, [](const std::string& key) {
        refuse("the key '" + key + "' stands twice in one object of the manner");
    });
    if (!json.is_object() || member(json, "aplomb_manner") == nullptr)
        refuse("it is no manner: the key 'aplomb_manner' is missing");
    const Json& version = *member(json, "aplomb_manner");
    if (!version.is_number() || version.get<double>() != 1)
        refuse("'aplomb_manner' is " + version.dump() + "; this library knows version 1");
    check_keys(json);
    const Json* set = member(json, "options");
    if (set == nullptr || !set->is_object()) refuse("'options' of the manner is missing or no object");
    const std::vector<std::string> names = option_names();
    aplomb_options changed = options;
    for (const auto& [name, value] : set->items()) {
        const auto found = std::find(names.begin(), names.end(), name);
        if (found == names.end())
            refuse("the manner sets '" + name + "', which is no option" + near_names(name, names));
        if (!value.is_number()) refuse("'" + name + "' of the manner is " + value.dump() + ", not a number");
        aplomb_error error{};
        if (aplomb_option_set(&changed, static_cast<int32_t>(found - names.begin()), value.get<double>(),
                              &error) != APLOMB_OK)
            refuse("the manner's " + std::string(error.message));
    }
    options = changed;
}

std::string write_manner(const aplomb_options& options, std::string_view note) {
    Json json = Json::object();
    json["aplomb_manner"] = 1;
    if (!note.empty()) {
        Json lines = Json::array();
        for (std::size_t at = 0; at < note.size();) {
            const std::size_t end = std::min(note.find('\n', at), note.size());
            lines.push_back(std::string(note.substr(at, end - at)));
            at = end + 1;
        }
        json["note"] = lines;
    }
    aplomb_options usual;
    aplomb_options_init(&usual, sizeof usual);
    Json set = Json::object();
    const std::vector<std::string> names = option_names();
    for (std::size_t i = 0; i < names.size(); ++i) {
        const double value = aplomb_option_value(&options, static_cast<int32_t>(i));
        if (value != aplomb_option_value(&usual, static_cast<int32_t>(i))) set[names[i]] = value;
    }
    json["options"] = set;
    return json.dump(2) + "\n";
}

} // namespace aplomb::io

using namespace aplomb;
using namespace aplomb::io;

aplomb_status aplomb_manner_read(const char* path, aplomb_options* options, aplomb_error* error) {
    return guarded(error, path != nullptr ? path : "", [&] {
        if (path == nullptr) bad_argument("path", "path is NULL");
        check_options(options);
        aplomb_options set = *options;
        read_manner(read_file(path), set);
        *options = set;
    });
}

aplomb_status aplomb_manner_write(const char* path, const aplomb_options* options, const char* note,
                                  aplomb_error* error) {
    return guarded(error, path != nullptr ? path : "", [&] {
        if (path == nullptr) bad_argument("path", "path is NULL");
        check_options(options);
        replace_file(path, write_manner(*options, note != nullptr ? note : ""));
    });
}
