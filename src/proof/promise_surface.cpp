// Promises 1 and 2: nothing below the design, nothing left that the bit can reach. When one is broken, the move that did it is
// looked for: the first that goes below what may be, or, where something stands, the one that left it so.
#include <fmt/format.h>

#include <algorithm>

#include "promises.hpp"

namespace burin::proving {

Check verdict(std::string name, std::string file, std::string kept, std::vector<Breach> breaches) {
    Check check;
    check.name = std::move(name);
    check.file = std::move(file);
    check.ok = breaches.empty();
    if (check.ok) {
        check.detail = std::move(kept);
        return check;
    }
    std::stable_sort(breaches.begin(), breaches.end(), [](const Breach& a, const Breach& b) { return a.line < b.line; });
    check.line = breaches.front().line;
    check.place = breaches.front().place;
    constexpr std::size_t told = 4;
    for (std::size_t k = 0; k < std::min(told, breaches.size()); ++k) {
        if (k > 0) check.detail += ' ';
        if (breaches[k].line > 0) check.detail += fmt::format("{}, line {}: ", check.file, breaches[k].line);
        check.detail += breaches[k].sentence;
    }
    if (breaches.size() > told) check.detail += fmt::format(" And {} more.", breaches.size() - told);
    return check;
}

std::string at_place(const Point3& p) { return fmt::format("x {:.2f} y {:.2f} z {:.2f}", p.x, p.y, p.z); }

Check check_below(const std::vector<Way>& ways, const HeightMap& surface, const HeightMap& design, const Comparison& seen,
                  const Crew& crew) {
    std::vector<Breach> breaches;
    const double deepest = std::max(0.0, static_cast<double>(seen.gouge.value));
    std::string file;
    if (deepest > surface_slack) {
        const float slack = static_cast<float>(surface_slack);
        HeightMap limit = surface.like(far_below);
        over_rows(crew, surface.height(), 64, [&](int first, int last) {
            for (int j = first; j < last; ++j)
                for (int i = 0; i < surface.width(); ++i) {
                    const float least = lowest_beside(design, i, j) - slack;
                    if (surface(i, j) < least) limit(i, j) = least;
                }
        });
        const Point worst = surface.centre(seen.gouge.i, seen.gouge.j);
        Breach breach{0, {worst.x, worst.y, static_cast<double>(surface(seen.gouge.i, seen.gouge.j))}, {}};
        if (const auto culprit = first_below(limit, ways, crew)) {
            file = ways[culprit->way].asked->file;
            breach.line = ways[culprit->way].line_of(culprit->piece);
            breach.place = {culprit->place.x, culprit->place.y, static_cast<double>(culprit->z)};
        }
        breach.sentence = fmt::format(
            "The bit cuts below the design at {}; in all it goes up to {:.3f} mm too deep (x {:.2f} y {:.2f}), and {:.2f} is allowed. "
            "Have the programs made again; do not cut these.",
            at_place(breach.place), deepest, worst.x, worst.y, surface_slack);
        breaches.push_back(std::move(breach));
    }
    return verdict("nothing below the design", file,
                   fmt::format("Nowhere more than {:.3f} mm below the design ({:.2f} allowed).", deepest, surface_slack),
                   std::move(breaches));
}

Check check_standing(const std::vector<Way>& ways, const HeightMap& surface, const HeightMap& reach, const Comparison& seen,
                     double scallop) {
    std::vector<Breach> breaches;
    const double highest = std::max(0.0, static_cast<double>(seen.standing.value)), may = scallop + surface_slack;
    std::string file;
    if (highest > may) {
        const Point worst = surface.centre(seen.standing.i, seen.standing.j);
        Breach breach{0, {worst.x, worst.y, static_cast<double>(surface(seen.standing.i, seen.standing.j))}, {}};
        if (const auto last = lowest_at(worst, ways)) {
            file = ways[last->way].asked->file;
            breach.line = ways[last->way].line_of(last->piece);
        } else if (!ways.empty()) {
            file = ways.back().asked->file;
        }
        breach.sentence = fmt::format(
            "At {} {:.3f} mm are left standing that the bit could reach (down to z {:.2f}), and {:.3f} is allowed{}. A pass is missing "
            "there or lies too far away; have the programs made again, with a smaller stepover.",
            at_place(breach.place), highest, reach(seen.standing.i, seen.standing.j), may,
            breach.line > 0 ? "; this line came nearest" : "");
        breaches.push_back(std::move(breach));
    }
    return verdict("nothing left standing", file,
                   fmt::format("At most {:.3f} mm left above what the bit can reach ({:.3f} allowed).", highest, may), std::move(breaches));
}

}  // namespace burin::proving
