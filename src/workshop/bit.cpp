// The shape of a bit. Every other figure (width at work, section, offsets, removal) follows from rise().
#include "burin/workshop/bit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numbers>
#include <vector>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double pi = std::numbers::pi;

struct ShapeWords {
    std::string_view word;
    BitShape shape;
    std::size_t sizes;
    std::string_view form;
};
constexpr std::array<ShapeWords, 5> shapes{{
    {"flat", BitShape::flat, 1, "flat:DIAMETER, as in flat:3.175"},
    {"ball", BitShape::ball, 1, "ball:DIAMETER, as in ball:1.0"},
    {"vee", BitShape::vee, 3, "vee:ANGLE:TIP:DIAMETER, as in vee:60:0.1:3.175"},
    {"taper", BitShape::taper, 3, "taper:TIP:SIDE_ANGLE:DIAMETER, as in taper:0.5:10:3.175"},
    {"bull", BitShape::bull, 2, "bull:DIAMETER:CORNER_RADIUS, as in bull:3.175:0.5"},
}};

std::vector<std::string_view> split(std::string_view text) {
    std::vector<std::string_view> parts;
    for (std::size_t at = 0;;) {
        const auto colon = text.find(':', at);
        parts.push_back(text.substr(at, colon - at));
        if (colon == std::string_view::npos) return parts;
        at = colon + 1;
    }
}

double ball_rise(double radius, double r) { return radius - std::sqrt(std::max(0.0, radius * radius - r * r)); }
/// Area between a circle's lowest point and the chord at height h ≤ radius: a circular segment.
double segment(double radius, double h) {
    return radius * radius * std::acos(std::clamp((radius - h) / radius, -1.0, 1.0)) -
           (radius - h) * std::sqrt(std::max(0.0, 2 * radius * h - h * h));
}

void check(bool ok, const std::string& name, std::string_view what) {
    if (!ok) throw Error(Fault::usage, fmt::format("The bit {} cannot be: {}.", name, what));
}

}  // namespace

Bit::Bit(const BitSpec& given, std::string name) : spec_(given), name_(std::move(name)) {
    BitSpec& s = spec_;
    const auto sane = [](double v) { return std::isfinite(v) && v < 1000; };
    check(sane(s.diameter) && s.diameter > 0, name_, "its diameter must be above 0 and below 1000 mm");
    check(sane(s.shank) && s.shank > 0, name_, "its shank must be above 0 mm");
    check(sane(s.stick_out) && s.stick_out > 0, name_, "its stick-out must be above 0 mm");
    check(s.flutes >= 1 && s.flutes <= 20, name_, "it needs 1 to 20 flutes");
    check(sane(s.tip) && s.tip >= 0, name_, "its tip cannot be below 0 mm");
    switch (s.shape) {
        case BitShape::vee:
            check(s.angle > 0 && s.angle < pi, name_, "its included angle must lie between 0 and 180 degrees");
            check(s.tip < s.diameter, name_, "its tip must be narrower than its diameter");
            break;
        case BitShape::taper:
            check(s.angle > 0 && s.angle < pi / 2, name_, "the angle of its side must lie between 0 and 90 degrees");
            check(s.tip > 0 && s.tip * std::cos(s.angle) <= s.diameter, name_,
                  "its ball tip must be above 0 mm and no wider than its diameter");
            break;
        case BitShape::bull:
            check(s.tip <= s.diameter / 2, name_, "its corner radius cannot exceed half its diameter");
            break;
        case BitShape::drill:
            check(s.angle > 0 && s.angle <= pi, name_, "its point angle must lie between 0 and 180 degrees");
            break;
        case BitShape::flat:
        case BitShape::ball:
            break;
    }
    if (s.cutting_length <= 0) {
        s.cutting_length = std::min(4 * s.diameter, s.stick_out);
        if (s.shape == BitShape::vee || s.shape == BitShape::taper) s.cutting_length = std::max(s.cutting_length, tip_height());
    }
    check(sane(s.cutting_length), name_, "its cutting length must be below 1000 mm");
}

bool Bit::looks_like_sizes(std::string_view text) {
    const auto word = text.substr(0, text.find(':'));
    return text.find(':') != std::string_view::npos &&
           std::any_of(shapes.begin(), shapes.end(), [&](const ShapeWords& s) { return s.word == word; });
}

Bit Bit::parse(std::string_view text) {
    const auto parts = split(text);
    const auto found = std::find_if(shapes.begin(), shapes.end(), [&](const ShapeWords& s) { return s.word == parts[0]; });
    if (found == shapes.end())
        throw Error(Fault::usage,
                    fmt::format("'{}' is no bit: sizes are written flat:D, ball:D, vee:ANGLE:TIP:D, taper:TIP:ANGLE:D or bull:D:R.", text));
    if (parts.size() != found->sizes + 1)
        throw Error(Fault::usage, fmt::format("The bit '{}' has the wrong number of sizes: write {}.", text, found->form));
    std::array<double, 3> v{};
    for (std::size_t i = 0; i < found->sizes; ++i) {
        const auto part = parts[i + 1];
        const auto [end, error] = std::from_chars(part.data(), part.data() + part.size(), v[i], std::chars_format::fixed);
        if (error != std::errc{} || end != part.data() + part.size() || !std::isfinite(v[i]))
            throw Error(Fault::usage, fmt::format("In the bit '{}', '{}' is no plain number: write {}.", text, part, found->form));
    }
    BitSpec s;
    s.shape = found->shape;
    switch (found->shape) {
        case BitShape::vee:
            s.angle = v[0] * pi / 180, s.tip = v[1], s.diameter = v[2];
            break;
        case BitShape::taper:
            s.tip = v[0], s.angle = v[1] * pi / 180, s.diameter = v[2];
            break;
        case BitShape::bull:
            s.diameter = v[0], s.tip = v[1];
            break;
        default:
            s.diameter = v[0];
    }
    return Bit(s, std::string(text));
}

