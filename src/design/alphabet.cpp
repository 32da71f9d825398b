/// Text in letters of single lines. The notation is read, curves become chords (a quarter of an ellipse in n of them leaves it by
/// r (1 − cos(π ⁄ 4n)) at most, r the longer radius: plane geometry), letters are set by their advances, in lines or along an arc.
/// Cost: nothing to speak of.
#include "burin/design/alphabet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <numbers>

#include "alphabet.hpp"
#include "baseline.hpp"
#include "burin/base/error.hpp"
#include "lettering_text.hpp"

namespace burin {
namespace {

using std::numbers::pi;

constexpr std::size_t most_characters = 10'000;
constexpr double own_pitch = 1.6;  // cap heights from line to line

[[nodiscard]] Error bad(std::string_view notation) {
    return {Fault::usage,
            fmt::format("'{}' is no stroke: points x,y with blanks between, v or h before those that end a curve.", notation)};
}

double number(std::string_view text, std::string_view whole) {
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size() || !(std::abs(value) < 1e6)) throw bad(whole);
    return value;
}

/// A quarter of an ellipse from a to b; `upright`: a is where it runs upright.
void curve(std::vector<Point>& line, const Point& a, const Point& b, bool upright, double tolerance) {
    const double rx = std::abs(b.x - a.x), ry = std::abs(b.y - a.y), r = std::max(rx, ry);
    const double t = std::clamp(tolerance / std::max(r, 1e-9), 1e-6, 0.5);
    const int n = std::max(2, static_cast<int>(std::ceil(pi / 4 / std::acos(1 - t))));
    for (int k = 1; k <= n; ++k) {
        const double w = pi / 2 * k / n, s = std::sin(w), c = 1 - std::cos(w);
        line.push_back(k == n ? b : Point{a.x + (b.x - a.x) * (upright ? c : s), a.y + (b.y - a.y) * (upright ? s : c)});
    }
}

struct SetLetter {
    LineLetter letter;
    double pen = 0;  // where its own 0 stands, units
};
struct SetLine {
    std::vector<SetLetter> letters;
    double width = 0, spaces = 0;  // units; gaps between letters
};

SetLine set_line(const std::u32string& line, std::size_t number) {
    SetLine set;
    for (std::size_t k = 0; k < line.size(); ++k) {
        const std::optional<LineLetter> letter = line_letter(line[k]);
        if (!letter)
            throw Error(Fault::refused,
                        fmt::format("The alphabet of single lines has no letter for {}, in line {} at place {}. Give an outline font with "
                                    "--font, or write it otherwise.",
                                    shown(line[k]), number + 1, k + 1));
        if (k > 0) set.width -= line_kerning(line[k - 1], line[k]);
        set.letters.push_back({*letter, set.width + letter->left});
        set.width += letter->left + letter->width + letter->right;
    }
    set.spaces = line.empty() ? 0 : static_cast<double>(line.size() - 1);
    return set;
}

/// mm along the line: units times size, and the spacing between letters.
struct Setting {
    double size = 1, spacing = 0;
    [[nodiscard]] double width(const SetLine& line) const { return line.width * size + line.spaces * spacing; }
};

Setting setting_of(const std::vector<SetLine>& lines, const LetteringWishes& wishes) {
    Setting setting{wishes.cap_height / line_capitals, wishes.spacing};
    if (!(wishes.fit_width > 0)) return setting;
    setting.size = std::numeric_limits<double>::max();  // the longest line at that size is the one that asks for the smallest
    for (const SetLine& line : lines)
        if (line.width > 0) setting.size = std::min(setting.size, (wishes.fit_width - line.spaces * wishes.spacing) / line.width);
    if (!(setting.size > 0))
        throw Error(Fault::refused,
                    "The letters cannot be fitted into that width with so much room between them. Give a smaller --letter-spacing.");
    return setting;
}

Baseline baseline_of(const LetteringWishes& wishes, double width, double widest, double y, std::size_t number) {
    Baseline line;
    line.y = y;
    line.below = wishes.arc_below;
    if (wishes.arc_radius > 0) {
        line.radius = wishes.arc_radius + (wishes.arc_below ? -y : y);
        if (!(line.radius > 0) || width > 2 * pi * line.radius)
            throw Error(Fault::refused,
                        fmt::format("Line {} of the lettering, {:.1f} mm long, does not go round its circle, which is {:.1f} mm "
                                    "there. Give a larger --arc, lower letters or less text.",
                                    number + 1, width, 2 * pi * std::max(0.0, line.radius)));
    }
    line.start = wishes.align == Align::left ? -widest / 2 : wishes.align == Align::right ? widest / 2 - width : -width / 2;
    return line;
}

void place_letters(const SetLine& set, const Setting& setting, const Baseline& line, const LetteringWishes& wishes, Drawing& drawing) {
    for (std::size_t k = 0; k < set.letters.size(); ++k) {
        const SetLetter& one = set.letters[k];
        const double middle = (one.pen + one.letter.width / 2) * setting.size + static_cast<double>(k) * setting.spacing;
        const double tolerance = wishes.tolerance / setting.size;
        std::vector<std::vector<Point>> strokes = strokes_of(one.letter.strokes, tolerance);
        for (std::vector<Point>& stroke : strokes_of(one.letter.mark, tolerance)) {
            for (Point& p : stroke) p = {p.x + one.letter.mark_at.x, p.y + one.letter.mark_at.y};
            strokes.push_back(std::move(stroke));
        }
        for (const std::vector<Point>& stroke : strokes) {
            MiddleLine out;
            for (const Point& p : stroke) {
                const Point own{(p.x - one.letter.width / 2) * setting.size, p.y * setting.size};
                if (line.radius > 0 && (line.below ? own.y : -own.y) >= line.radius)
                    throw Error(Fault::refused,
                                fmt::format("Letters of the lettering would reach the centre of their circle, whose radius is {:.1f} mm "
                                            "at their baseline. Give a larger --arc, fewer lines or lower letters.",
                                            line.radius));
                out.line.points.push_back(line.place(own, middle));
            }
            const bool closed = stroke.size() > 3 && distance(stroke.front(), stroke.back()) < 1e-9;
            if (closed) out.line.points.pop_back();
            out.line.closed = closed;
            out.width.assign(out.line.points.size(), setting.size * line_capitals / 10);
            drawing.lines.push_back(std::move(out));
        }
    }
}

void to_corner(Drawing& drawing, bool arc) {
    Box box{{1e300, 1e300}, {-1e300, -1e300}};
    for (const MiddleLine& line : drawing.lines)
        for (const Point& p : line.line.points) {
            box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
            box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
        }
    for (MiddleLine& line : drawing.lines)
        for (Point& p : line.line.points) p = {p.x - box.lo.x, p.y - box.lo.y};
    drawing.width = box.width();
    drawing.height = box.height();
    if (arc) drawing.arc_centre = Point{-box.lo.x, -box.lo.y};
}

void check(const LetteringWishes& wishes) {
    const auto within = [](const char* what, double value, double least, double most) {
        if (!(value >= least && value <= most))
            throw Error(Fault::usage, fmt::format("The {} of lettering is {:g} mm; {:g} to {:g} is possible.", what, value, least, most));
    };
    if (!(wishes.fit_width > 0)) within("cap height", wishes.cap_height, 0.1, 1000);
    within("letter spacing", wishes.spacing, -100, 100);
    within("line pitch", wishes.line_pitch, 0, 1000);
    within("width", wishes.fit_width, 0, 1e5);
    within("radius", wishes.arc_radius, 0, 1e5);
    if (!(wishes.tolerance > 0)) throw Error(Fault::usage, "Curves need a tolerance above 0 mm.");
}

}  // namespace

