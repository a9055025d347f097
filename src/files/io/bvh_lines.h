// SPDX-License-Identifier: MIT
// A BVH file line by line: LF, CRLF and CR all end a line, also mixed.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace aplomb::io {

struct BvhWord {
    std::string_view text;
    std::size_t offset = 0; // in the file
};

class BvhLines {
public:
    explicit BvhLines(std::string_view bytes);

    /// Moves to the next line that is not blank; false at the end of the file.
    bool next() { return next_line(false); }
    /// The same, where a word that begins with a brace is a line of its own.
    bool next_or_brace() { return next_line(true); }

    std::size_t number() const { return m_number; }
    const std::vector<BvhWord>& words() const { return m_words; }
    /// Without regard to letter case.
    bool starts_with(std::string_view keyword) const;
    /// From the start of word `first` to the end of the line, without trailing blanks.
    std::string_view from_word(std::size_t first) const;

    [[noreturn]] void refuse_here(const std::string& message) const;

private:
    bool next_line(bool braces_apart);

    std::string_view m_bytes;
    std::size_t m_at = 0;
    std::size_t m_next_number = 1;
    std::size_t m_number = 0;
    std::vector<BvhWord> m_words;
};

bool equal_letters(std::string_view a, std::string_view b);

} // namespace aplomb::io
