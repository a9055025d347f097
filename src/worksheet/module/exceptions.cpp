// SPDX-License-Identifier: MIT
// Throwing and catching for WebAssembly: the half of the C++ run time that Debian's libc++abi, built without exceptions,
// lacks. The interface is that of the Itanium C++ ABI, "Exception Handling", level II; in place of its unwinding the
// compiler asks, at each handler, which of the handler's types takes the exception (llvm.org/docs/ExceptionHandling.html,
// "Wasm"). The tables that it reads are DWARF's for handlers, with one entry per landing pad.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <exception>
#include <new>
#include <typeinfo>

namespace __cxxabiv1 {
/// As libc++abi has it: its virtual functions are called, none is defined here.
class __shim_type_info : public std::type_info {
public:
    ~__shim_type_info() override;
    virtual void noop1() const;
    virtual void noop2() const;
    virtual bool can_catch(const __shim_type_info* thrown, void*& place) const = 0;
};
} // namespace __cxxabiv1

namespace {

/// Lies before what is thrown.
struct alignas(16) Thrown {
    const std::type_info* type;
    void* (*destroy)(void*); // a destructor returns its object here
    Thrown* below;           // of the exceptions that are being handled
    void* place;             // of the object as the handler's type sees it
    int handlers;            // that are at work on it
    bool again;              // rethrown

    void* object() { return this + 1; }
};

Thrown* handled = nullptr;

std::uintptr_t read_unsigned(const std::uint8_t*& at) {
    std::uintptr_t value = 0;
    for (unsigned shift = 0;; shift += 7) {
        const std::uint8_t byte = *at++;
        value |= static_cast<std::uintptr_t>(byte & 0x7fu) << shift;
        if ((byte & 0x80u) == 0) return value;
    }
}

std::intptr_t read_signed(const std::uint8_t*& at) {
    std::uintptr_t value = 0;
    for (unsigned shift = 0;;) {
        const std::uint8_t byte = *at++;
        value |= static_cast<std::uintptr_t>(byte & 0x7fu) << shift;
        shift += 7;
        if ((byte & 0x80u) != 0) continue;
        if ((byte & 0x40u) != 0 && shift < 8 * sizeof value) value |= ~std::uintptr_t{0} << shift;
        return static_cast<std::intptr_t>(value);
    }
}

/// The number of the first type in the landing pad's list that takes the exception; 0: none.
std::uintptr_t choose(Thrown& thrown, std::uintptr_t pad, const std::uint8_t* at) {
    constexpr std::uint8_t omitted = 0xff;
    if (*at++ != omitted) std::abort(); // no base of landing pads: they are numbers
    if (*at++ == omitted) return 0;     // no types: clean-up alone
    const std::uintptr_t to_types = read_unsigned(at);
    const auto* types = reinterpret_cast<const std::type_info* const*>(at + to_types);
    ++at; // entries of call sites are unsigned LEB128
    const std::uintptr_t length = read_unsigned(at);
    const std::uint8_t* actions = at + length;
    for (std::uintptr_t i = 0; i < pad; ++i)
        read_unsigned(at), read_unsigned(at);
    read_unsigned(at);
    const std::uintptr_t first = read_unsigned(at);
    if (first == 0) return 0;
    for (const std::uint8_t* action = actions + first - 1;;) {
        const std::intptr_t type = read_signed(action);
        if (type < 0) std::abort(); // lists of allowed exceptions left C++ in 2017
        const std::uint8_t* here = action;
        const std::intptr_t next = read_signed(action);
        if (type > 0) {
            const auto* wanted = static_cast<const __cxxabiv1::__shim_type_info*>(types[-type]);
            thrown.place = thrown.object();
            const auto* given = static_cast<const __cxxabiv1::__shim_type_info*>(thrown.type);
            if (wanted == nullptr || wanted->can_catch(given, thrown.place))
                return static_cast<std::uintptr_t>(type);
        }
        if (next == 0) return 0;
        action = here + next;
    }
}

[[noreturn]] void raise(Thrown* thrown) {
    __builtin_wasm_throw(0, thrown);
}

} // namespace

extern "C" {

/// Between a handler and the function below; the compiler's.
struct {
    std::uintptr_t pad;
    const std::uint8_t* table;
    std::uintptr_t selector;
} __wasm_lpad_context;

int _Unwind_CallPersonality(void* thrown) {
    __wasm_lpad_context.selector =
        choose(*static_cast<Thrown*>(thrown), __wasm_lpad_context.pad, __wasm_lpad_context.table);
    return 0;
}

void* __cxa_allocate_exception(std::size_t size) noexcept {
    void* memory = std::aligned_alloc(alignof(Thrown), (sizeof(Thrown) + size + 15) / 16 * 16);
    // What tells that memory is short is small, and is kept for that.
    alignas(16) static std::uint8_t reserve[sizeof(Thrown) + 64];
    if (memory == nullptr && size <= 64) memory = reserve;
    if (memory == nullptr) std::abort();
    return static_cast<Thrown*>(memory) + 1;
}

void __cxa_free_exception(void* object) noexcept {
    std::free(static_cast<Thrown*>(object) - 1);
}

void __cxa_throw(void* object, std::type_info* type, void* (*destroy)(void*)) {
    Thrown* thrown = static_cast<Thrown*>(object) - 1;
    *thrown = {type, destroy, nullptr, object, 0, false};
    raise(thrown);
}

void* __cxa_get_exception_ptr(void* thrown) noexcept {
    return static_cast<Thrown*>(thrown)->place;
}

void* __cxa_begin_catch(void* caught) noexcept {
    Thrown* thrown = static_cast<Thrown*>(caught);
    if (handled != thrown) thrown->below = handled, handled = thrown;
    thrown->again = false;
    ++thrown->handlers;
    return thrown->place;
}

void __cxa_end_catch() {
    Thrown* thrown = handled;
    if (thrown == nullptr || --thrown->handlers > 0) return;
    handled = thrown->below;
    if (thrown->again) return; // whoever catches it next ends it
    if (thrown->destroy != nullptr) thrown->destroy(thrown->object());
    __cxa_free_exception(thrown->object());
}

void __cxa_rethrow() {
    if (handled == nullptr) std::terminate();
    handled->again = true;
    raise(handled);
}

} // extern "C"

// Where memory ends, this library says so and goes on.
void* operator new(std::size_t size) {
    void* memory = std::malloc(size);
    if (memory == nullptr) throw std::bad_alloc();
    return memory;
}
void* operator new[](std::size_t size) {
    return operator new(size);
}
void operator delete(void* memory) noexcept {
    std::free(memory);
}
void operator delete[](void* memory) noexcept {
    std::free(memory);
}
