// SPDX-License-Identifier: MIT
#include "report/shot.h"

#include <algorithm>

#include "io/fault.h"
#include "report/words.h"

namespace aplomb::report {

Shot::Shot(const aplomb_shot_page& given) : page(given) {
    if (!read_body(page.figure, body)) throw io::Fault{APLOMB_BAD_FIGURE, "figure cannot be read.", "figure"};
    for (const BodyLimb& limb : body.limbs)
        limb_name.push_back(limb_words(body, limb));
}

std::string Shot::frames(int first, int last) const {
    return std::to_string(number(first)) + (last > first ? " to " + std::to_string(number(last)) : "");
}

double Shot::lasting(int first, int last) const {
    if (count() == 1) return 0;
    const auto at = [&](int f) { return frame(f).time; };
    return at(last) - at(first) + (last + 1 < count() ? at(last + 1) - at(last) : at(last) - at(last - 1));
}

int Shot::falling() const {
    int frames_out = 0;
    for (int k = 0; k < page.fall_count; ++k)
        frames_out += page.falls[k].last - page.falls[k].first + 1;
    return frames_out;
}

const char* Shot::length_unit() const {
    return body.stature > 10 ? "m" : body.stature < 0.3 ? "mm" : "cm";
}
double Shot::lengths_per_metre() const {
    return body.stature > 10 ? 1 : body.stature < 0.3 ? 1000 : 100;
}
std::string Shot::length(double host) const {
    return fixed(host * body.metres_per_unit * lengths_per_metre(), body.stature > 10 ? 2 : 1) + ' ' +
           length_unit();
}

Posture Shot::posture(int f) const {
    const aplomb_clip& clip = *page.clip;
    const size_t joints = body.joints.size(), number = clip.floats != 0 ? sizeof(float) : sizeof(double);
    const auto read = [&](const void* start, size_t stride, size_t per_joint) {
        const size_t numbers = per_joint * joints;
        const auto* from = static_cast<const unsigned char*>(start) +
                           static_cast<size_t>(f) * (stride > 0 ? stride : numbers * number);
        std::vector<double> values(numbers);
        if (clip.floats != 0)
            std::copy_n(reinterpret_cast<const float*>(from), numbers, values.begin());
        else
            std::copy_n(reinterpret_cast<const double*>(from), numbers, values.begin());
        return values;
    };
    return place(body, read(clip.translations, clip.translations_stride, 3).data(),
                 read(clip.rotations, clip.rotations_stride, 4).data());
}

} // namespace aplomb::report
