// SPDX-License-Identifier: MIT
#include "report/marks.h"

#include <algorithm>

#include "report/words.h"

namespace aplomb::report {
namespace {

struct FootLabel {
    Point at;
    std::string words;
};

std::vector<FootLabel> foot_labels(const Drawing& drawing, const Half& half, const Placement& placement) {
    std::vector<FootLabel> labels;
    for (size_t i = 0; i < drawing.contacts.size(); ++i) {
        const int32_t limb = drawing.contacts[i].limb;
        if (limb < 0 || static_cast<size_t>(limb) >= drawing.body.limbs.size()) continue;
        const BodyLimb& l = drawing.body.limbs[static_cast<size_t>(limb)];
        if (l.kind == APLOMB_ARM) continue;
        const int joint = l.toe >= 0 ? l.toe : l.end;
        labels.push_back({placement.at(half.posture[static_cast<size_t>(joint)].position),
                          contact_words(drawing, half, i)});
    }
    return labels;
}

/// Moves labels apart along one axis, keeping their order and, as far as it goes, their middle.
template<class Axis>
void spread(std::vector<FootLabel>& labels, Axis axis, double gap) {
    std::sort(labels.begin(), labels.end(),
              [&](const FootLabel& a, const FootLabel& b) { return a.at.*axis < b.at.*axis; });
    for (int pass = 0; pass < 20; ++pass)
        for (size_t i = 1; i < labels.size(); ++i) {
            const double missing = gap - (labels[i].at.*axis - labels[i - 1].at.*axis);
            if (missing > 0) labels[i - 1].at.*axis -= 0.5 * missing, labels[i].at.*axis += 0.5 * missing;
        }
}

/// Moves labels, in order from the left, into a view: a body that leans far aside has its feet at the view's edge. Where
/// there is not room enough, the last ones reach out of it.
void keep_between(std::vector<FootLabel>& labels, double left, double right, double size) {
    const double space = 0.6 * size;
    const auto half_width = [size](const FootLabel& label) { return text_width(label.words, size) / 2; };
    for (auto label = labels.rbegin(); label != labels.rend(); ++label) {
        label->at.x = std::min(label->at.x, right - half_width(*label));
        right = label->at.x - half_width(*label) - space;
    }
    for (FootLabel& label : labels) {
        label.at.x = std::max(label.at.x, left + half_width(label));
        left = label.at.x + half_width(label) + space;
    }
}

} // namespace

bool many_feet(const Drawing& drawing) {
    int feet = 0;
    for (const BodyLimb& limb : drawing.body.limbs)
        feet += limb.kind != APLOMB_ARM;
    return feet > 2;
}

void draw_shares_below(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                       const Frame& frame) {
    auto labels = foot_labels(drawing, half, placement);
    spread(labels, &Point::x, 7.4 * drawing.words);
    keep_between(labels, frame.left, frame.right, drawing.words);
    for (const FootLabel& label : labels)
        svg.text({label.at.x, ground_y(drawing, placement) + 20 + drawing.words}, label.words, drawing.words,
                 Anchor::middle);
}

void draw_shares_beside(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                        const Frame& frame) {
    const double middle = placement.at(drawing.body.length_in(half.reading->centre)).x;
    std::vector<FootLabel> sides[2];
    for (const FootLabel& label : foot_labels(drawing, half, placement))
        sides[label.at.x > middle].push_back(label);
    for (int side = 0; side < 2; ++side) {
        const auto feet = sides[side];
        spread(sides[side], &Point::y, 1.3 * drawing.words);
        for (const FootLabel& label : sides[side])
            svg.text({side ? frame.right + 4 : frame.left - 4, label.at.y + 4}, label.words, drawing.words,
                     side ? Anchor::start : Anchor::end);
    }
}

} // namespace aplomb::report
