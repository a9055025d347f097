// SPDX-License-Identifier: MIT
#include "fit/drawing/search.h"

#include <algorithm>
#include <cmath>

#include "base/trig.h"

namespace aplomb::drawing {
namespace {

using P = Point<double>;

double dot(const P& a, const P& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
P times(const P& a, double s) {
    return {a.x * s, a.y * s, a.z * s};
}
P unit(const P& a) {
    return times(a, 1 / std::sqrt(dot(a, a)));
}
P back(const Turn<double>& turn, const P& p) {
    return {dot(turn.x, p), dot(turn.y, p), dot(turn.z, p)};
}

constexpr int limb_count = 4;
struct LimbDots {
    int from, middle, end; // dots
    int parameter, first;  // first of four; joint
    bool arm;
};
LimbDots limb_dots(int limb) {
    const int side = limb % 2;
    if (limb < 2)
        return {APLOMB_DOT_LEFT_SHOULDER + side, APLOMB_DOT_LEFT_ELBOW + side,
                APLOMB_DOT_LEFT_WRIST + side,    arm_of(side),
                arm_joint(side, upper_arm),      true};
    return {APLOMB_DOT_LEFT_HIP + side,   APLOMB_DOT_LEFT_KNEE + side,
            APLOMB_DOT_LEFT_ANKLE + side, leg_of(side),
            leg_joint(side, thigh),       false};
}

struct LimbOption {
    double values[4];
    double cost = 0;
};

/// The turns of a limb whose two spans point this way, in the frame of what carries it.
LimbOption turns_of(const Task& task, const LimbDots& limb, const P& upper, const P& lower) {
    LimbOption option;
    const double level = std::sqrt(upper.x * upper.x + upper.z * upper.z);
    const double swing = std::atan2(level, -upper.y), per = level > 1e-9 ? swing / level : 0;
    option.values[0] = -upper.z * per, option.values[2] = upper.x * per;
    const Turn<double> turn = turn_of(option.values[0], 0.0, option.values[2]);
    const P l = back(turn, lower);
    const double side = std::sqrt(l.x * l.x + l.z * l.z), bend = std::atan2(side, -l.y);
    option.values[1] = limb.arm ? std::atan2(l.x, l.z) : std::atan2(-l.x, -l.z);
    option.values[3] = limb.arm ? -bend : bend;
    const double bent = std::min(1.0, side / .25); // the plane of a nearly straight limb is not known
    option.values[1] *= bent;
    for (int k = 0; k < 4; ++k) {
        const auto at = static_cast<std::size_t>(limb.parameter + k);
        const double value = option.values[k], low = task.ranges.lowest[at], high = task.ranges.highest[at];
        const double inside = std::clamp(value, low, high);
        const double usual = (inside - task.ranges.usual[at]) / task.ranges.sigma[at];
        const double excess = (value - inside) / (10 * degree) * (k == 1 ? bent : 1);
        option.cost += .5 * (usual * usual + excess * excess);
        option.values[k] = inside;
    }
    return option;
}

struct Trunk {
    Found found;
    double heading;
};

class Search {
public:
    explicit Search(const Task& task) : task_(task) {}

    std::vector<Found> run(int keep) const {
        std::vector<Found> found = first({12, {25, -10}, 25, 6, 40});
        const Found& best = *std::min_element(found.begin(), found.end(), cheaper);
        if (best.cost > hopeless) return {best};
        for (const Found& near : distinct(task_, found, answer_gap, turned_over, .05))
            add_turned_over(near, found);
        return settle(found, keep);
    }
    double glance() const {
        const std::vector<Found> found = first({6, {10}, 12, 2, 6});
        return std::min_element(found.begin(), found.end(), cheaper)->cost;
    }

private:
    struct Effort {
        int headings;
        std::vector<double> leans;  // degrees; from each heading
        int iterations;             // of a trunk
        std::size_t trunks, starts; // at most
    };
    static constexpr int first_iterations = 14;
    static constexpr std::size_t turned_over = 3;
    static constexpr double trunk_gap = 12, answer_gap = 8; // of the cost
    static constexpr double hopeless = 500; // of the cost: more iterations find no body either
    struct Start {
        Values values;
        double cost;
    };
    static bool cheaper(const Found& a, const Found& b) { return a.cost < b.cost; }

    std::vector<Found> first(const Effort& effort) const {
        std::vector<Start> starts;
        for (const Trunk& trunk : trunks(effort))
            add_starts(trunk, starts);
        std::stable_sort(starts.begin(), starts.end(),
                         [](const Start& a, const Start& b) { return a.cost < b.cost; });
        if (starts.size() > effort.starts) starts.resize(effort.starts);
        std::vector<Found> found;
        for (const Start& start : starts)
            found.push_back(refine(task_, start.values, first_iterations));
        return found;
    }

    static Task trunk_task(const Task& task) {
        Task trunk = task;
        for (std::size_t k = 0; k < APLOMB_DOT_COUNT; ++k)
            trunk.seen[k] = trunk.seen[k] && (k <= APLOMB_DOT_RIGHT_SHOULDER || k == APLOMB_DOT_LEFT_HIP ||
                                              k == APLOMB_DOT_RIGHT_HIP);
        trunk.flat = trunk.standing = {0, 0};
        trunk.lower_tells = false;
        trunk.height_given = false;
        trunk.ranges.sigma[scale_log] = .08; // the guess of the scale came from the limbs
        return trunk;
    }

    std::vector<Trunk> trunks(const Effort& effort) const {
        const Task task = trunk_task(task_);
        std::vector<Found> all;
        for (int k = 0; k < effort.headings; ++k)
            for (const double lean : effort.leans) {
                Values start = task.ranges.usual;
                start[heading] = (k * 360.0 / effort.headings - 180) * degree;
                start[hips_bend] = lean * degree;
                all.push_back(refine(task, start, effort.iterations));
            }
        std::vector<Trunk> kept;
        for (const Found& found : distinct(task, all, trunk_gap, effort.trunks, .05))
            kept.push_back({found, 0});
        return kept;
    }

    /// The options for the spans of one limb, each forward and back.
    std::vector<LimbOption> options(const Body<double>& body, const View<double>& view, int limb) const {
        const LimbDots at = limb_dots(limb);
        std::vector<LimbOption> found;
        if (!task_.has(at.middle) || !task_.has(at.end)) {
            LimbOption usual;
            for (int k = 0; k < 4; ++k)
                usual.values[k] = task_.ranges.usual[static_cast<std::size_t>(at.parameter + k)];
            return {usual};
        }
        const auto joint = static_cast<std::size_t>(at.first);
        const P from = seen_from(view, body.place[joint]);
        const double upper_length = length_of(body.skeleton.offset[joint + 1]),
                     lower_length = length_of(body.skeleton.offset[joint + 2]);
        const Spot middle = flat_place(view, task_.at(at.middle)), end = flat_place(view, task_.at(at.end));
        const Turn<double>& carrier = body.turn[static_cast<std::size_t>(parent_of(at.first))];
        for (const double a : {1.0, -1.0})
            for (const double b : {1.0, -1.0}) {
                const P upper =
                    to_world(view, direction(middle.x - from.x, middle.y - from.y, upper_length, a));
                const P lower =
                    to_world(view, direction(end.x - middle.x, end.y - middle.y, lower_length, b));
                found.push_back(turns_of(task_, at, back(carrier, upper), back(carrier, lower)));
            }
        return found;
    }
    static double length_of(const P& p) { return std::sqrt(dot(p, p)); }
    static P direction(double x, double y, double length, double sign) {
        const double depth = std::sqrt(std::max(0.0, length * length - x * x - y * y));
        return unit({x, y, sign * depth});
    }
    static P seen_from(const View<double>& view, const P& p) {
        return {p.x, view.cosine * p.y - view.sine * p.z, view.sine * p.y + view.cosine * p.z};
    }
    static P to_world(const View<double>& view, const P& p) {
        return {p.x, view.cosine * p.y + view.sine * p.z, view.cosine * p.z - view.sine * p.y};
    }
    /// Metres from the hips, y up, as if seen from afar.
    static Spot flat_place(const View<double>& view, const Spot& s) {
        return {(s.x - view.hips_x) / view.scale, (view.hips_y - s.y) / view.scale};
    }

    void add_starts(const Trunk& trunk, std::vector<Start>& starts) const {
        const double* p = trunk.found.values.data();
        const Body<double> body(task_.known, p);
        const View<double> view = task_.view(p);
        std::vector<LimbOption> ways[limb_count];
        for (int limb = 0; limb < limb_count; ++limb)
            ways[limb] = options(body, view, limb);
        std::array<std::size_t, limb_count> pick{};
        for (;;) {
            Start start{trunk.found.values, trunk.found.cost};
            for (int limb = 0; limb < limb_count; ++limb) {
                const LimbOption& way = ways[limb][pick[static_cast<std::size_t>(limb)]];
                start.cost += way.cost;
                for (int k = 0; k < 4; ++k)
                    start.values[static_cast<std::size_t>(limb_dots(limb).parameter + k)] = way.values[k];
            }
            starts.push_back(start);
            std::size_t limb = 0;
            while (limb < limb_count && ++pick[limb] == ways[limb].size())
                pick[limb++] = 0;
            if (limb == limb_count) return;
        }
    }

    /// Turns over each limb of an answer, one at a time: there were too many starts to try all combinations of limbs.
    void add_turned_over(const Found& best, std::vector<Found>& found) const {
        const Body<double> body(task_.known, best.values.data());
        const View<double> view = task_.view(best.values.data());
        for (int limb = 0; limb < limb_count; ++limb)
            for (const LimbOption& way : options(body, view, limb)) {
                Values start = best.values;
                double off = 0;
                for (std::size_t k = 0; k < 4; ++k) {
                    double& value = start[static_cast<std::size_t>(limb_dots(limb).parameter) + k];
                    off = std::max(off, std::fabs(way.values[k] - value));
                    value = way.values[k];
                }
                if (off > 15 * degree) found.push_back(refine(task_, start, first_iterations));
            }
    }

    /// The answers sorted by cost, without those that are near a better one.
    static std::vector<Found> distinct(const Task& task, std::vector<Found> all, double gap, std::size_t most,
                                       double near) {
        std::stable_sort(all.begin(), all.end(), cheaper);
        std::vector<Found> kept;
        std::vector<Body<double>> bodies;
        for (const Found& found : all) {
            if (kept.size() == most || found.cost > all.front().cost + gap) break;
            const Body<double> body(task.known, found.values.data());
            const bool known = std::any_of(bodies.begin(), bodies.end(), [&](const Body<double>& other) {
                double furthest = 0;
                for (std::size_t k = 0; k < APLOMB_DOT_COUNT; ++k)
                    if (task.seen[k]) furthest = std::max(furthest, length_of(body.dot[k] - other.dot[k]));
                return furthest < near * task.known.stature;
            });
            if (known) continue;
            kept.push_back(found), bodies.push_back(body);
        }
        return kept;
    }

    std::vector<Found> settle(const std::vector<Found>& first, int keep) const {
        std::vector<Found> found;
        for (const Found& f : distinct(task_, first, answer_gap, static_cast<std::size_t>(2 * keep), .05))
            found.push_back(drawing::settle(task_, f.values));
        return distinct(task_, found, answer_gap, static_cast<std::size_t>(keep), .05);
    }

    const Task& task_;
};

/// Pixels per metre, going by the spans that are seen: none is seen longer than it is, and some are seen nearly whole.
double guess_scale(const Task& task, const Skeleton<double>& skeleton) {
    std::vector<double> scales;
    const auto span = [&](int a, int b, double length) {
        if (!task.has(a) || !task.has(b)) return;
        const Spot &p = task.at(a), &q = task.at(b);
        scales.push_back(std::sqrt((p.x - q.x) * (p.x - q.x) + (p.y - q.y) * (p.y - q.y)) / length);
    };
    const auto length = [&](int joint) {
        return std::fabs(skeleton.offset[static_cast<std::size_t>(joint)].y);
    };
    for (int side = 0; side < 2; ++side) {
        span(APLOMB_DOT_LEFT_SHOULDER + side, APLOMB_DOT_LEFT_ELBOW + side,
             length(arm_joint(side, lower_arm)));
        span(APLOMB_DOT_LEFT_ELBOW + side, APLOMB_DOT_LEFT_WRIST + side, length(arm_joint(side, hand)));
        span(APLOMB_DOT_LEFT_HIP + side, APLOMB_DOT_LEFT_KNEE + side, length(leg_joint(side, shank)));
        span(APLOMB_DOT_LEFT_KNEE + side, APLOMB_DOT_LEFT_ANKLE + side, length(leg_joint(side, foot)));
        span(APLOMB_DOT_NECK, APLOMB_DOT_LEFT_HIP + side,
             length(spine_1) + length(spine_2) + length(spine_3) + length(neck));
    }
    if (scales.empty()) return 0;
    std::sort(scales.begin(), scales.end());
    return scales[(scales.size() - 1) * 4 / 5];
}

} // namespace

void guess(Task& task) {
    const std::array<double, length_count> ones = {1, 1, 1, 1, 1, 1, 1, 1, 1};
    const Skeleton<double> skeleton(task.known.proportions, task.known.stature, ones.data());
    task.scale = guess_scale(task, skeleton);
    // The hips lie between their dots, or without those in the middle of all dots.
    Spot sum;
    double count = 0;
    const auto gather = [&](bool all) {
        for (int k = 0; k < APLOMB_DOT_COUNT; ++k)
            if (task.has(k) && (all || k == APLOMB_DOT_LEFT_HIP || k == APLOMB_DOT_RIGHT_HIP))
                sum.x += task.at(k).x, sum.y += task.at(k).y, count += 1;
    };
    gather(false);
    if (count < 1) gather(true);
    task.hips = {sum.x / count, sum.y / count};
    // Both feet stand while their ankles are about level, and also one on its ball whose heel is rising; a foot lies flat
    // where its ankle is hardly higher than the other. A toe that is seen tells more than what is usual.
    constexpr double stands_from = .05, stands_to = .10, flat_to = .03, toe_tells = .3; // of the stature
    double lower = -1e30;
    for (const int dot : {APLOMB_DOT_LEFT_ANKLE, APLOMB_DOT_RIGHT_ANKLE})
        if (task.has(dot) && task.at(dot).y > lower)
            lower = task.at(dot).y, task.lower = dot - APLOMB_DOT_LEFT_ANKLE;
    task.lower_tells =
        task.has(APLOMB_DOT_LEFT_ANKLE) && task.has(APLOMB_DOT_RIGHT_ANKLE) && !task.tilt_given;
    for (int side = 0; side < 2; ++side) {
        const int dot = APLOMB_DOT_LEFT_ANKLE + side;
        const double up = task.has(dot) ? (lower - task.at(dot).y) / task.pixels() : stands_to;
        const auto k = static_cast<std::size_t>(side);
        task.standing[k] = std::clamp((stands_to - up) / (stands_to - stands_from), 0.0, 1.0);
        task.flat[k] = std::max(0.0, 1 - up / flat_to);
        if (task.has(APLOMB_DOT_LEFT_TOE + side)) task.flat[k] *= toe_tells;
    }
}

std::vector<Found> search(const Task& task, int keep) {
    return Search(task).run(keep);
}

double glance(const Task& task) {
    return Search(task).glance();
}

double depth_of(const Task& task, const Values& values, int limb, int span) {
    const Body<double> body(task.known, values.data());
    const View<double> view = task.view(values.data());
    const LimbDots at = limb_dots(limb);
    const auto joint = static_cast<std::size_t>(at.first + span);
    const P way = unit(body.place[joint + 1] - body.place[joint]);
    return view.sine * way.y + view.cosine * way.z;
}

} // namespace aplomb::drawing
