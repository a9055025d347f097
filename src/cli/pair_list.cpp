// SPDX-License-Identifier: MIT
#include "cli/pair_list.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>

#include "cli/failure.h"
#include "io/near_names.h"
#include "json/json.h"

namespace aplomb::cli {
namespace {

const std::vector<std::string> place_keys = {"file", "clip", "frame", "time"};
const std::vector<std::string> carried_keys = {"load", "pull", "stance", "hold", "share", "gravity"};

std::vector<std::string> joined(std::vector<std::string> first, const std::vector<std::string>& second) {
    first.insert(first.end(), second.begin(), second.end());
    return first;
}

void check_keys(const std::string& where, const Json& object, const std::vector<std::string>& known) {
    if (!object.is_object()) throw Failure{where + " is not an object"};
    for (const auto& [key, value] : object.items())
        if (std::find(known.begin(), known.end(), key) == known.end())
            throw Failure{where + " has an unknown key '" + printable(key) + "'" +
                          io::near_names(key, known)};
}

Json read_list(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    if (!file) throw Failure{path + ": cannot be read"};
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    Json list;
    try {
        list = Json::parse(text);
    } catch (const std::exception& fault) {
        throw Failure{path + " is not JSON: " + printable(fault.what())};
    }
    if (!list.is_object() || !list.contains("aplomb_pairs") || list.at("aplomb_pairs") != Json(1))
        throw Failure{path + R"( is no list of pairs: it lacks "aplomb_pairs": 1)"};
    check_keys(path, list,
               joined(joined({"aplomb_pairs", "keyed", "by_hand", "pairs"}, place_keys), carried_keys));
    if (!list.contains("pairs") || !list.at("pairs").is_array())
        throw Failure{path + ": 'pairs' is missing or no list"};
    return list;
}

/// Where a pose's place, or what it carries, may be said, the nearest first.
class Said {
public:
    Said(std::string where, std::vector<const Json*> objects)
        : where_(std::move(where)), objects_(std::move(objects)) {}

