/// Own words stay: header, pauses with their messages, spindle and dwell. Only lines of motion are written anew. Cost: O(text + moves).
#include "burin/program/respell.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>

#include "burin/base/error.hpp"
#include "burin/program/text_lines.hpp"
#include "numbers.hpp"

namespace burin {
namespace {

constexpr std::int64_t unsaid = std::numeric_limits<std::int64_t>::min();
constexpr double on_step = 1e-6;  // mm: a hair above a step costs no step

[[noreturn]] void refuse(std::uint32_t line, std::string_view why) { throw Error(Fault::refused, fmt::format("Line {} {}", line, why)); }

/// A line without its comments, blanks and line end, in capitals; and the comments alone.
struct Parts {
    std::string words, comments;
};
Parts parts_of(std::string_view line) {
    Parts parts;
    bool inside = false;
    for (const char c : line) {
        if (c == '\n' || c == '\r') continue;
        if (c == ';' && !inside) break;
        if (c == '(') inside = true;
        if (inside)
            parts.comments += c;
        else if (c != ' ' && c != '\t')
            parts.words += static_cast<char>(c >= 'a' && c <= 'z' ? c - 32 : c);
        if (c == ')') inside = false;
    }
    return parts;
}

/// Nothing on a line of motion may be lost: G0 to G3, places, arcs' centres, F and the line number.
void check_words(std::string_view words, std::uint32_t line) {
    for (std::size_t at = 0; at < words.size(); ++at) {
        const char letter = words[at];
        if (letter < 'A' || letter > 'Z') continue;
        if (std::string_view("XYZIJKRFN").find(letter) != std::string_view::npos) continue;
        const std::size_t end = std::min(words.find_first_not_of("0123456789.", at + 1), words.size());
        std::string number(words.substr(at + 1, end - at - 1));
        number.erase(0, std::min(number.find_first_not_of('0'), number.size()));
        if (letter == 'G' && (number.empty() || number == "1" || number == "2" || number == "3")) continue;
        refuse(line, fmt::format("moves and has '{}{}' besides: only plain moves can be written anew. Put that word on a line of its own.",
                                 letter, number));
    }
}

class Respeller {
public:
    Respeller(const ReadProgram& read, const RespellWishes& wishes)
        : plunge_(wishes.plunge), per_mm_(read.inch ? 1e4 / 25.4 : 1e3), step_(read.inch ? 1 : 10), inch_(read.inch) {}

    void forget() {
        said_ = {unsaid, unsaid, unsaid};
        feed_ = -1;
        mode_ = '?';
    }
    void start(const Point3& at) { at_ = place_of(at); }

    void put(const Move& move, std::string& text) {
        const Place to = place_of(move.to);
        const bool rapid = move.kind == MoveKind::rapid;
        if (to == at_) return;
        std::string line;
        if (const char mode = rapid ? '0' : '1'; mode != mode_) line = {'G', mode}, mode_ = mode;
        const bool across = to[0] != at_[0] || to[1] != at_[1];
        for (std::size_t k = 0; k < 3; ++k) {
            // What is not known yet is said with the first move that has to do with it.
            const bool said = said_[k] == to[k], wanted = k < 2 ? across : !rapid || to[2] != at_[2];
            if (said || !wanted) continue;
            line += line.empty() ? "" : " ";
            line += "XYZ"[k];
            std::array<char, 40> digits{};
            line.append(digits.data(), numbers::put_decimal(digits.data(), to[k]));
            said_[k] = to[k];
        }
        if (!rapid) put_feed(move, to, line);
        text += line + '\n';
        at_ = to;
    }

private:
    using Place = std::array<std::int64_t, 3>;  // ten-thousandths of the unit in force

    [[nodiscard]] Place place_of(const Point3& p) const {
        return {std::llround(p.x * per_mm_) * step_, std::llround(p.y * per_mm_) * step_,
                static_cast<std::int64_t>(std::ceil((p.z - on_step) * per_mm_)) * step_};
    }
    void put_feed(const Move& move, const Place& to, std::string& line) {
        double feed = move.feed;
        const double down = static_cast<double>(at_[2] - to[2]);
        const double length = std::hypot(static_cast<double>(to[0] - at_[0]), static_cast<double>(to[1] - at_[1]), down);
        if (plunge_ > 0 && down > 0) feed = std::min(feed, plunge_ * length / down);
        const double unit = inch_ ? 100 / 25.4 : 1;
        const double whole = std::max(1.0, std::floor(feed * unit + 1e-6));
        if (whole == feed_) return;
        feed_ = whole;
        line += inch_ ? fmt::format(" F{:.2f}", whole / 100) : fmt::format(" F{}", static_cast<std::int64_t>(whole));
    }

    double plunge_, per_mm_;
    std::int64_t step_;
    bool inch_;
    Place at_{}, said_{unsaid, unsaid, unsaid};
    double feed_ = -1;
    char mode_ = '?';
};

bool is_stale(std::string_view line, const RespellWishes& wishes) {
    return std::any_of(wishes.stale.begin(), wishes.stale.end(), [&](const std::string& begin) { return line.starts_with(begin); });
}

void check_units(const TextLines& lines) {
    bool inch = false, metric = false;
    for (std::uint32_t n = 1; n <= lines.count(); ++n) {
        const std::string words = parts_of(lines.span(n, n)).words;
        inch |= words.find("G20") != std::string::npos;
        metric |= words.find("G21") != std::string::npos;
        if (words.find("G91") != std::string::npos && words.find("G91.1") == std::string::npos)
            refuse(n, "counts places from where the bit stands (G91); only programs in G90 can be written anew.");
        if (inch && metric) refuse(n, "changes the units; only programs in one unit can be written anew.");
    }
}

}  // namespace

std::string respell(std::string_view text, const ReadProgram& read, const Track& moves, const RespellWishes& wishes) {
    const TextLines lines(text);
    check_units(lines);
    std::vector<bool> moving(lines.count() + 1);
    for (const Move& move : read.track.moves)
        if (move.line < moving.size()) moving[move.line] = true;
    std::string out;
    out.reserve(text.size() * 2);
    bool headed = false;
    Respeller speller(read, wishes);
    speller.start(moves.start);
    std::size_t next = 0;
    for (std::uint32_t n = 1; n <= lines.count(); ++n) {
        const std::string_view line = lines.span(n, n);
        if (!headed && !line.starts_with('%')) {
            for (const std::string& words : wishes.header) out.append("(").append(clean_comment(words)).append(")\n");
            headed = true;
        }
        if (!moving[n]) {
            if (is_stale(line, wishes)) continue;
            out += line;
            if (!parts_of(line).words.empty()) speller.forget();
            continue;
        }
        const Parts parts = parts_of(line);
        check_words(parts.words, n);
        if (!parts.comments.empty()) out += parts.comments + '\n';
        for (; next < moves.moves.size() && moves.moves[next].line == n; ++next) speller.put(moves.moves[next], out);
    }
    return out;
}

}  // namespace burin
