// SPDX-License-Identifier: MIT
#include "cli/dots_file.h"

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <vector>

#include "base/trig.h"
#include "cli/failure.h"
#include "cli/numbers.h"
#include "io/disk.h"
#include "io/fault.h"
#include "io/near_names.h"
#include "json/json.h"

namespace aplomb::cli {
namespace {

std::string bytes_of(const std::string& where, const std::string& path) {
    std::error_code fault;
    if (!std::filesystem::is_regular_file(path, fault))
        throw Failure{where + path + ": there is no such file"};
    try {
        return io::read_file(path);
    } catch (const io::Fault& refused) {
        throw Failure{where + refused.message};
    }
}

std::vector<std::string> dot_names() {
    std::vector<std::string> names;
    for (int32_t k = 0; k < APLOMB_DOT_COUNT; ++k)
        names.emplace_back(aplomb_dot_text(static_cast<aplomb_dot>(k)));
    return names;
}

class Reader {
public:
    explicit Reader(const std::string& path) : path_(path) {
        aplomb_dots_init(&file_.dots, sizeof file_.dots);
    }

    DotsFile run() {
        const std::string text = bytes_of("", path_);
        const std::string name = io::lower_case(path_);
        if (name.ends_with(".csv"))
            read_csv(text);
        else if (name.ends_with(".json"))
            read_json(text);
        else
            refuse("dots come as .json or .csv");
        return file_;
    }

private:
    [[noreturn]] void refuse(const std::string& why) const { throw Failure{path_ + ": " + why}; }

    void put(const std::string& name, double x, double y) {
        const int32_t dot = aplomb_dot_find(io::lower_case(name).c_str());
        if (dot < 0) {
            const std::string near = io::near_names(name, dot_names());
            refuse("'" + name + "' is no dot" +
                   (near.empty() ? "; crown, chin, neck, left shoulder and so on are" : near));
        }
        double* place = file_.dots.places[dot];
        if (!std::isnan(place[0])) refuse("the dot " + name + " is given twice");
        place[0] = x, place[1] = y;
        ++file_.count;
    }

    void read_csv(const std::string& text) {
        int number = 0;
        for (const std::string& line : split(text, '\n')) {
            ++number;
            if (line.empty() || line[0] == '#') continue;
            const std::vector<std::string> cells = split(line, ',');
            const std::string where = "line " + std::to_string(number);
            if (cells.size() != 3) refuse(where + ": '" + line + "' is not a name, x and y");
            const auto x = parse_number(cells[1]), y = parse_number(cells[2]);
            if (!x && !y && file_.count == 0 && !head_) { // a head of names
                head_ = true;
                continue;
            }
            if (!x || !y) refuse(where + ": '" + (x ? cells[2] : cells[1]) + "' is not a number");
            put(cells[0], *x, *y);
        }
    }

    double number(const Json& value, const std::string& name) const {
        if (!value.is_number()) refuse(name + " is not a number");
        return value.get<double>();
    }
    std::string word(const Json& value, const std::string& name) const {
        if (!value.is_string()) refuse(name + " is not a text");
        return value.get<std::string>();
    }
    void point(const Json& value, const std::string& name, double& x, double& y) const {
        if (!value.is_array() || value.size() != 2) refuse(name + " is not a list of two numbers, x and y");
        x = number(value[0], name), y = number(value[1], name);
    }

