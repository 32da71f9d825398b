// Clear of keep-outs: bit, shank and the nut that holds it against clamps and screws, on every move and rapid. Exact for straight
// moves: three cylinders about the axis against boxes and circles that reach down to the table. The bit counts with its full
// diameter down to its tip, which is on the safe side. O(legs × keep-outs).
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "promises.hpp"
#include "segments.hpp"

namespace burin::proving {
namespace {

/// A part of what turns: wider than nothing from `lower` above the tip upwards.
struct Part {
    const char* name;
    double radius, lower;
};

std::array<Part, 3> parts_of(const Bit& bit) {
    const BitSpec& spec = bit.spec();
    return {
        {{"bit", bit.radius(), 0}, {"shank", spec.shank / 2, spec.cutting_length}, {"collet", collet_nut_diameter / 2, spec.stick_out}}};
}

double to_box(const Point& p, const Box& box) {
    return std::hypot(std::max({box.lo.x - p.x, 0.0, p.x - box.hi.x}), std::max({box.lo.y - p.y, 0.0, p.y - box.hi.y}));
}

/// Whether a segment has a point in a box: the shares of it that lie between each pair of sides have one in common.
bool crosses(const Point& a, const Point& b, const Box& box) {
    double from = 0, to = 1;
    for (const auto& [at, way, lo, hi] : {std::array{a.x, b.x - a.x, box.lo.x, box.hi.x}, std::array{a.y, b.y - a.y, box.lo.y, box.hi.y}}) {
        if (way == 0) {
            if (at < lo || at > hi) return false;
            continue;
        }
        const double one = (lo - at) / way, other = (hi - at) / way;
        from = std::max(from, std::min(one, other));
        to = std::min(to, std::max(one, other));
    }
    return from <= to;
}

}  // namespace

double apart(const KeepOut& zone, const Point& a, const Point& b) {
    const Box& box = zone.bounds();
    if (zone.shape() == KeepOut::Shape::circle) return std::max(0.0, distance_to({a, b}, box.centre()) - box.width() / 2);
    if (crosses(a, b, box)) return 0;
    double least = std::min(to_box(a, box), to_box(b, box));
    for (const Point& corner : {box.lo, Point{box.hi.x, box.lo.y}, box.hi, Point{box.lo.x, box.hi.y}})
        least = std::min(least, distance_to({a, b}, corner));
    return least;
}

namespace {

/// The part of a straight way whose z is below `top`; false: none.
bool below(double top, Point3& a, Point3& b) {
    if (std::min(a.z, b.z) >= top) return false;
    const auto cut = [top](const Point3& high, const Point3& low) {
        const double share = (high.z - top) / (high.z - low.z);
        return Point3{high.x + (low.x - high.x) * share, high.y + (low.y - high.y) * share, top};
    };
    if (a.z > top)
        a = cut(a, b);
    else if (b.z > top)
        b = cut(b, a);
    return true;
}

/// Where a rapid's axes run each at its own pace until they have arrived: the corners of that way, its end last.
std::vector<Point3> each_axis_by_itself(const Point3& a, const Point3& b, const std::array<double, 3>& rates) {
    const std::array<double, 3> from{a.x, a.y, a.z}, to{b.x, b.y, b.z};
    std::array<double, 3> arrives{};
    for (std::size_t k = 0; k < 3; ++k) arrives[k] = rates[k] > 0 ? std::abs(to[k] - from[k]) / rates[k] : 0;
    std::array<double, 3> times = arrives;
    std::sort(times.begin(), times.end());
    std::vector<Point3> corners;
    for (const double time : times) {
        std::array<double, 3> at{};
        for (std::size_t k = 0; k < 3; ++k) at[k] = time >= arrives[k] ? to[k] : from[k] + (to[k] - from[k]) * time / arrives[k];
        corners.push_back({at[0], at[1], at[2]});
    }
    return corners;
}

/// What a bit and its holder do near keep-outs.
class Body {
public:
    Body(const Way& way, const ProofTask& task) : top_(task.top), parts_(parts_of(way.asked->bit)) {
        for (const Part& part : parts_) around_ = std::max(around_, part.radius);
    }

    /// The part that meets the keep-out on a straight way from a to b; null: none.
    [[nodiscard]] const Part* meets(const KeepOut& zone, const Point3& a, const Point3& b) const {
        const Box& box = zone.bounds();
        const double height = zone.height() - top_ - place_slack;  // z of a way counts from what is the stock's top here
        if (std::min(a.z, b.z) >= height || std::max(a.x, b.x) < box.lo.x - around_ || std::min(a.x, b.x) > box.hi.x + around_ ||
            std::max(a.y, b.y) < box.lo.y - around_ || std::min(a.y, b.y) > box.hi.y + around_)
            return nullptr;
        for (const Part& part : parts_) {
            Point3 from = a, to = b;
            if (below(height - part.lower, from, to) && apart(zone, flat(from), flat(to)) < part.radius - place_slack) return &part;
        }
        return nullptr;
    }

