// SPDX-License-Identifier: MIT
// aplomb_options and the table behind it.
#include <cmath>

#include "base/error.h"
#include "base/structs.h"
#include "pose/options.h"

using namespace aplomb;

namespace {

aplomb_status check_index(int32_t index, aplomb_error* error) {
    if (index >= 0 && index < option_count()) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, "index", index, "index is %d; the options are 0 to %d.", index,
                option_count() - 1);
}

} // namespace

void aplomb_options_init(aplomb_options* options, size_t size) {
    init_struct(options, size, default_options());
}

void aplomb_option_info_init(aplomb_option_info* info, size_t size) {
    init_struct(info, size, aplomb_option_info{});
}

int32_t aplomb_option_count(void) {
    return option_count();
}

aplomb_status aplomb_option_describe(int32_t index, aplomb_option_info* info, aplomb_error* error) {
    if (const auto s = check_struct(info, "info", error)) return s;
    if (const auto s = check_index(index, error)) return s;
    const OptionLine& line = option_line(index);
    aplomb_option_info full{};
    full.whole = line.whole != nullptr;
    full.name = line.name, full.unit = line.unit, full.meaning = line.meaning;
    full.usual = line.usual, full.lowest = line.lowest, full.highest = line.highest;
    write_struct(info, full);
    return APLOMB_OK;
}

double aplomb_option_value(const aplomb_options* options, int32_t index) {
    if (!options || options->struct_size != sizeof *options || check_index(index, nullptr))
        return std::nan("");
    return option_line(index).get(*options);
}

aplomb_status aplomb_option_set(aplomb_options* options, int32_t index, double value, aplomb_error* error) {
    if (const auto s = check_struct(options, "options", error)) return s;
    if (options->struct_size != sizeof *options)
        return fail(error, APLOMB_WRONG_VERSION, "options", -1,
                    "options: struct_size is %u; to set one by its index it must be %zu.",
                    options->struct_size, sizeof *options);
    if (const auto s = check_index(index, error)) return s;
    const OptionLine& line = option_line(index);
    if (const auto s = check_option(line, value, error)) return s;
    if (line.whole && value != std::floor(value))
        return fail(error, APLOMB_BAD_ARGUMENT, line.name, -1, "options.%s is %g; it must be a whole number.",
                    line.name, value);
    line.set(*options, value);
    return APLOMB_OK;
}
