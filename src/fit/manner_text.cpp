// SPDX-License-Identifier: MIT
#include "fit/manner_text.h"

#include <cstdarg>
#include <cstdio>

namespace aplomb::fit {
namespace {

constexpr double degree = 3.14159265358979323846 / 180;

[[gnu::format(printf, 1, 2)]] std::string printed(const char* format, ...) {
    char line[400];
    va_list values;
    va_start(values, format);
    std::vsnprintf(line, sizeof line, format, values);
    va_end(values);
    return line;
}

aplomb_option_info described(const aplomb_manner_number& number) {
    aplomb_option_info info;
    aplomb_option_info_init(&info, sizeof info);
    aplomb_option_describe(number.option, &info, nullptr);
    return info;
}

/// The value as a person writes it: angles in degrees, lengths in per cent of what they are parts of.
std::string shown(const aplomb_option_info& info, double value) {
    const std::string unit = info.unit;
    if (unit == "radians") return printed("%.1f degrees", value / degree);
    if (unit.empty()) return printed("%.2f", value);
    return printed("%.1f %%", 100 * value);
}

std::string told_text(const Manner& manner) {
    std::string text;
    for (const aplomb_manner_number& n : manner.numbers) {
        if (n.told == 0) continue;
        const aplomb_option_info info = described(n);
        text += printed("  %-16s %14s  %.2f times the usual %s, between %.2f and %.2f%s\n", info.name,
                        shown(info, n.value).c_str(), n.value / n.usual, shown(info, n.usual).c_str(),
                        n.value / n.usual / n.factor, n.value / n.usual * n.factor,
                        n.bounded != 0 ? ", at its bound" : "");
    }
    return text;
}

std::string silent_text(const Manner& manner) {
    std::string names;
    for (const aplomb_manner_number& n : manner.numbers) {
        if (n.told == 0) names += (names.empty() ? "" : ", ") + std::string(described(n).name);
    }
    if (names.empty()) return "";
    return printed("%d pairs say nothing about ", manner.info.pair_count) + names + ": left at the usual.\n";
}

std::string misfit_text(const Manner& manner) {
    std::string text;
    for (size_t p = 0; p < manner.pairs.size(); ++p) {
        const aplomb_manner_pair& pair = manner.pairs[p];
        if (pair.fits == 0)
            text += printed("Pair %zu does not fit, its %s least; it counts %.0f %%.\n", p,
                            part_text(pair.worst), 100 * pair.weight);
    }
    return text;
}

} // namespace

const char* part_text(int part) {
    constexpr const char* texts[] = {"hips", "pelvis", "spine", "head", "knees", "girdles", "arms"};
    return part >= 0 && part < APLOMB_MANNER_PARTS ? texts[part] : "unknown";
}

std::string explained(const Manner& manner) {
    const aplomb_manner_info& info = manner.info;
    std::string text = printed("%d pairs tell %d of %d numbers%s\n", info.pair_count, info.told_count,
                               info.number_count, info.told_count > 0 ? ":" : ".");
    text += told_text(manner) + silent_text(manner) + misfit_text(manner);
    text += printed(
        "The pairs are met within %.2f; each left out in turn within %.2f, %.2f of the usual %.2f (standard "
        "deviations of the defaults). How uneven the hand was in a pair that is left out, no manner tells: "
        "that much stays.\n",
        info.error, info.left_out_error, info.left_out_error / info.usual_error, info.usual_error);
    return text;
}

} // namespace aplomb::fit