    void read_json(const std::string& text) {
        Json document;
        try {
            document =
                Json::parse(text, [this](const std::string& key) { refuse("'" + key + "' is there twice"); });
        } catch (const Failure&) {
            throw;
        } catch (const std::exception& fault) {
            refuse(std::string("this is not JSON: ") + fault.what());
        }
        if (!document.is_object() || !document.contains("dots") || !document["dots"].is_object())
            refuse("an object with \"dots\", from names to [x, y], is needed");
        aplomb_dots& dots = file_.dots;
        for (const auto& [name, value] : document.items()) {
            if (name == "dots") {
                for (const auto& [dot, place] : value.items()) {
                    double x = 0, y = 0;
                    point(place, "the dot " + dot, x, y);
                    put(dot, x, y);
                }
            } else if (name == "image")
                file_.image = word(value, name);
            else if (name == "size")
                point(value, name, dots.width, dots.height);
            else if (name == "build")
                dots.build = build(word(value, name));
            else if (name == "stature")
                dots.stature = number(value, name);
            else if (name == "mass")
                dots.mass = number(value, name);
            else if (name == "noise")
                dots.noise = number(value, name);
            else if (name == "keep")
                dots.keep = static_cast<int32_t>(number(value, name));
            else if (name == "camera")
                camera(value);
            else if (name != "note")
                refuse("'" + name +
                       "' is not known; dots, image, size, build, stature, mass, noise, keep, camera and "
                       "note are");
        }
    }
    int32_t build(const std::string& name) const {
        const char* const names[] = {"adult", "child", "toddler"};
        for (int32_t k = 0; k < 3; ++k)
            if (name == names[k]) return k;
        refuse("build '" + name + "' is not known; adult, child and toddler are");
    }
    void camera(const Json& value) {
        if (!value.is_object()) refuse("camera is not an object");
        for (const auto& [name, part] : value.items()) {
            if (name == "tilt")
                file_.dots.tilt = number(part, "the camera's tilt") * degree;
            else if (name == "angle")
                file_.dots.angle = number(part, "the camera's angle") * degree;
            else if (name == "height")
                file_.dots.camera_height = number(part, "the camera's height");
            else
                refuse("the camera's '" + name + "' is not known; tilt, angle and height are");
        }
    }

    std::string path_;
    DotsFile file_{};
    bool head_ = false;
};

unsigned big_endian(const std::string& bytes, std::size_t at, int count) {
    unsigned value = 0;
    for (int k = 0; k < count; ++k)
        value = value << 8 | static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(k)]);
    return value;
}

/// ISO/IEC 15948, 11.2.2: the header comes first.
bool png_size(Image& image) {
    if (!image.bytes.starts_with("\x89PNG\r\n\x1a\n") || image.bytes.size() < 24) return false;
    image.kind = "image/png";
    image.width = big_endian(image.bytes, 16, 4), image.height = big_endian(image.bytes, 20, 4);
    return true;
}

/// ITU-T T.81, B.2.2: a frame header holds the size.
bool jpeg_size(Image& image) {
    const std::string& bytes = image.bytes;
    if (!bytes.starts_with("\xff\xd8\xff")) return false;
    image.kind = "image/jpeg";
    for (std::size_t at = 2; at + 9 < bytes.size() && bytes[at] == '\xff';) {
        const unsigned marker = big_endian(bytes, at + 1, 1);
        if (marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc) {
            image.height = big_endian(bytes, at + 5, 2), image.width = big_endian(bytes, at + 7, 2);
            return true;
        }
        at += 2 + big_endian(bytes, at + 2, 2);
    }
    return true;
}

/// The attribute's numbers within the first tag <svg.
std::vector<double> numbers_of(const std::string& tag, const std::string& attribute) {
    const std::size_t at = tag.find(" " + attribute + "=\"");
    std::vector<double> numbers;
    if (at == std::string::npos) return numbers;
    const char* text = tag.c_str() + at + attribute.size() + 3;
    for (char* end = nullptr;; text = *end == ',' ? end + 1 : end) {
        const double value = std::strtod(text, &end);
        if (end == text) return numbers;
        numbers.push_back(value);
    }
}

/// SVG 1.1, 7: width and height, in pixels, or those of the view box.
bool svg_size(Image& image) {
    const std::size_t at = image.bytes.find("<svg");
    if (at == std::string::npos || at > 4096) return false;
    image.kind = "image/svg+xml";
    const std::string tag = image.bytes.substr(at, image.bytes.find('>', at) - at);
    const auto width = numbers_of(tag, "width"), height = numbers_of(tag, "height"),
               box = numbers_of(tag, "viewBox");
    if (width.size() == 1 && height.size() == 1)
        image.width = width[0], image.height = height[0];
    else if (box.size() == 4)
        image.width = box[2], image.height = box[3];
    return true;
}

} // namespace

DotsFile read_dots(const std::string& path) {
    return Reader(path).run();
}

Image read_image(const std::string& option, const std::string& path) {
    const std::string where = option.empty() ? "" : option + " ";
    Image image;
    image.bytes = bytes_of(where, path);
    if (!png_size(image) && !jpeg_size(image) && !svg_size(image))
        throw Failure{where + path + ": that is no PNG, JPEG or SVG"};
    if (!(image.width >= 1 && image.height >= 1))
        throw Failure{where + path + ": the picture does not tell its width and height"};
    return image;
}

} // namespace aplomb::cli
