/// Path data (SVG 2, 9.3): all commands, absolute and relative. Cost: n.
#include "svg_path.hpp"

#include "svg_scan.hpp"

namespace burin {

void add_line(SubPath& path, const Point& to) { path.steps.push_back({PathPiece::Kind::line, {}, {}, to, {}}); }

void add_cubic(SubPath& path, const Point& first, const Point& second, const Point& to) {
    path.steps.push_back({PathPiece::Kind::cubic, first, second, to, {}});
}

void add_quadratic(SubPath& path, const Point& from, const Point& handle, const Point& to) {
    const auto near = [&](const Point& end) { return Point{end.x + (handle.x - end.x) * 2 / 3, end.y + (handle.y - end.y) * 2 / 3}; };
    add_cubic(path, near(from), near(to), to);
}

void add_arc(SubPath& path, const Point& from, double rx, double ry, double turn_deg, bool large, bool sweep, const Point& to) {
    if (const std::optional<EllipseArc> arc = arc_between(from, rx, ry, turn_deg, large, sweep, to))
        path.steps.push_back({PathPiece::Kind::arc, {}, {}, to, *arc});
    else
        add_line(path, to);
}

namespace {

/// Reads one command after the other; the state is what the next one starts from.
class PathReader {
public:
    explicit PathReader(std::string_view data) : scan_(data) {}

    PathReading read() {
        scan_.skip_space();
        while (!scan_.done()) {
            const std::size_t before = scan_.place();
            const char letter = scan_.look();
            const std::string_view known = "MmLlHhVvCcSsQqTtAaZz";
            if (known.find(letter) == std::string_view::npos || (path_.empty() && letter != 'M' && letter != 'm')) return {path_, before};
            scan_.step();
            if (!run(letter)) return {path_, scan_.place()};
        }
        return {path_, std::nullopt};
    }

private:
    /// One command with all of its repetitions.
    bool run(char letter) {
        relative_ = letter >= 'a';
        const char kind = relative_ ? static_cast<char>(letter - 'a' + 'A') : letter;
        scan_.skip_space();
        if (kind == 'Z') {
            open().closed = true;
            at_ = open().start;
            drawing_ = false;
            last_ = 'Z';
            return true;
        }
        bool first = true;
        do {
            const char now = kind == 'M' && !first ? 'L' : kind;
            if (!segment(now)) return false;
            last_ = now;
            first = false;
            scan_.skip_comma();
        } while (number_ahead());
        return true;
    }

    [[nodiscard]] bool number_ahead() const {
        const char c = scan_.look();
        return !scan_.done() && ((c >= '0' && c <= '9') || c == '+' || c == '-' || c == '.');
    }

    bool numbers(double* out, int count) {
        for (int k = 0; k < count; ++k) {
            if (k > 0) scan_.skip_comma();
            const std::optional<double> number = scan_.number();
            if (!number) return false;
            out[k] = *number;
        }
        return true;
    }

    [[nodiscard]] Point absolute(double x, double y) const { return relative_ ? Point{at_.x + x, at_.y + y} : Point{x, y}; }
    /// The subpath being drawn; after a closed one, a new one from where that began.
    SubPath& pen() {
        if (!drawing_) path_.push_back({at_, {}, false});
        drawing_ = true;
        return path_.back();
    }
    SubPath& open() { return path_.back(); }

    bool segment(char kind) {
        double n[6];
        switch (kind) {
            case 'M':
                if (!numbers(n, 2)) return false;
                at_ = absolute(n[0], n[1]);
                path_.push_back({at_, {}, false});
                drawing_ = true;
                return true;
            case 'L':
                return numbers(n, 2) && line_to(absolute(n[0], n[1]));
            case 'H':
                return numbers(n, 1) && line_to({relative_ ? at_.x + n[0] : n[0], at_.y});
            case 'V':
                return numbers(n, 1) && line_to({at_.x, relative_ ? at_.y + n[0] : n[0]});
            case 'C':
                return numbers(n, 6) && cubic_to(absolute(n[0], n[1]), absolute(n[2], n[3]), absolute(n[4], n[5]));
            case 'S':
                return numbers(n, 4) && cubic_to(mirrored('C', 'S'), absolute(n[0], n[1]), absolute(n[2], n[3]));
            case 'Q':
                return numbers(n, 4) && quadratic_to(absolute(n[0], n[1]), absolute(n[2], n[3]));
            case 'T':
                return numbers(n, 2) && quadratic_to(mirrored('Q', 'T'), absolute(n[0], n[1]));
            default:
                return arc_to();
        }
    }

    /// The last handle mirrored at the current point, which it is itself after other commands (9.3.6, 9.3.7).
    [[nodiscard]] Point mirrored(char one, char other) const {
        if (last_ != one && last_ != other) return at_;
        return {2 * at_.x - handle_.x, 2 * at_.y - handle_.y};
    }
    bool line_to(const Point& to) {
        add_line(pen(), to);
        at_ = to;
        return true;
    }
    bool cubic_to(const Point& first, const Point& second, const Point& to) {
        add_cubic(pen(), first, second, to);
        handle_ = second, at_ = to;
        return true;
    }
    bool quadratic_to(const Point& handle, const Point& to) {
        add_quadratic(pen(), at_, handle, to);
        handle_ = handle, at_ = to;
        return true;
    }
    bool arc_to() {
        double n[3], end[2];
        if (!numbers(n, 3)) return false;
        scan_.skip_comma();
        const std::optional<bool> large = scan_.flag();
        scan_.skip_comma();
        const std::optional<bool> sweep = large ? scan_.flag() : std::nullopt;
        scan_.skip_comma();
        if (!sweep || !numbers(end, 2)) return false;
        const Point to = absolute(end[0], end[1]);
        add_arc(pen(), at_, n[0], n[1], n[2], *large, *sweep, to);
        at_ = to;
        return true;
    }

    SvgScan scan_;
    SvgPath path_;
    Point at_, handle_;
    char last_ = '\0';
    bool relative_ = false, drawing_ = false;
};

}  // namespace

PathReading read_path_data(std::string_view data) {
    if (trimmed(data) == "none") return {};
    return PathReader(data).read();
}

}  // namespace burin
