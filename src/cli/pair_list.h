// SPDX-License-Identifier: MIT
// A list of pairs, JSON: keyed moments, and the same as an animator corrected them.
//
//   {
//     "aplomb_pairs": 1,
//     "keyed": { "file": "keys.glb" }, "by_hand": { "file": "corrected.glb" },
//     "pairs": [
//       { "clip": "honey box", "load": "22kg,hands" },
//       { "keyed": { "clip": "lift", "frame": 3 }, "by_hand": { "clip": "lift by hand", "time": 0.5 },
//         "load": ["5kg,left-hand", "5kg,right-hand"] }
//     ]
//   }
//
// file, clip, frame and time of each of the two poses: as its own part of the pair says, else the pair, else that part of
// the list, else the list. load, pull, stance, hold, share and gravity as the options of these names take them, of a pair
// or, where it says nothing, of the list. Files are named from the list's folder.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "cli/situation.h"

namespace aplomb::cli {

/// Both poses of a pair, opened. It must stay where it is: the situation points into the moment.
struct ListedPair {
    Moment keyed, by_hand;
    Situation situation;
};

class PairList {
public:
    /// Opens the files of the list, each once, as `arguments` says; `arguments.file` is the list.
    explicit PairList(const FileArguments& arguments);

    const std::vector<std::unique_ptr<ListedPair>>& pairs() const { return pairs_; }
    /// The first file's; all have the same figure.
    const Character& character() const { return *first_; }
    bool names(const std::string& path) const;

private:
    const Character& open(const std::string& where, const std::string& path);

    FileArguments arguments_;
    std::map<std::string, std::unique_ptr<Character>> opened_; // by path
    const Character* first_ = nullptr;
    std::vector<std::unique_ptr<ListedPair>> pairs_;
};

} // namespace aplomb::cli
