// SPDX-License-Identifier: MIT
// The one table of options: defaults, ranges, units and meanings. A term's own stand with the term.
#pragma once

#include "model/option.h"

namespace aplomb {

int option_count();
const OptionLine& option_line(int index);

aplomb_options default_options();
/// Checks every option; the defaults pass.
aplomb_status check_options(const aplomb_options& options, aplomb_error* error);
aplomb_status check_option(const OptionLine& line, double value, aplomb_error* error);
/// The line of a member.
const OptionLine& line_of(double aplomb_options::*member);

} // namespace aplomb
