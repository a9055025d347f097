// SPDX-License-Identifier: MIT
// The C entry points for pictures, pages and sheets: everything is checked and drawn before a byte is written.
#include "aplomb/files.h"

#include <algorithm>
#include <cstdio>
#include <cstring>
#include <exception>
#include <new>

#include "io/bytes.h"
#include "io/fault.h"
#include "report/a4.h"
#include "report/check.h"
#include "report/html_page.h"
#include "report/html_sheets.h"
#include "report/shot_page.h"

namespace aplomb::report {
namespace {

aplomb_status tell(aplomb_error* error, const io::Fault& fault) {
    if (error == nullptr) return fault.status;
    *error = {};
    error->status = fault.status;
    error->index = fault.index;
    std::snprintf(error->field, sizeof error->field, "%s", fault.field.c_str());
    std::snprintf(error->message, sizeof error->message, "%s", fault.message.c_str());
    return fault.status;
}

/// Draws and writes; nothing that goes wrong leaves as an exception.
template<class Write>
aplomb_status guarded(aplomb_error* error, Write write) {
    try {
        write();
        return APLOMB_OK;
    } catch (const io::Fault& fault) {
        return tell(error, fault);
    } catch (const std::bad_alloc&) {
        return tell(error, {APLOMB_OUT_OF_MEMORY, "out of memory."});
    } catch (const std::exception& problem) {
        return tell(error, {APLOMB_CANNOT_OPEN, std::string("cannot write: ") + problem.what()});
    }
}

template<class Draw>
aplomb_status to_file(const char* path, aplomb_error* error, Draw draw) {
    return guarded(error, [&] {
        check_path(path);
        io::replace_file(io::to_path(path), draw());
    });
}

template<class Draw>
aplomb_status to_memory(aplomb_take_file take, void* user, aplomb_error* error, Draw draw) {
    return guarded(error, [&] { io::hand_over(draw(), take, user); });
}

std::string drawn_picture(const aplomb_picture* picture) {
    check_picture(picture);
    return draw_a4(make_drawing(*picture));
}

std::string drawn_page(const aplomb_picture* picture) {
    check_picture(picture);
    return html_page(make_drawing(*picture));
}

std::string drawn_sheets(const aplomb_sheet* sheets, int32_t sheet_count) {
    check_sheets(sheets, sheet_count);
    return html_sheets(sheets, sheet_count);
}

std::string drawn_shot(const aplomb_shot_page* page) {
    check_shot_page(page);
    return shot_page(*page);
}

} // namespace
} // namespace aplomb::report

using namespace aplomb::report;

void aplomb_picture_init(aplomb_picture* picture, size_t size) {
    if (picture == nullptr) return;
    aplomb_picture defaults{};
    defaults.struct_size = static_cast<uint32_t>(size);
    std::memset(static_cast<void*>(picture), 0, size);
    std::memcpy(static_cast<void*>(picture), &defaults, std::min(size, sizeof defaults));
}

aplomb_status aplomb_picture_write(const aplomb_picture* picture, const char* path, aplomb_error* error) {
    return to_file(path, error, [&] { return drawn_picture(picture); });
}

aplomb_status aplomb_picture_write_memory(const aplomb_picture* picture, aplomb_take_file take, void* user,
                                          aplomb_error* error) {
    return to_memory(take, user, error, [&] { return drawn_picture(picture); });
}

aplomb_status aplomb_page_write(const aplomb_picture* picture, const char* path, aplomb_error* error) {
    return to_file(path, error, [&] { return drawn_page(picture); });
}

aplomb_status aplomb_page_write_memory(const aplomb_picture* picture, aplomb_take_file take, void* user,
                                       aplomb_error* error) {
    return to_memory(take, user, error, [&] { return drawn_page(picture); });
}

aplomb_status aplomb_sheets_write(const aplomb_sheet* sheets, int32_t sheet_count, const char* path,
                                  aplomb_error* error) {
    return to_file(path, error, [&] { return drawn_sheets(sheets, sheet_count); });
}

aplomb_status aplomb_sheets_write_memory(const aplomb_sheet* sheets, int32_t sheet_count,
                                         aplomb_take_file take, void* user, aplomb_error* error) {
    return to_memory(take, user, error, [&] { return drawn_sheets(sheets, sheet_count); });
}

void aplomb_shot_page_init(aplomb_shot_page* page, size_t size) {
    if (page == nullptr) return;
    aplomb_shot_page defaults{};
    defaults.struct_size = static_cast<uint32_t>(size);
    std::memset(static_cast<void*>(page), 0, size);
    std::memcpy(static_cast<void*>(page), &defaults, std::min(size, sizeof defaults));
}

aplomb_status aplomb_shot_page_write(const aplomb_shot_page* page, const char* path, aplomb_error* error) {
    return to_file(path, error, [&] { return drawn_shot(page); });
}

aplomb_status aplomb_shot_page_write_memory(const aplomb_shot_page* page, aplomb_take_file take, void* user,
                                            aplomb_error* error) {
    return to_memory(take, user, error, [&] { return drawn_shot(page); });
}
