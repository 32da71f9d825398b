// What bending must not change. Cost: nine cells of the flat surface for each of the bent one.
#include "burin/proof/bent.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "burin/base/error.hpp"
#include "burin/shape/smooth_surface.hpp"
#include "promises.hpp"

namespace burin {
namespace {

constexpr double step = 0.5;       // mm over which the top's tilt is taken
constexpr float no_stock = -1e8F;  // cells below hold none

struct Worst {
    double beyond = -1e9, off = 0, tilt = 0;  // beyond: over what is allowed there
    Point where;
};

double tilt_at(const HeightMap& top, const Point& p) {
    const double x = height_at(top, {p.x + step, p.y}) - height_at(top, {p.x - step, p.y});
    const double y = height_at(top, {p.x, p.y + step}) - height_at(top, {p.x, p.y - step});
    return std::hypot(x, y) / (2 * step);
}

/// How far a height lies outside those of the nine cells about (i, j).
double outside(const HeightMap& flat, int i, int j, double height) {
    double lo = 1e9, hi = -1e9;
    for (int y = std::max(0, j - 1); y <= std::min(flat.height() - 1, j + 1); ++y)
        for (int x = std::max(0, i - 1); x <= std::min(flat.width() - 1, i + 1); ++x) {
            lo = std::min(lo, static_cast<double>(flat(x, y)));
            hi = std::max(hi, static_cast<double>(flat(x, y)));
        }
    return std::max({lo - height, height - hi, 0.0});
}

Worst worst_of_row(const BentTask& task, int j) {
    Worst worst;
    for (int i = 0; i < task.flat->width(); ++i) {
        const Point p = task.flat->centre(i, j);
        const double top = std::min(0.0, height_at(*task.top, p)), height = static_cast<double>((*task.bent)(i, j)) - top;
        const bool cut = (*task.flat)(i, j) < 0 || height < 0;
        if (!cut || (*task.flat)(i, j) < no_stock || (*task.bent)(i, j) < no_stock) continue;
        const double tilt = tilt_at(*task.top, p) * task.bit_radius, off = outside(*task.flat, i, j, height);
        worst.tilt = std::max(worst.tilt, tilt);
        if (const double beyond = off - tilt - proving::surface_slack; beyond > worst.beyond)
            worst.beyond = beyond, worst.off = off, worst.where = p;
    }
    return worst;
}

/// The line that cut lowest there.
void name_line(const BentTask& task, const Point& where, Check& check) {
    std::vector<proving::Way> ways;
    for (const ProofProgram& program : task.task->programs) ways.push_back(proving::way_of(program, *task.task, task.bent->cell()));
    const std::optional<proving::Culprit> culprit = proving::lowest_at(where, ways);
    if (!culprit) return;
    const proving::Way& way = ways[culprit->way];
    check.file = way.asked->file;
    check.line = way.legs[way.leg_of(culprit->piece)].line;
}

}  // namespace

BentSeen compare_bent(const BentTask& task, const Crew& crew) {
    if (task.flat->width() != task.bent->width() || task.flat->height() != task.bent->height())
        throw Error(Fault::refused, "The two surfaces do not share their cells. This is a fault of the program, please report it.");
    std::vector<Worst> rows(static_cast<std::size_t>(task.flat->height()));
    in_parallel(crew, task.flat->height(), [&](int j) { rows[static_cast<std::size_t>(j)] = worst_of_row(task, j); });
    Worst worst;
    for (const Worst& row : rows) {
        worst.tilt = std::max(worst.tilt, row.tilt);
        if (row.beyond > worst.beyond) worst.beyond = row.beyond, worst.off = row.off, worst.where = row.where;
    }
    BentSeen seen;
    seen.worst = worst.off, seen.worst_tilt = worst.tilt;
    seen.check.name = "follows the measured top";
    seen.check.ok = !(worst.beyond > 0);
    seen.check.place = {worst.where.x, worst.where.y, 0};
    if (!seen.check.ok && task.task) name_line(task, worst.where, seen.check);
    seen.check.detail =
        seen.check.ok
            ? fmt::format(
                  "Counted from the measured top, what is left is what the flat programs leave, within {:.3f} mm; the upright bit "
                  "on the tilted top accounts for up to {:.3f}.",
                  worst.off, worst.tilt)
            : fmt::format(
                  "At x {:.2f} y {:.2f} what is left lies {:.3f} mm off that of the flat programs, counted from the measured top; "
                  "{:.2f} and the tilt under the bit, {:.3f} at most, are allowed.",
                  worst.where.x, worst.where.y, worst.off, proving::surface_slack, worst.tilt);
    return seen;
}

}  // namespace burin
