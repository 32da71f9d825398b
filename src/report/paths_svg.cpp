// The tool's way as a drawing to scale (SVG 1.1): a thin line where it cuts, deeper in stronger ink, dashes for rapids.
//
// Moves are thinned in plan by the sleeve of Zhao and Saalfeld (1997): from an anchor, the directions that keep every
// passed point within a tolerance of the chord shrink to a cone; a point outside starts the next chord. Points are
// written as whole hundredths of a millimetre, relative to the last. Tolerance and shades are coarsened until the file
// stays within its budget. Cost: a few passes over the moves.

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <numbers>

#include "burin/report/burn_report.hpp"
#include "burin/report/report.hpp"
#include "ink.hpp"

namespace burin {
namespace {

constexpr std::size_t most_points = 160000;

/// A polyline of one shade; shade −1 is a rapid.
struct Line {
    int shade = 0;
    std::vector<Point> points;
};

/// Adds points to a line, leaving out those that the chords pass within the tolerance.
class Sleeve {
public:
    Sleeve(std::vector<Line>& lines, double tolerance) : lines_(lines), tolerance_(tolerance) {}

    void begin(int shade, Point at) {
        finish();
        lines_.push_back({shade, {at}});
        anchor(at);
    }
    void add(Point p) {
        const double dx = p.x - anchor_.x, dy = p.y - anchor_.y, d = std::hypot(dx, dy);
        if (d > tolerance_) {
            const double angle = std::atan2(dy, dx), half = std::asin(std::min(1.0, tolerance_ / d));
            double off = cone_ ? angle - middle_ : 0;
            off -= 2 * std::numbers::pi * std::round(off / (2 * std::numbers::pi));
            if (cone_ && (off < low_ || off > high_ || d < farthest_ - tolerance_)) {
                lines_.back().points.push_back(last_);
                anchor(last_);
                add(p);
                return;
            }
            if (!cone_) {
                cone_ = true;
                middle_ = angle;
                low_ = -half;
                high_ = half;
            } else {
                low_ = std::max(low_, off - half);
                high_ = std::min(high_, off + half);
            }
            farthest_ = std::max(farthest_, d);
        } else if (farthest_ > 2 * tolerance_) {
            lines_.back().points.push_back(last_);
            anchor(last_);
        }
        last_ = p;
    }
    void finish() {
        if (!lines_.empty() && !(last_ == lines_.back().points.back())) lines_.back().points.push_back(last_);
    }

private:
    void anchor(Point at) {
        anchor_ = last_ = at;
        cone_ = false;
        farthest_ = 0;
    }
    std::vector<Line>& lines_;
    double tolerance_;
    Point anchor_, last_;
    bool cone_ = false;
    double middle_ = 0, low_ = 0, high_ = 0, farthest_ = 0;
};

/// How strong the ink of a move is, 0 … 1: by its depth, or by the power of its beam.
struct Ink {
    double depth = 1;
    bool beam = false;
    double full = 1000;  ///< S at full power
    /// Below 0: nothing is cut or burnt.
    [[nodiscard]] double of(const Move& move) const {
        if (beam) return move.power > 0 ? move.power / full : -1;
        return move.kind == MoveKind::rapid ? -1 : -move.to.z / std::max(depth, 1e-6);
    }
};

std::vector<Line> thinned(const Track& track, double tolerance, int shades, const Ink& strength) {
    std::vector<Line> lines;
    Sleeve sleeve(lines, tolerance);
    Point3 from = track.start;
    int shade = -2;
    for (const auto& move : track.moves) {
        int next = -1;
        if (const double share = strength.of(move); share >= 0) {
            const double level = std::clamp(share, 0.0, 1.0) * shades;
            next = std::clamp(static_cast<int>(level), 0, shades - 1);
            // A line that wavers about the border of two shades stays in one.
            if (shade >= 0 && std::abs(level - shade - 0.5) < 0.85) next = shade;
        }
        if (next != shade) sleeve.begin(shade = next, flat(from));
        if (move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw)
            for (const auto& p : arc_points(from, move, track.arcs[move.arc], tolerance)) sleeve.add(flat(p));
        else
            sleeve.add(flat(move.to));
        from = move.to;
    }
    sleeve.finish();
    std::erase_if(lines, [](const Line& line) { return line.points.size() < 2; });
    return lines;
}

/// A way that wanders so much that no tolerance helps: every n-th point and the last of each line.
void keep_some(std::vector<Line>& lines, std::size_t n) {
    for (auto& line : lines) {
        std::vector<Point> kept;
        for (std::size_t k = 0; k + 1 < line.points.size(); k += n) kept.push_back(line.points[k]);
        kept.push_back(line.points.back());
        line.points = std::move(kept);
    }
}

void append_number(std::string& out, long value) {
    char digits[24];
    const auto end = std::to_chars(digits, digits + sizeof digits, value).ptr;
    out.append(digits, end);
}

void append_path(std::string& out, const std::vector<Line>& lines, int shade) {
    for (const auto& line : lines) {
        if (line.shade != shade) continue;
        long x = 0, y = 0;
        for (std::size_t k = 0; k < line.points.size(); ++k) {
            const long nx = std::lround(line.points[k].x * 100), ny = std::lround(line.points[k].y * 100);
            out += k == 0 ? 'M' : k == 1 ? 'l' : ' ';
            append_number(out, k == 0 ? nx : nx - x);
            out += ' ';
            append_number(out, k == 0 ? ny : ny - y);
            x = nx;
            y = ny;
        }
        out += '\n';
    }
}

/// What the drawing tells of a job.
struct Sheet {
    const std::string& name;
    const Stock& stock;
    std::vector<std::string> files;
    Ink ink;
    std::vector<Point> against = {};  // places that speak against it
};

std::string against_sign(const Point& p) {
    return fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"5\" fill=\"none\" stroke=\"#c0261d\" stroke-width=\"1\"/>\n", ink::number(p.x),
                       ink::number(-p.y));
}

std::string keep_out_sign(const KeepOut& zone) {
    const Box& b = zone.bounds();
    const std::string rounding = zone.shape() == KeepOut::Shape::circle ? fmt::format(" rx=\"{}\"", ink::number(b.width() / 2)) : "";
    return fmt::format(
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{} fill=\"#5b6b7a\" fill-opacity=\".5\" stroke=\"#2f3b46\" "
        "stroke-width=\".3\"><title>{}, {} mm above the stock top</title></rect>\n",
        ink::number(b.lo.x), ink::number(-b.hi.y), ink::number(b.width()), ink::number(b.height()), rounding, ink::escaped(zone.name()),
        ink::number(zone.height()));
}

std::string drawn(const Sheet& report, std::span<const Track> tracks) {
    std::vector<std::vector<Line>> programs;
    int shades = 6;
    for (double tolerance = 0.03;; tolerance *= 2) {
        programs.clear();
        std::size_t points = 0;
        for (const Track& track : tracks) {
            programs.push_back(thinned(track, tolerance, shades, report.ink));
            for (const auto& line : programs.back()) points += line.points.size();
        }
        if (points <= most_points) break;
        if (tolerance > 1) {
            for (auto& lines : programs) keep_some(lines, points / most_points + 1);
            break;
        }
        shades = std::max(1, shades / 2);
    }

    Box sheet = report.stock.bounds;
    for (const KeepOut& zone : report.stock.keep_outs) sheet = joined(sheet, zone.bounds());
    const Box& b = report.stock.bounds;
    const double margin = 4, foot = 10;
    const double width = sheet.width() + 2 * margin, height = sheet.height() + 2 * margin + foot;
    std::string svg = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"{2} {3} {0} {1}\">\n"
        "<title>{4}: the tool's way</title>\n<rect x=\"{2}\" y=\"{3}\" width=\"{0}\" height=\"{1}\" fill=\"#fff\"/>\n",
        ink::number(width), ink::number(height), ink::number(sheet.lo.x - margin), ink::number(-sheet.hi.y - margin),
        ink::escaped(report.name));
    if (report.stock.piece)
        svg += fmt::format("<path d=\"{}\" fill=\"#8a6f4d\"/><path d=\"{}\" fill=\"#f6f1e6\" stroke=\"#8a7a5c\" stroke-width=\".3\"/>\n",
                           ink::outline_path(report.stock.piece->outer()), ink::outline_path(report.stock.piece->wood()));
    else if (report.stock.outline == Outline::round)
        svg += fmt::format("<ellipse cx=\"{}\" cy=\"{}\" rx=\"{}\" ry=\"{}\" fill=\"#f6f1e6\" stroke=\"#8a7a5c\" stroke-width=\".3\"/>\n",
                           ink::number(b.centre().x), ink::number(-b.centre().y), ink::number(b.width() / 2), ink::number(b.height() / 2));
    else
        svg += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#f6f1e6\" stroke=\"#8a7a5c\" stroke-width=\".3\"/>\n",
                           ink::number(b.lo.x), ink::number(-b.hi.y), ink::number(b.width()), ink::number(b.height()));
    for (const KeepOut& zone : report.stock.keep_outs) svg += keep_out_sign(zone);
    svg += "<g transform=\"scale(.01,-.01)\" fill=\"none\" stroke-linejoin=\"round\" stroke-linecap=\"round\">\n";
    for (std::size_t k = 0; k < programs.size(); ++k) {
        svg += fmt::format("<g stroke=\"{}\"><title>{}</title>\n", ink::program_colour(k), ink::escaped(report.files[k]));
        for (int shade = 0; shade < shades; ++shade) {
            std::string path;
            append_path(path, programs[k], shade);
            if (path.empty()) continue;
            const double ink_share = shades == 1 ? 0.6 : 0.25 + 0.7 * shade / (shades - 1);
            svg += fmt::format("<path stroke-width=\"6\" stroke-opacity=\"{}\" d=\"{}\"/>\n", ink::number(ink_share), path);
        }
        std::string rapids;
        append_path(rapids, programs[k], -1);
        if (!rapids.empty())
            svg += fmt::format("<path stroke=\"{}\" stroke-width=\"8\" stroke-opacity=\".55\" stroke-dasharray=\"60 60\" d=\"{}\"/>\n",
                               ink::rapid_colour, rapids);
        svg += "</g>\n";
    }
    svg += "</g>\n";
    for (const Point& place : report.against) svg += against_sign(place);
    // The work zero, and a scale of 10 mm with the key below the stock.
    svg += "<g fill=\"none\" stroke=\"#000\" stroke-width=\".3\"><circle r=\"1.6\"/><path d=\"M-3 0H3M0 -3V3\"/></g>\n";
    const double y = -sheet.lo.y + margin + 2.5;
    double x = sheet.lo.x;
    svg += fmt::format(
        "<g font-family=\"sans-serif\" font-size=\"2.6\" fill=\"#000\"><path d=\"M{0} {1}v-1.2v.6h10v-.6v1.2\" fill=\"none\" "
        "stroke=\"#000\" stroke-width=\".25\"/><text x=\"{2}\" y=\"{3}\">10 mm</text>",
        ink::number(x), ink::number(y), ink::number(x + 11), ink::number(y + 0.3));
    for (std::size_t k = 0; k < programs.size(); ++k)
        svg += fmt::format("<text x=\"{}\" y=\"{}\" fill=\"{}\">{}</text>", ink::number(x + 24 + 24.0 * static_cast<double>(k)),
                           ink::number(y + 0.3), ink::program_colour(k), ink::escaped(report.files[k]));
    svg += fmt::format("<text x=\"{}\" y=\"{}\" fill=\"{}\">dashes: {}</text></g>\n</svg>\n", ink::number(x), ink::number(y + 4.2),
                       ink::rapid_colour, report.ink.beam ? "dark" : "rapids");
    return svg;
}

}  // namespace

