// SPDX-License-Identifier: MIT
// Refuses pictures and sheets that cannot be drawn, with one sentence that names what is wrong (io/fault.h).
#pragma once

#include "aplomb/files.h"

namespace aplomb::report {

void check_path(const char* path);
void check_picture(const aplomb_picture* picture);
void check_shot_page(const aplomb_shot_page* page);
void check_sheets(const aplomb_sheet* sheets, int32_t sheet_count);

} // namespace aplomb::report
