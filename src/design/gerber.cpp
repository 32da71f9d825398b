/// The graphics state of a Gerber file, command by command (Ucamco's specification, from memory). Objects of one polarity are united
/// together, as their order says nothing among themselves. Cost: the booleans, one for each change of polarity.
#include "burin/design/gerber.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>

#include "burin/shape/hull.hpp"
#include "gerber_parts.hpp"

namespace burin {
namespace {

/// Loops that wind counter-clockwise round what is meant, clockwise round holes.
struct Object {
    bool dark = true;
    std::vector<Loop> loops;
};

struct Aperture {
    Region shape;
    double disc = -1;           ///< diameter of a plain C, mm
    bool box = false;           ///< a plain R
    std::vector<Object> block;  ///< of AB
    bool is_block = false;
};

struct Transform {
    bool mirror_x = false, mirror_y = false;
    double degrees = 0, scale = 1;
    [[nodiscard]] Point operator()(Point p) const {
        p = {(mirror_x ? -p.x : p.x) * scale, (mirror_y ? -p.y : p.y) * scale};
        const double a = degrees * std::numbers::pi / 180, c = std::cos(a), s = std::sin(a);
        return degrees == 0 ? p : Point{p.x * c - p.y * s, p.x * s + p.y * c};
    }
    [[nodiscard]] Loop operator()(const Loop& loop, Point at) const {
        Loop out;
        for (const Point& p : loop) {
            const Point q = (*this)(p);
            out.push_back({q.x + at.x, q.y + at.y});
        }
        if (mirror_x != mirror_y) std::reverse(out.begin(), out.end());
        return out;
    }
};

/// Where objects gather: the layer, a block, a step and repeat.
struct Gathering {
    std::vector<Object> objects;
    int block = 0;                   ///< number of the aperture that it becomes
    std::size_t across = 1, up = 1;  ///< of a step and repeat
    double step_x = 0, step_y = 0;
};

class Reader {
public:
    explicit Reader(const GerberLimits& limits) : limits_(limits), open_(1) {}
    void obey(const GerberCommand& command) {
        line_ = command.line;
        if (ended_) throw wrong("something follows the end of the file (M02).");
        if (command.extended)
            extended(command, command.parts.front());
        else
            plain(command.parts.front());
    }
    GerberLayer layer() {
        if (!ended_) throw wrong("the end of the file (M02*) is missing; the file is not whole.");
        if (open_.size() != 1) throw wrong("a block or a step and repeat is never closed.");
        std::vector<Loop> batch;
        const auto lay = [&](bool dark) {
            if (batch.empty()) return;
            batch_into(dark, batch);
            batch.clear();
        };
        const std::vector<Object>& objects = open_.front().objects;
        for (std::size_t k = 0; k < objects.size(); ++k) {
            if (k > 0 && objects[k].dark != objects[k - 1].dark) lay(objects[k - 1].dark);
            batch.insert(batch.end(), objects[k].loops.begin(), objects[k].loops.end());
        }
        if (!objects.empty()) lay(objects.back().dark);
        return std::move(layer_);
    }

private:
    [[nodiscard]] Error wrong(const std::string& sentence) const { return gerber_error(line_, sentence); }
    void batch_into(bool dark, const std::vector<Loop>& batch) {
        const Region more(batch, FillRule::positive);
        layer_.dark = dark ? united(layer_.dark, more) : without(layer_.dark, more);
    }
    void add(Object object) {
        if (object.loops.empty()) return;
        for (const Loop& loop : object.loops) corners_ += loop.size();
        if (corners_ > limits_.most_corners)
            throw wrong(fmt::format("the layer needs more than {} corners, which is the most.", limits_.most_corners));
        open_.back().objects.push_back(std::move(object));
    }
    [[nodiscard]] double unit() const {
        if (!unit_) throw wrong("no unit was said before (%MOMM*% or %MOIN*%).");
        return *unit_;
    }
    void set_unit(double unit) {
        if (unit_ && *unit_ != unit) throw wrong("the unit changes within the file; a layer is drawn in one.");
        unit_ = unit;
    }

