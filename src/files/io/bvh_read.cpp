// SPDX-License-Identifier: MIT
#include "io/bvh_read.h"

#include "io/bvh_lines.h"
#include "io/bytes.h"
#include "io/fault.h"

#include <charconv>
#include <cmath>
#include <cstdlib>

namespace aplomb::io {
namespace {

constexpr std::size_t most_joints = 1024; // as aplomb_figure_desc
constexpr double longest_frame = 86400;   // seconds
constexpr double most_degrees = 1e7;      // past it a sine has lost its digits
constexpr double farthest = 1e15;         // in any unit; as far as a float's square can go

std::string in_quotes(std::string_view text) {
    return "'" + std::string(text.substr(0, 40)) + (text.size() > 40 ? "...'" : "'");
}

bool parse_number(std::string_view text, double& value) {
    if (!text.empty() && text.front() == '+') text.remove_prefix(1);
#if !defined(__cpp_lib_to_chars)
    // libc++ 14 has no from_chars for doubles; the way below is for WebAssembly, where the only locale is C's.
    if (text.empty() || text.find_first_not_of("0123456789+-.eE") != std::string_view::npos || text[0] == '+')
        return false;
    const std::string whole(text);
    char* rest = nullptr;
    value = std::strtod(whole.c_str(), &rest);
    return rest == whole.c_str() + whole.size() && std::isfinite(value);
#else
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), value);
    return problem == std::errc() && end == text.data() + text.size() && std::isfinite(value);
#endif
}

/// As much of the text as in_quotes shows, without bytes that are no text, for messages.
std::string printable(std::string_view text) {
    constexpr size_t most = 60;
    const bool characters = text.size() <= most && is_utf8(text);
    std::string safe;
    for (const char c : text.substr(0, most)) {
        const auto byte = static_cast<unsigned char>(c);
        safe += byte < 0x20 || byte == 0x7f || (byte >= 0x80 && !characters) ? '?' : c;
    }
    return in_quotes(safe);
}

class Reader {
public:
    explicit Reader(BvhFile& file) : m_file(file), m_lines(file.bytes) {}

    void read() {
        if (!m_lines.next() || !m_lines.starts_with("HIERARCHY"))
            refuse("it is not BVH: HIERARCHY is missing");
        read_hierarchy();
        if (m_file.joints.empty()) m_lines.refuse_here("no ROOT before MOTION");
        if (m_has_motion) read_motion();
    }

private:
    void next_line(const char* expected) {
        if (!m_lines.next()) refuse(std::string("the file ends where ") + expected + " is expected");
    }

    double number(std::size_t word) {
        double value = 0;
        const std::string_view text = m_lines.words()[word].text;
        if (!parse_number(text, value)) m_lines.refuse_here(printable(text) + " is not a finite number");
        return value;
    }

    double channel_number(std::size_t word) {
        const double value = number(word);
        if (std::fabs(value) > (m_is_rotation[word] ? most_degrees : farthest))
            m_lines.refuse_here(printable(m_lines.words()[word].text) +
                                (m_is_rotation[word] ? " is no angle in degrees" : " is too far away"));
        return value;
    }

    void read_hierarchy() {
        // A brace may stand on a line of its own or share one.
        while (m_lines.next_or_brace()) {
            if (m_lines.starts_with("MOTION")) {
                if (!m_open.empty()) m_lines.refuse_here("MOTION, but a '{' is still open");
                m_has_motion = true;
                return;
            }
            read_hierarchy_line();
        }
        if (!m_open.empty()) refuse("the file ends inside the hierarchy");
    }

    void read_hierarchy_line() {
        if (m_lines.starts_with("ROOT") || m_lines.starts_with("JOINT"))
            begin_joint();
        else if (m_lines.starts_with("End") || m_lines.starts_with("EndSite"))
            begin_end_site();
        else if (m_lines.starts_with("{"))
            open_brace();
        else if (m_lines.starts_with("}"))
            close_brace();
        else if (m_lines.starts_with("OFFSET"))
            read_offset();
        else if (m_lines.starts_with("CHANNELS"))
            read_channels();
        else
            m_lines.refuse_here(printable(m_lines.words()[0].text) + " is no part of a hierarchy");
    }

