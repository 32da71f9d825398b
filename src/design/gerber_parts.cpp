/// Commands and standard apertures of a Gerber file (Ucamco's specification, from memory).
#include "gerber_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <numbers>

namespace burin {
namespace {

constexpr double most = 9000;  // mm: a Region reaches 10 m

int chords_of(double radius, double chord) {
    if (radius <= chord) return 8;
    return std::clamp(4 * static_cast<int>(std::ceil(std::numbers::pi / std::acos(1 - chord / radius) / 4)), 8, 4000);
}

Loop box_at(double w, double h) { return corners_of({{-w / 2, -h / 2}, {w / 2, h / 2}}); }

double sized(const std::vector<double>& sizes, std::size_t k, double unit, std::size_t line) {
    if (k >= sizes.size()) throw gerber_error(line, "The aperture lacks a size.");
    const double size = sizes[k] * unit;
    if (!(size >= 0 && size < most)) throw gerber_error(line, "An aperture's size is below 0 or larger than 9 m.");
    return size;
}

}  // namespace

Error gerber_error(std::size_t line, const std::string& sentence) {
    return {Fault::input, fmt::format("The Gerber file is wrong in line {}: {}", line, sentence)};
}

std::vector<GerberCommand> gerber_commands(std::string_view bytes) {
    std::vector<GerberCommand> commands;
    bool extended = false, macro = false;
    std::size_t line = 1, begun = 1;
    std::string text;
    for (const char c : bytes) {
        if (c == '\n') ++line;
        if (c == '\n' || c == '\r') continue;
        if (text.empty()) begun = line;
        if (c == '%') {
            if (text.find_first_not_of(" \t") != std::string::npos) throw gerber_error(line, "A command before '%' has no '*' at its end.");
            text.clear();
            extended = !extended;
            macro = false;
        } else if (c == '*') {
            if (macro)
                commands.back().parts.push_back(text);
            else if (!text.empty())
                commands.push_back({{text}, begun, extended});
            if (extended && text.starts_with("AM")) macro = true;
            text.clear();
        } else {
            text += c;
        }
    }
    if (extended) throw gerber_error(line, "the last '%' is never closed; the file is not whole.");
    if (text.find_first_not_of(" \t") != std::string::npos)
        throw gerber_error(begun, "The last command has no '*' at its end; the file is not whole.");
    return commands;
}

double gerber_number(std::string_view text, std::size_t line) {
    if (text.starts_with('+')) text.remove_prefix(1);
    double value = 0;
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
    if (fault != std::errc() || end != text.data() + text.size() || !std::isfinite(value))
        throw gerber_error(line, fmt::format("'{}' should be a number.", text.substr(0, 40)));
    return value;
}

std::vector<double> gerber_numbers(std::string_view text, char by, std::size_t line) {
    std::vector<double> numbers;
    while (true) {
        const std::size_t end = std::min(text.find(by), text.size());
        numbers.push_back(gerber_number(text.substr(0, end), line));
        if (end == text.size()) return numbers;
        text.remove_prefix(end + 1);
    }
}

Loop gerber_disc(Point at, double diameter, double chord) {
    const int n = chords_of(diameter / 2, chord);
    Loop loop;
    for (int k = 0; k < n; ++k) {
        const double a = 2 * std::numbers::pi * k / n;
        loop.push_back({at.x + diameter / 2 * std::cos(a), at.y + diameter / 2 * std::sin(a)});
    }
    return loop;
}

Loop gerber_capsule(Point from, Point to, double diameter, double chord) {
    if (from == to) return gerber_disc(from, diameter, chord);
    const int half = chords_of(diameter / 2, chord) / 2;
    const double along = std::atan2(to.y - from.y, to.x - from.x);
    Loop loop;
    for (int end = 0; end < 2; ++end)
        for (int k = 0; k <= half; ++k) {
            const double a = along + std::numbers::pi * (end - 0.5 + static_cast<double>(k) / half);
            const Point& c = end == 0 ? to : from;
            loop.push_back({c.x + diameter / 2 * std::cos(a), c.y + diameter / 2 * std::sin(a)});
        }
    return loop;
}

Region gerber_shape(char kind, const std::vector<double>& sizes, double unit, double chord, std::size_t line) {
    const double w = sized(sizes, 0, unit, line);
    Loop outer;
    std::size_t hole = 1;
    if (kind == 'C') {
        outer = gerber_disc({}, w, chord);
    } else if (kind == 'R' || kind == 'O') {
        const double h = sized(sizes, 1, unit, line), d = std::min(w, h);
        outer = kind == 'R' ? box_at(w, h) : gerber_capsule({-(w - d) / 2, -(h - d) / 2}, {(w - d) / 2, (h - d) / 2}, d, chord);
        hole = 2;
    } else {
        const double corners = sizes.size() > 1 ? sizes[1] : 0, turn = sizes.size() > 2 ? sizes[2] * std::numbers::pi / 180 : 0;
        if (!(corners >= 3 && corners <= 12) || corners != std::floor(corners)) throw gerber_error(line, "A polygon has 3 to 12 corners.");
        for (int k = 0; k < static_cast<int>(corners); ++k)
            outer.push_back(
                {w / 2 * std::cos(turn + 2 * std::numbers::pi * k / corners), w / 2 * std::sin(turn + 2 * std::numbers::pi * k / corners)});
        hole = 3;
    }
    if (sizes.size() > hole + 1)
        throw gerber_error(line, "The aperture has more sizes than its kind takes (old rectangular holes are not read).");
    if (sizes.size() == hole + 1) return without(Region({outer}), Region({gerber_disc({}, sized(sizes, hole, unit, line), chord)}));
    return Region({outer});
}

}  // namespace burin
