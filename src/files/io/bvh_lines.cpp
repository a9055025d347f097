// SPDX-License-Identifier: MIT
#include "io/bvh_lines.h"

#include "io/fault.h"
#include "io/near_names.h"

namespace aplomb::io {
namespace {

bool is_line_end(char c) {
    return c == '\n' || c == '\r';
}
bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\v' || c == '\f';
}
bool is_brace(char c) {
    return c == '{' || c == '}';
}

} // namespace

BvhLines::BvhLines(std::string_view bytes) : m_bytes(bytes) {
    if (bytes.substr(0, 3) == "\xEF\xBB\xBF") m_at = 3; // byte order mark
}

bool BvhLines::next_line(bool braces_apart) {
    m_words.clear();
    while (m_words.empty() && m_at < m_bytes.size()) {
        m_number = m_next_number;
        while (m_at < m_bytes.size() && !is_line_end(m_bytes[m_at])) {
            const std::size_t start = m_at;
            while (m_at < m_bytes.size() && !is_line_end(m_bytes[m_at]) && !is_blank(m_bytes[m_at]))
                ++m_at;
            // Left for the next call, unread: a whole file may stand on one line.
            if (m_at > start && braces_apart && !m_words.empty() &&
                (is_brace(m_words[0].text[0]) || is_brace(m_bytes[start]))) {
                m_at = start;
                return true;
            }
            if (m_at > start)
                m_words.push_back({m_bytes.substr(start, m_at - start), start});
            else
                ++m_at;
        }
        if (m_at >= m_bytes.size()) break;
        if (m_bytes[m_at] == '\r' && m_at + 1 < m_bytes.size() && m_bytes[m_at + 1] == '\n') ++m_at;
        ++m_at;
        ++m_next_number;
    }
    return !m_words.empty();
}

bool BvhLines::starts_with(std::string_view keyword) const {
    return equal_letters(m_words[0].text, keyword);
}

std::string_view BvhLines::from_word(std::size_t first) const {
    const BvhWord& last = m_words.back();
    return m_bytes.substr(m_words[first].offset, last.offset + last.text.size() - m_words[first].offset);
}

void BvhLines::refuse_here(const std::string& message) const {
    refuse("line " + std::to_string(m_number) + ": " + message);
}

bool equal_letters(std::string_view a, std::string_view b) {
    return a.size() == b.size() && lower_case(std::string(a)) == lower_case(std::string(b));
}

} // namespace aplomb::io