    void begin_joint() {
        const bool root = m_lines.starts_with("ROOT");
        if (root && !m_file.joints.empty()) m_lines.refuse_here("a second ROOT; one figure a file");
        if (root != m_open.empty())
            m_lines.refuse_here(root ? "ROOT inside a joint" : "JOINT outside the ROOT");
        if (m_pending || m_in_end_site) m_lines.refuse_here("'{' or '}' is missing before this line");
        if (m_lines.words().size() < 2) m_lines.refuse_here("the joint has no name");
        const std::string_view name = m_lines.from_word(1);
        if (!is_utf8(name)) m_lines.refuse_here("the joint name " + printable(name) + " is not UTF-8");
        if (m_file.joints.size() >= most_joints) m_lines.refuse_here("more than 1024 joints");
        BvhJoint joint;
        joint.name = std::string(name);
        joint.parent = root ? -1 : m_open.back();
        joint.first_channel = m_file.channel_count;
        m_file.joints.push_back(joint);
        m_pending = true;
    }

    void begin_end_site() {
        if (m_open.empty() || m_pending || m_in_end_site) m_lines.refuse_here("an End Site outside a joint");
        m_pending = m_in_end_site = true;
    }

    void open_brace() {
        if (!m_pending) m_lines.refuse_here("'{' without a joint");
        m_pending = false;
        if (!m_in_end_site) m_open.push_back(static_cast<int>(m_file.joints.size()) - 1);
    }

    void close_brace() {
        if (m_pending || m_open.empty()) m_lines.refuse_here("'}' without a '{'");
        if (m_in_end_site)
            m_in_end_site = false;
        else
            m_open.pop_back();
    }

    void read_offset() {
        if (m_open.empty() || m_pending) m_lines.refuse_here("OFFSET outside a joint");
        if (m_lines.words().size() != 4)
            m_lines.refuse_here("OFFSET has " + std::to_string(m_lines.words().size() - 1) +
                                " numbers, 3 expected");
        const Vec3 offset = {number(1), number(2), number(3)};
        BvhJoint& joint = m_file.joints[static_cast<std::size_t>(m_open.back())];
        (m_in_end_site ? joint.tip : joint.offset) = offset;
    }

    void read_channels() {
        if (m_open.empty() || m_pending || m_in_end_site) m_lines.refuse_here("CHANNELS outside a joint");
        BvhJoint& joint = m_file.joints[static_cast<std::size_t>(m_open.back())];
        // The row follows the order of these lines, which is the order of the joints.
        if (!joint.channels.empty() || &joint != &m_file.joints.back())
            m_lines.refuse_here("CHANNELS of '" + joint.name + "' come twice or after its children");
        const auto& words = m_lines.words();
        if (words.size() < 2) m_lines.refuse_here("CHANNELS has no count");
        if (number(1) != static_cast<double>(words.size() - 2))
            m_lines.refuse_here("CHANNELS says " + std::string(words[1].text) + ", " +
                                std::to_string(words.size() - 2) + " are named");
        for (std::size_t i = 2; i < words.size(); ++i)
            joint.channels.push_back(channel(words[i].text));
        m_file.channel_count += joint.channels.size();
        for (const BvhChannel& one : joint.channels)
            m_is_rotation.push_back(one.rotation);
    }

    BvhChannel channel(std::string_view text) {
        for (int axis = 0; axis < 3; ++axis) {
            const std::string letter(1, static_cast<char>('X' + axis));
            if (equal_letters(text, letter + "rotation")) return {true, axis};
            if (equal_letters(text, letter + "position")) return {false, axis};
        }
        m_lines.refuse_here(printable(text) + " is not a channel (X, Y or Z with position or rotation)");
    }

