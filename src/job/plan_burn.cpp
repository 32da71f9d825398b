/// From tones or figures on the stock to the moves of a beam, and to what its proof holds them against.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/job/options.hpp"
#include "burin/shape/widen.hpp"
#include "burn.hpp"
#include "fmt/format.h"
#include "place.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace {

/// The exposure that shows a darkness; what the beam cannot do here is cut off at what it can.
double wanted_exposure(const BurnTone& tone, double darkness) {
    const double most = exposure_of(tone, tone.most_s), least = exposure_of(tone, tone.least_s);
    if (tone.curve.empty()) return darkness < 0.5 / tone.levels ? 0 : least + darkness * (most - least);
    const double bare = amount_for(tone.curve, 1e-6), wanted = amount_for(tone.curve, darkness);
    if (wanted < least || wanted - bare < 0.5 / tone.levels * (most - bare)) return 0;
    return std::min(wanted, most);
}

/// The same with so many bare columns more on both sides.
Grid<float> wider(const Grid<float>& cells, int columns) {
    Grid<float> out(cells.width() + 2 * columns, cells.height(), cells.cell(),
                    {cells.origin().x - columns * cells.cell(), cells.origin().y}, 0.0F);
    for (int j = 0; j < cells.height(); ++j) std::copy_n(cells.row(j), cells.width(), out.row(j) + columns);
    return out;
}

/// Rows that run back are moved to the right: the wanted tones too, or each would be missed by so much.
void line_up(Grid<float>& exposure, const std::vector<BurnRow>& rows, double by) {
    if (by == 0) return;
    exposure = wider(exposure, static_cast<int>(std::ceil(std::abs(by) / exposure.cell())) + 1);
    bool back = false;
    const double cells = by / exposure.cell();
    const int n = exposure.width();
    std::vector<float> moved(static_cast<std::size_t>(n));
    for (int j = 0; j < exposure.height(); ++j) {
        if (rows[static_cast<std::size_t>(j)].runs.empty()) continue;
        if (back) {
            float* row = exposure.row(j);
            for (int i = 0; i < n; ++i) {
                const double from = i - cells;
                const int k = static_cast<int>(std::floor(from));
                const auto share = static_cast<float>(from - k);
                const float left = k >= 0 && k < n ? row[k] : 0, right = k + 1 >= 0 && k + 1 < n ? row[k + 1] : 0;
                moved[static_cast<std::size_t>(i)] = left + share * (right - left);
            }
            std::copy(moved.begin(), moved.end(), row);
        }
        back = !back;
    }
}

/// Power and wanted exposure of every cell of the rows' frame.
struct Burnt {
    Grid<std::uint16_t> power;
    Grid<float> exposure;
};

Burnt burnt_of(const SettledBurn& burn, const Grid<float>& darkness, const Crew& crew) {
    const BurnTone& tone = burn.tone;
    Burnt out{{}, darkness.like(0.0F)};
    if (!burn.dither) {
        out.power = power_by_tone(darkness, tone, crew);
        for (std::size_t k = 0; k < darkness.size(); ++k)
            out.exposure.values()[k] = static_cast<float>(wanted_exposure(tone, static_cast<double>(darkness.values()[k])));
        return out;
    }
    // A dot is as dark as the beam burns; so many of them that the eye sees the tone (Murray-Davies).
    const std::uint16_t s = power_for(tone, 1);
    const auto dark = static_cast<float>(std::max(darkness_at(tone, s), 1e-6)), dot = static_cast<float>(exposure_of(tone, s));
    Grid<float> share = darkness;
    for (float& d : share.values()) d = std::min(d / dark, 1.0F);
    for (std::size_t k = 0; k < share.size(); ++k) out.exposure.values()[k] = share.values()[k] * dot;
    out.power = power_by_dots(dithered(share, *burn.dither, burn.to_and_fro, crew), s);
    return out;
}

