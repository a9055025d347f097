// SPDX-License-Identifier: MIT
// What of a pose is compared with an animator's pose: places and turns, in standard deviations of the defaults.
#pragma once

#include <array>
#include <vector>

#include "aplomb/fit.h"
#include "base/rotation.h"

namespace aplomb::fit {

struct Turned {
    Vec3 place;
    Quat turn;
};

class Measure {
public:
    explicit Measure(const aplomb_figure* figure);

    /// Where the compared joints are in a pose.
    using Shape = std::vector<Turned>;
    aplomb_status shape(const double* translations, const double* rotations, Shape& shape,
                        aplomb_error* error = nullptr) const;

    /// The axes left, up and forward of a pose, as its hips face.
    using Axes = std::array<Vec3, 3>;
    Axes axes(const Shape& keyed) const;

    /// To which part each of the compared numbers belongs; its size is how many there are.
    const std::vector<int>& parts() const { return parts_; }
    /// `answer` less `wanted`, parts().size() numbers.
    void difference(const Shape& answer, const Shape& wanted, const Axes& axes, double* values) const;

private:
    /// A limb of two spans; its joints are places in the shape.
    struct Limb {
        int upper, lower, end, girdle;
        bool arm;
    };
    int keep(int32_t joint);
    void add(int part, int count);

    const aplomb_figure* figure_;
    aplomb_figure_info info_;
    std::vector<int32_t> joints_; // the joints that are in a shape
    std::vector<Limb> limbs_;
    std::vector<int> parts_;
    int hips_ = -1, chest_ = -1, head_ = -1;
    Quat upright_; // turn of the hips in the neutral
    mutable std::vector<double> matrices_;
    double place_unit_, turn_unit_, knee_unit_, arm_unit_;
};

/// The default value of an option.
double usual_of(const char* name);
/// The place of an option in the table.
int32_t option_index(const char* name);

} // namespace aplomb::fit
