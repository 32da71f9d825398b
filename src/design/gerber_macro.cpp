/// Macro apertures: small sums, and figures that add to or take from what the macro drew before (Ucamco's specification, from memory).
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "gerber_parts.hpp"

namespace burin {
namespace {

constexpr int most_brackets = 50;
constexpr std::size_t most_variables = 1000;

/// A sum with + - x / and brackets over numbers and variables.
class Sum {
public:
    Sum(std::string_view text, const std::vector<double>& values, std::size_t line) : text_(text), values_(values), line_(line) {}
    double value() {
        const double sum = terms(0);
        if (at_ != text_.size()) throw gerber_error(line_, fmt::format("'{}' is no sum that a macro can hold.", text_.substr(0, 40)));
        if (!(std::abs(sum) < 1e6)) throw gerber_error(line_, "A macro's sum is far too large.");
        return sum;
    }

private:
    [[nodiscard]] char next() const { return at_ < text_.size() ? text_[at_] : '\0'; }
    double terms(int deep) {
        double sum = factors(deep);
        while (next() == '+' || next() == '-') {
            const bool plus = text_[at_++] == '+';
            const double other = factors(deep);
            sum += plus ? other : -other;
        }
        return sum;
    }
    double factors(int deep) {
        double product = atom(deep);
        while (next() == 'x' || next() == 'X' || next() == '/') {
            const bool divided = text_[at_++] == '/';
            const double other = atom(deep);
            if (divided && other == 0) throw gerber_error(line_, "The macro divides by zero.");
            product = divided ? product / other : product * other;
        }
        return product;
    }
    double atom(int deep) {
        if (deep > most_brackets) throw gerber_error(line_, "Too many brackets within brackets.");
        if (next() == '-' || next() == '+') {
            const bool minus = text_[at_++] == '-';
            const double value = atom(deep + 1);
            return minus ? -value : value;
        }
        if (next() == '(') {
            ++at_;
            const double value = terms(deep + 1);
            if (next() != ')') throw gerber_error(line_, "A bracket is not closed.");
            ++at_;
            return value;
        }
        const bool variable = next() == '$';
        if (variable) ++at_;
        const std::size_t from = at_;
        while ((next() >= '0' && next() <= '9') || (next() == '.' && !variable)) ++at_;
        const double value = gerber_number(text_.substr(from, at_ - from), line_);
        if (!variable) return value;
        return value >= 1 && value <= static_cast<double>(values_.size()) ? values_[static_cast<std::size_t>(value) - 1] : 0;
    }
    std::string_view text_;
    const std::vector<double>& values_;
    std::size_t line_, at_ = 0;
};

Loop turned(Loop loop, double degrees) {
    const double a = degrees * std::numbers::pi / 180, c = std::cos(a), s = std::sin(a);
    for (Point& p : loop) p = {p.x * c - p.y * s, p.x * s + p.y * c};
    return loop;
}

Region thermal(Point at, double outer, double inner, double gap, double degrees, double chord) {
    const Loop lying = corners_of({{at.x - outer, at.y - gap / 2}, {at.x + outer, at.y + gap / 2}});
    const Loop standing = corners_of({{at.x - gap / 2, at.y - outer}, {at.x + gap / 2, at.y + outer}});
    Region ring =
        without(Region({turned(gerber_disc(at, outer, chord), degrees)}), Region({turned(gerber_disc(at, inner, chord), degrees)}));
    return without(ring, Region({turned(lying, degrees), turned(standing, degrees)}, FillRule::nonzero));
}

/// `v`: what follows the code, lengths not yet in mm.
Region primitive(int code, const std::vector<double>& v, double unit, double chord, std::size_t line) {
    const auto need = [&](std::size_t least, std::size_t most) {
        if (v.size() < least || v.size() > most)
            throw gerber_error(line, fmt::format("The macro's figure {} has {} values and takes {}.", code, v.size(), least));
    };
    const auto mm = [&](std::size_t k) { return v[k] * unit; };
    const auto size = [&](std::size_t k) {
        if (!(v[k] >= 0 && v[k] * unit < 9000)) throw gerber_error(line, "A size in a macro is below 0 or larger than 9 m.");
        return v[k] * unit;
    };
    if (code == 1) {
        need(4, 5);
        return Region({turned(gerber_disc({mm(2), mm(3)}, size(1), chord), v.size() > 4 ? v[4] : 0)});
    }
    if (code == 4) {
        need(3, 20000);
        if (!(v[1] >= 3 && v[1] <= 5000) || v[1] != std::floor(v[1]))
            throw gerber_error(line, "An outline in a macro has 3 to 5000 corners.");
        const auto corners = static_cast<std::size_t>(v[1]);
        need(2 * corners + 5, 2 * corners + 5);
        Loop loop;
        for (std::size_t k = 0; k < corners; ++k) loop.push_back({mm(2 + 2 * k), mm(3 + 2 * k)});
        return Region({turned(loop, v.back())});
    }
    if (code == 5) {
        need(6, 6);
        Loop loop;
        if (!(v[1] >= 3 && v[1] <= 12)) throw gerber_error(line, "A polygon has 3 to 12 corners.");
        for (int k = 0; k < static_cast<int>(v[1]); ++k) {
            const double a = 2 * std::numbers::pi * k / std::floor(v[1]);
            loop.push_back({mm(2) + size(4) / 2 * std::cos(a), mm(3) + size(4) / 2 * std::sin(a)});
        }
        return Region({turned(loop, v[5])});
    }
    if (code == 7) {
        need(6, 6);
        return thermal({mm(0), mm(1)}, size(2), size(3), size(4), v[5], chord);
    }
    if (code == 20) {
        need(7, 7);
        const Point from{mm(2), mm(3)}, to{mm(4), mm(5)};
        const double length = distance(from, to), half = size(1) / 2;
        if (length == 0) return {};
        const Point side{-(to.y - from.y) / length * half, (to.x - from.x) / length * half};
        return Region({turned({{from.x - side.x, from.y - side.y},
                               {to.x - side.x, to.y - side.y},
                               {to.x + side.x, to.y + side.y},
                               {from.x + side.x, from.y + side.y}},
                              v[6])});
    }
    if (code == 21 || code == 22) {
        need(6, 6);
        const double w = size(1), h = size(2), x = mm(3) - (code == 21 ? w / 2 : 0), y = mm(4) - (code == 21 ? h / 2 : 0);
        return Region({turned(corners_of({{x, y}, {x + w, y + h}}), v[5])});
    }
    throw gerber_error(line, fmt::format("The macro's figure {} is not known.", code));
}

}  // namespace

Region gerber_macro(const GerberCommand& macro, std::vector<double> values, double unit, double chord, std::size_t line) {
    Region drawn;
    for (std::size_t k = 1; k < macro.parts.size(); ++k) {
        std::string text = macro.parts[k];
        if (text.starts_with("0 ") || text == "0") continue;  // a comment
        std::erase(text, ' ');
        if (text.empty()) continue;
        if (text.front() == '$') {
            const std::size_t equals = text.find('=');
            if (equals == std::string::npos) throw gerber_error(macro.line, "A variable of a macro is given no value.");
            const double which = gerber_number(std::string_view(text).substr(1, equals - 1), macro.line);
            if (!(which >= 1 && which <= static_cast<double>(most_variables)))
                throw gerber_error(macro.line, "Variables of macros are $1 to $1000.");
            const double value = Sum(std::string_view(text).substr(equals + 1), values, macro.line).value();
            if (values.size() < static_cast<std::size_t>(which)) values.resize(static_cast<std::size_t>(which));
            values[static_cast<std::size_t>(which) - 1] = value;
            continue;
        }
        std::vector<double> given;
        for (std::size_t from = 0; from <= text.size();) {
            const std::size_t end = std::min(text.find(',', from), text.size());
            given.push_back(Sum(std::string_view(text).substr(from, end - from), values, macro.line).value());
            from = end + 1;
        }
        const int code = static_cast<int>(std::clamp(given.front(), -1.0, 1000.0));
        given.erase(given.begin());
        const Region figure = primitive(code, given, unit, chord, macro.line);
        drawn = code == 7 || given.front() != 0 ? united(drawn, figure) : without(drawn, figure);
    }
    (void)line;
    return drawn;
}

}  // namespace burin