/// What a picture has that the spot cannot show.
void tell_of_detail(const SettledBurn& burn, const Picture& picture, BurnPlan& plan) {
    plan.detail = burn.tones.width / picture.width;
    const double spot = std::max(burn.laser.spot_mm, burn.tone.spacing);
    if (plan.detail >= spot * 0.8) return;
    plan.warnings.push_back(
        fmt::format("The picture has {} × {} points of {:.3f} mm, and what the beam marks is {:.2f} mm wide: detail finer than that flows "
                    "together, {:.0f} points become one. To keep it, make the picture {:.0f} mm wide, or take a finer spot.",
                    picture.width, picture.height, plan.detail, spot, std::pow(spot / plan.detail, 2), std::ceil(spot * picture.width)));
}

/// Tones that are darker than the beam gets here.
void tell_of_darkest(const SettledBurn& burn, BurnPlan& plan) {
    const BurnTone& tone = burn.tone;
    if (tone.curve.empty()) return;
    const double dark = darkness_at(tone, tone.most_s), full = darkness_for(tone.curve, amount_for(tone.curve, 1));
    if (dark < full - 0.02)
        plan.warnings.push_back(
            fmt::format("At {} mm/min the beam burns to {:.0f} % of what {} can show: darker tones are cut off there. For all "
                        "of them, --feed {}{}.",
                        number_text(tone.feed), 100 * dark / full, burn.job.material.title,
                        number_text(std::max(1.0, std::floor(darkest_feed(tone)))), tone.most_s < tone.scale ? ", or more --power" : ""));
    if (tone.least_s > 0) {
        const double lightest = darkness_at(tone, tone.least_s);
        if (lightest > 0.02)
            plan.notes.push_back(
                fmt::format("The least power gives {:.0f} % darkness: lighter tones stay bare (--least-power).", 100 * lightest));
    }
}

/// Parts narrower than this are followed along their middle: no spot fits in, or, with rows alone, no row may hit them. With constant
/// power nothing but rows is lit.
double narrowest(const SettledBurn& burn) {
    if (!burn.scaled || burn.lines) return 0;
    if (burn.rows && !burn.edge) return burn.laser.spot_mm + burn.tone.spacing;
    return burn.rows || burn.beside > 0 ? burn.laser.spot_mm : 0;
}

void tell_of_narrow(const SettledBurn& burn, const Region& figure, BurnPlan& plan) {
    if (figure.empty() || !(burn.rows || burn.beside > 0)) return;
    const double spot = burn.laser.spot_mm, width = burn.scaled ? spot : spot + burn.tone.spacing;
    const std::size_t places = too_narrow(figure, width).figures().size();
    if (places == 0) return;
    const std::string what = fmt::format("{} {} narrower than {} mm", places, places == 1 ? "place is" : "places are", number_text(width));
    plan.warnings.push_back(
        burn.scaled
            ? fmt::format("{}, the spot: the beam follows the middle, and the mark is as wide as the spot.", what)
            : fmt::format("{}, the spot and a row: rows alone may miss them. Power that goes with the speed would follow their middle "
                          "(--power-mode scaled).",
                          what));
}

/// Lines as a region next to nothing wide.
Region thread_of(const std::vector<Polyline>& lines, double width) {
    std::vector<Loop> loops;
    for (const Polyline& line : lines)
        if (line.points.size() > 1)
            for (Loop& loop : widened(line, {width, Cap::round, Join::round, 4}).loops()) loops.push_back(std::move(loop));
    return Region(loops, FillRule::nonzero);
}

