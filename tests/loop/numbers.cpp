// SPDX-License-Identifier: MIT
// Prints what the loop does on real motion: the figures that README and DEVELOPERS tell. Built when asked for:
// cmake --build FOLDER --target loop_numbers. With a folder as argument it writes a table of hips' corrections per clip.
#include <cstdio>
#include <fstream>

#include "run.h"

namespace {

using namespace motion;

std::vector<aplomb_load> carried(const aplomb_figure* figure, double mass) {
    if (mass <= 0) return {};
    aplomb_load load;
    aplomb_error error;
    if (aplomb_load_at(figure, mass, "hands", &load, &error)) throw std::runtime_error(error.message);
    return {load};
}

struct Counted {
    int frames = 0, over = 0, standing = 0, slipped_2mm = 0, slipped_1cm = 0, untrusted = 0;
    double worst_over = 0, worst_slip = 0, worst_acceleration = 0;
    std::vector<double> microseconds;
};

std::string folder;

void count(const Motion& m, const std::vector<Outcome>& out, double leg, Counted& c) {
    constexpr double hips_pace = 0.6, turn_pace = 90 * aplomb::degree;
    std::vector<int32_t> ends;
    for (int32_t i = 0; i < aplomb_figure_limb_count(m.figure); ++i) {
        aplomb_limb_info limb;
        aplomb_limb_info_init(&limb, sizeof limb);
        aplomb_figure_limb(m.figure, i, &limb, nullptr);
        if (limb.kind != APLOMB_ARM && limb.sole_point_count > 0) ends.push_back(limb.end);
    }
    for (size_t f = 0; f < out.size(); ++f) {
        ++c.frames;
        c.untrusted += out[f].result.trust < 1;
        c.microseconds.push_back(out[f].microseconds);
        for (size_t k = 0; k < ends.size() && k < aplomb::most_feet; ++k) {
            if (!out[f].stands[k]) continue;
            ++c.standing;
            const double slip = norm(m.place_in(out[f].written, ends[k]) - m.place_in(m.frames[f], ends[k]));
            c.slipped_2mm += slip > .002, c.slipped_1cm += slip > .01;
            c.worst_slip = std::fmax(c.worst_slip, slip);
        }
        if (f == 0) continue;
        const double hips = norm(out[f].shift - out[f - 1].shift) / (hips_pace * leg * m.seconds);
        const double turn = norm(out[f].turn - out[f - 1].turn) / (turn_pace * m.seconds);
        c.over += std::fmax(hips, turn) > 1.0005;
        c.worst_over = std::fmax(c.worst_over, std::fmax(hips, turn));
        if (f > 1)
            c.worst_acceleration =
                std::fmax(c.worst_acceleration, norm(out[f].shift - out[f - 1].shift * 2 + out[f - 2].shift) /
                                                    (m.seconds * m.seconds));
    }
}

void clip_line(const Motion& m, double mass, Counted& all) {
    const std::vector<Outcome> out = run(m, carried(m.figure, mass));
    Character probe(m);
    Counted c;
    count(m, out, probe.leg(), c);
    Vec3 along, aside;
    const Vec3 up = m.name.find("z_up") != std::string::npos ? Vec3{0, 0, 1} : Vec3{0, 1, 0};
    travel_axes(m, up, along, aside);
    Range side, fore;
    std::vector<double> sides, fores;
    for (const Outcome& o : out) {
        sides.push_back(dot(o.shift, aside)), fores.push_back(dot(o.shift, along));
        side.add(sides.back()), fore.add(fores.back());
    }
    std::vector<double> t = c.microseconds;
    std::sort(t.begin(), t.end());
    double sum = 0;
    for (const double v : t)
        sum += v;
    std::printf(
        "%-34s %4.0f %5d %4d %6.2f  %5.1f %5.1f %3d %3d  %5.1f  %4d %4d %5.1f  %4d  %6.1f %6.1f %6.1f\n",
        m.name.c_str() + 6, mass, c.frames, c.over, c.worst_over, 100 * side.size(), 100 * fore.size(),
        reversals(sides, .01), reversals(fores, .01), c.worst_acceleration, c.slipped_2mm, c.slipped_1cm,
        1000 * c.worst_slip, c.untrusted, sum / static_cast<double>(t.size()), t[t.size() * 99 / 100],
        t.back());
    if (!folder.empty()) {
        std::string name = m.name.substr(6);
        std::ofstream table(folder + "/" + name.substr(0, name.find('.')) + "_" +
                            std::to_string(static_cast<int>(mass)) + ".csv");
        table << "time,side,fore,up,need_side,need_fore,lag_side,lag_fore,left,right,trust\n";
        for (size_t f = 0; f < out.size(); ++f)
            table << static_cast<double>(f) * m.seconds << ',' << sides[f] << ',' << fores[f] << ','
                  << dot(out[f].shift, up) << ',' << dot(out[f].need, aside) << ',' << dot(out[f].need, along)
                  << ',' << dot(out[f].lag, aside) << ',' << dot(out[f].lag, along) << ',' << out[f].stands[0]
                  << ',' << out[f].stands[1] << ',' << out[f].result.trust << '\n';
    }
    all.frames += c.frames, all.over += c.over, all.standing += c.standing, all.slipped_2mm += c.slipped_2mm;
    all.slipped_1cm += c.slipped_1cm, all.untrusted += c.untrusted;
    all.worst_slip = std::fmax(all.worst_slip, c.worst_slip);
    all.worst_acceleration = std::fmax(all.worst_acceleration, c.worst_acceleration);
    all.microseconds.insert(all.microseconds.end(), t.begin(), t.end());
}

void rates(const recorded::Recording& r, const recorded::Clip& clip, double mass) {
    const Motion a = recorded_motion(r, clip, 60), b = recorded_motion(r, clip, 30);
    const std::vector<Outcome> fast = run(a, carried(a.figure, mass)), slow = run(b, carried(b.figure, mass));
    double worst = 0, sum = 0;
    for (size_t f = 0; f < slow.size() && 2 * f < fast.size(); ++f) {
        const double apart = norm(slow[f].shift - fast[2 * f].shift);
        worst = std::fmax(worst, apart), sum += apart * apart;
    }
    // An uneven clock: frames of 16 to 50 ms.
    Character character(a);
    double uneven = 0;
    size_t at = 0;
    unsigned seed = 1;
    for (size_t f = 0; f < a.frames.size();) {
        character.frame.seconds = static_cast<double>(f - at) * a.seconds;
        const Outcome o = character.step(a.frames[f], carried(a.figure, mass));
        uneven = std::fmax(uneven, norm(o.shift - fast[f].shift));
        at = f;
        seed = seed * 1664525u + 1013904223u;
        f += 1 + (seed >> 16) % 3;
    }
    std::printf("%-34s %4.0f kg: 30 against 60 Hz at most %.2f cm, rms %.2f; 16 to 50 ms at most %.2f cm\n",
                clip.file + 6, mass, 100 * worst, 100 * std::sqrt(sum / static_cast<double>(slow.size())),
                100 * uneven);
}

/// Each frame by itself, as aplomb_balance answers it at heft 0.
void walk_pose_by_pose(double step_frames) {
    lay::LayFigure shape = lay::LayFigure::adult();
    const lay::FigureHandle figure = shape.create();
    const SolverHandle solver = make_solver(figure.get());
    KeyedWalk w;
    w.step_frames = step_frames;
    aplomb_options options;
    aplomb_options_init(&options, sizeof options);
    options.heft = 0;
    Range range;
    for (double t = 0; t < 2 * w.step_seconds(); t += 1. / 60) {
        const lay::Pose pose = w.pose(figure.get(), shape, t);
        Frame out{pose.translations, pose.rotations};
        const aplomb_situation s = pose.situation();
        if (aplomb_balance(solver.get(), &s, &options, out.translations.data(), out.rotations.data(), nullptr,
                           nullptr) < 0)
            throw std::runtime_error("a pose of the walk is refused");
        range.add(out.translations[0] - pose.translations[0]);
    }
    std::printf("hand-keyed walk, %2.0f frames a step, pose by pose: sway %.1f cm\n", step_frames,
                100 * range.size());
}

void walk(double step_frames, bool ahead, double mass) {
    lay::LayFigure shape = lay::LayFigure::adult();
    const lay::FigureHandle figure = shape.create();
    KeyedWalk w;
    w.step_frames = step_frames;
    Motion m;
    m.name = "walk", m.figure = figure.get();
    Character character(m);
    std::vector<double> side, time;
    Range range;
    double foot_off = 0, whole = 0;
    int found_wrong = 0;
    const int steps = 12;
    const double end = steps * w.step_seconds();
    std::vector<double> shifts;
    for (int f = 0; f * m.seconds < end; ++f) {
        const double t = f * m.seconds;
        const lay::Pose pose = w.pose(figure.get(), shape, t), next = w.pose(figure.get(), shape, t + .3);
        if (ahead)
            character.frame.ahead_translations = next.translations.data(),
            character.frame.ahead_rotations = next.rotations.data();
        const Outcome o = character.step({pose.translations, pose.rotations}, carried(figure.get(), mass));
        for (int s = 0; s < 2; ++s)
            found_wrong += o.stands[s] != w.bears(s, t);
        if (t > end / 2) range.add(o.shift.x), shifts.push_back(o.shift.x), time.push_back(t);
    }
    // How much of the shift is there at foot-off: from one extreme to the other.
    int offs = 0;
    for (size_t i = 1; i < time.size(); ++i)
        for (int s = 0; s < 2; ++s)
            if (w.bears(s, time[i - 1]) && !w.bears(s, time[i])) {
                const double towards = s == 0 ? -1 : 1; // over the other foot
                const double from = towards > 0 ? range.low : range.high;
                foot_off += (shifts[i] - from) * towards, whole += range.size(), ++offs;
            }
    std::printf("hand-keyed walk, %2.0f frames a step%s, %2.0f kg: sway %.1f cm, %.0f %% of the way at "
                "foot-off; %d of %d feet's frames found otherwise\n",
                step_frames, ahead ? ", 0.3 s ahead" : "             ", mass, 100 * range.size(),
                100 * foot_off / whole, found_wrong, 2 * static_cast<int>(end / m.seconds));
}

void load_taken() {
    lay::LayFigure shape = lay::LayFigure::adult();
    const lay::FigureHandle figure = shape.create();
    for (const double mass : {5.0, 15.0, 25.0}) {
        lay::Pose pose(figure.get(), shape);
        for (const char* side : {"left_", "right_"})
            pose.turn(side + std::string("lower_arm"), -85);
        pose.soft_knees(10);
        Motion m;
        m.figure = figure.get();
        Character character(m);
        const Frame frame{pose.translations, pose.rotations};
        for (int f = 0; f < 10; ++f)
            character.step(frame);
        std::vector<double> lean;
        const std::vector<aplomb_load> box = carried(figure.get(), mass);
        for (int f = 0; f < 180; ++f) {
            const Outcome o = character.step(frame, box);
            lean.push_back(o.result.controls.hips_turn[0] + o.result.controls.chest[0]);
        }
        size_t k = 0;
        while (std::fabs(lean[k]) < .9 * std::fabs(lean.back()))
            ++k;
        std::printf("%2.0f kg taken: 90 %% of a lean of %.1f degrees after %.2f s\n", mass,
                    lean.back() / aplomb::degree, static_cast<double>(k + 1) * m.seconds);
    }
}

void taken_and_dropped(const Motion& m) {
    Character character(m);
    std::vector<Outcome> out;
    const std::vector<aplomb_load> load = carried(m.figure, 40);
    for (size_t f = 0; f < m.frames.size(); ++f)
        out.push_back(
            character.step(m.frames[f], static_cast<int>(static_cast<double>(f) * m.seconds / .6) % 2
                                            ? load
                                            : std::vector<aplomb_load>{}));
    Counted c;
    count(m, out, character.leg(), c);
    std::printf("%-34s 40 kg every 0.6 s: %d of %d frames over the pace, worst %.3f; feet off by 2 mm %d, 1 "
                "cm %d, worst %.1f mm\n",
                m.name.c_str() + 6, c.over, c.frames, c.worst_over, c.slipped_2mm, c.slipped_1cm,
                1000 * c.worst_slip);
}

} // namespace

