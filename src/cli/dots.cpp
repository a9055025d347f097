// SPDX-License-Identifier: MIT
// aplomb dots: a figure under the dots of a drawing, read and corrected as a pose is.
#include "aplomb/drawing.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>

#include "base/trig.h"
#include "cli/commands.h"
#include "cli/correction.h"
#include "cli/dots_file.h"
#include "cli/dots_overlay.h"
#include "cli/drawn_figure.h"
#include "cli/failure.h"
#include "cli/json.h"
#include "cli/numbers.h"
#include "cli/reading_text.h"
#include "cli/results.h"
#include "cli/text.h"
#include "io/disk.h"
#include "io/fault.h"
#include "io/near_names.h"
#include "json/json.h"

namespace aplomb::cli {
namespace {

/// One answer, as the pose of a character.
struct Shown {
    aplomb_drawing_answer answer;
    std::string bvh;
    Character character;
    Moment moment;
    Situation situation;
    Solver solver;
    aplomb_reading reading;
};

std::string answer_text(int32_t index, std::size_t count) {
    return "answer " + std::to_string(index + 1) + " of " + std::to_string(count);
}

Shown show(const Drawing& drawing, int32_t index, const DotsFile& file, const Arguments& arguments) {
    const aplomb_drawing_answer answer = answer_of(drawing, index);
    std::string bvh = bvh_of(answer);
    Character character = character_of(answer, bvh, file.dots.build, arguments.file.file);
    Moment moment = choose_moment(character, {});
    moment.contacts.assign(answer.contacts, answer.contacts + answer.contact_count);
    moment.place = answer_text(index, static_cast<std::size_t>(aplomb_drawing_answer_count(drawing.get())));
    Situation situation = make_situation(character, moment, arguments.moment);
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    Solver solver = make_solver(character);
    aplomb_error error{};
    check(aplomb_read(solver.get(), &situation.value, nullptr, &reading, &error), error);
    return {answer,
            std::move(bvh),
            std::move(character),
            std::move(moment),
            std::move(situation),
            std::move(solver),
            std::move(reading)};
}

/// How far the balance point is inside what bears, along the picture; negative: outside.
double margin_along(const aplomb_reading& r) {
    double low = 1e30, high = -1e30;
    for (int32_t k = 0; k < r.edge_count; ++k)
        low = std::min(low, r.area[k][0]), high = std::max(high, r.area[k][0]);
    return std::min(r.balance_point[0] - low, high - r.balance_point[0]);
}

/// In how many of the poses that the dots leave open the balance point is inside what bears, 0 to 1.
struct Likely {
    double along = 0, everywhere = 0;
};

Likely likely_balance(const Drawing& drawing, const std::vector<Shown>& all, const Arguments& arguments) {
    Likely likely;
    for (int32_t k = 0; k < APLOMB_DRAWING_VARIANTS; ++k) {
        aplomb_drawing_variant variant;
        aplomb_error error{};
        check(aplomb_drawing_variant_at(drawing.get(), k, &variant, &error), error);
        const Shown& answer = all[static_cast<std::size_t>(variant.answer)];
        Moment moment = answer.moment;
        moment.translations.assign(variant.translations, variant.translations + moment.translations.size());
        moment.rotations.assign(variant.rotations, variant.rotations + moment.rotations.size());
        moment.contacts.assign(variant.contacts, variant.contacts + variant.contact_count);
        const Situation situation = make_situation(answer.character, moment, arguments.moment);
        aplomb_reading reading;
        aplomb_reading_init(&reading, sizeof reading);
        check(aplomb_read(answer.solver.get(), &situation.value, nullptr, &reading, &error), error);
        likely.along += margin_along(reading) > 0 ? 1.0 / APLOMB_DRAWING_VARIANTS : 0;
        likely.everywhere += reading.margin > 0 ? 1.0 / APLOMB_DRAWING_VARIANTS : 0;
    }
    return likely;
}

/// Said of 87 % of recorded frames, and right in 95 % of those (tests/fit, drawing_numbers: 985 drawings of fresh seeds).
constexpr double said_from = .8;

std::string likely_text(double inside) {
    const std::string point = "the balance point is ";
    if (inside >= said_from) return point + "inside the support area (" + per_cent(inside) + " likely)";
    if (inside <= 1 - said_from)
        return point + "outside the support area (" + per_cent(1 - inside) + " likely)";
    const bool in = inside > .5;
    return point + "likelier " + (in ? "inside" : "outside") + " the support area than " +
           (in ? "outside" : "inside") + " (" + per_cent(in ? inside : 1 - inside) +
           "), but the dots leave it open";
}

std::string numbered(const std::vector<std::size_t>& answers) {
    std::string text = answers.size() == 1 ? "answer " : "answers ";
    for (std::size_t k = 0; k < answers.size(); ++k)
        text += (k == 0 ? "" : k + 1 == answers.size() ? " and " : ", ") + std::to_string(answers[k] + 1);
    return text;
}

/// Which readings the answers agree in, and which they leave open.
std::vector<std::string> open_readings(const std::vector<Shown>& all, const Likely& likely) {
    std::vector<std::string> said = {"Along the picture " + likely_text(likely.along) + ".",
                                     "Counting depth, " + likely_text(likely.everywhere) + "."};
    std::vector<std::size_t> in, out;
    for (std::size_t k = 0; k < all.size(); ++k)
        (all[k].reading.margin > 0 ? in : out).push_back(k);
    if (!in.empty() && !out.empty())
        said.push_back("It is inside in " + numbered(in) + ", outside in " + numbered(out) + ".");
    double least = 1e30, most = -1e30;
    for (const Shown& shown : all)
        least = std::min(least, shown.reading.margin), most = std::max(most, shown.reading.margin);
    if (most - least > .01)
        said.push_back("The margin is " + centimetres(least) + " to " + centimetres(most) +
                       ", as depth is taken (below 0: outside).");
    for (int32_t load = 0; load < all.front().reading.load_count; ++load) {
        double low = 1e30, high = -1e30;
        for (const Shown& shown : all) {
            const aplomb_load_reading& r = shown.reading.loads[load];
            if (r.tells && !std::isnan(r.natural))
                low = std::min(low, r.natural), high = std::max(high, r.natural);
        }
        if (high - low > .5)
            said.push_back("Load " + std::to_string(load + 1) + " reads as " + kilograms(low) + " to " +
                           kilograms(high) + ", as depth is taken.");
    }
    return said;
}

std::string facing_text(double facing) {
    const double turned = std::fabs(facing) / degree;
    const std::string side = facing > 0 ? "right" : "left"; // of the picture
    if (turned < 20) return "the figure faces the viewer";
    if (turned > 160) return "the figure faces away";
    if (turned < 70) return "the figure faces the viewer, turned to the picture's " + side;
    if (turned > 110) return "the figure faces away, turned to the picture's " + side;
    return "the figure faces the picture's " + side;
}

std::vector<std::string> differences_of(const Drawing& drawing) {
    std::vector<std::string> list;
    while (const char* text = aplomb_drawing_difference(drawing.get(), static_cast<int32_t>(list.size())))
        list.emplace_back(text);
    return list;
}

std::string part_text(double part) {
    return fixed_number(100 * part, 1) + " %";
}

std::string fit_text(const DotsFile& file, const Shown& s) {
    const aplomb_drawing_answer& a = s.answer;
    return std::to_string(file.count) + " dots fit within " + part_text(a.misfit) + " of the stature; the " +
           aplomb_dot_text(static_cast<aplomb_dot>(a.worst_dot)) + " is furthest off, " +
           part_text(a.worst_misfit) + ".\nSeen at " + short_number(a.scale, 0) +
           " pixels a metre; the camera looks " +
           (std::fabs(a.tilt) < 1.5 * degree ? "level"
                                             : degrees(std::fabs(a.tilt)) + (a.tilt > 0 ? " down" : " up")) +
           "; " + facing_text(a.facing) + ".\n";
}

std::string list_text(const char* heading, const std::vector<std::string>& lines) {
    std::string text = lines.empty() ? "" : std::string("\n") + heading + ":\n";
    for (const std::string& line : lines)
        text += "  " + line + "\n";
    return text;
}

std::string wrote(const Arguments& arguments) {
    std::string text = wrote_text(arguments);
    if (arguments.dots.figure.empty()) return text;
    return (text.empty() ? "\n" : text) + "Wrote " + arguments.dots.figure + "\n";
}

std::string text_of(const Drawing& drawing, const DotsFile& file, const std::vector<Shown>& all,
                    const Shown& s, const Likely& likely, const Correction& made,
                    const Arguments& arguments) {
    std::string text = printable(arguments.file.file) + ", " + s.moment.place + ", " +
                       per_cent(s.answer.chance) + " likely\n" + figure_line(s.character, s.situation) +
                       "\n" + fit_text(file, s) + "\n";
    const bool changed = made.result.changed && !made.explanation.empty();
    text += "Drawn:     " + verdict(s.character, s.moment, s.situation, made.before) + "\n";
    if (changed) text += "Corrected: " + verdict(s.character, s.moment, s.situation, made.after) + "\n";
    text += "\n" + (made.explanation.empty() ? "Nothing changes." : made.explanation) + "\n\n";
    text += "As drawn:\n" + standing_text(s.character, s.moment, s.situation, made.before);
    if (made.before.load_count > 0)
        text += "\nWhat it carries, going by the drawing alone:\n" + loads_text(s.situation, made.before);
    text += cues_text("How it reads", made.before);
    text += list_text("What the picture leaves open", open_readings(all, likely));
    text += list_text("Where the answers differ", differences_of(drawing));
    return text + wrote(arguments);
}

std::string json_text(const Drawing& drawing, const std::vector<Shown>& all, const Shown& s,
                      const Likely& likely, const Correction& made, const Arguments& arguments) {
    Json answers = Json::array();
    for (const Shown& one : all) {
        const aplomb_drawing_answer& a = one.answer;
        answers.push_back({{"chance", a.chance},
                           {"cost", a.cost},
                           {"misfit", a.misfit},
                           {"worst_misfit", a.worst_misfit},
                           {"worst_dot", aplomb_dot_text(static_cast<aplomb_dot>(a.worst_dot))},
                           {"scale", a.scale},
                           {"tilt", a.tilt},
                           {"facing", a.facing},
                           {"limits_met", a.limits_met},
                           {"in_balance", one.reading.in_balance != 0},
                           {"margin", one.reading.margin}});
    }
    std::vector<Written> files = written(arguments);
    if (!arguments.dots.figure.empty()) files.push_back({"figure", arguments.dots.figure});
    Json document = Json::object();
    document["answers"] = answers;
    document["differences"] = differences_of(drawing);
    document["likely_in_balance"] = {{"along_picture", likely.along}, {"every_direction", likely.everywhere}};
    document["open"] = open_readings(all, likely);
    document["answer"] = arguments.dots.answer;
    document["pose"] = Json::parse(json_of_correction(s.character, s.moment, s.situation, made, files));
    return document.dump(2, ' ', Json::Broken::replaced) + "\n";
}

std::vector<std::string> words_of(const std::vector<Shown>& all, const Shown& s, const Likely& likely,
                                  const Correction& made) {
    std::vector<std::string> words = {
        "As drawn: " + verdict(s.character, s.moment, s.situation, made.before) + "."};
    if (made.result.changed)
        words.push_back("Corrected: " + verdict(s.character, s.moment, s.situation, made.after) + ".");
    words.push_back(open_readings(all, likely).front());
    return words;
}

/// A page of its own: the drawing with its lines, then what is said of it.
std::string page_of(const std::string& title, const std::string& svg, const std::string& text) {
    const auto escaped = [](const std::string& plain) {
        std::string out;
        for (const char c : plain)
            out += c == '&' ? "&amp;" : c == '<' ? "&lt;" : c == '>' ? "&gt;" : std::string(1, c);
        return out;
    };
    return "<!DOCTYPE html>\n<html lang=\"en\" xmlns=\"http://www.w3.org/1999/xhtml\">\n<head><meta "
           "charset=\"utf-8\"/><title>" +
           escaped(title) +
           "</title>\n<style>body { font-family: sans-serif; color: #222; max-width: 60rem; margin: 2rem "
           "auto; padding: 0 "
           "1rem; } svg { width: 100%; height: auto; max-height: 85vh; } pre { white-space: pre-wrap; "
           "font-size: .95rem; "
           "line-height: 1.45; } p { color: #555; }</style></head>\n<body>\n<h1>" +
           escaped(title) + "</h1>\n" + svg + "<pre>" + escaped(text) +
           "</pre>\n<p>Results are about drawn and simulated characters; they say nothing about what a "
           "living person can "
           "lift.</p>\n</body>\n</html>\n";
}

void check_figure_target(const Arguments& arguments) {
    const std::string& path = arguments.dots.figure;
    if (path.empty()) return;
    if (!io::lower_case(path).ends_with(".bvh"))
        throw Failure{"--figure " + path + ": the figure is written as BVH; name it .bvh"};
    const std::filesystem::path folder = std::filesystem::path(path).parent_path();
    std::error_code fault;
    if (!folder.empty() && !std::filesystem::is_directory(folder, fault))
        throw Failure{"--figure " + path + ": '" + folder.string() +
                      "' does not exist; create that folder first"};
}

/// All of them are made before the first is written.
void write_all(const std::vector<std::pair<std::string, std::string>>& files) {
    for (const auto& [path, bytes] : files) {
        if (path.empty()) continue;
        try {
            io::replace_file(path, bytes);
        } catch (const io::Fault& refused) {
            throw Failure{refused.message};
        }
    }
}

} // namespace

int run_dots(const Arguments& arguments) {
    check_targets(arguments);
    check_figure_target(arguments);
    DotsFile file = read_dots(arguments.file.file);
    std::optional<Image> image;
    if (!arguments.dots.image.empty()) {
        image = read_image("--image", arguments.dots.image);
    } else if (!file.image.empty()) {
        const std::filesystem::path beside =
            std::filesystem::path(arguments.file.file).parent_path() / file.image;
        image = read_image("", beside.string());
    }
    if (image && file.dots.width == 0) file.dots.width = image->width, file.dots.height = image->height;

    aplomb_drawing* made_drawing = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_drawing_fit(&file.dots, &made_drawing, &error);
    if (status < 0) throw Failure{printable(arguments.file.file) + ": " + error.message};
    const Drawing drawing(made_drawing);
    const int32_t count = aplomb_drawing_answer_count(drawing.get());
    if (arguments.dots.answer < 1 || arguments.dots.answer > count)
        throw Failure{"--answer " + std::to_string(arguments.dots.answer) + ": there " +
                      (count == 1 ? "is one answer" : "are " + std::to_string(count) + " answers")};

    std::vector<Shown> all;
    for (int32_t k = 0; k < count; ++k)
        all.push_back(show(drawing, k, file, arguments));
    const Likely likely = likely_balance(drawing, all, arguments);
    const int32_t index = arguments.dots.answer - 1;
    const Shown& s = all[static_cast<std::size_t>(index)];
    const Options options = make_options(s.character, arguments);
    const Correction made = correct(s.character, s.moment, s.situation, options);

    Overlay overlay;
    overlay.drawing = &drawing, overlay.answer = index, overlay.dots = &file.dots;
    overlay.image = image ? &*image : nullptr;
    overlay.character = &s.character, overlay.moment = &s.moment, overlay.situation = &s.situation;
    overlay.made = &made;
    overlay.title = std::filesystem::path(arguments.file.file).filename().string() + ", " + s.moment.place;
    overlay.words = words_of(all, s, likely, made);
    const std::string text = text_of(drawing, file, all, s, likely, made, arguments);
    const std::string svg = overlay_svg(overlay);
    Arguments unwritten = arguments;
    unwritten.moment.picture.clear(), unwritten.moment.page.clear(), unwritten.dots.figure.clear();
    const std::string plain = text_of(drawing, file, all, s, likely, made, unwritten);
    write_all({{arguments.moment.picture, svg},
               {arguments.moment.page, page_of(overlay.title, svg, plain)},
               {arguments.dots.figure, s.bvh}});
    print(arguments.file.json ? json_text(drawing, all, s, likely, made, arguments) : text);
    return made.before.in_balance ? exit_in_balance : exit_out_of_balance;
}

} // namespace aplomb::cli
