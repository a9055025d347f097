// SPDX-License-Identifier: MIT
// aplomb_manner_*: a studio's manner is learnt from pairs.
#include <memory>

#include "base/structs.h"
#include "fit/border.h"
#include "fit/learn.h"
#include "fit/manner_text.h"

struct aplomb_manner {
    aplomb::fit::Manner learnt;
};

namespace aplomb::fit {
namespace {

aplomb_options default_options() {
    aplomb_options options;
    aplomb_options_init(&options, sizeof options);
    return options;
}

aplomb_status check_options(const aplomb_options& options, aplomb_error* error) {
    aplomb_options checked = default_options();
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        const double value = aplomb_option_value(&options, i);
        if (const aplomb_status status = aplomb_option_set(&checked, i, value, error)) return status;
    }
    return APLOMB_OK;
}

aplomb_status learn_from(const aplomb_figure& figure, const aplomb_pair* given, int32_t count,
                         const aplomb_options& start, const Progress& progress, aplomb_manner*& made,
                         aplomb_error* error) {
    Pairs pairs(&figure, start);
    for (int32_t i = 0; i < count; ++i) {
        if (const aplomb_status status = pairs.add(given[i], error)) return status;
    }
    auto manner = std::make_unique<aplomb_manner>();
    const aplomb_status status = learn(pairs, progress, manner->learnt, error);
    if (status == APLOMB_OK) made = manner.release();
    return status;
}

template<class T>
const T* listed(const std::vector<T>& items, int32_t* count) {
    if (count) *count = static_cast<int32_t>(items.size());
    return items.data();
}

aplomb_status check_manner(const aplomb_manner* manner, aplomb_error* error) {
    if (manner) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, "manner", -1, "manner is NULL.");
}

} // namespace
} // namespace aplomb::fit

using namespace aplomb;

extern "C" {

void aplomb_manner_options_init(aplomb_manner_options* options, size_t size) {
    init_struct(options, size, aplomb_manner_options{});
}

void aplomb_manner_info_init(aplomb_manner_info* info, size_t size) {
    init_struct(info, size, aplomb_manner_info{});
}

const char* aplomb_manner_part_text(aplomb_manner_part part) {
    return fit::part_text(part);
}

aplomb_status aplomb_manner_learn(const aplomb_figure* figure, const aplomb_pair* pairs, int32_t count,
                                  const aplomb_manner_options* options, aplomb_manner** manner,
                                  aplomb_error* error) {
    if (!manner) return fail(error, APLOMB_BAD_ARGUMENT, "manner", -1, "manner is NULL.");
    *manner = nullptr;
    if (!figure) return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    if (!pairs) return fail(error, APLOMB_BAD_ARGUMENT, "pairs", -1, "pairs is NULL.");
    if (count < 2 || count > APLOMB_MAX_PAIRS)
        return fail(error, APLOMB_BAD_ARGUMENT, "count", -1, "%d pair%s given; a manner takes 2 to %d.",
                    count, count == 1 ? " is" : "s are", APLOMB_MAX_PAIRS);
    aplomb_manner_options how{};
    if (options) {
        if (const aplomb_status status = check_struct(options, "options", error)) return status;
        how = read_struct(options, how);
    }
    aplomb_options start = fit::default_options();
    if (how.options) {
        if (const aplomb_status status = check_struct(how.options, "options.options", error)) return status;
        start = read_struct(how.options, start);
        start.struct_size = sizeof start;
        if (const aplomb_status status = fit::check_options(start, error)) return status;
    }
    const fit::Progress progress{how.progress, how.progress_user};
    return fit::guarded("a manner", error, [&] {
        return fit::learn_from(*figure, pairs, count, start, progress, *manner, error);
    });
}

void aplomb_manner_destroy(aplomb_manner* manner) {
    delete manner;
}

aplomb_status aplomb_manner_describe(const aplomb_manner* manner, aplomb_manner_info* info,
                                     aplomb_error* error) {
    if (const aplomb_status status = fit::check_manner(manner, error)) return status;
    if (const aplomb_status status = check_struct(info, "info", error)) return status;
    write_struct(info, manner->learnt.info);
    return APLOMB_OK;
}

const aplomb_manner_number* aplomb_manner_numbers(const aplomb_manner* manner, int32_t* count) {
    static const std::vector<aplomb_manner_number> none;
    return fit::listed(manner ? manner->learnt.numbers : none, count);
}

const aplomb_manner_pair* aplomb_manner_pairs(const aplomb_manner* manner, int32_t* count) {
    static const std::vector<aplomb_manner_pair> none;
    return fit::listed(manner ? manner->learnt.pairs : none, count);
}

aplomb_status aplomb_manner_apply(const aplomb_manner* manner, aplomb_options* options, aplomb_error* error) {
    if (const aplomb_status status = fit::check_manner(manner, error)) return status;
    if (const aplomb_status status = check_struct(options, "options", error)) return status;
    aplomb_options set = read_struct(options, fit::default_options());
    for (const aplomb_manner_number& number : manner->learnt.numbers) {
        if (number.told == 0) continue;
        set.struct_size = sizeof set;
        if (const aplomb_status status = aplomb_option_set(&set, number.option, number.value, error))
            return status;
    }
    write_struct(options, set);
    return APLOMB_OK;
}

int32_t aplomb_manner_explain(const aplomb_manner* manner, char* text, size_t size) {
    if (text && size > 0) text[0] = '\0';
    if (!manner) return 0;
    int32_t length = 0;
    fit::guarded("a text", nullptr, [&] {
        const std::string full = fit::explained(manner->learnt);
        if (text && size > 0) text[full.copy(text, size - 1)] = '\0';
        length = static_cast<int32_t>(full.size());
        return APLOMB_OK;
    });
    return length;
}

} // extern "C"
