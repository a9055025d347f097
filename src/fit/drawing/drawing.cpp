// SPDX-License-Identifier: MIT
// aplomb_drawing_*: dots are checked and fitted, and answers told.
#include "aplomb/drawing.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <memory>
#include <string>
#include <vector>

#include "base/rotation.h"
#include "base/structs.h"
#include "fit/border.h"
#include "fit/drawing/checks.h"
#include "fit/drawing/differences.h"
#include "fit/drawing/search.h"
#include "fit/drawing/soles.h"
#include "fit/drawing/variants.h"

namespace aplomb::drawing {
namespace {

const char* const dot_names[APLOMB_DOT_COUNT] = {
    "crown",       "chin",       "neck",        "left shoulder", "right shoulder", "left elbow",
    "right elbow", "left wrist", "right wrist", "left hip",      "right hip",      "left knee",
    "right knee",  "left ankle", "right ankle", "left toe",      "right toe"};

/// A pose that stands on the ground with its lower foot.
struct Pose {
    std::vector<double> translations, rotations;
    std::vector<aplomb_contact> contacts;
};

struct Answer {
    Figure figure;
    View<double> view;
    Pose pose; // translations[1] of the pose is the hips' height above the ground
    aplomb_drawing_answer told{};
};

/// Another pose of an answer's figure.
struct Variant {
    int32_t answer;
    Pose pose;
};

void put(std::vector<double>& out, const Point<double>& p) {
    out.insert(out.end(), {p.x, p.y, p.z});
}
Vec3 vector(const Point<double>& p) {
    return {p.x, p.y, p.z};
}

Pose pose_of(const Task& task, const Body<double>& body, const aplomb_figure* figure) {
    Pose pose;
    for (std::size_t j = 0; j < joint_count; ++j) {
        put(pose.translations, body.skeleton.offset[j]);
        const Turn<double>& t = body.local[j];
        const Quat q = to_quat(Mat3::from_columns(vector(t.x), vector(t.y), vector(t.z)));
        pose.rotations.insert(pose.rotations.end(), {q.x, q.y, q.z, q.w});
    }
    const std::vector<Sole> soles = soles_of(figure, pose.translations.data(), pose.rotations.data());
    pose.translations[1] = -lowest_of(soles);
    constexpr double slack = .75; // of the noise: from recorded frames, like `said_from` of aplomb dots
    pose.contacts = stance_of(figure, soles, slack * task.noise * task.known.stature);
    return pose;
}

int limits_met(const Task& task, const Values& values) {
    int count = 0;
    for (std::size_t k = heading; k < lengths; ++k) {
        const double near = 1e-3, v = values[k];
        count += v < task.ranges.lowest[k] + near || v > task.ranges.highest[k] - near ? 1 : 0;
    }
    return count;
}

aplomb_status make_answer(const Task& task, const aplomb_dots& dots, const Found& found, Answer& answer,
                          aplomb_error* error) {
    const Body<double> body(task.known, found.values.data());
    answer.view = task.view(found.values.data());
    const aplomb_status status = make_figure(dots.build, body.skeleton, dots.mass, answer.figure, error);
    if (status < 0) return status;
    answer.pose = pose_of(task, body, answer.figure.get());

    const Misfit misfit = misfit_of(task, found.values);
    aplomb_drawing_answer& told = answer.told;
    told.joint_count = joint_count;
    told.figure = answer.figure.get();
    told.translations = answer.pose.translations.data(), told.rotations = answer.pose.rotations.data();
    told.contacts = answer.pose.contacts.data();
    told.contact_count = static_cast<int32_t>(answer.pose.contacts.size());
    told.cost = found.cost;
    told.misfit = misfit.mean, told.worst_misfit = misfit.worst, told.worst_dot = misfit.dot;
    told.limits_met = limits_met(task, found.values);
    told.scale = answer.view.scale;
    told.tilt = task.tilt_given ? task.tilt : found.values[camera_tilt];
    const Point<double>& ahead = body.turn[hips].z;
    told.facing = std::atan2(ahead.x, ahead.z);
    for (std::size_t k = 0; k < length_count; ++k)
        told.lengths[k] = std::exp(found.values[lengths + k]);
    const Point<double>* tips[] = {&body.skeleton.crown, &body.skeleton.finger_tip, &body.skeleton.finger_tip,
                                   &body.skeleton.toe_tip, &body.skeleton.toe_tip};
    for (std::size_t k = 0; k < std::size(tips); ++k)
        aplomb::put(told.tips[k], vector(*tips[k]));
    return APLOMB_OK;
}

} // namespace
} // namespace aplomb::drawing