    // --- commands between percent signs
    void extended(const GerberCommand& command, const std::string& text) {
        const std::string name = text.substr(0, 2), rest = text.size() > 2 ? text.substr(2) : "";
        if (name == "FS") return format(rest);
        if (name == "MO") return rest == "MM" ? set_unit(1) : rest == "IN" ? set_unit(25.4) : throw wrong("a unit is MM or IN.");
        if (name == "AD") return define(rest);
        if (name == "AM") {
            if (!macros_.emplace(rest, command).second) throw wrong(fmt::format("the macro '{}' is there twice.", rest.substr(0, 40)));
            return;
        }
        if (name == "LP") return rest == "D" || rest == "C" ? void(dark_ = rest == "D") : throw wrong("a polarity is D or C.");
        if (name == "LM") {
            if (rest != "N" && rest != "X" && rest != "Y" && rest != "XY") throw wrong("LM takes N, X, Y or XY.");
            turn_.mirror_x = rest.find('X') != std::string::npos;
            turn_.mirror_y = rest.find('Y') != std::string::npos;
            return;
        }
        if (name == "LR") return void(turn_.degrees = gerber_number(rest, line_));
        if (name == "LS") {
            turn_.scale = gerber_number(rest, line_);
            if (!(turn_.scale > 0 && turn_.scale < 1000)) throw wrong("a scale is above 0 and below 1000.");
            return;
        }
        if (name == "SR") return repeat(rest);
        if (name == "AB") return block(rest);
        if (name == "TF") {
            if (rest.starts_with(".FileFunction,")) layer_.part = rest.substr(14);
            return;
        }
        if (name == "TA" || name == "TO" || name == "TD") return;
        if (name == "IN" || name == "LN" || (name == "IP" && rest == "POS") || text == "OFA0B0" || text == "ASAXBY" || text == "IR0" ||
            text == "SFA1B1" || text == "MIA0B0") {
            layer_.remarks.push_back(fmt::format("Line {}: the old command {} was passed over, as it changes nothing.", line_, name));
            return;
        }
        if (name == "IP" || name == "OF" || name == "AS" || name == "IR" || name == "SF" || name == "MI")
            throw wrong(
                fmt::format("the old command '{}' changes the whole picture and is not read; export the layer anew.", text.substr(0, 40)));
        throw wrong(fmt::format("the command '{}' is not known.", text.substr(0, 40)));
    }
    void format(const std::string& rest) {
        if (rest.size() != 8 || (rest[0] != 'L' && rest[0] != 'T') || rest[2] != 'X' || rest[5] != 'Y' ||
            rest.substr(3, 2) != rest.substr(6, 2))
            throw wrong("the format should read like %FSLAX46Y46*%.");
        if (rest[1] != 'A')
            throw wrong("places that count from the one before (incremental) are not read; export the layer with absolute ones.");
        trailing_ = rest[0] == 'T';
        whole_ = rest[3] - '0';
        fraction_ = rest[4] - '0';
        if (whole_ < 0 || whole_ > 6 || fraction_ < 0 || fraction_ > 7)
            throw wrong("the format has at most 6 whole digits and 7 of a fraction.");
    }
    void define(const std::string& rest) {
        std::size_t at = 1;
        while (at < rest.size() && rest[at] >= '0' && rest[at] <= '9') ++at;
        if (rest.empty() || rest[0] != 'D' || at == 1) throw wrong("an aperture begins with D and its number.");
        const int number = aperture_number(rest.substr(1, at - 1));
        const std::size_t comma = std::min(rest.find(',', at), rest.size());
        const std::string name = rest.substr(at, comma - at);
        std::vector<double> sizes;
        if (comma < rest.size()) sizes = gerber_numbers(std::string_view(rest).substr(comma + 1), 'X', line_);
        Aperture aperture;
        if (name == "C" || name == "R" || name == "O" || name == "P") {
            aperture.shape = gerber_shape(name[0], sizes, unit(), limits_.chord, line_);
            if (name == "C" && sizes.size() == 1) aperture.disc = sizes[0] * unit();
            aperture.box = name == "R" && sizes.size() == 2;
        } else {
            const auto macro = macros_.find(name);
            if (macro == macros_.end()) throw wrong(fmt::format("the macro '{}' was not defined before.", name.substr(0, 40)));
            aperture.shape = gerber_macro(macro->second, sizes, unit(), limits_.chord, line_);
        }
        keep(number, std::move(aperture));
    }
    [[nodiscard]] int aperture_number(const std::string& digits) const {
        const double number = gerber_number(digits, line_);
        if (!(number >= 10 && number < 2e9)) throw wrong("apertures have numbers from 10 on.");
        return static_cast<int>(number);
    }
    void keep(int number, Aperture aperture) {
        if (!apertures_.emplace(number, std::move(aperture)).second) throw wrong(fmt::format("the aperture D{} is there twice.", number));
    }
    void open(Gathering gathering) {
        if (in_region_) throw wrong("a region (G36) must end before that.");
        if (open_.size() > limits_.most_nesting) throw wrong(fmt::format("more than {} blocks within each other.", limits_.most_nesting));
        open_.push_back(std::move(gathering));
    }
    void block(const std::string& rest) {
        if (!rest.empty()) {
            if (rest[0] != 'D') throw wrong("a block aperture begins with D and its number.");
            Gathering gathering;
            gathering.block = aperture_number(rest.substr(1));
            return open(std::move(gathering));
        }
        if (open_.back().block == 0) throw wrong("a block ends that never began.");
        Aperture aperture;
        aperture.is_block = true;
        aperture.block = std::move(open_.back().objects);
        const int number = open_.back().block;
        open_.pop_back();
        keep(number, std::move(aperture));
    }
    void repeat(const std::string& rest) {
        if (open_.size() > 1 && open_.back().block == 0)
            close_repeat();
        else if (rest.empty())
            throw wrong("a step and repeat ends that never began.");
        if (rest.empty()) return;
        const auto part = [&](char name, char until) {
            const std::size_t from = rest.find(name), to = until ? rest.find(until) : rest.size();
            if (from == std::string::npos || to == std::string::npos || to < from)
                throw wrong("a step and repeat should read like %SRX2Y3I5.0J4.0*%.");
            return gerber_number(std::string_view(rest).substr(from + 1, to - from - 1), line_);
        };
        const double x = part('X', 'Y'), y = part('Y', 'I');
        if (!(x >= 1 && y >= 1 && x * y <= static_cast<double>(limits_.most_repeats)))
            throw wrong(fmt::format("a step and repeat has at least 1 and at most {} copies.", limits_.most_repeats));
        Gathering gathering;
        gathering.across = static_cast<std::size_t>(x);
        gathering.up = static_cast<std::size_t>(y);
        gathering.step_x = part('I', 'J') * unit();
        gathering.step_y = part('J', '\0') * unit();
        open(std::move(gathering));
    }
    void close_repeat() {
        const Gathering gathering = std::move(open_.back());
        open_.pop_back();
        for (std::size_t i = 0; i < gathering.across; ++i)
            for (std::size_t j = 0; j < gathering.up; ++j)
                lay(gathering.objects, {}, {static_cast<double>(i) * gathering.step_x, static_cast<double>(j) * gathering.step_y}, true);
    }
    /// Objects in their own order; a clear layer state turns the polarity of a block's objects over.
    void lay(const std::vector<Object>& objects, const Transform& turn, Point at, bool as_is) {
        for (const Object& object : objects) {
            Object copy;
            copy.dark = as_is || dark_ ? object.dark : !object.dark;
            for (const Loop& loop : object.loops) copy.loops.push_back(turn(loop, at));
            add(std::move(copy));
        }
    }