std::string Bit::sizes() const {
    const BitSpec& s = spec_;
    const double degrees = std::round(s.angle * 180 / pi * 1e6) / 1e6;
    switch (s.shape) {
        case BitShape::flat:
            return fmt::format("flat:{}", s.diameter);
        case BitShape::ball:
            return fmt::format("ball:{}", s.diameter);
        case BitShape::vee:
            return fmt::format("vee:{}:{}:{}", degrees, s.tip, s.diameter);
        case BitShape::taper:
            return fmt::format("taper:{}:{}:{}", s.tip, degrees, s.diameter);
        case BitShape::bull:
            return fmt::format("bull:{}:{}", s.diameter, s.tip);
        case BitShape::drill:
            return fmt::format("drill:{}", s.diameter);
    }
    return {};
}

double Bit::rise(double r) const {
    const BitSpec& s = spec_;
    switch (s.shape) {
        case BitShape::flat:
            return 0;
        case BitShape::ball:
            return ball_rise(radius(), r);
        case BitShape::vee:
            return std::max(0.0, r - s.tip / 2) / std::tan(s.angle / 2);
        case BitShape::drill:
            return r / std::tan(s.angle / 2);
        case BitShape::bull: {
            const double q = r - (radius() - s.tip);
            return q <= 0 ? 0 : ball_rise(s.tip, q);
        }
        case BitShape::taper: {
            const double ball = s.tip / 2, touch = ball * std::cos(s.angle);
            return r <= touch ? ball_rise(ball, r) : ball - ball * std::sin(s.angle) + (r - touch) / std::tan(s.angle);
        }
    }
    return 0;
}

double Bit::width_at(double h) const {
    const BitSpec& s = spec_;
    if (h < 0) return 0;
    if (h >= tip_height()) return s.diameter;
    switch (s.shape) {
        case BitShape::flat:
            return s.diameter;
        case BitShape::ball:
            return 2 * std::sqrt(std::max(0.0, 2 * radius() * h - h * h));
        case BitShape::vee:
            return s.tip + 2 * h * std::tan(s.angle / 2);
        case BitShape::drill:
            return 2 * h * std::tan(s.angle / 2);
        case BitShape::bull:
            return s.diameter - 2 * s.tip + 2 * std::sqrt(std::max(0.0, 2 * s.tip * h - h * h));
        case BitShape::taper: {
            const double ball = s.tip / 2, low = ball * (1 - std::sin(s.angle));
            return h <= low ? 2 * std::sqrt(std::max(0.0, 2 * ball * h - h * h))
                            : 2 * (ball * std::cos(s.angle) + (h - low) * std::tan(s.angle));
        }
    }
    return 0;
}

double Bit::section(double h) const {
    const BitSpec& s = spec_;
    const double top = tip_height(), in = std::clamp(h, 0.0, top), above = std::max(0.0, h - top) * s.diameter;
    switch (s.shape) {
        case BitShape::flat:
            return std::max(0.0, h) * s.diameter;
        case BitShape::ball:
            return segment(radius(), in) + above;
        case BitShape::vee:
            return s.tip * in + in * in * std::tan(s.angle / 2) + above;
        case BitShape::drill:
            return in * in * std::tan(s.angle / 2) + above;
        case BitShape::bull:
            return (s.diameter - 2 * s.tip) * in + (s.tip > 0 ? segment(s.tip, in) : 0) + above;
        case BitShape::taper: {
            const double ball = s.tip / 2, low = ball * (1 - std::sin(s.angle));
            const double cone = std::max(0.0, in - low);
            return segment(ball, std::min(in, low)) + 2 * ball * std::cos(s.angle) * cone + cone * cone * std::tan(s.angle) + above;
        }
    }
    return 0;
}

double Bit::round_radius() const {
    switch (spec_.shape) {
        case BitShape::ball:
            return radius();
        case BitShape::taper:
            return spec_.tip / 2;
        case BitShape::bull:
            return spec_.tip;
        default:
            return 0;
    }
}

double Bit::tip_diameter() const {
    switch (spec_.shape) {
        case BitShape::taper:
        case BitShape::vee:
            return spec_.tip;
        default:
            return spec_.diameter;
    }
}

double scallop_height(double r, double s) { return s >= 2 * r ? r : r - std::sqrt(r * r - s * s / 4); }
double scallop_stepover(double r, double h) { return 2 * std::sqrt(std::max(0.0, 2 * r * h - h * h)); }

}  // namespace burin