using namespace aplomb;
using namespace aplomb::drawing;

struct aplomb_drawing {
    std::vector<Answer> answers;
    std::vector<Variant> variants;
    std::vector<std::string> differences;
};

namespace {

aplomb_dots default_dots() {
    aplomb_dots dots{};
    const double unknown = std::numeric_limits<double>::quiet_NaN();
    for (auto& place : dots.places)
        place[0] = place[1] = unknown;
    dots.noise = .01, dots.spread = .08;
    dots.tilt = dots.camera_height = unknown;
    dots.keep = 8;
    return dots;
}

/// Gives each answer as many variants as its chance asks for.
std::vector<Variant> variants_of(const Task& task, const std::vector<Found>& found,
                                 const std::vector<Answer>& answers) {
    constexpr int all = APLOMB_DRAWING_VARIANTS;
    std::vector<Variant> made;
    double chance = 0;
    for (std::size_t k = 0; k < found.size(); ++k) {
        chance += answers[k].told.chance;
        const int to = k + 1 == found.size() ? all : static_cast<int>(std::lround(all * chance));
        const auto first = static_cast<unsigned>(made.size());
        for (const Values& values : variants(task, found[k].values, to - static_cast<int>(first), first))
            made.push_back({static_cast<int32_t>(k),
                            pose_of(task, Body<double>(task.known, values.data()), answers[k].figure.get())});
    }
    return made;
}

/// What bears is told by all poses that the dots leave open: one pose has a sole's height by luck, as it hangs on the camera's
/// tilt, which the dots hardly tell. A foot bears or not in each variant by itself, but all of them stand it on the same part.
void agree(std::vector<Variant>& variants, std::vector<Answer>& answers) {
    std::vector<std::vector<aplomb_contact>> stances;
    for (const Variant& variant : variants)
        stances.push_back(variant.pose.contacts);
    const std::vector<aplomb_contact> common = agreed(stances);
    for (Variant& variant : variants)
        for (std::size_t k = 0; k < common.size(); ++k)
            variant.pose.contacts[k].footing = common[k].footing;
    for (Answer& answer : answers)
        std::copy(common.begin(), common.end(), answer.pose.contacts.begin());
}

aplomb_status fit_dots(const aplomb_dots& dots, std::unique_ptr<aplomb_drawing>& drawing,
                       aplomb_error* error) {
    Task task;
    aplomb_status status = check_dots(dots, task, error);
    if (status < 0) return status;
    std::array<double, length_count> usual;
    usual.fill(1);
    Figure figure;
    const Skeleton<double> skeleton(task.known.proportions, task.known.stature, usual.data());
    if ((status = make_figure(dots.build, skeleton, dots.mass, figure, error)) < 0) return status;
    read_limits(figure.get(), dots.spread, task.ranges, task.known.division);
    guess(task);
    if (!(task.scale > 0))
        return fail(error, APLOMB_BAD_ARGUMENT, "places", -1,
                    "No span of an arm, a leg or the trunk has a dot at both ends: how large the figure is "
                    "remains unknown.");
    const std::vector<Found> found = search(task, dots.keep);
    if ((status = check_fit(task, found.front(), error)) < 0) return status;
    drawing = std::make_unique<aplomb_drawing>();
    drawing->answers.resize(found.size());
    double sum = 0;
    for (std::size_t k = 0; k < found.size(); ++k) {
        Answer& answer = drawing->answers[k];
        if ((status = make_answer(task, dots, found[k], answer, error)) < 0) return status;
        answer.told.chance = std::exp(found.front().cost - found[k].cost);
        sum += answer.told.chance;
    }
    for (Answer& answer : drawing->answers)
        answer.told.chance /= sum;
    drawing->variants = variants_of(task, found, drawing->answers);
    agree(drawing->variants, drawing->answers);
    drawing->differences = differences(task, found);
    return APLOMB_OK;
}

aplomb_status check_index(const aplomb_drawing* drawing, int32_t index, aplomb_error* error) {
    if (!drawing) return fail(error, APLOMB_BAD_ARGUMENT, "drawing", -1, "drawing is NULL.");
    if (index >= 0 && static_cast<std::size_t>(index) < drawing->answers.size()) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, "index", index, "index is %d; there are %zu answers.", index,
                drawing->answers.size());
}

} // namespace

