/// Straight lines and waves along an angle, rings and a spiral about the middle; what leaves the field is cut off.
///
/// Neighbouring waves are the same curve moved by the pitch p across the lines; where the curve runs at an angle φ to them, they lie
/// p cos φ apart (plane geometry). Turns of the spiral r = p t / 2π lie p / √(1 + (p / 2πr)²) apart, which is p but for its innermost.
#include "screen_lines.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace burin {
namespace {

constexpr double turn = 2 * std::numbers::pi;

/// Takes points one after the other and parts the line where it leaves the field.
class Clip {
public:
    Clip(const Box& field, std::vector<ScreenLine>& lines) : field_(field), lines_(lines) {}
    void put(const Point& p, double pitch) {
        if (!field_.holds(p, 1e-9)) {
            open_ = false;
            return;
        }
        if (!open_) lines_.emplace_back();
        open_ = true;
        lines_.back().points.push_back(p);
        lines_.back().pitch.push_back(pitch);
    }
    void part() { open_ = false; }

private:
    const Box& field_;
    std::vector<ScreenLine>& lines_;
    bool open_ = false;
};

struct Wave {
    double height = 0, length = 1;
    [[nodiscard]] double at(double x) const { return height * std::sin(turn * x / length); }
    [[nodiscard]] double slope(double x) const { return height * turn / length * std::cos(turn * x / length); }
};

/// Lines at `angle` through all of the field, perhaps waved.
void along(const Box& field, double angle, double pitch, const Wave& wave, double step, std::vector<ScreenLine>& lines) {
    const double c = std::cos(angle), s = std::sin(angle);
    const Point middle = field.centre();
    const double half_x = (field.width() * std::abs(c) + field.height() * std::abs(s)) / 2,
                 half_y = (field.width() * std::abs(s) + field.height() * std::abs(c)) / 2 + wave.height;
    // The field's border lies half way between two lines, where it is a whole number of pitches wide.
    const int across = std::max(1, static_cast<int>(std::ceil(2 * half_y / pitch - 1e-6)));
    const int steps = std::max(1, static_cast<int>(std::ceil(2 * half_x / step)));
    Clip clip(field, lines);
    for (int n = 0; n < across; ++n) {
        const double y0 = (n - (across - 1) / 2.0) * pitch;
        for (int k = 0; k <= steps; ++k) {
            const double x = -half_x + 2 * half_x * k / steps, y = y0 + wave.at(x), bend = wave.slope(x);
            clip.put({middle.x + x * c - y * s, middle.y + x * s + y * c}, pitch / std::sqrt(1 + bend * bend));
        }
        clip.part();
    }
}

double to_corner(const Box& field) { return std::hypot(field.width(), field.height()) / 2; }

void rings(const Box& field, double pitch, double step, std::vector<ScreenLine>& lines) {
    const Point middle = field.centre();
    const double inner = std::min(field.width(), field.height()) / 2;
    const double begin = field.height() < field.width() ? turn / 4 : 0;  // where a ring that leaves the field has left it
    Clip clip(field, lines);
    for (double r = pitch / 2; r < to_corner(field); r += pitch) {
        const int count = std::max(12, static_cast<int>(std::ceil(turn * r / step)));
        const bool whole = r <= inner;
        for (int k = 0; k < count + (whole ? 0 : 1); ++k) {
            const double a = turn * k / count + begin;
            clip.put({middle.x + r * std::cos(a), middle.y + r * std::sin(a)}, pitch);
        }
        if (whole) lines.back().closed = true;
        clip.part();
    }
}

void spiral(const Box& field, double pitch, double step, std::vector<ScreenLine>& lines) {
    const Point middle = field.centre();
    Clip clip(field, lines);
    for (double a = 0;;) {
        const double r = pitch * a / turn;
        if (r > to_corner(field)) break;
        const double lean = pitch / turn / std::max(r, pitch / turn);
        clip.put({middle.x + r * std::cos(a), middle.y + r * std::sin(a)}, pitch / std::sqrt(1 + lean * lean));
        a += std::min(step / std::max(r, pitch / 2), turn / 12);
    }
}

}  // namespace

std::vector<ScreenLine> screen_lines(const Box& field, const ScreenWishes& wishes, double step) {
    std::vector<ScreenLine> lines;
    switch (wishes.kind) {
        case ScreenKind::lines:
        case ScreenKind::crossed:
            along(field, wishes.angle, wishes.pitch, {}, step, lines);
            if (wishes.kind == ScreenKind::crossed) along(field, wishes.angle + std::numbers::pi / 2, wishes.pitch, {}, step, lines);
            break;
        case ScreenKind::waves:
            along(field, wishes.angle, wishes.pitch,
                  {wishes.wave_height > 0 ? wishes.wave_height : 1.2 * wishes.pitch,
                   wishes.wave_length > 0 ? wishes.wave_length : 8 * wishes.pitch},
                  step, lines);
            break;
        case ScreenKind::rings:
            rings(field, wishes.pitch, step, lines);
            break;
        case ScreenKind::spiral:
            spiral(field, wishes.pitch, step, lines);
            break;
    }
    std::erase_if(lines, [](const ScreenLine& line) { return line.points.size() < 3; });
    return lines;
}

}  // namespace burin