std::string paths_svg(const JobReport& report, std::span<const Track> tracks) {
    double deepest = 0;
    for (const auto& figures : report.proof.programs) deepest = std::max(deepest, -figures.lo.z - report.lift);
    Sheet sheet{report.name, report.stock, {}, {.depth = deepest > 0 ? deepest : report.depth}};
    for (const ReportProgram& program : report.programs) sheet.files.push_back(program.file);
    return drawn(sheet, tracks);
}

std::string refused_svg(const std::string& name, const Stock& stock, const std::vector<std::string>& files, std::span<const Track> tracks,
                        std::span<const Check> checks) {
    double deepest = 0;
    for (const Track& track : tracks)
        for (const Move& move : track.moves) deepest = std::max(deepest, -move.to.z);
    Sheet sheet{name, stock, files, {.depth = deepest}};
    for (const Check& check : checks)
        if (!check.ok && check.line > 0) sheet.against.push_back(flat(check.place));
    return drawn(sheet, tracks);
}

std::string paths_svg(const BurnReport& report, std::span<const Track> tracks) {
    Sheet sheet{report.name, report.stock, {}, {.beam = true, .full = report.full_s}};
    for (const BurnProgram& program : report.programs) sheet.files.push_back(program.file);
    return drawn(sheet, tracks);
}

}  // namespace burin
