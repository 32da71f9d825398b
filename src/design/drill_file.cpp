// A drill file line by line: the header says units, zeros and tools, the body holes and routs. Numbers with a point mean what they say;
// others are whole numbers of the smallest step, with the zeros left out that the header names.
#include "burin/design/drill_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr std::size_t most_bytes = std::size_t{64} << 20, most_holes = 1'000'000;
constexpr double chord = 0.005;  // mm that chords may leave curved routs

/// Letters and their numbers, in the line's order: X1.5Y2 → (X, "1.5"), (Y, "2").
struct Word {
    char letter;
    std::string digits;
};

struct Tool {
    double diameter = 0;
    bool plated = true;
};

class Reader {
public:
    explicit Reader(const DrillHints& hints) : hints_(hints) {}

    DrillFile read(std::string_view bytes) {
        for (std::size_t from = 0; from < bytes.size() && !ended_;) {
            const std::size_t end = std::min(bytes.find('\n', from), bytes.size());
            std::string line(bytes.substr(from, end - from));
            from = end + 1;
            ++line_;
            while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.pop_back();
            if (line.size() > 500) throw fault("the line is longer than any statement.");
            if (!line.empty()) statement(line);
        }
        if (!header_seen_)
            throw Error(
                Fault::input,
                "The drill file has no header (M48), so neither units nor the sizes of its tools are known. Write it once more with "
                "its header.");
        if (!ended_) throw fault("the file has no end (M30). Is it whole?");
        if (down_) throw fault("a rout is not finished (M16) before the file ends.");
        return std::move(file_);
    }

private:
    [[nodiscard]] Error fault(const std::string& what) const {
        return {Fault::input, fmt::format("The drill file cannot be read, line {}: {}", line_, what)};
    }
    void statement(const std::string& line) {
        if (line.front() == ';') return comment(line);
        if (line == "M48") {
            header_seen_ = in_header_ = true;
            return;
        }
        if (line == "%" || line == "M95") {
            in_header_ = false;
            return;
        }
        if (line == "M30" || line == "M00") {
            ended_ = true;
            return;
        }
        if (!header_seen_) return;  // told at the end, once
        if (!(in_header_ && header(line))) body(line);
    }
    void comment(const std::string& line) {
        if (line.find("NonPlated") != std::string::npos || line.find("NON_PLATED") != std::string::npos)
            plated_ = false;
        else if (line.find("Plated") != std::string::npos || line.find("PLATED") != std::string::npos)
            plated_ = true;
    }

    // ---- header ----
    [[nodiscard]] bool header(const std::string& line) {
        if (line.starts_with("METRIC") || line.starts_with("INCH")) {
            set_inch(line.starts_with("INCH"));
            if (line.find(",LZ") != std::string::npos) leading_ = true;
            if (line.find(",TZ") != std::string::npos) leading_ = false;
            if (const std::size_t point = line.find("0."); point != std::string::npos) set_digits(line);
            return true;
        }
        if (line == "FMAT,1") throw fault("the file is of the older format (FMAT,1), which is not read. Write it once more as FMAT,2.");
        if (line.starts_with("ICI") && line.find("ON") != std::string::npos)
            throw fault("coordinates are relative (ICI,ON), which are not read.");
        static constexpr std::string_view passed[]{"FMAT",  "ICI",      "VER",  "DETECT", "ATC",  "R,",  "FSB", "BLKD",
                                                   "SBK",   "SG",       "TCST", "UP",     "OM48", "AFS", "CCW", "CP",
                                                   "OSTOP", "PCKPARAM", "ZA",   "ZC",     "ZS",   "Z+",  "Z-",  "M47"};
        return std::any_of(std::begin(passed), std::end(passed), [&](std::string_view start) { return line.starts_with(start); });
    }
    void set_inch(bool inch) {
        if (inch_ && *inch_ != inch) throw fault("the units change within the file.");
        inch_ = inch;
    }
    /// "METRIC,TZ,000.000": so many digits before and after the point.
    void set_digits(const std::string& line) {
        const std::size_t point = line.find('.');
        std::size_t from = point, to = point + 1;
        while (from > 0 && line[from - 1] == '0') --from;
        while (to < line.size() && line[to] == '0') ++to;
        whole_ = static_cast<int>(point - from), fraction_ = static_cast<int>(to - point - 1);
    }

