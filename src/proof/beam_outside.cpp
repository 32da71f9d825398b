// Whether the beam's centre ever burns where nothing is to be burnt. A place knows how far it is from what is forbidden, so steps along a
// line are as long as that (sphere tracing, Hart 1996). Cost: a few questions for every millimetre.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "beam_checks.hpp"
#include "beam_light.hpp"
#include "beam_lines.hpp"
#include "blur.hpp"
#include "burin/shape/edge_distance.hpp"

namespace burin::proving {
namespace {

constexpr double chord_slack = 0.002;  // mm: roundings of places and chords of arcs
constexpr double least_step = 0.01;    // mm

/// Where the beam's centre may burn.
class Allowed {
public:
    explicit Allowed(const BeamRules& rules) {
        for (const BeamFigure& figure : rules.task.figures) {
            const double slack = figure.outside + chord_slack;
            if (figure.cover == BeamCover::along) {
                lines_.push_back({LineSearch(figure, 2 * slack), slack});
            } else if (!figure.region.empty()) {
                filled_.push_back({EdgeSearch(figure.region), slack});
            }
        }
        if (rules.task.exposure == nullptr) return;
        const Grid<float>& asked = *rules.task.exposure;
        const int reach = static_cast<int>(std::ceil((rules.spot / 2 + chord_slack) / asked.cell() - 1e-9));
        toned_ = Grid<float>(asked.width() + 2 * reach, asked.height() + 2 * reach, asked.cell(),
                             {asked.origin().x - reach * asked.cell(), asked.origin().y - reach * asked.cell()});
        for (int j = 0; j < asked.height(); ++j)
            for (int i = 0; i < asked.width(); ++i) toned_(i + reach, j + reach) = asked(i, j) > 0 ? 1.0F : 0.0F;
        toned_ = spread_of(toned_, reach, rules.crew).highest;
    }
    /// How far one may go from p in any direction and still be allowed; below 0: p is not.
    [[nodiscard]] double room(const Point& p) const {
        double most = -std::numeric_limits<double>::infinity();
        if (!toned_.empty()) {
            const double x = (p.x - toned_.origin().x) / toned_.cell(), y = (p.y - toned_.origin().y) / toned_.cell();
            if (x >= 0 && y >= 0 && x < toned_.width() && y < toned_.height() && toned_(static_cast<int>(x), static_cast<int>(y)) > 0)
                most = toned_.cell() / 4;
        }
        for (const auto& [search, slack] : lines_) most = std::max(most, slack - search.distance_of(p));
        for (const auto& [search, slack] : filled_) {
            if (most >= 0) break;  // they cost more to ask
            most = std::max(most, slack + search.depth(p));
        }
        return most;
    }

private:
    template <class Search>
    struct Sought {
        Search search;
        double slack;
    };
    std::vector<Sought<LineSearch>> lines_;
    std::vector<Sought<EdgeSearch>> filled_;
    Grid<float> toned_;  // 1 where tones allow it
};

/// The first place of a leg that is not allowed, as a share of its way; above 1: none.
double first_outside(const Allowed& allowed, const BeamLeg& leg) {
    const double length = distance(leg.from, leg.to);
    for (double at = 0;;) {
        const double share = length > 0 ? std::min(1.0, at / length) : 1;
        const double room = allowed.room({leg.from.x + (leg.to.x - leg.from.x) * share, leg.from.y + (leg.to.y - leg.from.y) * share});
        if (room < 0) return share;
        if (share >= 1) return 2;
        at += std::max(room, least_step);
    }
}

}  // namespace

Check check_outside(const BeamRules& rules, const std::vector<BeamWay>& ways) {
    const Allowed allowed(rules);
    std::vector<Breach> breaches;
    std::string file;
    for (const BeamWay& way : ways) {
        if (way.asked->border || !breaches.empty()) continue;
        std::vector<double> where(way.legs.size(), 2);
        constexpr std::size_t share_of_work = 4096;
        const std::size_t jobs = (way.legs.size() + share_of_work - 1) / share_of_work;
        in_parallel(rules.crew, static_cast<int>(jobs), [&](int job) {
            const std::size_t first = static_cast<std::size_t>(job) * share_of_work;
            for (std::size_t k = first; k < std::min(first + share_of_work, where.size()); ++k) {
                where[k] = first_outside(allowed, way.legs[k]);
                if (where[k] <= 1) break;
            }
        });
        for (std::size_t k = 0; k < where.size() && breaches.empty(); ++k) {
            if (where[k] > 1) continue;
            const BeamLeg& leg = way.legs[k];
            const Point p{leg.from.x + (leg.to.x - leg.from.x) * where[k], leg.from.y + (leg.to.y - leg.from.y) * where[k]};
            file = way.asked->file;
            breaches.push_back(
                {leg.line,
                 {p.x, p.y, leg.z},
                 fmt::format("The beam burns at {}, which lies outside what is to be burnt. The design and the program do not "
                             "belong together: make the job again.",
                             at_xy(p))});
        }
    }
    return verdict("nothing burnt outside", file,
                   fmt::format("Whatever is lit lies inside the design grown by half a spot ({:.3f} mm).", rules.spot / 2),
                   std::move(breaches));
}

}  // namespace burin::proving