extern "C" {

const char* aplomb_dot_text(aplomb_dot dot) {
    return dot >= 0 && dot < APLOMB_DOT_COUNT ? dot_names[dot] : "unknown";
}

int32_t aplomb_dot_find(const char* name) {
    const auto same = [](const char* a, const char* b) {
        for (; *a && *b; ++a, ++b) {
            const char c = *a == '_' || *a == '-' ? ' ' : *a;
            if (c != *b) return false;
        }
        return *a == *b;
    };
    for (int32_t k = 0; name && k < APLOMB_DOT_COUNT; ++k)
        if (same(name, dot_names[k])) return k;
    return -1;
}

void aplomb_dots_init(aplomb_dots* dots, size_t size) {
    init_struct(dots, size, default_dots());
}

void aplomb_drawing_answer_init(aplomb_drawing_answer* answer, size_t size) {
    init_struct(answer, size, aplomb_drawing_answer{});
}

aplomb_status aplomb_drawing_fit(const aplomb_dots* dots, aplomb_drawing** drawing, aplomb_error* error) {
    if (!drawing) return fail(error, APLOMB_BAD_ARGUMENT, "drawing", -1, "drawing is NULL.");
    *drawing = nullptr;
    const aplomb_status status = check_struct(dots, "dots", error);
    if (status < 0) return status;
    return fit::guarded("a figure under a drawing", error, [&] {
        std::unique_ptr<aplomb_drawing> made;
        const aplomb_status fitted = fit_dots(read_struct(dots, default_dots()), made, error);
        if (fitted >= 0) *drawing = made.release();
        return fitted;
    });
}

void aplomb_drawing_destroy(aplomb_drawing* drawing) {
    delete drawing;
}

int32_t aplomb_drawing_answer_count(const aplomb_drawing* drawing) {
    return drawing ? static_cast<int32_t>(drawing->answers.size()) : 0;
}

aplomb_status aplomb_drawing_answer_at(const aplomb_drawing* drawing, int32_t index,
                                       aplomb_drawing_answer* answer, aplomb_error* error) {
    aplomb_status status = check_index(drawing, index, error);
    if (status == APLOMB_OK) status = check_struct(answer, "answer", error);
    if (status < 0) return status;
    write_struct(answer, drawing->answers[static_cast<std::size_t>(index)].told);
    return APLOMB_OK;
}

aplomb_status aplomb_drawing_project(const aplomb_drawing* drawing, int32_t index, const double* point,
                                     double* pixels, aplomb_error* error) {
    const aplomb_status status = check_index(drawing, index, error);
    if (status < 0) return status;
    if (!point || !pixels)
        return fail(error, APLOMB_BAD_ARGUMENT, point ? "pixels" : "point", -1, "%s is NULL.",
                    point ? "pixels" : "point");
    const Answer& answer = drawing->answers[static_cast<std::size_t>(index)];
    answer.view.project({point[0], point[1] - answer.pose.translations[1], point[2]}, pixels[0], pixels[1]);
    return APLOMB_OK;
}

aplomb_status aplomb_drawing_variant_at(const aplomb_drawing* drawing, int32_t index,
                                        aplomb_drawing_variant* variant, aplomb_error* error) {
    if (!drawing) return fail(error, APLOMB_BAD_ARGUMENT, "drawing", -1, "drawing is NULL.");
    if (!variant) return fail(error, APLOMB_BAD_ARGUMENT, "variant", -1, "variant is NULL.");
    if (index < 0 || static_cast<std::size_t>(index) >= drawing->variants.size())
        return fail(error, APLOMB_BAD_ARGUMENT, "index", index, "index is %d; there are %zu variants.", index,
                    drawing->variants.size());
    const Variant& made = drawing->variants[static_cast<std::size_t>(index)];
    *variant = {made.answer, static_cast<int32_t>(made.pose.contacts.size()), made.pose.translations.data(),
                made.pose.rotations.data(), made.pose.contacts.data()};
    return APLOMB_OK;
}

const char* aplomb_drawing_difference(const aplomb_drawing* drawing, int32_t index) {
    if (!drawing || index < 0 || static_cast<std::size_t>(index) >= drawing->differences.size())
        return nullptr;
    return drawing->differences[static_cast<std::size_t>(index)].c_str();
}
}
