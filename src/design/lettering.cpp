/// Text becomes figures: lines are shaped (font_face.cpp), their size settled, letters placed on straight baselines or on circles, and
/// everything united at once. Each glyph is first made a region by its font's rule, so that all loops wind counter-clockwise round ink,
/// whatever kind of font they come from; the union of all letters is then where the loops of all wind once or more.
/// Cost: shaping is linear in the text, the union n log n in the corners.
#include "burin/design/lettering.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <utility>

#include "baseline.hpp"
#include "burin/base/error.hpp"
#include "burin/workshop/fonts.hpp"
#include "font_face.hpp"
#include "lettering_text.hpp"

namespace burin {
namespace {

constexpr std::size_t most_characters = 10'000, most_corners = 4'000'000;
constexpr double lowest_capitals = 0.1, highest_capitals = 1000;
constexpr double own_pitch = 1.6;  // cap heights, about what text fonts ask for themselves; no source
constexpr double turn = 2 * std::numbers::pi;

/// A letter on its line. Its place follows from the size: pen · size + before · spacing.
struct SetLetter {
    Letter letter;
    double pen = 0;     // font units
    double before = 0;  // gaps of letter spacing before it
    Box ink;            // font units, from its pen; lo above hi: none
};
using SetLine = std::vector<SetLetter>;

struct Span {
    double from = 0, to = 0;
    bool any = false;
    [[nodiscard]] double length() const { return to - from; }
    [[nodiscard]] double middle() const { return (from + to) / 2; }
};

/// What turns font units into millimetres on the line.
struct Setting {
    double size = 1, spacing = 0;
    [[nodiscard]] double pen(const SetLetter& set) const { return set.pen * size + set.before * spacing; }
    /// The ink of a line along its baseline.
    [[nodiscard]] Span span(const SetLine& line) const {
        Span span;
        for (const SetLetter& set : line) {
            if (set.ink.lo.x > set.ink.hi.x) continue;
            const double from = pen(set) + set.ink.lo.x * size, to = pen(set) + set.ink.hi.x * size;
            span = {span.any ? std::min(span.from, from) : from, span.any ? std::max(span.to, to) : to, true};
        }
        return span;
    }
    [[nodiscard]] double longest(const std::vector<SetLine>& lines) const {
        double most = 0;
        for (const SetLine& line : lines) most = std::max(most, span(line).length());
        return most;
    }
};

void check_number(std::string_view what, double value, double least, double most, bool or_none) {
    if ((or_none && value == 0) || (value >= least && value <= most)) return;
    throw Error(Fault::usage, fmt::format("Lettering: {} is {} mm; it goes from {} to {} mm.", what, value, least, most));
}

void check(const LetteringWishes& wishes) {
    check_number("the height of capitals", wishes.cap_height, lowest_capitals, highest_capitals, false);
    check_number("the spacing of letters", wishes.spacing, -1000, 1000, false);
    check_number("the pitch of lines", wishes.line_pitch, 0.01, 10'000, true);
    check_number("the width to be filled", wishes.fit_width, 0.1, 10'000, true);
    check_number("the radius of the arc", wishes.arc_radius, 0.1, 9'000, true);
    check_number("the tolerance", wishes.tolerance, 0.00001, 1, false);
}

std::string place_of(const std::vector<std::u32string>& lines, std::size_t line, std::size_t place) {
    return lines.size() == 1 ? fmt::format("at place {}", place + 1) : fmt::format("in line {} at place {}", line + 1, place + 1);
}

/// First character of the letter at `place` that the font has no glyph for.
std::size_t lacking(const FontFace& font, const std::u32string& line, std::size_t place, std::size_t end) {
    for (std::size_t k = place; k < end; ++k)
        if (!font.has(line[k]) && !blank(line[k])) return k;
    return place;
}

Error missing(const FontFace& font, const std::vector<std::u32string>& lines, std::size_t line, std::size_t place) {
    std::u32string all, others;
    for (const std::u32string& each : lines)
        for (const char32_t c : each)
            if (!blank(c) && !font.has(c) && all.find(c) == std::u32string::npos) all.push_back(c);
    const char32_t first = lines[line][place];
    if (all.find(first) == std::u32string::npos) all.push_back(first);
    std::string sentence = fmt::format("The font '{}' has no letter for {}, {}.", font.name(), shown(first), place_of(lines, line, place));
    if (all.size() > 1) {
        sentence += " It lacks more of this text:";
        int told = 0;
        for (const char32_t c : all)
            if (c != first && told++ < 5) sentence += (told == 1 ? " " : ", ") + shown(c);
        if (all.size() > 6) sentence += fmt::format(" and {} more", all.size() - 6);
        sentence += ".";
    }
    const std::vector<std::string> families = families_with(all);
    sentence += families.empty() ? " No font that is installed has what is missing: install one, or write it otherwise."
                                 : fmt::format(" Take a font that has it: {}.", fmt::join(families, ", "));
    return Error(Fault::refused, sentence);
}

/// The line's letters in the order they stand, with their ink.
SetLine set_line(const FontFace& font, const std::vector<std::u32string>& lines, std::size_t number, bool ligatures) {
    const std::u32string& line = lines[number];
    SetLine set;
    double pen = 0, before = 0;
    for (const TextRun& run : runs_of(line)) {
        std::vector<Letter> letters = font.shape(line, run, ligatures);
        std::vector<std::size_t> places;
        for (const Letter& letter : letters) places.push_back(letter.place);
        std::sort(places.begin(), places.end());
        for (Letter& letter : letters) {
            const auto next = std::upper_bound(places.begin(), places.end(), letter.place);
            const std::size_t end = next == places.end() ? run.end : *next;
            SetLetter placed{std::move(letter), pen, before, Box{{1, 1}, {-1, -1}}};
            for (const PlacedGlyph& glyph : placed.letter.glyphs) {
                if (glyph.id == 0) throw missing(font, lines, number, lacking(font, line, placed.letter.place, end));
                const Box ink = font.ink(glyph.id);
                if (ink.lo.x > ink.hi.x) continue;
                const Box here{{ink.lo.x + glyph.at.x, ink.lo.y + glyph.at.y}, {ink.hi.x + glyph.at.x, ink.hi.y + glyph.at.y}};
                Box& all = placed.ink;
                all = all.lo.x > all.hi.x ? here : joined(all, here);
            }
            if (placed.ink.lo.x > placed.ink.hi.x)
                for (std::size_t k = placed.letter.place; k < end; ++k)
                    if (!blank(line[k]))
                        throw Error(Fault::refused, fmt::format("The font '{}' draws nothing for {}, {} (a font of coloured pictures does "
                                                                "so). Take another font.",
                                                                font.name(), shown(line[k]), place_of(lines, number, k)));
            pen += placed.letter.advance;
            before += placed.letter.advance != 0 ? 1 : 0;
            set.push_back(std::move(placed));
        }
    }
    return set;
}

/// The size at which the longest line is `wishes.fit_width` long, by bisection: it grows with the size.
double fitted_size(const FontFace& font, const std::vector<SetLine>& lines, const LetteringWishes& wishes) {
    double low = lowest_capitals / font.cap_height(), high = highest_capitals / font.cap_height();
    const auto length = [&](double size) { return Setting{size, wishes.spacing}.longest(lines); };
    if (length(low) > wishes.fit_width)
        throw Error(Fault::refused, fmt::format("The text does not fit into {} mm: even with capitals {} mm high it would be {:.1f} mm "
                                                "long. Shorten it, give it more lines, or less spacing.",
                                                wishes.fit_width, lowest_capitals, length(low)));
    if (length(high) < wishes.fit_width)
        throw Error(Fault::refused, fmt::format("The text does not fill {} mm: with capitals {} mm high it is still only {:.1f} mm long.",
                                                wishes.fit_width, highest_capitals, length(high)));
    for (int k = 0; k < 60; ++k) {
        const double middle = (low + high) / 2;
        (length(middle) > wishes.fit_width ? high : low) = middle;
    }
    return low;
}

double shifted(Align align, const Span& line, double from, double to) {
    if (align == Align::left) return from - line.from;
    if (align == Align::right) return to - line.to;
    return (from + to) / 2 - line.middle();
}

Error too_long(double length, double radius, std::size_t number, const LetteringWishes& wishes) {
    const double round = turn * radius;
    const std::string need = fmt::format("a radius of {:.1f} mm", std::ceil(length / turn * 10) / 10);
    return Error(Fault::refused,
                 fmt::format("Line {} of the lettering is {:.1f} mm long: {:.0f} % of the circumference ({:.1f} mm) of its circle of "
                             "radius {:.1f} mm. It needs {}{}, or fewer letters.",
                             number + 1, length, std::ceil(100 * length / round), round, radius, need,
                             wishes.fit_width > 0 ? "" : ", lower letters"));
}

std::vector<Baseline> baselines(const std::vector<SetLine>& lines, const Setting& setting, double pitch, const LetteringWishes& wishes,
                                std::vector<std::string>& warnings) {
    std::vector<Baseline> all(lines.size());
    double half = 0;  // of the widest line: mm, or an angle
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const Span span = setting.span(lines[k]);
        Baseline& line = all[k];
        line.below = wishes.arc_below;
        line.y = -static_cast<double>(k) * pitch;
        if (wishes.arc_radius > 0 && span.any) {
            line.radius = wishes.arc_radius + (wishes.arc_below ? -line.y : line.y);
            double reach = 0;  // of the ink towards the centre
            for (const SetLetter& set : lines[k])
                if (set.ink.lo.x <= set.ink.hi.x) reach = std::max(reach, setting.size * (wishes.arc_below ? set.ink.hi.y : -set.ink.lo.y));
            if (line.radius - reach <= 0)
                throw Error(Fault::refused,
                            fmt::format("Line {} of the lettering would reach the centre of its circle: its baseline has a radius of "
                                        "{:.1f} mm and its letters go {:.1f} mm inwards. Give a larger radius{} or lower letters.",
                                        k + 1, line.radius, reach, lines.size() > 1 ? ", fewer lines" : ""));
            if (span.length() > turn * line.radius) throw too_long(span.length(), line.radius, k, wishes);
            if (line.radius - reach < line.radius / 2)
                warnings.push_back(
                    fmt::format("Line {} of the lettering is bent so tightly that its letters crowd on the inside (radius "
                                "{:.1f} mm, letters {:.1f} mm inwards): look at the preview.",
                                k + 1, line.radius, reach));
        }
        half = std::max(half, span.length() / 2 / (line.radius > 0 ? line.radius : 1));
    }
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const double reach = half * (all[k].radius > 0 ? all[k].radius : 1);
        all[k].start = shifted(wishes.align, setting.span(lines[k]), -reach, reach);
    }
    return all;
}

/// Glyphs as loops in millimetres, counter-clockwise round ink; each is drawn once.
class Glyphs {
public:
    Glyphs(const FontFace& font, double size, double tolerance) : font_(font), size_(size), tolerance_(tolerance) {}
    const std::vector<Loop>& operator[](std::uint32_t id) {
        auto [found, fresh] = known_.try_emplace(id);
        if (fresh) {
            GlyphLoops drawn = font_.loops(id, tolerance_ / size_);
            for (Loop& loop : drawn.loops)
                for (Point& p : loop) p = {p.x * size_, p.y * size_};
            std::erase_if(drawn.loops, [](const Loop& loop) { return loop.size() < 3; });
            found->second = Region(drawn.loops, drawn.rule).loops();
        }
        return found->second;
    }

private:
    const FontFace& font_;
    double size_, tolerance_;
    std::map<std::uint32_t, std::vector<Loop>> known_;
};

/// The loop, whose points count from the start of its letter, in its place: turned as it is, or bent point by point, so that strokes which
/// join letters go on.
Loop placed(const Loop& loop, const Baseline& line, double pen, double advance, bool bend, double tolerance) {
    Loop out;
    out.reserve(loop.size());
    if (!bend || line.radius == 0) {
        for (const Point& p : loop) out.push_back(line.place({p.x - advance / 2, p.y}, pen + advance / 2));
        return out;
    }
    for (std::size_t k = 0; k < loop.size(); ++k) {
        const Point a = loop[k], b = loop[(k + 1) % loop.size()];
        // A chord that spans the angle w at the radius r bends by r w² / 8, one that rises meanwhile by as much as its rise times w / 4.
        const double w = std::abs(b.x - a.x) / line.radius, r = line.radius + std::max(std::abs(a.y), std::abs(b.y));
        const double sag = r * w * w / 8 + std::abs(b.y - a.y) * w / 4;
        const auto n = static_cast<int>(std::clamp(std::ceil(std::sqrt(sag / tolerance)), 1.0, 1000.0));
        for (int i = 0; i < n; ++i) {
            const double t = static_cast<double>(i) / n;
            out.push_back(line.place({0, a.y + t * (b.y - a.y)}, pen + a.x + t * (b.x - a.x)));
        }
    }
    return out;
}

/// Loops of every letter in its place, counter-clockwise round ink.
std::vector<Loop> placed_loops(const FontFace& font, const std::vector<SetLine>& lines, const std::vector<Baseline>& baselines,
                               const Setting& setting, double tolerance) {
    Glyphs glyphs(font, setting.size, tolerance);
    std::vector<Loop> all;
    std::size_t corners = 0;
    for (std::size_t k = 0; k < lines.size(); ++k)
        for (const SetLetter& set : lines[k])
            for (const PlacedGlyph& glyph : set.letter.glyphs) {
                for (Loop loop : glyphs[glyph.id]) {
                    for (Point& p : loop) p = {p.x + glyph.at.x * setting.size, p.y + glyph.at.y * setting.size};
                    all.push_back(placed(loop, baselines[k], setting.pen(set), set.letter.advance * setting.size,
                                         joined_up(set.letter.script), tolerance));
                    corners += all.back().size();
                }
                if (corners > most_corners)
                    throw Error(Fault::refused,
                                fmt::format("The outlines of this lettering have more than {} corners. Letter less at once, raise the "
                                            "tolerance, or take a plainer font than '{}'.",
                                            most_corners, font.name()));
            }
    return all;
}

/// Throws Error (refused) where letters or lines lie on each other by the dozen: nobody could read it, and uniting them would take
/// hours. A letter may touch some eight others.
void refuse_heaps(const std::vector<SetLine>& lines, const Setting& setting, double pitch, double capitals) {
    constexpr std::size_t overlaps_a_letter = 8, overlaps_a_line = 500;
    const auto heap = [](std::size_t line, std::string_view remedy) {
        return Error(Fault::refused,
                     fmt::format("The letters of line {} would lie on each other many deep, and not be read. {}", line + 1, remedy));
    };
    if (lines.size() > 1 && pitch < capitals / 10)
        throw heap(0, fmt::format("The pitch of lines, {:.2f} mm, is to be at least a tenth of the capitals' height.", pitch));
    for (std::size_t k = 0; k < lines.size(); ++k) {
        std::vector<std::pair<double, double>> spans;
        std::size_t overlaps = 0;
        for (const SetLetter& set : lines[k])
            if (set.ink.lo.x <= set.ink.hi.x)
                for (std::size_t each = 0; each < set.letter.glyphs.size(); ++each)
                    spans.emplace_back(setting.pen(set) + set.ink.lo.x * setting.size, setting.pen(set) + set.ink.hi.x * setting.size);
        std::sort(spans.begin(), spans.end());
        for (std::size_t i = 0; i < spans.size(); ++i)
            for (std::size_t j = i + 1; j < spans.size() && spans[j].first < spans[i].second; ++j)
                if (++overlaps > overlaps_a_letter * spans.size() + overlaps_a_line)
                    throw heap(k, setting.spacing < 0 ? "Take less off their spacing." : "Take fewer marks on one letter.");
    }
}

/// Moves the loops so that the lower left corner of their box lies at (0, 0); by how much is returned.
Point to_corner(std::vector<Loop>& loops) {
    constexpr double far = std::numeric_limits<double>::max();
    Point lo{far, far};
    for (const Loop& loop : loops)
        for (const Point& p : loop) lo = {std::min(lo.x, p.x), std::min(lo.y, p.y)};
    for (Loop& loop : loops)
        for (Point& p : loop) p = {p.x - lo.x, p.y - lo.y};
    return {-lo.x, -lo.y};
}

void note(Drawing& drawing, const FontFace& font, const std::vector<SetLine>& lines, const Setting& setting, double pitch,
          const LetteringWishes& wishes) {
    const double capitals = setting.size * font.cap_height();
    drawing.notes.push_back(fmt::format("Lettering in {}: capitals {:.2f} mm high{}, {} {:.1f} mm long{}.", font.name(), capitals,
                                        wishes.fit_width > 0 ? " (so that it fits its width)" : "",
                                        lines.size() > 1 ? "the longest line" : "the line", setting.longest(lines),
                                        wishes.arc_radius > 0 ? " along its arc" : ""));
    if (lines.size() > 1)
        drawing.notes.push_back(fmt::format("Lettering: {} lines, {:.2f} mm from baseline to baseline{}.", lines.size(), pitch,
                                            wishes.line_pitch > 0 ? "" : fmt::format(" ({} times the capitals)", own_pitch)));
    const bool joined = std::any_of(lines.begin(), lines.end(), [](const SetLine& line) {
        return std::any_of(line.begin(), line.end(), [](const SetLetter& set) { return joined_up(set.letter.script); });
    });
    if (joined && wishes.spacing > 0)
        drawing.warnings.emplace_back("The script joins its letters, and spacing pulls them apart: look at the preview.");
}

}  // namespace

Drawing lettering(std::string_view font_bytes, int face, const std::string& font_name, const LetteringWishes& wishes) {
    check(wishes);
    const std::vector<std::u32string> text = lines_of(wishes.text, most_characters);
    const FontFace font(font_bytes, face, font_name);
    std::vector<SetLine> lines;
    for (std::size_t k = 0; k < text.size(); ++k) lines.push_back(set_line(font, text, k, wishes.spacing == 0));

    Setting setting{wishes.cap_height / font.cap_height(), wishes.spacing};
    if (wishes.fit_width > 0) setting.size = fitted_size(font, lines, wishes);
    const double pitch = wishes.line_pitch > 0 ? wishes.line_pitch : own_pitch * setting.size * font.cap_height();

    refuse_heaps(lines, setting, pitch, setting.size * font.cap_height());
    Drawing drawing;
    const std::vector<Baseline> placing = baselines(lines, setting, pitch, wishes, drawing.warnings);
    std::vector<Loop> loops = placed_loops(font, lines, placing, setting, wishes.tolerance);
    const Point to = to_corner(loops);
    drawing.region = Region(loops, FillRule::positive);
    if (drawing.region.empty())
        throw Error(Fault::refused, fmt::format("The font '{}' draws nothing for this text that could be cut.", font.name()));
    drawing.width = drawing.region.bounds().hi.x;
    drawing.height = drawing.region.bounds().hi.y;
    if (wishes.arc_radius > 0) drawing.arc_centre = to;
    note(drawing, font, lines, setting, pitch, wishes);
    return drawing;
}

TextLine text_line(std::string_view font_bytes, int face, const std::string& font_name, std::string_view text, double em,
                   double tolerance) {
    check_number("size", em, 0.01, 10000, false);
    const FontFace font(font_bytes, face, font_name);
    const std::vector<SetLine> lines{set_line(font, {lines_of(text, most_characters).front()}, 0, true)};
    const Setting setting{em / font.em(), 0};
    TextLine line;
    line.region = Region(placed_loops(font, lines, std::vector<Baseline>(1), setting, tolerance), FillRule::positive);
    if (!lines[0].empty()) line.advance = setting.pen(lines[0].back()) + lines[0].back().letter.advance * setting.size;
    return line;
}

}  // namespace burin
