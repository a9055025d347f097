// SPDX-License-Identifier: MIT
// A byte string drives the C API: a figure, a moment, a correction, a step, readings and the explanation. A call
// that succeeds writes finite poses and verdicts, no length of which exceeds a kilometre; one that fails writes
// nothing.
#include <fuzzer/FuzzedDataProvider.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <vector>

#include "figures.h"

namespace {

constexpr double untouched = 123.25;
constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

void require(bool holds) {
    if (!holds) std::abort();
}

double number(FuzzedDataProvider& bytes) {
    static const double chosen[] = {0,      -1,    1,      0.5,      1e-9,      1e9,
                                    -1e300, 1e300, 1e-310, infinite, -infinite, unknown};
    switch (bytes.ConsumeIntegralInRange(0, 3)) {
    case 0:
        return bytes.PickValueInArray(chosen);
    case 1:
        return bytes.ConsumeFloatingPoint<double>();
    default:
        return bytes.ConsumeFloatingPointInRange(-2.0, 2.0);
    }
}

void spoil(FuzzedDataProvider& bytes, std::vector<double>& values) {
    for (int n = bytes.ConsumeIntegralInRange(0, 3); n > 0 && !values.empty(); --n)
        values[bytes.ConsumeIntegralInRange<size_t>(0, values.size() - 1)] = number(bytes);
}

lay::LayFigure body(FuzzedDataProvider& bytes) {
    lay::LayFigure figure = bytes.ConsumeBool() ? lay::LayFigure::adult() : lay::LayFigure::quadruped();
    figure.give_roles = bytes.ConsumeBool();
    spoil(bytes, figure.translations);
    spoil(bytes, figure.tips);
    for (auto* list : {&figure.parents, &figure.roles, &figure.sides})
        for (int n = bytes.ConsumeIntegralInRange(0, 2); n > 0; --n)
            (*list)[bytes.ConsumeIntegralInRange<size_t>(0, list->size() - 1)] =
                bytes.ConsumeIntegralInRange(-2, 30);
    if (bytes.ConsumeBool()) figure.total_mass = number(bytes);
    figure.mass_table = bytes.ConsumeIntegralInRange(-1, 5);
    for (int n = bytes.ConsumeIntegralInRange(0, 2); n > 0; --n)
        figure.names[bytes.ConsumeIntegralInRange<size_t>(0, figure.names.size() - 1)] =
            bytes.ConsumeRandomLengthString(80);
    return figure;
}

lay::FigureHandle create(FuzzedDataProvider& bytes, lay::LayFigure& figure) {
    aplomb_figure_desc desc = figure.desc();
    const size_t count = figure.names.size();
    std::vector<double> masses(count, 1.0), limits(6 * count, unknown);
    if (bytes.ConsumeBool()) spoil(bytes, masses), desc.masses = masses.data();
    if (bytes.ConsumeBool()) spoil(bytes, limits), desc.limits = limits.data();
    if (bytes.ConsumeBool()) desc.metres_per_unit = number(bytes);
    if (bytes.ConsumeBool()) desc.up_axis = bytes.ConsumeIntegralInRange(-4, 4);
    if (bytes.ConsumeBool()) desc.forward_axis = bytes.ConsumeIntegralInRange(-4, 4);
    aplomb_figure* made = nullptr;
    const aplomb_status status = aplomb_figure_create(&desc, nullptr, &made, nullptr);
    require((status == APLOMB_OK) == (made != nullptr));
    return lay::FigureHandle(made);
}

struct Moment {
    std::vector<double> translations, rotations, points;
    std::vector<aplomb_contact> contacts;
    std::vector<aplomb_load> loads;
    std::vector<aplomb_pull> pulls;
    aplomb_situation situation;
    aplomb_options options;
};

void turn_joints(FuzzedDataProvider& bytes, std::vector<double>& rotations) {
    for (int n = bytes.ConsumeIntegralInRange(0, 4); n > 0; --n) {
        double* q = &rotations[4 * bytes.ConsumeIntegralInRange<size_t>(0, rotations.size() / 4 - 1)];
        for (int k = 0; k < 4; ++k)
            q[k] = bytes.ConsumeFloatingPointInRange(-1.0, 1.0);
        const double length = std::sqrt(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3]);
        for (int k = 0; k < 4 && length > 0; ++k)
            q[k] /= length;
    }
}

