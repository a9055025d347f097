// SPDX-License-Identifier: MIT
// aplomb_solver_*: a solver's memory and what it remembers.
#include "capi/solver.h"

#include <algorithm>
#include <cmath>

#include "base/block.h"
#include "capi/structs.h"
#include "figure/description.h"

using namespace aplomb;

namespace {

constexpr size_t block_alignment = 64;
static_assert(APLOMB_MAX_STATE == max_carried);

/// All that a solver holds beside itself.
void lay_out(Layout& layout, const Figure& figure, aplomb_solver& solver) {
    const size_t joints = static_cast<size_t>(figure.joint_count);
    solver.plan.trunk = layout.take<uint8_t>(joints);
    solver.plan.needed = layout.take<int32_t>(joints);
    solver.plan.is_needed = layout.take<uint8_t>(joints);
    solver.memory.lay_out(layout, joints);
    lay_out(layout, figure, solver.bench);
}

aplomb_solver* make_solver(const Figure& figure, void* memory, size_t size) {
    Layout layout(memory);
    aplomb_solver* made = layout.take<aplomb_solver>(1);
    lay_out(layout, figure, *made);
    made->block_size = size;
    made->figure = &figure;
    make_body_plan(figure, made->plan);
    return made;
}

aplomb_status check_new(const aplomb_figure* figure, aplomb_solver** solver, aplomb_error* error) {
    if (!solver)
        return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL; it takes the new solver.");
    *solver = nullptr;
    if (!figure) return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    return APLOMB_OK;
}

/// Beyond it squares of squares would overflow; a step never remembers such a number.
constexpr double largest_remembered = 1e20;

aplomb_status check_remembered(const char* name, const double* values, int count, aplomb_error* error) {
    for (int i = 0; i < count; ++i) {
        if (!std::isfinite(values[i]))
            return fail(error, APLOMB_BAD_ARGUMENT, "state", -1, "state has a value that is not finite.");
        if (std::fabs(values[i]) > largest_remembered)
            return fail(error, APLOMB_BAD_ARGUMENT, "state", i, "state.%s[%d] is %g, beyond %g.", name, i,
                        values[i], largest_remembered);
    }
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
    if (allocator && (!allocator->allocate || !allocator->deallocate))
        return fail(error, APLOMB_BAD_ARGUMENT, "allocator", -1, "allocator lacks allocate or deallocate.");
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

// ---- What it remembers ------------------------------------------------------------------------------------

aplomb_status aplomb_solver_state(const aplomb_solver* solver, aplomb_step_state* state,
                                  aplomb_error* error) {
    if (!solver) return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL.");
    if (!state) return fail(error, APLOMB_BAD_ARGUMENT, "state", -1, "state is NULL.");
    const Carried& c = solver->carried;
    *state = aplomb_step_state{};
    state->running = c.running;
    state->count = c.count;
    put(state->hips, c.hips);
    put(state->acceleration, c.acceleration);
    std::copy(c.x, c.x + c.count, state->correction);
    return APLOMB_OK;
}

aplomb_status aplomb_solver_restore(aplomb_solver* solver, const aplomb_step_state* state,
                                    aplomb_error* error) {
    if (!solver) return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL.");
    if (!state) return fail(error, APLOMB_BAD_ARGUMENT, "state", -1, "state is NULL.");
    if (state->count < 0 || state->count > APLOMB_MAX_STATE)
        return fail(error, APLOMB_BAD_ARGUMENT, "count", -1, "state.count is %d; 0 to %d are allowed.",
                    state->count, APLOMB_MAX_STATE);
    if (const auto s = check_remembered("hips", state->hips, 3, error)) return s;
    if (const auto s = check_remembered("acceleration", state->acceleration, 3, error)) return s;
    if (const auto s = check_remembered("correction", state->correction, state->count, error)) return s;
    Carried c;
    c.running = state->running != 0;
    c.count = state->count;
    c.hips = {state->hips[0], state->hips[1], state->hips[2]};
    c.acceleration = {state->acceleration[0], state->acceleration[1], state->acceleration[2]};
    std::copy(state->correction, state->correction + state->count, c.x);
    solver->carried = c;
    return APLOMB_OK;
}

void aplomb_solver_reset(aplomb_solver* solver) {
    if (solver) solver->carried = Carried{};
}
