// SPDX-License-Identifier: MIT
#include "cli/clip_ranges.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <optional>
#include <sstream>

#include "cli/failure.h"
#include "cli/numbers.h"
#include "cli/stance.h"

namespace aplomb::cli {
namespace {

constexpr const char* footing_words[] = {"flat", "ball", "heel"}; // in the order of aplomb_footing
constexpr const char* written_as = "it is written as LIMB=WORD:FIRST..LAST, such as left-foot=flat:12..40";

std::optional<Span> parse_span(const std::string& text) {
    const std::size_t dots = text.find("..");
    if (dots == std::string::npos) return std::nullopt;
    const auto number = [](const std::string& digits) {
        const auto value = parse_number(digits);
        return value && *value >= 0 && *value == std::floor(*value) && *value < 1e9 ? static_cast<int>(*value)
                                                                                    : -1;
    };
    const Span span{number(text.substr(0, dots)), number(text.substr(dots + 2))};
    return span.first < 0 || span.last < 0 ? std::nullopt : std::optional(span);
}

std::string clip_text(int count) {
    return "; the clip has frames 0 to " + std::to_string(count - 1);
}

/// A range as it was given, and where.
struct Named {
    std::string where, text;
};

std::vector<Named> lines_of(const std::string& path) {
    if (path.empty()) return {};
    std::ifstream file(path);
    if (!file) throw Failure{"--ranges " + path + ": cannot be read"};
    std::vector<Named> lines;
    std::string line, word;
    for (int number = 1; std::getline(file, line); ++number) {
        std::istringstream words(line);
        if (words >> word && word[0] != '#')
            lines.push_back({path + ", line " + std::to_string(number) + ": " + printable(word), word});
    }
    return lines;
}

class Parser {
public:
    Parser(const Character& character, int count) : character_(character), count_(count) {
        given_.limbs.resize(static_cast<size_t>(character.limb_count()));
    }

    void add(const Named& given) {
        const size_t equals = given.text.find('=');
        if (equals == std::string::npos || equals == 0) throw Failure{given.where + ": " + written_as};
        const int32_t limb = find_limb(character_, given.where, given.text.substr(0, equals));
        const size_t colon = given.text.find(':', equals);
        const std::string word = given.text.substr(equals + 1, colon - equals - 1);
        Span span{0, count_ - 1};
        if (colon != std::string::npos) {
            const auto frames = parse_span(given.text.substr(colon + 1));
            if (!frames) throw Failure{given.where + ": " + written_as};
            span = *frames;
            if (span.first > span.last || span.last >= count_)
                throw Failure{given.where + ": no such frames" + clip_text(count_)};
        }
        given_.limbs[static_cast<size_t>(limb)] = true;
        const int32_t footing = footing_of(given, limb, word);
        if (footing < 0) return;
        for (const aplomb_stance_range& other : given_.ranges)
            if (other.limb == limb && other.first <= span.last && span.first <= other.last)
                throw Failure{given.where + ": overlaps " + range_text(character_, other, 0)};
        given_.ranges.push_back({limb, span.first, span.last, footing, 0});
    }
    /// The figure description's, of limbs that were not spoken of.
    void add_described(int32_t clip) {
        std::vector<aplomb_stance_range> ranges(
            static_cast<size_t>(aplomb_character_stances(character_.handle(), clip, nullptr, 0)));
        aplomb_character_stances(character_.handle(), clip, ranges.data(),
                                 static_cast<int32_t>(ranges.size()));
        const std::vector<bool> spoken_of = given_.limbs;
        for (const aplomb_stance_range& range : ranges) {
            if (spoken_of[static_cast<size_t>(range.limb)]) continue;
            given_.limbs[static_cast<size_t>(range.limb)] = true;
            given_.ranges.push_back(range);
        }
    }
    GivenStances finish() { return std::move(given_); }

private:
    /// -1: it does not bear.
    int32_t footing_of(const Named& given, int32_t limb, const std::string& word) const {
        if (word == "free") return -1;
        if (word == "bearing") return APLOMB_FLAT;
        for (int32_t footing = 0; footing < 3; ++footing) {
            if (word != footing_words[footing]) continue;
            if (character_.limb(limb).sole_length == 0)
                throw Failure{given.where + ": '" + word + "' is for feet; use bearing"};
            return footing;
        }
        if (word == "held")
            throw Failure{given.where + ": held is for one frame and does not go with --frames"};
        throw Failure{given.where + ": '" + printable(word) + "' is not flat, ball, heel, bearing or free"};
    }

