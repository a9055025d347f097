// SPDX-License-Identifier: MIT
#include "json/json.h"

#include <algorithm>
#include <cerrno> // which the next header uses, but without streams does not include

#include <nlohmann/json.hpp>

namespace aplomb {
namespace {

using Library = nlohmann::ordered_json;

/// Takes what the library reads, piece by piece. The library prescribes the names of its members.
class Builder {
public:
    using Repeated = std::function<void(const std::string&)>;
    explicit Builder(const Repeated& repeated) : m_repeated(repeated) {}

    bool null() { return add(nullptr); }
    bool boolean(bool value) { return add(value); }
    bool number_integer(Library::number_integer_t value) { return add(value); }
    bool number_unsigned(Library::number_unsigned_t value) { return add(value); }
    bool number_float(double value, const std::string&) { return add(value); }
    bool string(std::string& value) { return add(std::move(value)); }
    bool binary(Library::binary_t&) { return false; } // only in other formats
    bool start_object(std::size_t) { return open(Json::object()); }
    bool start_array(std::size_t) { return open(Json::array()); }
    bool end_object() { return close(); }
    bool end_array() { return close(); }
    bool key(std::string& name) {
        if (m_repeated && m_open.back()->contains(name)) m_repeated(name);
        m_member = &(*m_open.back())[name];
        return true;
    }
    bool parse_error(std::size_t, const std::string&, const Library::exception&) { return false; }

    Json take() { return std::move(m_document); }

private:
    Json& place(Json value) {
        if (m_open.empty()) return m_document = std::move(value);
        if (m_open.back()->is_object()) return *m_member = std::move(value);
        m_open.back()->push_back(std::move(value));
        return m_open.back()->back();
    }
    bool add(Json value) {
        place(std::move(value));
        return true;
    }
    bool open(Json value) {
        m_open.push_back(&place(std::move(value)));
        return true;
    }
    bool close() {
        m_open.pop_back();
        return true;
    }

    const Repeated& m_repeated;
    Json m_document;
    std::vector<Json*> m_open; // a value stays where it is while something inside it is read
    Json* m_member = nullptr;  // of the innermost object, for the value that comes next
};

/// Writes one document.
class Writer {
public:
    Writer(int indent, char indent_character, Json::Broken broken)
        : m_indent(indent), m_indent_character(indent_character),
          m_broken(broken == Json::Broken::refused ? Library::error_handler_t::strict
                                                   : Library::error_handler_t::replace) {}

    void write(const Json& json) {
        json.visit([this](const auto& value) { add(value); });
    }
    std::string take() { return std::move(m_text); }

private:
    /// Numbers and texts are the library's.
    template<class T>
    void add(const T& value) {
        m_text += Library(value).dump(-1, ' ', false, m_broken);
    }
    void add(const Json::Array& items) {
        add_inside('[', ']', items, [this](const Json& item) { write(item); });
    }
    void add(const Json::Object& members) {
        add_inside('{', '}', members, [this](const auto& member) {
            add(member.first);
            m_text += m_indent < 0 ? ":" : ": ";
            write(member.second);
        });
    }
    template<class List, class Add>
    void add_inside(char open, char close, const List& list, Add add_one) {
        m_text += open;
        ++m_depth;
        for (const auto& one : list) {
            if (&one != &list.front()) m_text += ',';
            break_line();
            add_one(one);
        }
        --m_depth;
        if (!list.empty()) break_line();
        m_text += close;
    }
    void break_line() {
        if (m_indent < 0) return;
        m_text += '\n';
        m_text.append(static_cast<std::size_t>(m_depth) * static_cast<std::size_t>(m_indent),
                      m_indent_character);
    }

    const int m_indent;
    const char m_indent_character;
    const Library::error_handler_t m_broken;
    int m_depth = 0;
    std::string m_text;
};

} // namespace

Json::Json(std::initializer_list<Json> items) {
    const bool members = std::all_of(items.begin(), items.end(), [](const Json& item) {
        return item.is_array() && item.size() == 2 && item[0].is_string();
    });
    if (!members) {
        m_value = Array(items);
        return;
    }
    m_value = Object();
    for (const Json& item : items)
        (*this)[item[0].get<std::string>()] = item[1];
}

Json Json::array(std::initializer_list<Json> items) {
    Json json;
    json.m_value = Array(items);
    return json;
}

Json Json::object() {
    Json json;
    json.m_value = Object();
    return json;
}

Json Json::parse(std::string_view text, const std::function<void(const std::string&)>& repeated) {
    Builder builder(repeated);
    if (!Library::sax_parse(text, &builder)) throw std::invalid_argument("it is not valid JSON in UTF-8");
    return builder.take();
}

std::string Json::dump(int indent, char indent_character, Broken broken) const {
    Writer writer(indent, indent_character, broken);
    writer.write(*this);
    return writer.take();
}

std::size_t Json::size() const {
    if (is_null()) return 0;
    if (is_array()) return as<Array>().size();
    return is_object() ? as<Object>().size() : 1;
}

void Json::push_back(Json value) {
    made<Array>().push_back(std::move(value));
}

const Json* Json::find(std::string_view key) const {
    if (is_object()) {
        for (const auto& [name, value] : as<Object>())
            if (name == key) return &value;
    }
    return end();
}

const Json& Json::at(std::string_view key) const {
    const Json* found = find(key);
    if (found == end()) throw std::out_of_range("a JSON object has no '" + std::string(key) + "'");
    return *found;
}

Json& Json::operator[](std::string_view key) {
    Object& members = made<Object>();
    for (auto& [name, value] : members)
        if (name == key) return value;
    return members.emplace_back(key, nullptr).second;
}

void Json::erase(std::string_view key) {
    std::erase_if(made<Object>(), [&](const auto& member) { return member.first == key; });
}

void Json::update(const Json& members) {
    for (const auto& [key, value] : members.items())
        (*this)[key] = value;
}

bool operator==(const Json& a, const Json& b) {
    if (!a.is_number() || !b.is_number() || a.m_value.index() == b.m_value.index())
        return a.m_value == b.m_value;
    return a.get<double>() == b.get<double>();
}

} // namespace aplomb