std::vector<BeamFigure> held_against(const SettledBurn& burn, const Region& figure, const std::vector<Polyline>& lines) {
    std::vector<BeamFigure> out;
    const double spot = burn.laser.spot_mm;
    const auto add = [&](const Region& region, BeamCover cover, double left_out) {
        if (region.empty()) return;
        BeamFigure one;
        one.region = region;
        one.cover = cover;
        one.left_out = left_out;
        out.push_back(std::move(one));
    };
    if (burn.rows) {
        // Beside rows alone, and in corners, a part of a row or of a spot may stay bare.
        add(opened_by(figure, (burn.edge ? spot : spot + burn.tone.spacing) / 2), BeamCover::fill,
            burn.edge ? 0.03 : 0.03 + burn.tone.spacing);
    } else if (burn.edge) {
        const Region line = burn.beside == 0 ? figure : offset_by(figure, -burn.beside);
        add(line, BeamCover::along, 0.03);
        if (!out.empty()) {
            out.back().times = burn.focus_step > 0 ? 1 : burn.passes;
            if (burn.focus_step > 0)
                for (int k = 0; k < burn.passes; ++k) out.back().heights.push_back(-k * burn.focus_step);
        }
    }
    // Narrow parts with a spot's width of what they run into, where their lines end.
    if (const double narrow = narrowest(burn); narrow > 0)
        if (const Region parts = too_narrow(figure, narrow); !parts.empty())
            add(common(figure, offset_by(parts, spot)), BeamCover::fill, 0.5 * narrow + spot);
    // Rows that go into narrower parts are welcome there too.
    if (burn.rows && !burn.edge) add(figure, BeamCover::fill, 2);
    add(thread_of(lines, 0.02), BeamCover::fill, 0.03);
    return out;
}

}  // namespace

BurnFigureOrder figure_order(const SettledBurn& burn, const Box& work) {
    BurnFigureOrder order;
    order.spot = burn.laser.spot_mm;
    order.spacing = burn.tone.spacing;
    order.rows = burn.rows;
    order.edge = burn.edge;
    order.narrow = narrowest(burn);
    order.beside = burn.beside;
    order.power = static_cast<std::uint16_t>(burn.tone.most_s);
    order.run = rows_order(burn, work);
    order.passes = burn.passes;
    if (burn.crossed) {
        SettledBurn turned = burn;
        turned.angle += std::numbers::pi / 2;
        order.across = rows_order(turned, work);
    }
    order.focus_step = burn.focus_step;
    return order;
}

BurnRowsOrder rows_order(const SettledBurn& burn, const Box& work) {
    const Machine& machine = burn.job.machine;
    BurnRowsOrder order;
    order.feed = burn.tone.feed;
    order.angle = burn.angle;
    order.run_up = run_up_for(order.feed, acceleration_along(machine, order.angle));
    order.pivot = burn.job.at;
    order.one_way = burn.one_way;
    order.line_up = burn.one_way ? 0 : burn.line_up;
    order.rapid = rapid_along(machine, order.angle);
    const double along_x = std::abs(std::cos(order.angle)) * 2 * order.run_up, along_y = std::abs(std::sin(order.angle)) * 2 * order.run_up;
    if (work.width() + along_x > machine.travel[0] || work.height() + along_y > machine.travel[1])
        throw refused(
            fmt::format("At {} mm/min the head needs {:.1f} mm before and behind every row to get to its speed, and with the picture "
                        "({:.1f} × {:.1f} mm) that is more than '{}' travels. Give a smaller --width or --feed.",
                        number_text(order.feed), order.run_up, work.width(), work.height(), machine.name));
    return order;
}

bool settle_pace(SettledBurn& burn, double fastest, BurnPlan& plan) {
    double& feed = burn.tone.feed;
    if (feed <= fastest) return true;
    const double works = std::max(1.0, std::floor(0.99 * fastest));
    const std::string why = fmt::format(
        "The rows have lines so short that the controller, with {} moves known ahead{}, cannot run them at {} "
        "mm/min",
        burn.job.machine.planned_moves,
        burn.job.machine.lines_per_s > 0 ? fmt::format(" and {} lines a second", number_text(burn.job.machine.lines_per_s)) : std::string(),
        number_text(feed));
    if (burn.feed_reckoned) {
        plan.notes.push_back(fmt::format("{}: the feed is {} mm/min.", why, number_text(works)));
        feed = works;
        burn.job.written.cuts[0].feed = works;
        return false;
    }
    if (!burn.scaled)
        throw refused(fmt::format("{}, and with constant power it would burn unevenly. The fastest that works is --feed {}.", why,
                                  number_text(works)));
    plan.warnings.push_back(
        fmt::format("{}: it will run slower there. The power follows the speed, so the tones stay, but it may jerk. The "
                    "fastest that works is --feed {}.",
                    why, number_text(works)));
    return true;
}

