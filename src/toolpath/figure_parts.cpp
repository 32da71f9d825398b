// Offsets and openings figure by figure: the library's cost grows faster than the number of corners, and figures are independent.
#include "figure_parts.hpp"

#include <algorithm>

#include "figure_rail.hpp"

namespace burin {
namespace {

/// Runs work(figure) → figures on all threads and joins what comes out in order.
template <class Work>
std::vector<Figure> each(const Region& region, const Crew& crew, const Work& work) {
    const auto& figures = region.figures();
    constexpr std::size_t figures_a_job = 16;
    const std::size_t jobs = figures.size() > 64 ? (figures.size() + figures_a_job - 1) / figures_a_job : figures.size();
    const std::size_t grain = jobs == figures.size() ? 1 : figures_a_job;
    std::vector<std::vector<Figure>> parts(jobs);
    in_parallel(crew, static_cast<int>(jobs), [&](int job) {
        auto& part = parts[static_cast<std::size_t>(job)];
        const std::size_t from = static_cast<std::size_t>(job) * grain;
        for (std::size_t k = from; k < std::min(figures.size(), from + grain); ++k) {
            crew.check();
            const Region result = work(figures[k]);
            part.insert(part.end(), result.figures().begin(), result.figures().end());
        }
    });
    std::vector<Figure> all;
    for (auto& part : parts) std::move(part.begin(), part.end(), std::back_inserter(all));
    return all;
}

/// Round joins come with more corners than they need.
Region thinned_offset(const Region& region, double d, double tolerance) {
    return simplified(offset_by(region, -d, tolerance / 2), tolerance / 2);
}

/// Whether nothing of the figure is left when it is shrunk by d, as its box tells.
bool too_narrow(const Figure& figure, double d) {
    const Box box = box_of(figure.outer);
    return std::min(box.width(), box.height()) <= 2 * d;
}

}  // namespace

Region alone(const Figure& figure) {
    std::vector<Loop> loops{figure.outer};
    loops.insert(loops.end(), figure.holes.begin(), figure.holes.end());
    return Region(loops);
}

std::vector<Figure> shrunk(const Region& region, double d, double tolerance, const Crew& crew) {
    if (region.figures().size() == 1)
        return too_narrow(region.figures().front(), d) ? std::vector<Figure>{} : thinned_offset(region, d, tolerance).figures();
    return each(region, crew,
                [&](const Figure& figure) { return too_narrow(figure, d) ? Region{} : thinned_offset(alone(figure), d, tolerance); });
}

std::vector<Loop> loops_of(const std::vector<Figure>& figures) {
    std::vector<Loop> loops;
    for (const Figure& figure : figures) {
        loops.push_back(figure.outer);
        loops.insert(loops.end(), figure.holes.begin(), figure.holes.end());
    }
    return loops;
}

Region out_of_reach(const Region& region, double r, double least, const Crew& crew) {
    return Region(loops_of(each(region, crew, [&](const Figure& figure) {
        const Region whole = alone(figure);
        if (too_narrow(figure, r)) return whole;
        const Region tips = offset_by(whole, -r);
        return opened_by(without(whole, offset_by(tips, r + least / 2)), least / 2);
    })));
}

Crew single(const Crew& crew) {
    Crew one;
    one.stop = crew.stop;
    return one;
}

}  // namespace burin