int main(int argc, char** argv) {
    if (argc > 1) folder = argv[1];
    load_taken();
    for (const double step : {14.0, 24.0}) {
        walk_pose_by_pose(step);
        for (const bool ahead : {false, true})
            walk(step, ahead, 0);
    }
    if (made::reference_is_missing()) return 0;
    Counted all;
    std::printf("%-34s   kg frames over worst  side  fore rev rev  m/s2  >2mm >1cm worst untrusted  us mean  "
                "99%%  worst\n",
                "clip");
    for (const recorded::Clip& clip : recorded::clips) {
        if (std::string(clip.file).find("lift") != std::string::npos) continue;
        const recorded::Recording recording(clip.file, clip.metres_per_unit);
        const Motion m = recorded_motion(recording, clip);
        for (const double mass : {0.0, 15.0})
            clip_line(m, mass, all);
    }
    std::sort(all.microseconds.begin(), all.microseconds.end());
    double sum = 0;
    for (const double v : all.microseconds)
        sum += v;
    const size_t n = all.microseconds.size();
    std::printf("all: %d frames, %d over the pace; feet that stand %d, off by over 2 mm %d (%.3f %%), over 1 "
                "cm %d, worst %.1f mm; untrusted %d;\n"
                "     us per frame %.1f mean, %.0f 99 %%, %.0f worst; greatest acceleration of a correction "
                "%.1f m/s2\n",
                all.frames, all.over, all.standing, all.slipped_2mm, 100.0 * all.slipped_2mm / all.standing,
                all.slipped_1cm, 1000 * all.worst_slip, all.untrusted, sum / static_cast<double>(n),
                all.microseconds[n * 99 / 100], all.microseconds.back(), all.worst_acceleration);
    for (const char* part : {"02_01", "06_01", "07_04", "12_01"}) {
        const recorded::Clip& clip = recorded::clip(part);
        const recorded::Recording recording(clip.file, clip.metres_per_unit);
        taken_and_dropped(recorded_motion(recording, clip));
        for (const double mass : {0.0, 15.0})
            rates(recording, clip, mass);
    }
}
