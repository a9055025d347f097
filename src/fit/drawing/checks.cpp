// SPDX-License-Identifier: MIT
#include "fit/drawing/checks.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "fit/drawing/search.h"

namespace aplomb::drawing {
namespace {

constexpr int fewest_dots = 6;
constexpr double furthest = 1e6;                  // pixels
constexpr double line_breadth = .04;              // of the dots' extent: thinner is a line
constexpr double mean_bound = 2, worst_bound = 5; // in units of the noise
constexpr double strained = 25;                   // at such a cost it is asked whether dots are swapped
constexpr double far_fetched = 120;               // a cost that no body has: recorded frames cost up to 60
constexpr double swap_gains = .5; // of the cost: if it falls to this part, they are; recorded frames: to .74

struct Range {
    const char* name;
    double value, lowest, highest;
};
aplomb_status check_range(const Range& r, aplomb_error* error) {
    if (r.value >= r.lowest && r.value <= r.highest) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, r.name, -1, "%s is %g; it must be %g to %g.", r.name, r.value,
                r.lowest, r.highest);
}

const char* name_of(std::size_t dot) {
    return aplomb_dot_text(static_cast<aplomb_dot>(dot));
}

aplomb_status check_places(const aplomb_dots& dots, Task& task, aplomb_error* error) {
    int count = 0;
    double x = 0, y = 0;
    for (std::size_t k = 0; k < APLOMB_DOT_COUNT; ++k) {
        const double* p = dots.places[k];
        if (std::isnan(p[0]) && std::isnan(p[1])) continue;
        for (int axis = 0; axis < 2; ++axis)
            if (!(std::fabs(p[axis]) <= furthest))
                return fail(error, APLOMB_BAD_ARGUMENT, "places", static_cast<int>(k),
                            "The dot %s: its %s is %g; it must be a number of at most %g pixels.", name_of(k),
                            axis == 0 ? "x" : "y", p[axis], furthest);
        task.seen[k] = true, task.spot[k] = {p[0], p[1]};
        ++count, x += p[0], y += p[1];
    }
    if (count < fewest_dots)
        return fail(error, APLOMB_BAD_ARGUMENT, "places", -1, "%d dots are given; a figure needs %d or more.",
                    count, fewest_dots);
    bool legs = false;
    for (int k = APLOMB_DOT_LEFT_HIP; k <= APLOMB_DOT_RIGHT_ANKLE; ++k)
        legs = legs || task.has(k);
    if (!legs)
        return fail(error, APLOMB_BAD_ARGUMENT, "places", -1,
                    "No dot of hips, knees and ankles is given: what the figure stands on is not known.");
    // The spread of the dots along their main axis and across it.
    double xx = 0, xy = 0, yy = 0;
    for (std::size_t k = 0; k < APLOMB_DOT_COUNT; ++k) {
        if (!task.seen[k]) continue;
        const double dx = task.spot[k].x - x / count, dy = task.spot[k].y - y / count;
        xx += dx * dx, xy += dx * dy, yy += dy * dy;
    }
    const double mean = .5 * (xx + yy), half = std::sqrt(.25 * (xx - yy) * (xx - yy) + xy * xy);
    if (!(mean - half > line_breadth * line_breadth * (mean + half)))
        return fail(error, APLOMB_BAD_ARGUMENT, "places", -1,
                    "All %d dots are on a line, or at one place: no figure can be laid under them.", count);
    return APLOMB_OK;
}

aplomb_status check_camera(const aplomb_dots& dots, Task& task, aplomb_error* error) {
    task.tilt_given = !std::isnan(dots.tilt);
    aplomb_status status = check_range({"angle", dots.angle, 0, 2.5}, error);
    if (status == APLOMB_OK && task.tilt_given) status = check_range({"tilt", dots.tilt, -1.2, 1.2}, error);
    if (status < 0) return status;
    if (task.tilt_given) task.tilt = dots.tilt;
    task.height_given = !std::isnan(dots.camera_height);
    if (dots.angle > 0) {
        status = check_range({"width", dots.width, 1, furthest}, error);
        if (status == APLOMB_OK) status = check_range({"height", dots.height, 1, furthest}, error);
        if (status < 0) return status;
        task.middle_x = dots.width / 2, task.middle_y = dots.height / 2;
        task.inverse_focal = std::tan(dots.angle / 2) * 2 / dots.height;
    }
    if (!task.height_given) return APLOMB_OK;
    if (!(dots.angle > 0) || !task.tilt_given)
        return fail(error, APLOMB_BAD_ARGUMENT, "camera_height", -1,
                    "camera_height is %g, but says nothing without angle and tilt of the camera.",
                    dots.camera_height);
    task.camera_height = dots.camera_height;
    return check_range({"camera_height", dots.camera_height, -100, 1000}, error);
}

/// Parts of a body whose two sides may have been taken for each other.
struct Pair {
    const char* name;
    std::initializer_list<int> left;
};

void exchange(Task& task, const Pair& pair) {
    for (const int dot : pair.left) {
        const auto k = static_cast<std::size_t>(dot);
        std::swap(task.spot[k], task.spot[k + 1]);
        const bool left = task.seen[k];
        task.seen[k] = task.seen[k + 1], task.seen[k + 1] = left;
    }
}

} // namespace

