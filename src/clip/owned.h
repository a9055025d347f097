// SPDX-License-Identifier: MIT
// A result whose arrays lie in one block of memory with itself: an Owner has `allocator` and `block_size`.
#pragma once

#include "base/block.h"
#include "base/error.h"

namespace aplomb {

/// Calls `arrange(Layout&, Owner&)`, which takes the owner's arrays, first to learn their size and then to place them. `what`
/// stands in the sentence of a refusal.
template<class Owner, class Arrange>
aplomb_status make_owned(const aplomb_allocator& allocator, const char* what, Arrange arrange, Owner*& made,
                         aplomb_error* error) {
    const auto lay_out = [&](Layout& layout) {
        Owner measured, *owner = layout.take<Owner>(1);
        arrange(layout, owner ? *owner : measured);
        return owner;
    };
    Layout measure;
    lay_out(measure);
    void* memory = allocator.allocate(measure.used(), alignof(std::max_align_t), allocator.user);
    if (!memory)
        return fail(error, APLOMB_OUT_OF_MEMORY, "allocator", -1, "%zu bytes for a clip's %s were refused.",
                    measure.used(), what);
    Layout layout(memory);
    made = lay_out(layout);
    made->allocator = allocator;
    made->block_size = measure.used();
    return APLOMB_OK;
}

/// NULL is allowed.
template<class Owner>
void destroy_owned(Owner* owner) {
    if (!owner) return;
    const aplomb_allocator source = owner->allocator;
    source.deallocate(owner, owner->block_size, source.user);
}

/// One of the owner's arrays, and its length; NULL and 0 for an owner that is NULL.
template<class Owner, class T>
const T* listed(const Owner* owner, T* Owner::*items, int32_t Owner::*length, int32_t* count) {
    if (count) *count = owner ? owner->*length : 0;
    return owner ? owner->*items : nullptr;
}

} // namespace aplomb
