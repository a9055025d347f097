// SPDX-License-Identifier: MIT
#include "cli/clip_page.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <limits>
#include <memory>

#include "base/vec.h"
#include "cli/failure.h"
#include "cli/looks.h"
#include "cli/results.h"

namespace aplomb::cli {
namespace {

constexpr int most_worst = 3, strip_length = 8;

/// A frame as it is drawn, with all that its picture points to.
struct Drawn {
    Moment moment;
    std::vector<aplomb_contact> contacts;
    std::vector<aplomb_load> loads;
    aplomb_situation situation;
    aplomb_reading reading;
    std::unique_ptr<Looks> looks;
    aplomb_picture picture;
};

Vec3 vec(const double* v) {
    return {v[0], v[1], v[2]};
}

class Moments {
public:
    Moments(const Shot& shot, const Moment& moment, const Options& options, const char* caption)
        : shot_(shot), moment_(moment), options_(options), caption_(caption),
          solver_(make_solver(shot.character)), frames_(listed(shot.reading, aplomb_clip_frames)),
          stances_(listed(shot.reading, aplomb_clip_stances)) {}

    aplomb_drawn_moment draw(int f) {
        drawn_.push_back(std::make_unique<Drawn>());
        Drawn& drawn = *drawn_.back();
        take_pose(f, drawn);
        take_situation(f, drawn);
        read(f, drawn);
        aplomb_picture& picture = drawn.picture;
        aplomb_picture_init(&picture, sizeof picture);
        picture.figure = shot_.character.figure();
        picture.situation = &drawn.situation;
        picture.before = {drawn.moment.translations.data(), drawn.moment.rotations.data(), &drawn.reading,
                          caption_, nullptr};
        drawn.looks = std::make_unique<Looks>(shot_.character, drawn.moment, true);
        drawn.looks->dress(shot_.character, picture);
        picture.camera = nullptr;
        return {f, 0, &picture};
    }
    /// The last that was drawn, before and after: over the outline of a keyed one.
    aplomb_drawn_moment draw_over(const aplomb_drawn_moment& keyed) {
        const aplomb_drawn_moment moment = draw(keyed.frame);
        aplomb_picture& picture = drawn_.back()->picture;
        picture.after = picture.before;
        picture.before = keyed.picture->before;
        return moment;
    }

private:
    const aplomb_clip_frame& frame(int f) const { return frames_[static_cast<size_t>(f)]; }

    void take_pose(int f, Drawn& drawn) const {
        const auto joints = static_cast<size_t>(aplomb_figure_joint_count(shot_.character.figure()));
        const size_t at = static_cast<size_t>(f) * joints;
        drawn.moment = moment_;
        drawn.moment.seconds = shot_.times[static_cast<size_t>(f)];
        std::copy_n(&shot_.translations[3 * at], 3 * joints, drawn.moment.translations.begin());
        std::copy_n(&shot_.rotations[4 * at], 4 * joints, drawn.moment.rotations.begin());
    }

    void take_situation(int f, Drawn& drawn) const {
        for (const aplomb_stance_range& range : stances_)
            if (range.first <= f && f <= range.last) {
                drawn.contacts.push_back(aplomb_contact_make(range.limb, APLOMB_BEARING));
                drawn.contacts.back().footing = range.footing;
            }
        // In the air it is drawn as if it stood, and the reading then says that it does not press.
        if (drawn.contacts.empty())
            drawn.contacts.push_back(aplomb_contact_make(stances_.front().limb, APLOMB_BEARING));
        for (const aplomb_carry& carry : shot_.carries.value)
            if (carry.first <= f && f <= carry.last) drawn.loads.push_back(carry.load);
        aplomb_situation& situation = drawn.situation;
        aplomb_situation_init(&situation, sizeof situation);
        situation.translations = drawn.moment.translations.data();
        situation.rotations = drawn.moment.rotations.data();
        situation.contacts = drawn.contacts.data();
        situation.contact_count = static_cast<int32_t>(drawn.contacts.size());
        situation.loads = drawn.loads.data();
        situation.load_count = static_cast<int32_t>(drawn.loads.size());
        std::copy_n(shot_.clip.gravity, 3, situation.gravity);
        if (frame(f).contact_count > 0 && std::isfinite(frame(f).margin))
            std::copy_n(frame(f).acceleration, 3, situation.com_acceleration);
    }

    /// A reading of one moment, with the numbers of the clip's in the place of its own.
    void read(int f, Drawn& drawn) {
        aplomb_reading& reading = drawn.reading;
        aplomb_reading_init(&reading, sizeof reading);
        aplomb_error error{};
        check(aplomb_read(solver_.get(), &drawn.situation, &options_.value, &reading, &error), error);
        const aplomb_clip_frame& read = frame(f);
        std::copy_n(read.centre, 3, reading.centre);
        if (read.contact_count > 0 && std::isfinite(read.margin)) {
            std::copy_n(read.point, 3, reading.balance_point);
            reading.margin = read.margin, reading.margin_asked = read.margin_asked;
            reading.in_balance = read.in_balance;
            point_over_the_nearest_edge(reading);
            return;
        }
        reading.pressing = 0;
        reading.zone_count = 0;
        if (read.contact_count == 0) stand_off_the_ground(f, reading);
    }