    // --- other commands
    void plain(std::string text) {
        std::erase(text, ' ');
        if (text.starts_with("G04") || text.starts_with("G4")) return;
        if (text == "M02" || text == "M00" || text == "M2" || text == "M0") {
            if (in_region_) throw wrong("the file ends within a region (G36).");
            if (open_.size() > 1 && open_.back().block == 0) close_repeat();
            ended_ = true;
            return;
        }
        if (text == "M01" || text == "M1") return;
        while (text.starts_with('G')) {
            std::size_t at = 1;
            while (at < text.size() && text[at] >= '0' && text[at] <= '9') ++at;
            general(gerber_number(std::string_view(text).substr(1, at - 1), line_));
            text.erase(0, at);
        }
        if (!text.empty()) operate(text);
    }
    void general(double code) {
        const int g = code < 1000 ? static_cast<int>(code) : 999;
        if (g >= 1 && g <= 3) return void(way_ = g);
        if (g == 74 || g == 75) return void(single_ = g == 74);
        if (g == 70 || g == 71) return set_unit(g == 70 ? 25.4 : 1);
        if (g == 54 || g == 55 || g == 90) return;
        if (g == 36 || g == 37) {
            if (in_region_ == (g == 36)) throw wrong(g == 36 ? "a region begins within a region." : "a region ends that never began.");
            if (g == 37) close_contour();
            in_region_ = g == 36;
            return;
        }
        if (g == 91) throw wrong("places that count from the one before (G91) are not read; export the layer with absolute ones.");
        throw wrong(fmt::format("G{:02d} is not known.", g));
    }
    [[nodiscard]] double coordinate(std::string digits) const {
        if (fraction_ < 0) throw wrong("no format was said before (%FSLAX46Y46*%).");
        double sign = 1;
        if (!digits.empty() && (digits[0] == '-' || digits[0] == '+')) {
            sign = digits[0] == '-' ? -1 : 1;
            digits.erase(0, 1);
        }
        const auto all = static_cast<std::size_t>(whole_ + fraction_);
        if (digits.empty() || digits.find_first_not_of("0123456789") != std::string::npos || digits.size() > 13)
            throw wrong("a coordinate holds digits only.");
        if (trailing_ && digits.size() < all) digits.append(all - digits.size(), '0');
        const double value = sign * gerber_number(digits, line_) / std::pow(10.0, fraction_) * unit();
        if (!(std::abs(value) < 9000)) throw wrong("a place lies more than 9 m from the origin.");
        return value;
    }
    void operate(const std::string& text) {
        Point to = at_, centre;
        std::optional<int> code;
        for (std::size_t k = 0; k < text.size();) {
            const char word = text[k++];
            const std::size_t end = std::min(text.find_first_not_of("0123456789+-.", k), text.size());
            const std::string digits = text.substr(k, end - k);
            k = end;
            if (word == 'X')
                to.x = coordinate(digits);
            else if (word == 'Y')
                to.y = coordinate(digits);
            else if (word == 'I')
                centre.x = coordinate(digits);
            else if (word == 'J')
                centre.y = coordinate(digits);
            else if (word == 'D' && gerber_number(digits, line_) >= 0 && gerber_number(digits, line_) < 2e9)
                code = static_cast<int>(gerber_number(digits, line_));
            else
                throw wrong(fmt::format("the command '{}' is not known.", text.substr(0, 40)));
        }
        if (code && *code >= 10) {
            if (!apertures_.contains(*code)) throw wrong(fmt::format("the aperture D{} was not defined before.", *code));
            now_ = *code;
            return;
        }
        if (code) last_ = *code;
        if (last_ == 1)
            draw(to, centre);
        else if (last_ == 2) {
            if (in_region_) close_contour();
        } else if (last_ == 3)
            flash(to);
        else
            throw wrong("a place without D01, D02 or D03.");
        at_ = to;
    }
    const Aperture& aperture() const {
        const auto found = apertures_.find(now_);
        if (found == apertures_.end()) throw wrong("no aperture was chosen before.");
        return found->second;
    }
    void flash(Point at) {
        if (in_region_) throw wrong("a flash (D03) within a region.");
        const Aperture& shape = aperture();
        if (shape.is_block) return lay(shape.block, turn_, at, false);
        Object object{dark_, {}};
        for (const Loop& loop : shape.shape.loops()) object.loops.push_back(turn_(loop, at));
        add(std::move(object));
    }
    void draw(Point to, Point centre) {
        std::vector<Point> line{at_, to};
        if (way_ != 1) line = arc(to, centre);
        if (in_region_) {
            if (contour_.empty()) contour_.push_back(at_);
            contour_.insert(contour_.end(), line.begin() + 1, line.end());
            return;
        }
        const Aperture& shape = aperture();
        if (shape.disc < 0 && !(shape.box && way_ == 1))
            throw wrong("only a plain disc draws lines and arcs, and a plain rectangle lines.");
        if (shape.disc == 0) return;
        layer_.line_width = std::max(layer_.line_width, shape.disc * turn_.scale);
        for (std::size_t k = 0; k + 1 < line.size(); ++k) {
            Object object{dark_, {}};
            if (shape.disc > 0) {
                object.loops.push_back(gerber_capsule(line[k], line[k + 1], shape.disc * turn_.scale, limits_.chord));
            } else {
                Loop both;
                for (const Loop& loop : shape.shape.loops())
                    for (const Point& end : {line[k], line[k + 1]})
                        for (const Point& p : turn_(loop, end)) both.push_back(p);
                object.loops.push_back(convex_hull(both));
            }
            add(std::move(object));
        }
    }
    /// From here to there, counter-clockwise after G03; single-quadrant arcs have offsets without a sign.
    std::vector<Point> arc(Point to, Point centre) const {
        if (!single_) throw wrong("an arc before G74 or G75 said how its centre is given.");
        const bool left = way_ == 3;
        constexpr double turn = 2 * std::numbers::pi;
        const auto sweep_about = [&](const Point& c) {
            double sweep = std::atan2(to.y - c.y, to.x - c.x) - std::atan2(at_.y - c.y, at_.x - c.x);
            if (!left) sweep = -sweep;
            while (sweep < 0) sweep += turn;
            return sweep;
        };
        Point c{at_.x + centre.x, at_.y + centre.y};
        double sweep = 0, off = 1e18;
        if (*single_) {
            for (const double x : {-1.0, 1.0})
                for (const double y : {-1.0, 1.0}) {
                    const Point here{at_.x + x * std::abs(centre.x), at_.y + y * std::abs(centre.y)};
                    const double s = sweep_about(here), d = std::abs(distance(here, at_) - distance(here, to));
                    if (s <= turn / 4 + 1e-3 && d < off) {
                        c = here;
                        off = d;
                        sweep = s;
                    }
                }
            if (off > 1e17) throw wrong("an arc of one quadrant (G74) has no centre that fits.");
        } else {
            sweep = at_ == to ? turn : sweep_about(c);
            off = std::abs(distance(c, at_) - distance(c, to));
        }
        const double r = distance(c, at_), r2 = distance(c, to);
        if (off > 0.05 + 0.01 * r) throw wrong("an arc's ends lie at different distances from its centre.");
        const double step = r > limits_.chord ? 2 * std::acos(1 - limits_.chord / r) : 1;
        const int n = std::max(1, static_cast<int>(std::ceil(sweep / step)));
        const double from = std::atan2(at_.y - c.y, at_.x - c.x);
        std::vector<Point> points{at_};
        for (int k = 1; k < n; ++k) {
            const double t = static_cast<double>(k) / n, a = from + (left ? sweep : -sweep) * t, radius = r + (r2 - r) * t;
            points.push_back({c.x + radius * std::cos(a), c.y + radius * std::sin(a)});
        }
        points.push_back(to);
        return points;
    }
    void close_contour() {
        if (contour_.size() > 2) {
            // Cut-ins run there and back along one line: winding leaves them without width.
            Object object{dark_, Region({contour_}, FillRule::nonzero).loops()};
            add(std::move(object));
        }
        contour_.clear();
    }

    GerberLimits limits_;
    GerberLayer layer_;
    std::vector<Gathering> open_;
    std::map<int, Aperture> apertures_;
    std::map<std::string, GerberCommand> macros_;
    std::optional<double> unit_;
    std::optional<bool> single_;
    Transform turn_;
    Point at_;
    std::vector<Point> contour_;
    std::size_t line_ = 1, corners_ = 0;
    int whole_ = -1, fraction_ = -1, way_ = 1, now_ = 0, last_ = 0;
    bool trailing_ = false, dark_ = true, in_region_ = false, ended_ = false;
};

}  // namespace

GerberLayer read_gerber(std::string_view bytes, const GerberLimits& limits) {
    if (bytes.size() > limits.most_bytes)
        throw Error(Fault::input, fmt::format("The Gerber file is larger than {} MB, which is the most.", limits.most_bytes >> 20));
    Reader reader(limits);
    for (const GerberCommand& command : gerber_commands(bytes)) reader.obey(command);
    return reader.layer();
}

}  // namespace burin