    const Character& character_;
    const int count_;
    GivenStances given_;
};

/// A thing is in one place at a time.
bool is_taken(const std::vector<aplomb_carry>& carries, int32_t which, const Span& frames) {
    return std::any_of(carries.begin(), carries.end(), [&](const aplomb_carry& c) {
        return c.which == which && c.first <= frames.last && frames.first <= c.last;
    });
}

} // namespace

Span parse_frames(const std::string& where, const std::string& text, int count, bool over_seam) {
    if (text == "all") return {0, count - 1};
    const auto span = parse_span(text);
    if (!span) throw Failure{where + ": it is written as all, or as 12..96" + clip_text(count)};
    if ((span->first > span->last && !over_seam) || std::max(span->first, span->last) >= count)
        throw Failure{where + ": no such frames" + clip_text(count)};
    return *span;
}

bool GivenStances::any() const {
    return std::find(limbs.begin(), limbs.end(), true) != limbs.end();
}

GivenStances parse_stances(const Character& character, const MomentArguments& arguments, int count) {
    Parser parser(character, count);
    for (const std::string& text : split_all(arguments.stance))
        parser.add({"--stance " + text, text});
    for (const Named& line : lines_of(arguments.ranges))
        parser.add(line);
    parser.add_described(choose_moment(character, arguments).clip);
    return parser.finish();
}

std::vector<aplomb_stance_range> with_given(const std::vector<aplomb_stance_range>& found,
                                            const GivenStances& given, const Span& span) {
    std::vector<aplomb_stance_range> ranges;
    for (const aplomb_stance_range& range : found)
        if (!given.limbs[static_cast<size_t>(range.limb)]) ranges.push_back(range);
    for (aplomb_stance_range range : given.ranges) {
        range.first = std::max(range.first, span.first) - span.first;
        range.last = std::min(range.last, span.last) - span.first;
        if (range.first <= range.last) ranges.push_back(range);
    }
    return ranges;
}

const char* footing_word(int32_t footing) {
    return footing_words[footing];
}

std::string range_text(const Character& character, const aplomb_stance_range& range, int first_number) {
    const bool foot = character.limb(range.limb).sole_length > 0;
    return limb_word(character, range.limb) + "=" + (foot ? footing_word(range.footing) : "bearing") + ":" +
           std::to_string(first_number + range.first) + ".." + std::to_string(first_number + range.last);
}

Carries make_carries(const std::vector<Load>& loads, int count, const Span& span) {
    Carries carries;
    std::vector<aplomb_carry> whole; // by the clip's own numbers
    int32_t things = 0;
    for (const Load& load : loads) {
        const Span frames = load.frames.empty()
                                ? Span{0, count - 1}
                                : parse_frames("--load " + load.text + ": frames", load.frames, count);
        int32_t which = -1;
        for (const aplomb_carry& other : whole)
            if (other.last + 1 == frames.first && other.load.mass == load.value.mass &&
                !is_taken(whole, other.which, frames))
                which = other.which;
        if (which < 0) which = things++;
        whole.push_back({load.value, which, frames.first, frames.last, 0, load.pick_up, load.put_down});
        aplomb_carry part = whole.back();
        part.first = std::max(part.first, span.first) - span.first;
        part.last = std::min(part.last, span.last) - span.first;
        if (part.first > part.last) continue;
        carries.value.push_back(part);
        carries.places.push_back(load.place);
        carries.loads.push_back(static_cast<std::size_t>(&load - loads.data()));
    }
    return carries;
}

} // namespace aplomb::cli
