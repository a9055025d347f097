// SPDX-License-Identifier: MIT
// aplomb fit: a studio's manner from poses that its animators corrected.
#include "aplomb/fit.h"

#include <unistd.h>

#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/pair_list.h"
#include "cli/read_clip.h"
#include "cli/results.h"
#include "cli/text.h"
#include "json/json.h"

namespace aplomb::cli {
namespace {

struct DestroyManner {
    void operator()(aplomb_manner* manner) const { aplomb_manner_destroy(manner); }
};
using Manner = std::unique_ptr<aplomb_manner, DestroyManner>;

Manner learn(const PairList& list, const Options& options) {
    std::vector<aplomb_pair> pairs;
    for (const auto& pair : list.pairs())
        pairs.push_back(
            {&pair->situation.value, pair->by_hand.translations.data(), pair->by_hand.rotations.data()});
    aplomb_manner_options how;
    aplomb_manner_options_init(&how, sizeof how);
    how.options = &options.value;
    if (isatty(STDERR_FILENO)) how.progress = show_progress;
    aplomb_manner* learnt = nullptr;
    aplomb_error error{};
    check(aplomb_manner_learn(list.character().figure(), pairs.data(), static_cast<int32_t>(pairs.size()),
                              &how, &learnt, &error),
          error);
    return Manner(learnt);
}

std::string explained(const aplomb_manner* manner) {
    std::string text(static_cast<size_t>(aplomb_manner_explain(manner, nullptr, 0)) + 1, '\0');
    aplomb_manner_explain(manner, text.data(), text.size());
    text.pop_back();
    return text;
}

aplomb_manner_info described(const aplomb_manner* manner) {
    aplomb_manner_info info;
    aplomb_manner_info_init(&info, sizeof info);
    aplomb_error error{};
    check(aplomb_manner_describe(manner, &info, &error), error);
    return info;
}

Json json_of_numbers(const aplomb_manner* manner) {
    Json all = Json::object();
    int32_t count = 0;
    const aplomb_manner_number* numbers = aplomb_manner_numbers(manner, &count);
    for (int32_t i = 0; i < count; ++i) {
        const aplomb_manner_number& n = numbers[i];
        aplomb_option_info info;
        aplomb_option_info_init(&info, sizeof info);
        aplomb_option_describe(n.option, &info, nullptr);
        all[info.name] = Json{{"value", n.value},
                              {"usual", n.usual},
                              {"told", n.told != 0},
                              {"standard_error_factor", n.factor},
                              {"at_bound", n.bounded != 0}};
    }
    return all;
}

Json json_of_pairs(const PairList& list, const aplomb_manner* manner) {
    Json all = Json::array();
    int32_t count = 0;
    const aplomb_manner_pair* pairs = aplomb_manner_pairs(manner, &count);
    for (int32_t i = 0; i < count; ++i) {
        const aplomb_manner_pair& p = pairs[i];
        const ListedPair& listed = *list.pairs()[static_cast<size_t>(i)];
        all.push_back(Json{{"keyed", listed.keyed.place},
                           {"by_hand", listed.by_hand.place},
                           {"fits", p.fits != 0},
                           {"worst", aplomb_manner_part_text(static_cast<aplomb_manner_part>(p.worst))},
                           {"weight", p.weight},
                           {"error", p.error},
                           {"usual_error", p.usual_error},
                           {"left_out_error", p.left_out_error}});
    }
    return all;
}

std::string json_text(const PairList& list, const aplomb_manner* manner, const std::vector<Written>& files) {
    const aplomb_manner_info info = described(manner);
    Json json = Json::object();
    json["numbers"] = json_of_numbers(manner);
    json["pairs"] = json_of_pairs(list, manner);
    json["error"] = info.error;
    json["usual_error"] = info.usual_error;
    json["left_out_error"] = info.left_out_error;
    for (const Written& file : files)
        json["written"][file.what] = file.path;
    return json.dump(2) + "\n";
}

void write_manner(const std::string& path, const aplomb_manner* manner, const Options& options) {
    aplomb_options learnt = options.value;
    learnt.locked = nullptr;
    aplomb_error error{};
    check(aplomb_manner_apply(manner, &learnt, &error), error);
    check(aplomb_manner_write(path.c_str(), &learnt, explained(manner).c_str(), &error), error);
}

} // namespace

int run_fit(const Arguments& arguments) {
    check_targets(arguments);
    const std::string& out = arguments.balance.out;
    const PairList list(arguments.file);
    if (list.pairs().empty()) throw Failure{arguments.file.file + ": 'pairs' is empty"};
    if (!out.empty() && list.names(out))
        throw Failure{out + ": that is one of the characters; give another name"};
    const Options options = make_options(list.character(), arguments);
    const Manner manner = learn(list, options);
    if (!out.empty()) write_manner(out, manner.get(), options);
    print(arguments.file.json ? json_text(list, manner.get(), written(arguments))
                              : explained(manner.get()) + wrote_text(arguments));
    return described(manner.get()).told_count > 0 ? exit_in_balance : exit_out_of_balance;
}

} // namespace aplomb::cli
