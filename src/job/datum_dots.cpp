/// A program of two dots: down, up, over, down, up.
#include "datum_dots.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burin/program/rs274.hpp"
#include "burin/report/report.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double usual_depth = 0.5;  // mm: enough to feel with the tip, little enough to sand away; no source
constexpr double margin = 5, usual_thickness = 12;

Stock stock_for(const Order& order, const DatumDots& dots, std::vector<std::string>& assumed) {
    if (order.job.stock) {
        const StockSize size = parse_stock(*order.job.stock);
        return stock_of(size, order.job.zero.value_or(usual_zero(size)));
    }
    Stock stock;
    stock.bounds = {{std::min({0.0, dots.first.x, dots.second.x}) - margin, std::min({0.0, dots.first.y, dots.second.y}) - margin},
                    {std::max({0.0, dots.first.x, dots.second.x}) + margin, std::max({0.0, dots.first.y, dots.second.y}) + margin}};
    stock.thickness = usual_thickness;
    stock.assumed = true;
    assumed.push_back(fmt::format("No stock was given: one of {:.1f} × {:.1f} × {} mm round zero and both dots is assumed.",
                                  stock.bounds.width(), stock.bounds.height(), number_text(usual_thickness)));
    return stock;
}

void check_places(const DrilledDots& dots, double radius) {
    for (const Point& p : {dots.places.first, dots.places.second})
        if (!dots.stock.holds({p.x - radius, p.y}) || !dots.stock.holds({p.x + radius, p.y}) || !dots.stock.holds({p.x, p.y - radius}) ||
            !dots.stock.holds({p.x, p.y + radius}))
            throw Error(Fault::refused,
                        fmt::format("A dot at X {} Y {} would not lie wholly on the stock. Give another place to --datum-dots, or the "
                                    "stock and its zero as they are.",
                                    number_text(p.x), number_text(p.y)));
}

Toolpath dots_path(const DrilledDots& dots, const Feeds& feeds, double safe) {
    Toolpath path;
    Track& track = path.track;
    track.start = {dots.places.first.x, dots.places.first.y, safe};
    for (const Point& p : {dots.places.first, dots.places.second}) {
        track.moves.push_back({.to = {p.x, p.y, safe}, .kind = MoveKind::rapid});
        track.moves.push_back({.to = {p.x, p.y, -dots.depth}, .feed = static_cast<float>(feeds.plunge), .kind = MoveKind::feed});
        track.moves.push_back({.to = {p.x, p.y, safe}, .kind = MoveKind::rapid});
    }
    path.passes = {{0, -dots.depth, "dots"}};
    return path;
}

}  // namespace

DrilledDots drill_dots(const Order& order, const Machine& machine, const PresetFolders& presets, const std::string& file,
                       const Crew& crew) {
    DrilledDots dots;
    dots.file = file;
    dots.places = parse_dots(*order.run.datum_dots);
    const Cut& cut = order.job.cuts.front();
    const Bit bit = find_bit(presets, cut.bits.empty() ? "vee:60:0.1:3.175" : cut.bits.front().use);
    const Material material = find_material(presets, order.job.material.value_or("pine"));
    if (!bit.spec().centre_cutting)
        throw Error(
            Fault::refused,
            fmt::format("{} does not cut at its centre, so it drills no dots. Take a vee or a drill, such as --bit vee:60:0.1:3.175.",
                        bit.name()));
    const Feeds feeds = reckon_feeds(bit, material, machine, {}, false);
    dots.stock = stock_for(order, dots.places, dots.assumed);
    dots.depth = std::min({usual_depth, feeds.depth_per_pass, bit.spec().cutting_length});
    dots.bit = bit.name();
    dots.material = material.name;
    dots.cautions = cautions_for(machine, material);
    check_places(dots, bit.width_at(dots.depth) / 2);
    const double safe = order.job.safe_height.value_or(3);
    ProgramStyle style;
    style.dwell_in_milliseconds = machine.dwell_in_milliseconds;
    style.spin_up_s = machine.spindle->spin_up_s;
    style.rpm = feeds.rpm;
    style.safe_z = safe;
    style.plunge = feeds.plunge;
    style.header = {"Two datum dots in the waste", fmt::format("Bit {}", bit.sizes()), fmt::format("Material {}", material.name)};
    const WrittenProgram program = write_program(dots_path(dots, feeds, safe), style);
    dots.text = program.text;
    ProofTask task;
    task.machine = machine;
    task.stock = dots.stock;
    task.cell = 0.02;
    task.programs.push_back({.file = file,
                             .text = dots.text,
                             .bit = bit,
                             .feed = feeds.feed,
                             .plunge = feeds.plunge,
                             .most_at_once = feeds.depth_per_pass,
                             .spin_up_s = style.spin_up_s,
                             .pass_lines = program.pass_lines});
    dots.proof = prove(task, crew);
    for (const Check& check : dots.proof.checks)
        if (!check.ok) throw Error(Fault::refused, fmt::format("{} ({})", check.detail, check.name));
    dots.assumed.push_back(fmt::format("Dots are drilled {} mm deep with {} in {}, at {:.0f} mm/min and {:.0f} rpm.",
                                       number_text(dots.depth), bit.name(), material.name, feeds.plunge, feeds.rpm));
    return dots;
}

}  // namespace burin
