// SPDX-License-Identifier: MIT
// A small check that a text is well-formed XML: tags nest, attributes are quoted and unique, entities are
// known (XML 1.0, W3C 2008, the part that SVG and HTML of ours use).
#pragma once

#include <algorithm>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace xml {

class Checker {
public:
    explicit Checker(std::string_view text) : text_(text) {}

    /// What is wrong first, with its place; empty: well-formed.
    std::string problem() {
        if (text_.substr(0, 5) == "<?xml") at_ = text_.find("?>") + 2;
        take("<!DOCTYPE html>");
        while (at_ < text_.size() && problem_.empty()) {
            if (text_[at_] == '<')
                tag();
            else
                words("<");
        }
        if (problem_.empty() && !open_.empty()) fail("<" + open_.back() + "> is not closed");
        if (problem_.empty() && roots_ != 1) fail(std::to_string(roots_) + " root elements");
        return problem_;
    }

private:
    void fail(const std::string& what) { problem_ = what + " at byte " + std::to_string(at_); }

    /// Text up to one of `ends`; ampersands must start a known entity.
    std::string_view words(const char* ends) {
        const size_t end = std::min(text_.find_first_of(ends, at_), text_.size());
        const std::string_view part = text_.substr(at_, end - at_);
        for (size_t i = part.find('&'); i != std::string_view::npos; i = part.find('&', i + 1)) {
            bool known = false;
            for (const char* entity : {"&amp;", "&lt;", "&gt;", "&quot;"})
                known = known || part.substr(i, std::string_view(entity).size()) == entity;
            if (!known) fail("a bare ampersand");
        }
        for (const char c : part)
            if (static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t' && c != '\r')
                fail("a control character");
        if (open_.empty() && part.find_first_not_of(" \n\r\t") != std::string_view::npos)
            fail("text outside the root");
        at_ = end;
        return part;
    }

    std::string name() {
        const size_t start = at_;
        at_ = std::min(text_.find_first_of(" \n\t/>=", at_), text_.size());
        if (at_ == start) fail("a name is missing");
        return std::string(text_.substr(start, at_ - start));
    }
    void blanks() { at_ = std::min(text_.find_first_not_of(" \n\t", at_), text_.size()); }
    bool take(std::string_view what) {
        if (text_.substr(at_, what.size()) != what) return false;
        at_ += what.size();
        return true;
    }

    void tag() {
        if (take("</")) {
            const std::string closed = name();
            if (open_.empty() || open_.back() != closed) return fail("</" + closed + "> closes nothing");
            open_.pop_back();
            if (!take(">")) fail("'>' is missing");
            return;
        }
        ++at_;
        const std::string opened = name();
        if (open_.empty()) ++roots_;
        attributes();
        if (!problem_.empty() || take("/>")) return;
        if (!take(">")) return fail("'>' is missing in <" + opened + ">");
        open_.push_back(opened);
    }

    void attributes() {
        std::set<std::string> seen;
        for (;;) {
            blanks();
            if (at_ >= text_.size() || text_[at_] == '>' || text_[at_] == '/' || !problem_.empty()) return;
            const std::string attribute = name();
            if (!seen.insert(attribute).second) return fail("attribute " + attribute + " twice");
            if (!take("=\"")) return fail("=\" is missing after " + attribute);
            const auto depth = open_;
            open_.push_back(attribute); // its text is not outside the root
            const std::string_view value = words("\"<");
            open_ = depth;
            if (problem_.empty() && !take("\"")) fail("a quote is missing after " + std::string(value));
        }
    }

    std::string_view text_;
    size_t at_ = 0;
    int roots_ = 0;
    std::vector<std::string> open_;
    std::string problem_;
};

inline std::string problem(std::string_view text) {
    return Checker(text).problem();
}

} // namespace xml
