// SPDX-License-Identifier: MIT
#include "cli/weight.h"

#include <memory>

#include "base/rotation.h"
#include "cli/clip_text.h"
#include "cli/failure.h"
#include "cli/read_clip.h"

namespace aplomb::cli {
namespace {

struct DestroyResult {
    void operator()(aplomb_clip_balance_result* result) const { aplomb_clip_balance_result_destroy(result); }
};

void check_load(const Load& load, bool balances, const std::string& word) {
    const auto refuse = [&](const char* why) { throw Failure{"--load " + word + ": " + why}; };
    const aplomb_load& l = load.value;
    if (l.hanging == 0) {
        if (load.drop > 0 && load.frames.empty())
            refuse("what drops comes in some frame; add its frames, as frames=24..95");
        if (load.frames.empty() && !balances)
            refuse("only what hangs can swing, and only what arrives makes anything give; add its length, "
                   "as hang=0.35, or its frames, as frames=24..95");
        return;
    }
    if (!(l.hang > 0)) refuse("only what hangs can swing; add its length, as hang=0.35");
    if (l.holder[1] >= 0) refuse("it swings from one hand; give left-hand or right-hand");
    if (l.offset[0] != 0 || l.offset[1] != 0 || l.offset[2] != 0)
        refuse("it swings from the hand itself; leave ways out");
    if (!(l.mass > 0)) refuse("what swings has a mass above 0");
    if (!load.frames.empty() || load.drop > 0) refuse("what swings hangs there in all frames");
}

/// A clip cut off after so many frames, with what stands and what is carried in them.
class Cut {
public:
    Cut(int32_t count, aplomb_clip& clip)
        : m_stances(clip.stances, clip.stances + clip.stance_count),
          m_carries(clip.carries, clip.carries + clip.carry_count) {
        clip.frame_count = count;
        cut(m_stances, count), cut(m_carries, count);
        if (clip.stances) clip.stances = m_stances.data();
        clip.stance_count = static_cast<int32_t>(m_stances.size());
        clip.carries = m_carries.data(), clip.carry_count = static_cast<int32_t>(m_carries.size());
    }

private:
    template<class Range>
    static void cut(std::vector<Range>& ranges, int32_t count) {
        std::erase_if(ranges, [&](const Range& range) { return range.first >= count; });
        for (Range& range : ranges)
            range.last = std::min(range.last, count - 1);
    }