BurnPlan plan_photo(SettledBurn& burn, const Picture& picture, const Crew& crew) {
    BurnPlan plan;
    Tones tones = make_tones(picture, burn.tones, crew);
    plan.notes = std::move(tones.notes);
    plan.warnings = std::move(tones.warnings);
    burn.tone.spacing = tones.darkness.cell();
    const SettledJob& job = burn.job;
    const Grid<float> whole = tiled(turned(tones.darkness, job.rotate_deg, job.mirror, crew), job.rows, job.columns, job.gap);
    const double degrees = burn.angle * 180 / std::numbers::pi;
    const Grid<float> darkness = shifted(degrees == 0 ? whole : turned(whole, -degrees, false, crew), job.at);
    plan.work = shifted(whole, job.at).bounds();
    crew.say("toolpaths");
    const std::vector<std::string> notes = plan.notes;
    for (int attempt = 0;; ++attempt) {
        Burnt burnt = burnt_of(burn, darkness, crew);
        const std::vector<BurnRow> rows = rows_of(burnt.power);
        if (std::all_of(rows.begin(), rows.end(), [](const BurnRow& row) { return row.runs.empty(); }))
            throw refused(
                "There is nothing to be burnt: every tone asks for less than the beam's least power. Give less --least-power, or a darker "
                "picture.");
        if (attempt < 4 && !settle_pace(burn, fastest_feed(rows, job.machine, burn.angle), plan)) continue;
        const BurnRowsOrder order = rows_order(burn, plan.work);
        plan.path.passes.push_back({0, 0, "rows"});
        append_rows(plan.path, rows, order, crew);
        line_up(burnt.exposure, rows, order.line_up);
        if (degrees == 0)
            plan.exposure = std::move(burnt.exposure);
        else
            plan.exposure = shifted(turned(shifted(burnt.exposure, {-job.at.x, -job.at.y}), degrees, false, crew), job.at);
        break;
    }
    // Dots show a tone from as far as the eye takes them together; ordered ones have few levels.
    plan.blur = burn.dither ? 4 * burn.tone.spacing : std::max(burn.laser.spot_mm, burn.tone.spacing);
    plan.tone_tolerance = burn.dither ? 0.08 : 0.02;
    tell_of_detail(burn, picture, plan);
    tell_of_darkest(burn, plan);
    return plan;
}

BurnPlan plan_figures(SettledBurn& burn, const Drawing& drawing, const Crew& crew) {
    BurnPlan plan;
    plan.notes = drawing.notes;
    plan.warnings = drawing.warnings;
    const SettledJob& job = burn.job;
    Drawing asked = drawing;
    if (burn.lines && asked.lines.empty()) asked.lines = middle_lines(drawing.region, crew);
    if (burn.lines) asked.region = {};
    if (!asked.region.empty()) asked.lines.clear();  // the lines of a shape are its edge once more
    const Placed placed = placed_on_stock(asked, job);
    const Region& figure = placed.traced;
    std::vector<Polyline> lines;
    for (const MiddleLine& line : placed.lines) lines.push_back(line.line);
    crew.say("toolpaths");
    Box work = figure.empty() ? Box{{1e300, 1e300}, {-1e300, -1e300}} : figure.bounds();
    for (const Polyline& line : lines)
        for (const Point& p : line.points) {
            work.lo = {std::min(work.lo.x, p.x), std::min(work.lo.y, p.y)};
            work.hi = {std::max(work.hi.x, p.x), std::max(work.hi.y, p.y)};
        }
    if (work.lo.x > work.hi.x) throw refused("There is nothing to be burnt: the figure is empty.");
    plan.work = work;
    if (burn.rows && !burn.scaled) {  // else the power follows where short lines slow the head down
        const auto rows =
            fill_rows(offset_by(figure, -burn.laser.spot_mm / 2), burn.tone.spacing, 1, burn.angle, job.at, burn.laser.spot_mm / 2, crew);
        (void)settle_pace(burn, fastest_feed(rows, job.machine, burn.angle), plan);
    }
    plan.path = plan_burnt_figure(figure, lines, figure_order(burn, work), crew);
    plan.figures = held_against(burn, figure, lines);
    tell_of_narrow(burn, figure, plan);
    return plan;
}

}  // namespace burin
