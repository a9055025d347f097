// SPDX-License-Identifier: MIT
#include "fit/drawing/differences.h"

#include <algorithm>

#include "fit/drawing/search.h"

namespace aplomb::drawing {
namespace {

constexpr double clearly = .35; // of a part's length out of the picture's plane: 20 degrees

/// "answer 1", "answers 1, 3 and 4"
std::string numbered(const std::vector<int>& answers) {
    std::string text = answers.size() == 1 ? "answer " : "answers ";
    for (std::size_t k = 0; k < answers.size(); ++k) {
        if (k > 0) text += k + 1 == answers.size() ? " and " : ", ";
        text += std::to_string(answers[k] + 1);
    }
    return text;
}

double trunk_depth(const Task& task, const Values& values) {
    const Body<double> body(task.known, values.data());
    const View<double> view = task.view(values.data());
    const Point<double>& top = body.place[neck];
    const double length = std::sqrt(top.x * top.x + top.y * top.y + top.z * top.z);
    return (view.sine * top.y + view.cosine * top.z) / length;
}

} // namespace

std::vector<std::string> differences(const Task& task, const std::vector<Found>& answers) {
    std::vector<std::string> found;
    const auto compare = [&](const std::string& what, auto depth) {
        std::vector<int> ahead, away, level;
        for (std::size_t k = 0; k < answers.size(); ++k) {
            const double d = depth(answers[k].values);
            (d > clearly ? ahead : d < -clearly ? away : level).push_back(static_cast<int>(k));
        }
        if (ahead.size() == answers.size() || away.size() == answers.size() || level.size() == answers.size())
            return;
        std::string text;
        const auto part = [&text](const char* words, const std::vector<int>& where) {
            if (where.empty()) return;
            text += (text.empty() ? " " : ", ") + std::string(words) + " in " + numbered(where);
        };
        part("points at the viewer", ahead);
        part("lies in the picture's plane", level);
        part("points away", away);
        found.push_back(what + text + ".");
    };
    compare("The trunk", [&](const Values& values) { return trunk_depth(task, values); });
    const char* spans[2][2] = {{"upper arm", "lower arm"}, {"thigh", "shank"}};
    for (int limb = 0; limb < 4; ++limb)
        for (int span = 0; span < 2; ++span)
            compare(std::string("The ") + (limb % 2 == 0 ? "left " : "right ") + spans[limb / 2][span],
                    [&](const Values& values) { return depth_of(task, values, limb, span); });
    return found;
}

} // namespace aplomb::drawing
