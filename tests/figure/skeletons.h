// SPDX-License-Identifier: MIT
// Skeletons for the tests: made by hand, or read from the shared reference files where those are there.
#pragma once

#include <string>
#include <vector>

#include "capi/handles.h"

namespace aplomb_test {

struct Skeleton {
    std::vector<std::string> names;
    std::vector<int32_t> parents;
    std::vector<double> translations, rotations, tips;
    std::vector<int32_t> roles;
    double metres_per_unit = 1;
    int32_t up = APLOMB_AXIS_Y, forward = APLOMB_AXIS_Z;

    /// Adds a joint at a place in the world (all rest rotations stay identity) and returns its index.
    int32_t add(const std::string& name, int32_t parent, double x, double y, double z);
    void set_tip(int32_t joint, double x, double y, double z);
    int32_t find(const std::string& name) const;
    void forget_names();

    std::vector<aplomb::Vec3> places; // of the joints added by add()
};

/// A figure through the public door; prints nothing, fails the test where it cannot be built.
struct Built {
    explicit Built(const Skeleton& skeleton);
    Built(const Skeleton& skeleton, const aplomb_figure_desc& settings);
    Built(const Built&) = delete;
    Built& operator=(const Built&) = delete;
    ~Built() { aplomb_figure_destroy(figure); }

    const aplomb::Joint& joint(const std::string& name) const;
    std::string remarks() const;
    /// Of a pose without change from the neutral.
    aplomb::Vec3 centre_of_mass() const;

    aplomb_figure* figure = nullptr;
    aplomb_status status = APLOMB_OK;
    aplomb_error error = {};
};

/// Reads a file below the shared reference folder; false, with a loud line, where it is missing.
bool read_reference(const std::string& path, Skeleton& skeleton);

/// A biped of the given stature with plain names, arms hanging, on the published proportions of Drillis and
/// Contini 1966 (in D. Winter, Biomechanics, 4th ed. 2009, figure 4.1).
Skeleton make_biped(double stature);

} // namespace aplomb_test