    /// Likewise, of a rapid: straight, or with each axis by itself.
    [[nodiscard]] const Part* meets_in_rapid(const KeepOut& zone, const Point3& a, const Point3& b, const Machine& machine) const {
        if (const Part* part = meets(zone, a, b)) return part;
        Point3 at = a;
        for (const Point3& corner : each_axis_by_itself(a, b, machine.rapid)) {
            if (const Part* part = meets(zone, at, corner)) return part;
            at = corner;
        }
        return nullptr;
    }

private:
    double top_;
    std::array<Part, 3> parts_;
    double around_ = 0;
};

std::string mend(const KeepOut& zone, const Part& part, bool sideways_rapid, bool first, const ReadProgram& read) {
    if (first && read.begins_at_touch)
        return fmt::format("There the program sets its zero, at {}: lift higher before that way, or move the clamp.",
                           at_place(read.track.start));
    if (first) return "The machine starts at X0 Y0 Z0, the work zero: put it elsewhere, or move the clamp.";
    if (sideways_rapid)
        return fmt::format("Travel at Z {:.2f} or higher there (the safe height), or move the clamp.", std::ceil(zone.height()) + 1);
    if (part.name == std::string_view("collet")) return "Move the clamp or the design, or take a bit that sticks out farther.";
    if (part.lower > 0) return "Move the clamp or the design, or take a bit that cuts on a greater length, whose shank stays higher.";
    return "Move the clamp or the design: they want the same place.";
}

}  // namespace

Check check_plain_ways(const std::string& file, const std::vector<PlainWay>& ways, const std::vector<KeepOut>& zones) {
    constexpr double radius = 3.175 / 2;
    std::vector<Breach> breaches;
    for (const KeepOut& zone : zones)
        for (const PlainWay& way : ways) {
            if (way.z >= zone.height() - place_slack || apart(zone, way.from, way.to) >= radius - place_slack) continue;
            const Point3 at{way.to.x, way.to.y, way.z};
            breaches.push_back(
                {way.line, at,
                 fmt::format("On the way to {} the bit meets '{}', which stands {:.2f} mm above the stock top. Give a greater "
                             "--safe-height, or move the clamp.",
                             at_place(at), zone.name(), zone.height())});
            break;
        }
    return verdict(clear_of_keep_outs, file,
                   fmt::format("A bit of {:.3f} mm stays clear of {} keep-out{}.", 2 * radius, zones.size(), zones.size() == 1 ? "" : "s"),
                   std::move(breaches));
}

Check check_keep_outs(const Way& way, const ProofTask& task) {
    const Body body(way, task);
    std::vector<Breach> breaches;
    for (const KeepOut& zone : task.stock.keep_outs) {
        for (const Probe& probe : way.read.probes)
            if (body.meets(zone, probe.from, probe.to) != nullptr) {
                breaches.push_back({probe.line, probe.to,
                                    fmt::format("The probe on its way to {} meets '{}', which stands {:.2f} mm above the stock top. Probe "
                                                "elsewhere, or move the clamp.",
                                                at_place(probe.to), zone.name(), zone.height())});
                break;
            }
        for (std::size_t leg = 0; leg < way.legs.size(); ++leg) {
            const Point3 &a = way.from(leg), &b = way.legs[leg].to;
            const bool rapid = way.kinds[leg].rapid;
            const Part* part = rapid ? body.meets_in_rapid(zone, a, b, task.machine) : body.meets(zone, a, b);
            if (!part) continue;
            breaches.push_back({way.legs[leg].line, b,
                                fmt::format("On the {} to {} the {} meets '{}', which stands {:.2f} mm above the stock top. {}",
                                            rapid ? "rapid" : "way", at_place(b), part->name, zone.name(), zone.height(),
                                            mend(zone, *part, rapid && a.z == b.z, leg == 0, way.read))});
            break;  // the line that meets it first is enough
        }
    }
    const std::size_t count = task.stock.keep_outs.size();
    return verdict(clear_of_keep_outs, way.asked->file,
                   fmt::format("Bit, shank and a collet of {:.0f} mm stay clear of {} keep-out{}, from {}.", collet_nut_diameter, count,
                               count == 1 ? "" : "s",
                               way.read.begins_at_touch ? "where the program sets its zero by a probe"
                                                        : "X0 Y0 Z0, where the machine is taken to stand before the first move"),
                   std::move(breaches));
}

}  // namespace burin::proving