    // ---- numbers ----
    [[nodiscard]] bool inch() const {
        if (inch_) return *inch_;
        if (hints_.inch) return *hints_.inch;
        throw fault("nothing says whether numbers are inches or millimetres. Add --drill-units mm or --drill-units inch.");
    }
    [[nodiscard]] double plain(const std::string& digits) const {
        double value = 0;
        const char* const begin = digits.data() + (digits.starts_with('+') ? 1 : 0);
        const char* const stop = digits.data() + digits.size();
        const auto [end, error] = std::from_chars(begin, stop, value, std::chars_format::fixed);
        if (error != std::errc{} || end != stop || !std::isfinite(value)) throw fault(fmt::format("'{}' is no number.", digits));
        return value;
    }
    [[nodiscard]] double coordinate(const std::string& digits) const {
        const double unit = inch() ? 25.4 : 1;
        double value = 0;
        if (digits.find('.') != std::string::npos) {
            value = plain(digits) * unit;
        } else {
            const int whole = hints_.whole_digits.value_or(whole_.value_or(inch() ? 2 : 3));
            const int fraction = hints_.fraction_digits.value_or(fraction_.value_or(inch() ? 4 : 3));
            std::string bare = digits;
            const bool minus = bare.starts_with('-');
            if (minus || bare.starts_with('+')) bare.erase(0, 1);
            const auto all = static_cast<std::size_t>(whole + fraction);
            if (bare.empty() || bare.size() > all)
                throw fault(fmt::format("'{}' has more than {} + {} digits. Say how many there are: --drill-digits WHOLE,FRACTION.", digits,
                                        whole, fraction));
            const std::optional<bool> leading = leading_ ? leading_ : hints_.leading_zeros_kept;
            if (!leading && bare.size() != all)
                throw fault(
                    "nothing says which zeros are left out of numbers. Add --drill-zeros leading or --drill-zeros trailing: those that are "
                    "kept.");
            if (leading.value_or(true)) bare.append(all - bare.size(), '0');  // the leading ones are there: trailing ones are missing
            value = plain(bare) * std::pow(10.0, -fraction) * unit * (minus ? -1 : 1);
        }
        if (std::abs(value) > 5000) throw fault("a hole lies more than 5 m away. Are units and zeros right?");
        return value;
    }