std::vector<std::vector<Point>> strokes_of(std::string_view notation, double tolerance) {
    std::vector<std::vector<Point>> strokes;
    if (notation.empty()) return strokes;
    strokes.emplace_back();
    for (std::size_t at = 0; at < notation.size();) {
        const std::size_t end = std::min(notation.find_first_of(" ;", at), notation.size());
        std::string_view point = notation.substr(at, end - at);
        const char kind = point.empty() ? ' ' : point.front();
        if (kind == 'v' || kind == 'h') point.remove_prefix(1);
        const std::size_t comma = point.find(',');
        if (comma == std::string_view::npos) throw bad(notation);
        const Point to{number(point.substr(0, comma), notation), number(point.substr(comma + 1), notation)};
        std::vector<Point>& stroke = strokes.back();
        if (kind == 'v' || kind == 'h') {
            if (stroke.empty()) throw bad(notation);
            curve(stroke, Point(stroke.back()), to, kind == 'v', tolerance);
        } else {
            stroke.push_back(to);
        }
        if (end < notation.size() && notation[end] == ';') strokes.emplace_back();
        at = end + 1;
    }
    for (const auto& stroke : strokes)
        if (stroke.size() < 2) throw bad(notation);
    return strokes;
}

bool alphabet_has(char32_t c) { return line_letter(c).has_value(); }

Drawing alphabet_lines(const LetteringWishes& wishes) {
    check(wishes);
    const std::vector<std::u32string> text = lines_of(wishes.text, most_characters);
    std::vector<SetLine> lines;
    for (std::size_t k = 0; k < text.size(); ++k) lines.push_back(set_line(text[k], k));
    const Setting setting = setting_of(lines, wishes);
    const double pitch = wishes.line_pitch > 0 ? wishes.line_pitch : own_pitch * setting.size * line_capitals;
    double widest = 0;
    for (const SetLine& line : lines) widest = std::max(widest, setting.width(line));
    Drawing drawing;
    for (std::size_t k = 0; k < lines.size(); ++k)
        place_letters(lines[k], setting, baseline_of(wishes, setting.width(lines[k]), widest, -static_cast<double>(k) * pitch, k), wishes,
                      drawing);
    to_corner(drawing, wishes.arc_radius > 0);
    return drawing;
}

}  // namespace burin