    void read_motion() {
        next_line("Frames:");
        const double count = labelled("Frames:");
        if (count < 0 || count != std::floor(count) || count > 1e9)
            m_lines.refuse_here("the number of frames is not a whole number of 0 or more");
        next_line("Frame Time:");
        m_file.frame_time = labelled("Frame Time:");
        if (m_file.frame_time < 0 || (m_file.frame_time == 0 && count > 1))
            m_lines.refuse_here("the frame time is not above 0");
        if (m_file.frame_time > longest_frame)
            m_lines.refuse_here("the frame time is " + std::string(m_lines.words().back().text) +
                                " seconds, more than a day");
        read_rows(static_cast<std::size_t>(count));
    }

    /// The number after a label; the colon may stand alone or touch the number.
    double labelled(const std::string& label) {
        const std::string_view line = m_lines.from_word(0);
        const std::size_t colon = line.find(':');
        const std::string wrong = "'" + label + "' and a number are expected";
        if (colon == std::string_view::npos) m_lines.refuse_here(wrong);
        std::string found;
        for (const char c : line.substr(0, colon + 1))
            if (c != ' ' && c != '\t') found += c;
        std::string expected;
        for (const char c : label)
            if (c != ' ') expected += c;
        std::string_view text = line.substr(colon + 1);
        while (!text.empty() && (text.front() == ' ' || text.front() == '\t'))
            text.remove_prefix(1);
        double value = 0;
        if (!equal_letters(found, expected) || !parse_number(text, value)) m_lines.refuse_here(wrong);
        return value;
    }

    void read_rows(std::size_t frames) {
        // No memory is reserved from `frames`, which may be wrong.
        while (m_lines.next()) {
            const auto& words = m_lines.words();
            if (m_file.frame_count == frames)
                m_lines.refuse_here("a row past the " + std::to_string(frames) +
                                    " frames that 'Frames:' says");
            if (words.size() != m_file.channel_count)
                m_lines.refuse_here("the row of frame " + std::to_string(m_file.frame_count) + " has " +
                                    std::to_string(words.size()) + " numbers, the channels are " +
                                    std::to_string(m_file.channel_count));
            for (std::size_t i = 0; i < words.size(); ++i) {
                m_file.values.push_back(channel_number(i));
                m_file.tokens.push_back({words[i].offset, words[i].text.size()});
            }
            ++m_file.frame_count;
        }
        if (m_file.frame_count < frames)
            refuse("'Frames:' says " + std::to_string(frames) + ", the file holds " +
                   std::to_string(m_file.frame_count) + " rows");
    }

    BvhFile& m_file;
    BvhLines m_lines;
    std::vector<int> m_open; // joints whose brace is open
    bool m_pending = false;  // a joint or End Site waits for its brace
    bool m_in_end_site = false;
    bool m_has_motion = false;
    std::vector<bool> m_is_rotation; // per channel of a row
};

/// Programs differ: position channels add to the offset or hold it already. Over all frames, positions that
/// hold the offset average more than half of it along its own direction; travel at right angles does not matter.
void judge_positions(BvhFile& file) {
    for (BvhJoint& joint : file.joints) {
        const double square = dot(joint.offset, joint.offset);
        bool any = false;
        double along = 0;
        for (std::size_t c = 0; c < joint.channels.size(); ++c) {
            if (joint.channels[c].rotation) continue;
            any = true;
            for (std::size_t f = 0; f < file.frame_count; ++f)
                along += file.row(f)[joint.first_channel + c] * joint.offset[joint.channels[c].axis];
        }
        joint.place_holds_offset =
            any && square > 0 && along > 0.5 * square * static_cast<double>(file.frame_count);
    }
}

} // namespace

BvhFile read_bvh(std::string bytes) {
    BvhFile file;
    file.bytes = std::move(bytes);
    Reader(file).read();
    judge_positions(file);
    return file;
}

} // namespace aplomb::io
