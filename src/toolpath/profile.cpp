// One-dimensional thinning in a corridor that lies above the exact way, and the treatment of walls.
#include "profile.hpp"

#include <algorithm>
#include <limits>

namespace burin {

std::vector<ProfilePoint> thinned_above(const std::vector<ProfilePoint>& points, double tolerance) {
    if (points.size() < 3) return points;
    std::vector<ProfilePoint> kept{points.front()};
    constexpr double endless = std::numeric_limits<double>::infinity();
    double low = -endless, high = endless;
    for (std::size_t k = 1; k < points.size(); ++k) {
        const ProfilePoint& from = kept.back();
        const double run = points[k].d - from.d;
        const double least = (points[k].z - from.z) / run, most = (points[k].z + tolerance - from.z) / run;
        if (std::max(low, least) <= std::min(high, most)) {
            low = std::max(low, least), high = std::min(high, most);
            continue;
        }
        const double end = points[k - 1].d;
        kept.push_back({end, from.z + low * (end - from.d)});
        low = (points[k].z - kept.back().z) / (points[k].d - end);
        high = (points[k].z + tolerance - kept.back().z) / (points[k].d - end);
    }
    const double end = points.back().d;
    kept.push_back({end, kept.back().z + low * (end - kept.back().d)});
    return kept;
}

std::vector<ProfilePoint> safe_profile(const std::vector<ProfilePoint>& points, const Walls& walls, double tolerance) {
    std::vector<ProfilePoint> way, stretch;
    const auto close = [&] {
        for (const ProfilePoint& p : thinned_above(stretch, tolerance)) way.push_back(p);
        stretch.clear();
    };
    for (std::size_t k = 0; k < points.size(); ++k) {
        const ProfilePoint& p = points[k];
        const double before = k > 0 ? points[k - 1].z : p.z;
        if (p.z < before - walls.low) {
            stretch.push_back({p.d, before});
            const bool wall = p.z < before - walls.high;
            if (k + 1 == points.size()) continue;
            const ProfilePoint& beyond = points[k + 1];
            const double rise = beyond.z - p.z;
            if ((wall && rise > walls.high) || (!wall && rise < -walls.low)) continue;  // a slot, or within a falling flight
            close();
            if (rise <= walls.high && beyond.z <= before) {  // from beyond the foot back to it
                way.push_back({beyond.d, std::max(p.z, beyond.z)});
                if (rise > walls.low) way.push_back({p.d, beyond.z});
            }
            way.push_back(p);
            stretch.push_back(p);
        } else {
            if (p.z > before + walls.low) {
                close();
                const double foot = way.empty() ? p.d : way.back().d;
                stretch.push_back({foot, std::max(p.z, way.empty() ? p.z : way.back().z)});
                if (foot >= p.d) stretch.clear();
            }
            stretch.push_back(p);
        }
    }
    close();
    return way;
}

}  // namespace burin
