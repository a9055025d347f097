// SPDX-License-Identifier: MIT
// aplomb timing: how many frames things take. The formulas and their sources stand in its help.
#include <array>
#include <set>

#include "aplomb/follow.h"
#include "base/trig.h"
#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/numbers.h"
#include "cli/text.h"
#include "io/near_names.h"
#include "json/json.h"

namespace aplomb::cli {
namespace {

class Timing {
public:
    explicit Timing(const TimingArguments& arguments)
        : a_(arguments), fps_(above_zero("--fps", a_.fps, number("--fps", a_.fps, 24))) {}

    void run() {
        time();
        refuse_what_says_nothing();
    }
    std::string text() const { return a_.json ? json_.dump(2, ' ', Json::Broken::replaced) + "\n" : text_; }

private:
    void time() {
        const struct {
            const char* name;
            void (Timing::*run)();
        } things[] = {{"fall", &Timing::fall},
                      {"bounce", &Timing::bounce},
                      {"pendulum", &Timing::pendulum},
                      {"step", &Timing::step},
                      {"settle", &Timing::settle}};
        std::vector<std::string> names;
        for (const auto& thing : things) {
            if (a_.what == thing.name) return (this->*thing.run)();
            names.push_back(thing.name);
        }
        if (a_.what.empty()) throw Failure{"a THING is needed, as in: aplomb timing fall --height 1.2"};
        const std::string near = io::near_names(a_.what, names);
        throw Failure{"'" + a_.what + "' is not timed" +
                      (near.empty() ? "; use fall, bounce, pendulum, step or settle" : near)};
    }
    void refuse_what_says_nothing() const {
        const struct {
            const char* name;
            const std::string& text;
        } options[] = {{"--height", a_.height},       {"--restitution", a_.restitution},
                       {"--count", a_.count},         {"--length", a_.length},
                       {"--angle", a_.angle},         {"--leg", a_.leg},
                       {"--frames", a_.frames},       {"--other", a_.other},
                       {"--frequency", a_.frequency}, {"--damping", a_.damping},
                       {"--part", a_.part},           {"--gravity", a_.gravity}};
        for (const auto& option : options)
            if (!option.text.empty() && read_.count(&option.text) == 0)
                throw Failure{std::string(option.name) + " does not go with timing " + a_.what};
    }

    /// `usual` where it is not given.
    double number(const char* option, const std::string& text, double usual) {
        read_.insert(&text);
        if (text.empty()) return usual;
        const auto value = parse_part(text);
        if (!value) throw Failure{std::string(option) + " " + text + ": that is not a number"};
        return *value;
    }
    double needed(const char* option, const std::string& text) {
        if (text.empty()) throw Failure{"timing " + a_.what + " needs " + option};
        return number(option, text, 0);
    }
    static double above_zero(const char* option, const std::string& text, double value) {
        if (!(value > 0)) throw Failure{std::string(option) + " is " + text + "; it must be above 0"};
        return value;
    }
    double gravity() { return number("--gravity", a_.gravity, 9.80665); }
    /// Refuses in the option's own words.
    void check_call(aplomb_status status, const aplomb_error& error) const {
        if (status >= 0) return;
        throw Failure{"--" + std::string(error.message)};
    }
    std::string frames(double seconds) const {
        return fixed_number(seconds * fps_, 1) + " frames (" + fixed_number(seconds, 2) + " s)";
    }
    std::string rate() const { return " at " + short_number(fps_, 2) + " frames a second"; }
    void say(const std::string& sentence) { text_ += sentence + "\n"; }
    void put(const char* name, double value) { json_[name] = value; }

    void fall() {
        double seconds = 0;
        aplomb_error error{};
        check_call(aplomb_fall_time(needed("--height", a_.height), gravity(), &seconds, &error), error);
        say("It falls for " + frames(seconds) + rate() + ".");
        put("seconds", seconds), put("frames", seconds * fps_);
    }
    void bounce() {
        const double height = needed("--height", a_.height), back = needed("--restitution", a_.restitution);
        const double count = number("--count", a_.count, 5);
        if (!(count >= 1 && count <= 1000 && count == static_cast<int>(count)))
            throw Failure{"--count is " + a_.count + "; whole numbers from 1 to 1000 are allowed"};
        const double g = gravity();
        Table table({true, true, true, true});
        table.add({"landing", "frame", "comes up to", "frames in the air"});
        Json list = Json::array();
        for (int k = 0; k < static_cast<int>(count); ++k) {
            aplomb_bounce b{};
            aplomb_error error{};
            check_call(aplomb_bounce_time(height, back, g, k, &b, &error), error);
            table.add({std::to_string(k + 1), fixed_number(b.landing * fps_, 1), centimetres(b.height),
                       fixed_number(b.air * fps_, 1)});
            list.push_back({{"landing", b.landing}, {"height", b.height}, {"air", b.air}});
        }
        text_ += "From letting go," + rate() + ":\n" + table.text();
        json_["bounces"] = list;
    }
    void pendulum() {
        const double length = needed("--length", a_.length), angle = number("--angle", a_.angle, 0);
        if (!(angle >= 0 && angle < 180))
            throw Failure{"--angle is " + a_.angle + "; 0 to below 180 are allowed"};
        const double g = gravity();
        double seconds = 0;
        aplomb_error error{};
        check_call(aplomb_pendulum_time(length, angle * degree, g, &seconds, &error), error);
        say("There and back it swings for " + frames(seconds) + rate() + ".");
        put("seconds", seconds), put("frames", seconds * fps_);
        if (a_.frames.empty()) return;
        const double step = step_frames() / fps_;
        std::array<char, 240> remark{};
        aplomb_hanging_remark(length, g, step, remark.data(), remark.size());
        say(remark[0] ? remark.data() : "Steps do not feed the swing.");
        json_["remark"] = std::string(remark.data());
    }
    void step() {
        double other = 0;
        aplomb_error error{};
        const double leg = needed("--leg", a_.leg), given = step_frames();
        check_call(aplomb_step_time(leg, given / fps_, needed("--other", a_.other), &other, &error), error);
        say("The other takes its step in " + frames(other) + rate() + ".");
        put("seconds", other), put("frames", other * fps_);
    }
    double step_frames() { return above_zero("--frames", a_.frames, needed("--frames", a_.frames)); }
    void settle() {
        double seconds = 0;
        aplomb_error error{};
        const double frequency = needed("--frequency", a_.frequency),
                     damping = needed("--damping", a_.damping);
        const double part = number("--part", a_.part, .1);
        check_call(aplomb_settle_time(frequency, damping, part, &seconds, &error), error);
        say("After " + frames(seconds) + rate() + " it stays within " + per_cent(part) +
            " of where it was let go from.");
        put("seconds", seconds), put("frames", seconds * fps_);
    }

    const TimingArguments& a_;
    std::set<const std::string*> read_; // options that the thing has looked at
    double fps_;
    std::string text_;
    Json json_ = Json::object();
};

} // namespace

int run_timing(const Arguments& arguments) {
    Timing timing(arguments.timing);
    timing.run();
    print(timing.text());
    return exit_in_balance;
}

} // namespace aplomb::cli