    /// As the balance point lies in the clip: far out, the nearest edge is another.
    static void point_over_the_nearest_edge(aplomb_reading& reading) {
        const Vec3 point = vec(reading.balance_point);
        Vec3 way;
        double nearest = std::numeric_limits<double>::infinity();
        for (int i = 0; i < reading.edge_count; ++i) {
            const Vec3 from = vec(reading.area[i]),
                       along = vec(reading.area[(i + 1) % reading.edge_count]) - from;
            const double square = dot(along, along);
            const double part = square > 0 ? std::clamp(dot(point - from, along) / square, 0.0, 1.0) : 0;
            const Vec3 to_edge = from + along * part - point;
            if (norm(to_edge) < nearest) nearest = norm(to_edge), way = to_edge;
        }
        if (!(nearest > 0 && std::isfinite(nearest))) return;
        const Vec3 outward = way * ((reading.margin < 0 ? -1 : 1) / nearest);
        for (int i = 0; i < 3; ++i)
            reading.tip_direction[i] = outward[i];
    }

    /// The ground where the body last stood, or will, one corner of no area.
    void stand_off_the_ground(int f, aplomb_reading& reading) const {
        int near = f;
        for (int away = 1; away < shot_.count() && frame(near).contact_count == 0; ++away)
            near = frame(std::max(f - away, 0)).contact_count > 0 ? std::max(f - away, 0)
                                                                  : std::min(f + away, shot_.count() - 1);
        reading.edge_count = 0;
        if (frame(near).contact_count == 0) return;
        const Vec3 drop = vec(frame(near).still_point) - vec(frame(near).centre), down = normalized(drop),
                   here = vec(reading.centre),
                   ground = here + down * dot(vec(frame(near).still_point) - here, down);
        for (int i = 0; i < 3; ++i)
            reading.area[0][i] = ground[i];
        reading.edge_count = 1;
    }

    const Shot& shot_;
    const Moment& moment_;
    const Options& options_;
    const char* caption_;
    Solver solver_;
    std::vector<aplomb_clip_frame> frames_;
    std::vector<aplomb_stance_range> stances_;
    std::vector<std::unique_ptr<Drawn>> drawn_;
};

/// The frames at which most is missing, in their order.
std::vector<int> worst_frames(const Shot& shot) {
    std::vector<aplomb_fall_range> falls = listed(shot.reading, aplomb_clip_falls);
    std::sort(falls.begin(), falls.end(),
              [](const auto& a, const auto& b) { return a.short_of > b.short_of; });
    std::vector<int> frames;
    for (const aplomb_fall_range& fall : falls)
        if (frames.size() < most_worst) frames.push_back(fall.worst);
    std::sort(frames.begin(), frames.end());
    return frames;
}

std::vector<int> strip_frames(const Shot& shot) {
    const int last = shot.count() - 1, steps = std::min(strip_length - 1, last);
    std::vector<int> frames;
    for (int k = 0; k <= steps; ++k)
        frames.push_back(steps > 0 ? static_cast<int>(std::lround(static_cast<double>(k) * last / steps))
                                   : 0);
    return frames;
}

/// A shot and its moments.
class Drawing {
public:
    Drawing(const Shot& shot, const Moment& moment, const Options& options, const char* caption)
        : shot_(shot), moments_(shot, moment, options, caption) {}

    void add_worst(int f) { worst_.push_back(moments_.draw(f)); }
    void add_strip(int f) { strip_.push_back(moments_.draw(f)); }
    /// The moments of another.
    void draw_over(const Drawing& keyed) {
        for (const aplomb_drawn_moment& moment : keyed.worst_)
            worst_.push_back(moments_.draw_over(moment));
        for (const aplomb_drawn_moment& moment : keyed.strip_)
            strip_.push_back(moments_.draw_over(moment));
    }
    aplomb_shot_page page(const std::string& title) const {
        aplomb_shot_page page;
        aplomb_shot_page_init(&page, sizeof page);
        page.frame_count = shot_.count();
        page.title = title.c_str();
        page.figure = shot_.character.figure();
        page.clip = &shot_.clip;
        const aplomb_clip_reading* r = shot_.reading.get();
        page.frames = aplomb_clip_frames(r, nullptr);
        page.stances = aplomb_clip_stances(r, &page.stance_count);
        page.falls = aplomb_clip_falls(r, &page.fall_count);
        page.flights = aplomb_clip_flights(r, &page.flight_count);
        page.steps = aplomb_clip_steps(r, &page.step_count);
        page.notes = aplomb_clip_notes(r, &page.note_count);
        page.worst = worst_.data(), page.worst_count = static_cast<int32_t>(worst_.size());
        page.strip = strip_.data(), page.strip_count = static_cast<int32_t>(strip_.size());
        return page;
    }

private:
    const Shot& shot_;
    Moments moments_;
    std::vector<aplomb_drawn_moment> worst_, strip_;
};

} // namespace

void write_clip_page(const Shot& shot, const CorrectedShot* after, const Moment& moment,
                     const Options& options, const std::string& path) {
    const std::string file = std::filesystem::path(shot.character.path()).filename().string();
    const std::string title = file + ", clip '" + shot.name + "'";
    Drawing keyed(shot, moment, options, "keyed");
    for (const int f : worst_frames(shot))
        keyed.add_worst(f);
    for (const int f : strip_frames(shot))
        keyed.add_strip(f);
    aplomb_shot_page page = keyed.page(title);
    if (!after) return write_shot_page(path, page);
    Drawing corrected(after->shot, moment, options, "corrected");
    corrected.draw_over(keyed);
    aplomb_shot_page changed = corrected.page(title);
    changed.balanced = after->frames.data();
    changed.arcs = after->arcs.data(), changed.arc_count = static_cast<int32_t>(after->arcs.size());
    page.after = &changed;
    write_shot_page(path, page);
}

} // namespace aplomb::cli