    // ---- body ----
    [[nodiscard]] std::vector<Word> words_of(const std::string& line) const {
        std::vector<Word> words;
        for (std::size_t at = 0; at < line.size();) {
            const char letter = line[at++];
            if (letter < 'A' || letter > 'Z') throw fault(fmt::format("'{}' is not understood.", line.substr(0, 40)));
            const std::size_t from = at;
            while (at < line.size() && std::string_view("+-.0123456789").find(line[at]) != std::string_view::npos) ++at;
            words.push_back({letter, line.substr(from, at - from)});
        }
        return words;
    }
    [[nodiscard]] static const std::string* said(const std::vector<Word>& words, char letter) {
        const auto found = std::find_if(words.begin(), words.end(), [&](const Word& word) { return word.letter == letter; });
        return found == words.end() ? nullptr : &found->digits;
    }
    [[nodiscard]] int code(const Word& word, const std::string& line) const {
        const double number = plain(word.digits);
        if (!(number >= 0 && number < 1000)) throw fault(fmt::format("'{}' is not understood.", line.substr(0, 40)));
        return static_cast<int>(number);
    }
    void body(const std::string& line) {
        const std::vector<Word> words = words_of(line);
        if (words.front().letter == 'T') return tool(words);
        if (words.front().letter == 'M') return machine_word(code(words.front(), line), line);
        if (words.front().letter == 'R') return repeat(words);
        if (const auto slot =
                std::find_if(words.begin(), words.end(), [](const Word& word) { return word.letter == 'G' && word.digits == "85"; });
            slot != words.end() && slot != words.begin()) {
            const Point from = place({words.begin(), slot}), to = place({slot + 1, words.end()});
            return add(from, to);
        }
        const int g = words.front().letter == 'G' ? code(words.front(), line) : -1;
        move(g, words, line);
    }
    void tool(const std::vector<Word>& words) {
        const double number = plain(words.front().digits);
        if (!(number >= 0 && number <= 99999)) throw fault("a tool has a number that cannot be.");
        const auto n = static_cast<int>(number);
        if (const std::string* size = said(words, 'C')) {
            const double diameter = plain(*size) * (inch() ? 25.4 : 1);
            if (!(diameter > 0 && diameter < 100)) throw fault(fmt::format("tool T{} has a diameter of {} mm.", n, diameter));
            tools_[n] = {diameter, plated_};
        }
        if (!in_header_) tool_ = n;
    }
    void machine_word(int m, const std::string& line) {
        if (m == 71 || m == 72) return set_inch(m == 72);
        if (m == 15) {
            down_ = true;
            return;
        }
        if (m == 16 || m == 17) {
            down_ = false;
            return;
        }
        if (m == 47 || m == 9 || m == 6 || m == 50 || m == 8) return;
        throw fault(fmt::format("'{}' is not understood.", line.substr(0, 40)));
    }
    [[nodiscard]] Point place(const std::vector<Word>& words) {
        Point p = at_;
        if (const std::string* x = said(words, 'X')) p.x = coordinate(*x);
        if (const std::string* y = said(words, 'Y')) p.y = coordinate(*y);
        return p;
    }
    void add(const Point& from, const std::optional<Point>& to) {
        const auto found = tools_.find(tool_);
        if (tool_ == 0) throw fault("a hole stands before a tool is chosen.");
        if (found == tools_.end()) throw fault(fmt::format("tool T{} is used, and no size was given for it.", tool_));
        if (file_.holes.size() >= most_holes) throw fault("the file has more holes than can be.");
        file_.holes.push_back(
            {from, to && distance(from, *to) > 0 ? to : std::nullopt, found->second.diameter, found->second.plated, line_});
        at_ = to.value_or(from);
    }
    void repeat(const std::vector<Word>& words) {
        const double count = plain(words.front().digits);
        if (!(count >= 1 && count <= 10000)) throw fault("a hole is repeated less than once, or too often.");
        const Point step{said(words, 'X') ? coordinate(*said(words, 'X')) : 0, said(words, 'Y') ? coordinate(*said(words, 'Y')) : 0};
        for (int k = 0; k < static_cast<int>(count); ++k) add({at_.x + step.x, at_.y + step.y}, {});
    }
    void move(int g, const std::vector<Word>& words, const std::string& line) {
        for (const Word& word : words)
            if (std::string_view("GXYA").find(word.letter) == std::string_view::npos || word.digits.empty())
                throw fault(fmt::format("'{}' is not understood.", line.substr(0, 40)));
        const Point to = place(words);
        switch (g) {
            case -1:
                return rout_ && down_ ? add(at_, to) : rout_ ? void(at_ = to) : add(to, {});
            case 0:
                rout_ = true;
                at_ = to;
                return;
            case 1:
                return down_ ? add(at_, to) : void(at_ = to);
            case 2:
            case 3:
                return curve(to, words, g == 3);
            case 5:
                rout_ = false;
                return;
            case 90:
            case 93:
                return;
            case 91:
                throw fault("coordinates are relative (G91), which are not read.");
            default:
                throw fault(fmt::format("'{}' is not understood.", line.substr(0, 40)));
        }
    }
    /// A curved rout as slots along its chords; the radius is A, the shorter way round.
    void curve(const Point& to, const std::vector<Word>& words, bool left) {
        if (!down_) throw fault("a curve is routed with the tool up.");
        const std::string* radius = said(words, 'A');
        if (!radius) throw fault("a curve has no radius A.");
        const Point from = at_;
        const double r = coordinate(*radius), half = distance(from, to) / 2;
        if (!(half > 0 && r >= half - 0.01)) throw fault("a curve's ends lie farther apart than its radius reaches.");
        const double up = std::sqrt(std::max(0.0, r * r - half * half)) * (left ? 1 : -1);
        const Point middle{(from.x + to.x) / 2, (from.y + to.y) / 2}, along{(to.x - from.x) / (2 * half), (to.y - from.y) / (2 * half)};
        const Point centre{middle.x - along.y * up, middle.y + along.x * up};
        const double sweep = 2 * std::asin(std::min(1.0, half / r)) * (left ? 1 : -1),
                     begin = std::atan2(from.y - centre.y, from.x - centre.x);
        const double step = 2 * std::acos(std::max(0.0, 1 - std::min(chord, r) / r));
        const int count = static_cast<int>(std::clamp(std::ceil(std::abs(sweep) / step), 1.0, 2000.0));
        for (int k = 1; k <= count; ++k) {
            const double angle = begin + sweep * k / count;
            add(at_, k == count ? to : Point{centre.x + r * std::cos(angle), centre.y + r * std::sin(angle)});
        }
    }

    DrillHints hints_;
    DrillFile file_;
    std::map<int, Tool> tools_;
    std::optional<bool> inch_, leading_;
    std::optional<int> whole_, fraction_;
    Point at_;
    std::size_t line_ = 0;
    int tool_ = 0;
    bool header_seen_ = false, in_header_ = false, ended_ = false, plated_ = true, rout_ = false, down_ = false;
};

}  // namespace

bool looks_like_drill_file(std::string_view bytes) {
    const std::string_view start = bytes.substr(0, 4096);
    return start.starts_with("M48") || start.find("\nM48") != std::string_view::npos;
}

DrillFile read_drill_file(std::string_view bytes, const DrillHints& hints) {
    if (bytes.size() > most_bytes)
        throw Error(Fault::input, fmt::format("The drill file has more than {} MB, which no board needs.", most_bytes >> 20));
    return Reader(hints).read(bytes);
}

}  // namespace burin