    const Json* find(const char* key) const {
        for (const Json* object : objects_)
            if (object && object->contains(key)) return &object->at(key);
        return nullptr;
    }
    std::string text(const char* key) const {
        const Json* value = find(key);
        if (!value) return "";
        if (!value->is_string())
            throw Failure{where_ + ": '" + key + "' is " + value->dump() + ", not a text"};
        return value->get<std::string>();
    }
    std::optional<double> number(const char* key) const {
        const Json* value = find(key);
        if (!value) return {};
        if (!value->is_number() || !(value->get<double>() >= 0))
            throw Failure{where_ + ": '" + key + "' is " + value->dump() + ", not a number from 0"};
        return value->get<double>();
    }
    std::vector<std::string> texts(const char* key) const {
        const Json* value = find(key);
        if (!value) return {};
        if (!value->is_array()) return {text(key)};
        std::vector<std::string> all;
        for (const Json& item : *value) {
            if (!item.is_string())
                throw Failure{where_ + ": '" + key + "' holds " + item.dump() + ", not a text"};
            all.push_back(item.get<std::string>());
        }
        return all;
    }

private:
    std::string where_;
    std::vector<const Json*> objects_;
};

const Json* part(const Json& object, const char* key) {
    return object.contains(key) ? &object.at(key) : nullptr;
}

/// frame and time exclude each other: the nearer one holds.
void set_place(const std::string& where, const std::vector<const Json*>& objects, MomentArguments& moment) {
    const Said said(where, objects);
    moment.clip = said.text("clip");
    for (const Json* object : objects) {
        const Said here(where, {object});
        const std::optional<double> frame = here.number("frame");
        moment.time = here.number("time");
        if (frame && (*frame != std::floor(*frame) || *frame > 1e9))
            throw Failure{where + ": 'frame' is not a whole number"};
        if (frame) moment.frame = static_cast<int32_t>(*frame);
        if (moment.frame || moment.time) return;
    }
}

MomentArguments carried(const Said& said) {
    MomentArguments moment;
    moment.loads = said.texts("load");
    moment.pulls = said.texts("pull");
    moment.stance = said.texts("stance");
    moment.holds = said.texts("hold");
    moment.shares = said.texts("share");
    moment.gravity = said.text("gravity");
    return moment;
}

/// Why two characters are not one figure; empty where they are.
std::string difference(const Character& a, const Character& b) {
    const aplomb_figure_info one = a.info(), other = b.info();
    if (one.joint_count != other.joint_count)
        return "it has " + std::to_string(other.joint_count) + " joints, not " +
               std::to_string(one.joint_count);
    for (int32_t j = 0; j < one.joint_count; ++j) {
        if (a.joint_name(j) != b.joint_name(j))
            return "joint " + std::to_string(j) + " is '" + b.joint_name(j) + "', not '" + a.joint_name(j) +
                   "'";
        if (a.joint(j).parent != b.joint(j).parent)
            return "joint '" + a.joint_name(j) + "' hangs on another one";
    }
    constexpr double same = 0.01;
    const auto apart = [](double x, double y) { return std::fabs(x - y) > same * x; };
    if (apart(one.stature * one.metres_per_unit, other.stature * other.metres_per_unit))
        return "it is not as tall";
    return apart(one.total_mass, other.total_mass) ? "it does not weigh the same" : "";
}

} // namespace

const Character& PairList::open(const std::string& where, const std::string& path) {
    auto& opened = opened_[path];
    if (opened) return *opened;
    FileArguments arguments = arguments_;
    arguments.file = path;
    opened = std::make_unique<Character>(arguments);
    if (!first_) first_ = opened.get();
    const std::string other = difference(*first_, *opened);
    if (!other.empty())
        throw Failure{where + ": " + path + " is another figure than " + first_->path() + ": " + other};
    return *opened;
}

bool PairList::names(const std::string& path) const {
    std::error_code missing;
    return std::any_of(opened_.begin(), opened_.end(), [&](const auto& entry) {
        return std::filesystem::equivalent(entry.first, path, missing);
    });
}

PairList::PairList(const FileArguments& arguments) : arguments_(arguments) {
    const Json list = read_list(arguments.file);
    const std::filesystem::path folder = std::filesystem::path(arguments.file).parent_path();
    for (const char* side : {"keyed", "by_hand"})
        if (const Json* said = part(list, side))
            check_keys(arguments.file + ": '" + side + "'", *said, place_keys);
    for (const Json& pair : list.at("pairs")) {
        const std::string where = arguments.file + ", pair " + std::to_string(pairs_.size());
        check_keys(where, pair, joined(joined({"keyed", "by_hand"}, place_keys), carried_keys));
        auto made = std::make_unique<ListedPair>();
        MomentArguments moment = carried(Said(where, {&pair, &list}));
        try {
            for (const char* side : {"keyed", "by_hand"}) {
                const std::string here = where + ", " + side;
                if (const Json* said = part(pair, side)) check_keys(here, *said, place_keys);
                const std::vector<const Json*> objects = {part(pair, side), &pair, part(list, side), &list};
                const std::string file = Said(here, objects).text("file");
                if (file.empty()) throw Failure{here + ": no 'file' is named"};
                const Character& character = open(here, (folder / file).string());
                moment.frame = {}, moment.time = {};
                set_place(here, objects, moment);
                const bool keyed = side == std::string("keyed");
                (keyed ? made->keyed : made->by_hand) = choose_moment(character, moment);
                if (keyed) made->situation = make_situation(character, made->keyed, moment);
            }
        } catch (const Failure& failure) {
            if (failure.sentence.starts_with(where)) throw;
            throw Failure{where + ": " + failure.sentence};
        }
        pairs_.push_back(std::move(made));
    }
}

} // namespace aplomb::cli
