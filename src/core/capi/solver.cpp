// SPDX-License-Identifier: MIT
// aplomb_solver_*: a solver's memory.
#include "capi/solver.h"

#include "base/block.h"
#include "base/structs.h"
#include "step/memory.h"

using namespace aplomb;

namespace {

constexpr size_t block_alignment = 64;

/// Lays out all arrays that a solver holds.
void lay_out(Layout& layout, const Figure& figure, aplomb_solver& solver) {
    const size_t joints = static_cast<size_t>(figure.joint_count);
    solver.plan.trunk = layout.take<uint8_t>(joints);
    solver.plan.needed = layout.take<int32_t>(joints);
    solver.plan.is_needed = layout.take<uint8_t>(joints);
    solver.keyed.lay_out(layout, joints);
    lay_out(layout, figure, solver.bench);
}

aplomb_solver* make_solver(const Figure& figure, void* memory, size_t size) {
    Layout layout(memory);
    aplomb_solver* made = layout.take<aplomb_solver>(1);
    lay_out(layout, figure, *made);
    made->block_size = size;
    made->figure = &figure;
    make_body_plan(figure, made->plan);
    made->figure_check = check_of(figure);
    return made;
}

aplomb_status check_new(const aplomb_figure* figure, aplomb_solver** solver, aplomb_error* error) {
    if (!solver)
        return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL; it takes the new solver.");
    *solver = nullptr;
    if (!figure) return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    return APLOMB_OK;
}

} // namespace

size_t aplomb_solver_size(const aplomb_figure* figure) {
    if (!figure) return 0;
    Layout layout;
    layout.take<aplomb_solver>(1);
    aplomb_solver measured;
    lay_out(layout, *figure, measured);
    return layout.used();
}

aplomb_status aplomb_solver_create(const aplomb_figure* figure, const aplomb_allocator* allocator,
                                   aplomb_solver** solver, aplomb_error* error) {
    if (const auto s = check_new(figure, solver, error)) return s;
    if (const auto s = check_allocator(allocator, error)) return s;
    const aplomb_allocator source = allocator_or_default(allocator);
    const size_t size = aplomb_solver_size(figure);
    void* memory = source.allocate(size, block_alignment, source.user);
    if (!memory)
        return fail(error, APLOMB_OUT_OF_MEMORY, "allocator", -1, "%zu bytes for a solver were refused.",
                    size);
    *solver = make_solver(*figure, memory, size);
    (*solver)->allocator = source;
    return APLOMB_OK;
}

aplomb_status aplomb_solver_create_in(const aplomb_figure* figure, void* memory, size_t size,
                                      aplomb_solver** solver, aplomb_error* error) {
    if (const auto s = check_new(figure, solver, error)) return s;
    if (!memory || reinterpret_cast<uintptr_t>(memory) % block_alignment != 0)
        return fail(error, APLOMB_BAD_ARGUMENT, "memory", -1, "memory is NULL or not aligned to %zu bytes.",
                    block_alignment);
    const size_t needed = aplomb_solver_size(figure);
    if (size < needed)
        return fail(error, APLOMB_OUT_OF_MEMORY, "size", -1,
                    "size is %zu; a solver of this figure takes %zu bytes.", size, needed);
    *solver = make_solver(*figure, memory, size);
    return APLOMB_OK;
}

aplomb_status aplomb_solver_take(aplomb_solver* solver, const aplomb_figure* figure, aplomb_error* error) {
    if (!solver) return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL.");
    if (!figure) return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    const size_t needed = aplomb_solver_size(figure);
    if (needed > solver->block_size)
        return fail(error, APLOMB_OUT_OF_MEMORY, "figure", -1, "figure needs %zu bytes; the solver has %zu.",
                    needed, solver->block_size);
    const aplomb_allocator source = solver->allocator;
    make_solver(*figure, solver, solver->block_size)->allocator = source;
    return APLOMB_OK;
}

void aplomb_solver_destroy(aplomb_solver* solver) {
    if (!solver || !solver->allocator.deallocate) return;
    const aplomb_allocator source = solver->allocator;
    source.deallocate(solver, solver->block_size, source.user);
}
