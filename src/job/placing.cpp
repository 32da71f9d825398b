/// Several cuts on one stock. Cost: each cut is settled once more than alone; overlaps are booleans of regions.
#include "placing.hpp"

#include <algorithm>
#include <cmath>

#include "burin/job/options.hpp"
#include "burn.hpp"
#include "fmt/format.h"
#include "settle_parts.hpp"
#include "spare.hpp"

namespace burin {
namespace {

SettledJob settled(const Job& job, std::size_t k, const Workshop& workshop, const Source& source) {
    const Job one = one_cut(job, job.cuts[k]);
    SettledJob result;
    about_cut(job.cuts[k], k, [&] { result = settled_alone(one, workshop, source); });
    return result;
}

/// The smallest stock that holds every cut in its middle with the usual margin; what is cut through decides how thick.
void assume_stock(Job& job, const std::vector<Workshop>& workshops, const std::vector<Source>& sources) {
    Point size{};
    double thickness = 0;
    bool through = false;
    for (std::size_t k = 0; k < job.cuts.size(); ++k) {
        const Cut& cut = job.cuts[k];
        if (cut.at || cut.align || cut.anchor)
            about_cut(cut, k, [] {
                throw Error(Fault::usage, "A place on the stock was given, and no stock. Add one, as in stock = \"100x80x12\".");
            });
        const SettledJob alone = settled(job, k, workshops[k], sources[k]);
        // Letters on an arc have the circle's centre in the middle of the stock, as far as that is from their own.
        const Point& centre = *alone.written.cuts.front().at;
        size = {std::max(size.x, alone.stock.bounds.width() + 2 * std::abs(centre.x - alone.at.x)),
                std::max(size.y, alone.stock.bounds.height() + 2 * std::abs(centre.y - alone.at.y))};
        if (through && cut.make != "cutout") continue;
        thickness = cut.make == "cutout" && !through ? alone.stock.thickness : std::max(thickness, alone.stock.thickness);
        through = through || cut.make == "cutout";
    }
    job.stock = fmt::format("{}x{}x{}", number_text(size.x), number_text(size.y), number_text(thickness));
    job.reckoned.emplace_back("stock");
}

void align(Job& job, std::size_t k, const std::vector<Workshop>& workshops, const std::vector<Source>& sources) {
    Cut& cut = job.cuts[k];
    if (cut.at) throw Error(Fault::usage, "--at and --align both say where the design lies: give one of them.");
    const Alignment wish = parse_alignment(*cut.align);
    const auto end = job.cuts.begin() + static_cast<std::ptrdiff_t>(k);
    const auto other = std::find_if(job.cuts.begin(), end, [&](const Cut& one) { return one.id == wish.of; });
    if (other == end)
        throw Error(Fault::usage,
                    fmt::format("align: no cut before this one has the id '{0}'. Write id = \"{0}\" in the one that is meant.", wish.of));
    const auto n = static_cast<std::size_t>(other - job.cuts.begin());
    const SettledJob theirs = settled(job, n, workshops[n], sources[n]);
    cut.at = theirs.stock.bounds.centre();
    const Point size = settled(job, k, workshops[k], sources[k]).size;
    const double across = theirs.size.x / 2 + size.x / 2 + wish.gap, along = theirs.size.y / 2 + size.y / 2 + wish.gap;
    Point at = theirs.at;
    using enum Alignment::Side;
    if (wish.side == above) at.y += along;
    if (wish.side == below) at.y -= along;
    if (wish.side == left) at.x -= across;
    if (wish.side == right) at.x += across;
    cut.at = Point{rounded(at.x), rounded(at.y)};
}

}  // namespace

SettledJob settled_alone(const Job& one, const Workshop& workshop, const Source& source) {
    if (one.cuts.front().make == "relief") return settle_relief(one, workshop, source).job;
    if (one.cuts.front().make == "card" && workshop.bits.empty()) return settle_burn_card(one, workshop, source).job;
    if (one.cuts.front().make == "card") return settle_card(one, workshop, source).job;
    if (one.cuts.front().make == "face") return settle_face(one, workshop, source).job;
    if (shows_tones(one.cuts.front())) return settle_photo(one, workshop, source).job;
    if (one.cuts.front().make == "burn") return settle_burn(one, workshop, source).job;
    return settle_figure(one, workshop, source).job;
}

Alignment parse_alignment(std::string_view text) {
    const std::size_t first = text.find(':'), second = text.rfind(':');
    const std::string side(text.substr(0, first));
    static const std::vector<std::string> sides{"above", "below", "left", "right", "centre"};
    const auto found = std::find(sides.begin(), sides.end(), side);
    if (found == sides.end() || first == std::string_view::npos || first + 1 == text.size())
        throw Error(Fault::usage,
                    fmt::format("'{}' is no alignment: write a side (above, below, left, right, centre), the other cut's id and "
                                "a gap, as in below:picture:4.",
                                text));
    Alignment wish;
    wish.side = static_cast<Alignment::Side>(found - sides.begin());
    wish.of = text.substr(first + 1, second > first ? second - first - 1 : std::string_view::npos);
    if (second > first) wish.gap = parse_number(text.substr(second + 1));
    return wish;
}

void place_cuts(Job& job, const std::vector<Workshop>& workshops, const std::vector<Source>& sources) {
    if (!job.stock) assume_stock(job, workshops, sources);
    for (std::size_t k = 0; k < job.cuts.size(); ++k)
        if (job.cuts[k].align) about_cut(job.cuts[k], k, [&] { align(job, k, workshops, sources); });
}

void spare_cuts(const Job& job, const std::vector<std::size_t>& numbers, std::vector<DesignedCut>& designs) {
    std::vector<Region> covers;
    for (const DesignedCut& design : designs) covers.push_back(cover_of(design));
    for (std::size_t upper = 1; upper < designs.size(); ++upper) {
        const Cut& cut = job.cuts[numbers[upper]];
        const Region kept = cut.spare.value_or(false) ? offset_by(covers[upper], cut.spare_margin.value_or(usual_spare_margin)) : Region();
        for (std::size_t lower = 0; lower < upper; ++lower) {
            if (numbers[lower] == numbers[upper]) continue;  // steps of one pocket
            const Region overlap = common(covers[lower], kept.empty() ? covers[upper] : kept);
            if (overlap.area() < 0.5) continue;
            if (!kept.empty())
                about_cut(job.cuts[numbers[lower]], numbers[lower], [&] { spare(designs[lower], kept); });
            else
                std::visit(
                    [&](auto& design) {
                        settled_of(design).warnings.push_back(fmt::format(
                            "It overlaps {} by {:.1f} mm²: where both cut, the deeper one counts. spare = true keeps the lower cut away.",
                            within_sentence(called(job.cuts[numbers[lower]], numbers[lower] + 1)), overlap.area()));
                    },
                    designs[upper]);
        }
    }
}

}  // namespace burin