void add_burdens(FuzzedDataProvider& bytes, Moment& m) {
    for (int n = bytes.ConsumeIntegralInRange(0, 3); n > 0; --n) {
        aplomb_load load = aplomb_load_make(number(bytes), bytes.ConsumeIntegralInRange(-1, 30));
        load.holder[1] = bytes.ConsumeIntegralInRange(-2, 30);
        load.offset[1] = number(bytes);
        load.hanging = bytes.ConsumeIntegralInRange(-1, 2);
        load.hang = number(bytes);
        m.loads.push_back(load);
    }
    for (int n = bytes.ConsumeIntegralInRange(0, 2); n > 0; --n)
        m.pulls.push_back(
            {bytes.ConsumeIntegralInRange(-1, 30), {number(bytes), 0, 0}, {0, number(bytes), number(bytes)}});
    m.points = {-.1, 0, -.1, .1, 0, -.1, .1, 0, .1, -.1, 0, .1};
    spoil(bytes, m.points);
    for (int n = bytes.ConsumeIntegralInRange(0, 4); n > 0; --n) {
        aplomb_contact c = aplomb_contact_make(bytes.ConsumeIntegralInRange(-1, 5), APLOMB_BEARING);
        c.hold = bytes.ConsumeIntegralInRange(-1, 3);
        c.joint = bytes.ConsumeIntegralInRange(-1, 30);
        c.footing = bytes.ConsumeIntegralInRange(-1, 3);
        if (bytes.ConsumeBool()) c.bearing = number(bytes);
        if (bytes.ConsumeBool()) c.share = number(bytes);
        c.point_count = bytes.ConsumeIntegralInRange(0, 4);
        c.points = m.points.data();
        m.contacts.push_back(c);
    }
}

void set_options(FuzzedDataProvider& bytes, aplomb_options& options) {
    aplomb_options_init(&options, sizeof options);
    double* const members[] = {&options.amount, &options.rest,       &options.margin,    &options.hips_side,
                               &options.neck,   &options.swivel,     &options.max_trunk, &options.max_hips,
                               &options.aim,    &options.amount_hips};
    for (double* value : members)
        if (bytes.ConsumeBool()) *value = number(bytes);
    if (bytes.ConsumeBool()) options.free = bytes.ConsumeIntegralInRange(0u, 200u);
    options.exact = bytes.ConsumeBool();
    options.max_iterations = bytes.ConsumeIntegralInRange(0, 60);
}

void set_moment(FuzzedDataProvider& bytes, const aplomb_figure* figure, Moment& m) {
    const auto count = static_cast<size_t>(aplomb_figure_joint_count(figure));
    m.translations.resize(3 * count), m.rotations.resize(4 * count);
    require(aplomb_figure_rest_pose(figure, m.translations.data(), m.rotations.data()) == APLOMB_OK);
    turn_joints(bytes, m.rotations);
    spoil(bytes, m.translations);
    if (bytes.ConsumeBool()) spoil(bytes, m.rotations);
    add_burdens(bytes, m);
    set_options(bytes, m.options);
    aplomb_situation& s = m.situation;
    aplomb_situation_init(&s, sizeof s);
    s.translations = m.translations.data(), s.rotations = m.rotations.data();
    s.loads = m.loads.data(), s.load_count = static_cast<int32_t>(m.loads.size());
    s.pulls = m.pulls.data(), s.pull_count = static_cast<int32_t>(m.pulls.size());
    if (!m.contacts.empty())
        s.contacts = m.contacts.data(), s.contact_count = static_cast<int32_t>(m.contacts.size());
    for (double* v : {s.gravity, s.ground_normal, s.com_acceleration, s.angular_momentum_rate})
        for (int k = 0; k < 3 && bytes.ConsumeIntegralInRange(0, 7) == 0; ++k)
            v[k] = number(bytes);
}

void check_written(aplomb_status status, const std::vector<double>& values) {
    for (const double v : values)
        require(status < 0 ? v == untouched : std::isfinite(v));
}

void check_numbers(const double* values, int count) {
    for (int i = 0; i < count; ++i)
        require(std::isfinite(values[i]));
}

void check_length(const aplomb_figure* figure, double units) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    require(aplomb_figure_describe(figure, &info, nullptr) == APLOMB_OK);
    require(std::fabs(units * info.metres_per_unit) <= 1e3);
}

void check_figure(const aplomb_figure* figure) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    require(aplomb_figure_describe(figure, &info, nullptr) == APLOMB_OK);
    for (const double size : {info.total_mass, info.stature, info.leg_length})
        require(std::isfinite(size));
    for (int i = 0; i < info.limb_count; ++i) {
        aplomb_limb_info limb;
        aplomb_limb_info_init(&limb, sizeof limb);
        require(aplomb_figure_limb(figure, i, &limb, nullptr) == APLOMB_OK);
        for (int k = 0; k < limb.sole_point_count; ++k)
            check_numbers(limb.sole_points[k], 3);
    }
}

