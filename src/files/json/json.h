// SPDX-License-Identifier: MIT
// Values of a JSON document, an object's members in their order. Texts are read and written by nlohmann-json, whose names
// the members here have; json.cpp alone includes it, since its header takes longer to compile than most of
// our sources.
#pragma once

#include <concepts>
#include <cstdint>
#include <functional>
#include <initializer_list>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace aplomb {

class Json {
public:
    using Array = std::vector<Json>;
    /// A type of its own: where all types are string, vector and the like, libstdc++ 12 destroys what it has not made
    /// when memory ends while a variant of them is copied.
    struct Object : std::vector<std::pair<std::string, Json>> {};
    /// What becomes of bytes that are not UTF-8 when a text is made: an exception, or a replacement character.
    enum class Broken { refused, replaced };

    Json(std::nullptr_t = nullptr) {}
    template<std::same_as<bool> T>
    Json(T value) : m_value(value) {}
    template<std::signed_integral T>
    Json(T value) : m_value(std::int64_t{value}) {}
    template<std::unsigned_integral T>
    requires(!std::same_as<T, bool>) Json(T value) : m_value(std::uint64_t{value}) {}
    template<std::floating_point T>
    Json(T value) : m_value(double{value}) {}
    Json(const char* text) : m_value(std::string(text)) {}
    Json(std::string text) : m_value(std::move(text)) {}
    /// A list of values.
    template<class List>
    requires(requires(const List& list) {
        typename List::value_type;
        list.begin();
    } && !std::convertible_to<List, std::string_view>) Json(const List& list)
        : m_value(Array(list.begin(), list.end())) {}
    /// An object where every item is a pair whose first value is a text, else an array.
    Json(std::initializer_list<Json> items);

    static Json array(std::initializer_list<Json> items = {});
    static Json object();
    /// Throws where `text` is not JSON in UTF-8. Of two values that share a key the later stays; `repeated` is told of it.
    static Json parse(std::string_view text,
                      const std::function<void(const std::string& key)>& repeated = {});
    /// On one line, or by `indent` characters a level.
    std::string dump(int indent = -1, char indent_character = ' ', Broken broken = Broken::refused) const;

    bool is_null() const { return holds<std::nullptr_t>(); }
    bool is_boolean() const { return holds<bool>(); }
    bool is_number() const { return holds<std::int64_t>() || holds<std::uint64_t>() || holds<double>(); }
    bool is_string() const { return holds<std::string>(); }
    bool is_array() const { return holds<Array>(); }
    bool is_object() const { return holds<Object>(); }
    bool is_structured() const { return is_array() || is_object(); }

    /// A bool, a number, a text, or a vector of them.
    template<class T>
    T get() const {
        if constexpr (std::same_as<T, bool> || std::same_as<T, std::string>) {
            return as<T>();
        } else if constexpr (std::integral<T> || std::floating_point<T>) {
            if (const double* number = std::get_if<double>(&m_value)) return static_cast<T>(*number);
            if (const std::uint64_t* number = std::get_if<std::uint64_t>(&m_value))
                return static_cast<T>(*number);
            return static_cast<T>(as<std::int64_t>());
        } else {
            T list;
            for (const Json& item : as<Array>())
                list.push_back(item.get<typename T::value_type>());
            return list;
        }
    }

    /// Calls `work` with the nullptr, bool, std::int64_t, std::uint64_t, double, std::string, Array or Object.
    template<class Work>
    void visit(Work work) const {
        std::visit(work, m_value);
    }

    /// How many items an array or object has; null has 0, any other value 1.
    std::size_t size() const;
    bool empty() const { return size() == 0; }

    // Arrays. Null becomes one when something is added.
    const Json* begin() const { return is_array() ? as<Array>().data() : nullptr; }
    const Json* end() const { return is_array() ? as<Array>().data() + size() : nullptr; }
    Json* begin() { return const_cast<Json*>(std::as_const(*this).begin()); }
    Json* end() { return const_cast<Json*>(std::as_const(*this).end()); }
    const Json& at(std::size_t index) const { return as<Array>().at(index); }
    template<std::integral Index>
    const Json& operator[](Index index) const {
        return at(static_cast<std::size_t>(index));
    }
    template<std::integral Index>
    Json& operator[](Index index) {
        return const_cast<Json&>(at(static_cast<std::size_t>(index)));
    }
    Json& front() { return (*this)[0]; }
    Json& back() { return (*this)[size() - 1]; }
    void push_back(Json value);

    // Objects. Null becomes one when a member is added.
    const Object& items() const { return as<Object>(); }
    /// `end()` where there is no such member.
    const Json* find(std::string_view key) const;
    bool contains(std::string_view key) const { return find(key) != end(); }
    const Json& at(std::string_view key) const;
    const Json& operator[](std::string_view key) const { return at(key); }
    /// Adds the member where it is missing.
    Json& operator[](std::string_view key);
    template<class T>
    T value(std::string_view key, T otherwise) const {
        if (!contains(key)) return otherwise;
        if constexpr (std::same_as<T, Json>)
            return at(key);
        else
            return at(key).get<T>();
    }
    std::string value(std::string_view key, const char* otherwise) const {
        return value(key, std::string(otherwise));
    }
    void erase(std::string_view key);
    /// Sets all members of another object.
    void update(const Json& members);

    /// Numbers are the same if their values are; members have to stand in the same order.
    friend bool operator==(const Json& a, const Json& b);

private:
    using Value =
        std::variant<std::nullptr_t, bool, std::int64_t, std::uint64_t, double, std::string, Array, Object>;

    template<class T>
    bool holds() const {
        return std::holds_alternative<T>(m_value);
    }
    template<class T>
    const T& as() const {
        if (const T* value = std::get_if<T>(&m_value)) return *value;
        throw std::invalid_argument("a JSON value is of another type than what is asked of it");
    }
    template<class T>
    T& made() {
        if (is_null()) m_value = T();
        return const_cast<T&>(as<T>());
    }

    Value m_value = nullptr;
};

} // namespace aplomb