    std::vector<aplomb_stance_range> m_stances;
    std::vector<aplomb_carry> m_carries;
};

/// The last frame of a loop is the first again but for where the character is: so it is of what was made of it.
void close(const Poses& keyed, std::size_t joints, Poses& made) {
    const std::size_t last = keyed.rotations.size() / 4 - joints;
    for (std::size_t j = 0; j < joints; ++j) {
        const auto quat = [](const Poses& poses, std::size_t at) {
            const double* q = &poses.rotations[4 * at];
            return Quat{q[0], q[1], q[2], q[3]};
        };
        const auto place = [](const Poses& poses, std::size_t at) {
            const double* p = &poses.translations[3 * at];
            return Vec3{p[0], p[1], p[2]};
        };
        const Quat turned = normalized(quat(keyed, last + j) * conjugate(quat(keyed, j)));
        put(&made.rotations[4 * (last + j)], normalized(turned * quat(made, j)));
        put(&made.translations[3 * (last + j)],
            place(keyed, last + j) + rotate(turned, place(made, j) - place(keyed, j)));
    }
}

} // namespace

Cargo make_cargo(const Character& character, const Frames& frames, const Arguments& arguments) {
    Cargo cargo;
    const std::vector<std::string>& words = arguments.moment.loads;
    cargo.loads = parse_loads(character, words);
    for (std::size_t i = 0; i < words.size(); ++i)
        check_load(cargo.loads[i], arguments.follow.balance, words[i]);
    const int last = frames.first + static_cast<int>(frames.times.size()) - 1;
    cargo.carries = make_carries(cargo.loads, frames.whole_count, {frames.first, last});
    for (const std::size_t load : cargo.carries.loads)
        cargo.falls.push_back(cargo.loads[load].drop / character.info().metres_per_unit);
    return cargo;
}

Weight::Weight(const Character& character, const Frames& frames, const Cargo& cargo,
               const Arguments& arguments)
    : m_character(character), m_frames(frames), m_cargo(cargo), m_follow(arguments.follow) {
    m_counts = m_follow.balance || m_follow.landings;
    for (std::size_t c = 0; c < cargo.carries.value.size(); ++c)
        m_counts = m_counts || cargo.arrives(c);
    if (!m_counts && !cargo.swings()) {
        if (!arguments.moment.belt.empty())
            throw Failure{
                "--belt goes with --balance, --landings or a --load: nothing else asks for the ground"};
        return;
    }
    const Poses keyed = {frames.translations, frames.rotations};
    aplomb_clip clip = clip_of(keyed);
    set_ground_velocity(character, arguments.moment.belt, clip);
    std::copy(clip.ground_velocity, clip.ground_velocity + 3, m_ground);
    aplomb_clip_reading* made = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_clip_read(character.figure(), &clip, nullptr, nullptr, &made, &error);
    if (m_counts) check(status, error);
    if (status < 0) return; // of what swings alone the steps are a remark's
    const ClipReading reading(made);
    m_stances = listed(reading, aplomb_clip_stances);
    double sum = 0;
    const auto steps = listed(reading, aplomb_clip_steps);
    for (const aplomb_foot_step& step : steps)
        sum += step.seconds;
    if (!steps.empty()) m_step_seconds = sum / static_cast<double>(steps.size());
}

aplomb_clip Weight::clip_of(const Poses& poses) const {
    aplomb_clip clip;
    aplomb_clip_init(&clip, sizeof clip);
    clip.frame_count = static_cast<int32_t>(m_frames.times.size());
    clip.times = m_frames.times.data();
    clip.translations = poses.translations.data(), clip.rotations = poses.rotations.data();
    clip.carries = m_cargo.carries.value.data();
    clip.carry_count = static_cast<int32_t>(m_cargo.carries.value.size());
    clip.first_number = m_frames.first;
    std::copy(m_ground, m_ground + 3, clip.ground_velocity);
    if (!m_stances.empty())
        clip.stances = m_stances.data(), clip.stance_count = static_cast<int32_t>(m_stances.size());
    return clip;
}

std::vector<aplomb_clip_given> Weight::give(Poses& poses) const {
    aplomb_clip_give_options how;
    aplomb_clip_give_options_init(&how, sizeof how);
    how.landings = m_follow.landings, how.held = m_follow.balance;
    how.falls = m_cargo.falls.data();
    const aplomb_clip clip = clip_of(poses);
    std::vector<aplomb_clip_given> given(m_frames.times.size());
    aplomb_error error{};
    check(aplomb_clip_give(m_character.figure(), &clip, &how, nullptr, poses.translations.data(),
                           poses.rotations.data(), given.data(), &error),
          error);
    return given;
}

BalancedShot Weight::balance(const Poses& poses, const std::vector<Tension>& tensions) const {
    aplomb_clip_balance_options how;
    aplomb_clip_balance_options_init(&how, sizeof how);
    how.loop = m_follow.loop;
    std::vector<aplomb_clip_tension> pulls;
    for (const Tension& tension : tensions)
        pulls.push_back({static_cast<int32_t>(tension.carry), 0, tension.forces.data()});
    how.tensions = pulls.data(), how.tension_count = static_cast<int32_t>(pulls.size());
    BalancedShot made;
    made.poses = poses;
    aplomb_clip clip = clip_of(poses);
    const Cut cut(m_follow.loop ? clip.frame_count - 1 : clip.frame_count, clip);
    aplomb_clip_balance_result* result = nullptr;
    aplomb_error error{};
    made.status =
        aplomb_clip_balance(m_character.figure(), &clip, &how, nullptr, made.poses.translations.data(),
                            made.poses.rotations.data(), &result, &error);
    check(made.status, error);
    const std::unique_ptr<aplomb_clip_balance_result, DestroyResult> owned(result);
    int32_t count = 0;
    const aplomb_clip_balanced* frames = aplomb_clip_balanced_frames(result, &count);
    made.frames.assign(frames, frames + count);
    if (m_follow.loop) {
        close(poses, m_frames.joints, made.poses);
        made.frames.push_back(made.frames.front());
    }
    return made;
}

} // namespace aplomb::cli