void check_result(const aplomb_figure* figure, const aplomb_result& r) {
    for (const double value :
         {r.objective, r.slack, r.violation, r.stationarity, r.complementarity, r.trust, r.lag})
        require(std::isfinite(value));
    for (const double* point : {r.home, r.rest_point, r.moved, r.controls.hips_shift, r.controls.hips_turn,
                                r.controls.chest, r.controls.neck})
        check_numbers(point, 3);
    for (const auto& part : r.moved_by)
        check_numbers(part, 3);
    require(r.slack <= 1e3 && r.violation <= 1e3);
    for (const double length : {r.margin_before, r.margin_after, r.margin_asked, r.controls.hips_shift[0],
                                r.controls.hips_shift[1], r.controls.hips_shift[2]})
        check_length(figure, length);
}

void check_reading(const aplomb_figure* figure, const aplomb_reading& r) {
    for (const double* point : {r.centre, r.balance_point, r.tip_direction, r.home, r.rest_point})
        check_numbers(point, 3);
    for (const double value : {r.tip_angle, r.tip_energy, r.friction_needed, r.trunk_fore, r.trunk_side})
        require(std::isfinite(value));
    for (int i = 0; i < r.contact_count; ++i)
        require(r.contacts[i].share >= 0 && r.contacts[i].share <= 1);
    check_length(figure, r.margin);
    check_length(figure, r.margin_asked);
}

void explain(const aplomb_figure* figure, const aplomb_result& result) {
    char text[64];
    const int32_t length = aplomb_explain(figure, &result, text, sizeof text);
    std::vector<char> whole(static_cast<size_t>(std::max(length, 0)) + 1);
    require(aplomb_explain(figure, &result, whole.data(), whole.size()) == length);
}

void correct(const aplomb_figure* figure, aplomb_solver* solver, const Moment& m) {
    std::vector<double> translations(m.translations.size(), untouched),
        rotations(m.rotations.size(), untouched);
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    if (aplomb_read(solver, &m.situation, &m.options, &reading, nullptr) >= 0) check_reading(figure, reading);
    aplomb_status status = aplomb_balance(solver, &m.situation, &m.options, translations.data(),
                                          rotations.data(), &result, nullptr);
    check_written(status, translations);
    check_written(status, rotations);
    if (status >= 0) {
        check_result(figure, result);
        explain(figure, result);
        if (aplomb_read_corrected(solver, &m.situation, &m.options, translations.data(), rotations.data(),
                                  &result, &reading, nullptr) >= 0)
            check_reading(figure, reading);
    }
}

/// Some frames of the moment, as the bytes have time pass and the body travel; now and then a byte of the state is broken.
void step(FuzzedDataProvider& bytes, const aplomb_figure* figure, aplomb_solver* solver, const Moment& m,
          aplomb_step_state& state) {
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_frame frame;
    aplomb_frame_init(&frame, sizeof frame);
    for (int k = bytes.ConsumeIntegralInRange(1, 12); k > 0; --k) {
        std::vector<double> translations(m.translations.size(), untouched),
            rotations(m.rotations.size(), untouched);
        frame.seconds = bytes.ConsumeBool() ? number(bytes) : 0.04;
        frame.velocity[0] = bytes.ConsumeBool() ? number(bytes) : 0;
        const bool looks = bytes.ConsumeBool();
        frame.ahead_translations = looks ? m.situation.translations : nullptr;
        frame.ahead_rotations = looks ? m.situation.rotations : nullptr;
        frame.ahead_seconds = looks && bytes.ConsumeBool() ? number(bytes) : 0.3;
        if (bytes.ConsumeIntegralInRange(0, 7) == 0)
            state.numbers[bytes.ConsumeIntegralInRange(0, APLOMB_STEP_NUMBERS - 1)] = number(bytes);
        const aplomb_status status = aplomb_step(solver, &state, &m.situation, &m.options, nullptr, &frame,
                                                 translations.data(), rotations.data(), &result, nullptr);
        check_written(status, translations);
        check_written(status, rotations);
        if (status >= 0) check_result(figure, result);
        if (status < 0) state = aplomb_step_state{};
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    FuzzedDataProvider bytes(data, size);
    lay::LayFigure described = body(bytes);
    const lay::FigureHandle figure = create(bytes, described);
    if (!figure) return 0;
    check_figure(figure.get());
    aplomb_solver* solver = nullptr;
    require(aplomb_solver_create(figure.get(), nullptr, &solver, nullptr) == APLOMB_OK);
    aplomb_step_state state{};
    for (int moment = 0; moment < 2; ++moment) {
        Moment m;
        set_moment(bytes, figure.get(), m);
        correct(figure.get(), solver, m);
        step(bytes, figure.get(), solver, m, state);
    }
    aplomb_solver_destroy(solver);
    return 0;
}