aplomb_status check_dots(const aplomb_dots& dots, Task& task, aplomb_error* error) {
    aplomb_status status = check_places(dots, task, error);
    if (status < 0) return status;
    if (dots.build < APLOMB_BUILD_ADULT || dots.build > APLOMB_BUILD_TODDLER)
        return fail(error, APLOMB_BAD_ARGUMENT, "build", -1, "build is %d, which is no aplomb_build.",
                    dots.build);
    task.known.proportions = proportions_of(dots.build);
    task.known.stature = dots.stature == 0 ? task.known.proportions.stature : dots.stature;
    task.noise = dots.noise;
    const double keep = dots.keep;
    for (const Range& r : {Range{"stature", task.known.stature, .2, 5}, Range{"mass", dots.mass, 0, 1000},
                           Range{"noise", dots.noise, .001, .1}, Range{"spread", dots.spread, .001, .5},
                           Range{"keep", keep, 1, 32}})
        if ((status = check_range(r, error)) < 0) return status;
    return check_camera(dots, task, error);
}

Misfit misfit_of(const Task& task, const Values& values) {
    const Body<double> body(task.known, values.data());
    const View<double> view = task.view(values.data());
    Misfit misfit;
    double sum = 0, worst = 0, count = 0;
    for (std::size_t k = 0; k < APLOMB_DOT_COUNT; ++k) {
        if (!task.seen[k]) continue;
        double x, y;
        view.project(body.dot[k], x, y);
        const double dx = x - task.spot[k].x, dy = y - task.spot[k].y, square = dx * dx + dy * dy;
        sum += square, count += 1;
        if (square > worst) worst = square, misfit.dot = static_cast<int>(k);
    }
    const double stature = view.scale * task.known.stature;
    misfit.mean = std::sqrt(sum / count) / stature, misfit.worst = std::sqrt(worst) / stature;
    return misfit;
}

aplomb_status check_fit(const Task& task, const Found& best, aplomb_error* error) {
    const Misfit misfit = misfit_of(task, best.values);
    const bool bad = misfit.mean > mean_bound * task.noise || misfit.worst > worst_bound * task.noise;
    if (!bad && best.cost < strained) return APLOMB_OK;
    const Pair pairs[] = {
        {"shoulders", {APLOMB_DOT_LEFT_SHOULDER}},
        {"elbows", {APLOMB_DOT_LEFT_ELBOW}},
        {"wrists", {APLOMB_DOT_LEFT_WRIST}},
        {"hips", {APLOMB_DOT_LEFT_HIP}},
        {"knees", {APLOMB_DOT_LEFT_KNEE}},
        {"ankles", {APLOMB_DOT_LEFT_ANKLE}},
        {"toes", {APLOMB_DOT_LEFT_TOE}},
        {"elbows and wrists", {APLOMB_DOT_LEFT_ELBOW, APLOMB_DOT_LEFT_WRIST}},
        {"ankles and toes", {APLOMB_DOT_LEFT_ANKLE, APLOMB_DOT_LEFT_TOE}},
        // A body mirrored in the picture's plane is the same picture with all sides exchanged: which half is, nothing tells.
        {"arms, or legs,", {APLOMB_DOT_LEFT_SHOULDER, APLOMB_DOT_LEFT_ELBOW, APLOMB_DOT_LEFT_WRIST}}};
    const Pair* swapped = nullptr;
    double least = swap_gains * best.cost;
    for (const Pair& pair : pairs) {
        const auto seen = [&task](int dot) { return task.has(dot) || task.has(dot + 1); };
        if (std::none_of(pair.left.begin(), pair.left.end(), seen)) continue;
        Task other = task;
        exchange(other, pair);
        guess(other);
        const double cost = glance(other);
        if (cost < least) least = cost, swapped = &pair;
    }
    if (swapped)
        return fail(error, APLOMB_BAD_ARGUMENT, "places", *swapped->left.begin(),
                    "Left and right %s look swapped: exchanged, the dots fit a figure, and as they are %s is "
                    "off by %.1f %% of "
                    "the stature.",
                    swapped->name, name_of(static_cast<std::size_t>(misfit.dot)), 100 * misfit.worst);
    if (!bad && best.cost < far_fetched) return APLOMB_OK;
    if (!bad)
        return fail(
            error, APLOMB_BAD_ARGUMENT, "places", -1,
            "The dots fit no figure: lengths and turns would have to be far from a body's (a cost of %.0f; "
            "up to %.0f would do). Is a dot at a wrong place?",
            best.cost, far_fetched);
    return fail(
        error, APLOMB_BAD_ARGUMENT, "places", misfit.dot,
        "The dots fit no figure: %s is off by %.1f %% of the stature, and all by %.1f %%; up to %.1f %% and "
        "%.1f %% would do at a noise of %.1f %%.",
        name_of(static_cast<std::size_t>(misfit.dot)), 100 * misfit.worst, 100 * misfit.mean,
        100 * worst_bound * task.noise, 100 * mean_bound * task.noise, 100 * task.noise);
}

} // namespace aplomb::drawing
