#include "made_up.hpp"

#include <cmath>

#include "burin/base/files.hpp"

using namespace burin;

namespace made_up {
namespace {

/// Grey-scale closing (Serra 1982) by the bit's shape, cell by cell.
HeightMap closing(const HeightMap& design, const Bit& bit) {
    const int reach = static_cast<int>(bit.radius() / design.cell());
    HeightMap tips = design.like<float>(-1e6f), out = design.like<float>(1e6f);
    for (const bool up : {true, false})
        for (int j = 0; j < design.height(); ++j)
            for (int i = 0; i < design.width(); ++i)
                for (int b = -reach; b <= reach; ++b)
                    for (int a = -reach; a <= reach; ++a) {
                        const double r = std::hypot(a, b) * design.cell();
                        if (r > bit.radius() || !design.holds(i + a, j + b)) continue;
                        const auto rise = static_cast<float>(bit.rise(r));
                        if (up)
                            tips(i, j) = std::max(tips(i, j), design(i + a, j + b) - rise);
                        else
                            out(i, j) = std::min(out(i, j), tips(i + a, j + b) + rise);
                    }
    return out;
}

/// Lines over the design every `apart` mm, not below `floor`.
Track lines_over(const HeightMap& design, const Box& box, double apart, double floor, float feed) {
    Track track;
    const auto at = [&](double x, double y) {
        const int i = std::clamp(static_cast<int>((x - design.origin().x) / design.cell()), 0, design.width() - 1);
        const int j = std::clamp(static_cast<int>((y - design.origin().y) / design.cell()), 0, design.height() - 1);
        return std::max<double>(design(i, j), floor);
    };
    const auto rapid = [&](Point3 to) { track.moves.push_back({to, 0, 0, 0, MoveKind::rapid, true}); };
    rapid({0, 0, 3});
    for (double y = box.lo.y + apart / 2; y < box.hi.y; y += apart) {
        rapid({box.lo.x, track.moves.back().to.y, 3});
        rapid({box.lo.x, y, 3});
        for (double x = box.lo.x; x < box.hi.x; x += 0.25) track.moves.push_back({{x, y, at(x, y)}, feed, 0, 0, MoveKind::feed, true});
        rapid({track.moves.back().to.x, y, 3});
    }
    track.arcs.push_back({{box.centre().x, box.lo.y}});
    track.moves.push_back({{box.centre().x + 4, box.lo.y, -0.5}, feed, 0, 0, MoveKind::feed, true});
    track.moves.push_back({{box.centre().x - 4, box.lo.y, -0.5}, feed, 0, 0, MoveKind::arc_ccw, true});
    rapid({box.centre().x - 4, box.lo.y, 3});
    return track;
}

ProgramFigures figures(const std::string& file, const Track& track, double time_s, double removed) {
    ProgramFigures f;
    f.file = file;
    f.lines = static_cast<std::uint32_t>(track.moves.size()) + 14;
    f.bytes = track.moves.size() * 16;
    f.time_s = time_s;
    f.removed_mm3 = removed;
    f.lo = {1e9, 1e9, 1e9};
    f.hi = {-1e9, -1e9, -1e9};
    Point3 from = track.start;
    for (const auto& m : track.moves) {
        (m.kind == MoveKind::rapid ? f.rapid_length : f.cut_length) += distance(from, m.to);
        f.lo = {std::min(f.lo.x, m.to.x), std::min(f.lo.y, m.to.y), std::min(f.lo.z, m.to.z)};
        f.hi = {std::max(f.hi.x, m.to.x), std::max(f.hi.y, m.to.y), std::max(f.hi.z, m.to.z)};
        from = m.to;
    }
    f.most_at_once = 0.9;
    f.largest_section = 0.83;
    for (int k = 0; k < 4; ++k)
        f.passes.push_back({-0.75 * (k + 1), f.cut_length / 4, time_s / 4, static_cast<std::uint32_t>(14 + 1000 * k)});
    return f;
}

}  // namespace

Machine router() {
    Machine m;
    m.name = "desk-240x150";
    m.title = "Small desktop router, 240 × 150 mm";
    m.travel = {250, 160, 55};
    m.rapid = {2000, 2000, 800};
    m.acceleration = {100, 100, 60};
    m.lines_per_s = 169;
    m.most_feed = 1000;
    m.spoilboard = 10;
    m.spindle = Spindle{10000, 10000, 40, 3};
    return m;
}

Material pine() {
    Material m;
    m.name = "pine";
    m.title = "Pine";
    m.chip_load_1 = 0.015;
    m.chip_load_3 = 0.05;
    m.kc1 = 15;
    m.pass_ratio = 1;
    m.colour = {0.89, 0.76, 0.56};
    m.cut_colour = {0.94, 0.84, 0.66};
    m.grain = Grain::straight;
    m.gloss = 0.15;
    m.cautions = {"Wood dust, all of it, causes cancer (IARC group 1): extraction or a mask."};
    m.source = "from memory of the trade's charts, start low";
    return m;
}

void fill(Job& job, double cell) {
    const std::string path = std::string(BURIN_SOURCE) + "/images/lighthouse-depth.png";
    job.picture = read_picture(read_file(path, "picture"), path);
    const HeightMap grey = coded_grey(job.picture, 100);
    JobReport& r = job.report;
    r.name = "Lighthouse for the museum's door";
    r.version = "0.1.0";
    r.command = "relief";
    r.machine = router();
    r.material = pine();
    r.stock = make_stock(Outline::rectangle, 110, 85, 12, Anchor::lower_left);
    r.zero = "lower-left";
    r.depth = 3;
    r.cell = cell;
    r.design_box = {{5, 5}, {105, 80}};
    r.picture = &job.picture;
    r.picture_name = "lighthouse-depth.png";
    HeightMap design(static_cast<int>(std::lround(110 / cell)), static_cast<int>(std::lround(85 / cell)), cell, {0, 0}, 0.0f);
    for (int j = 0; j < design.height(); ++j)
        for (int i = 0; i < design.width(); ++i) {
            const Point c = design.centre(i, j);
            if (r.design_box.holds(c)) {
                const int a = std::min(static_cast<int>((c.x - 5) / grey.cell()), grey.width() - 1);
                const int b = std::min(static_cast<int>((c.y - 5) / grey.cell()), grey.height() - 1);
                design(i, j) = 3 * (grey(a, b) - 1);
            }
        }
    const Bit rough = Bit::parse("flat:3.175"), fine = Bit::parse("ball:1.0");
    r.proof.reach = closing(design, fine);
    r.proof.surface = r.proof.reach;
    r.unreached = unreached(design, r.proof.reach, {});
    const auto add = [&](const char* file, const Bit& bit, const char* purpose, double feed, double pass, Track track, double time_s) {
        Feeds feeds;
        feeds.rpm = 10000;
        feeds.feed = feed;
        feeds.plunge = std::floor(feed / 3);
        feeds.depth_per_pass = feeds.reckoned_depth_per_pass = pass;
        feeds.chip_load = feed / 20000;
        feeds.bend_mm = 0.004;
        feeds.reasons = {
            "Chip load 0.015 mm a flute for 1 mm at work, from memory of the trade's charts (F = rpm × flutes × chip load, Machinery's "
            "Handbook).",
            "The spindle turns at 10,000 rpm and cannot be set."};
        r.proof.programs.push_back(figures(file, track, time_s, 6100));
        r.programs.push_back({file, bit, feeds, 0.3, purpose});
        job.tracks.push_back(std::move(track));
    };
    add("1-rough.nc", rough, "roughing", 900, 1.2, lines_over(design, r.design_box, 1.5, -2.7, 900), 1482);
    add("2-finish.nc", fine, "finishing", 500, 0.8, lines_over(r.proof.reach, r.design_box, 0.5, -3, 500), 3391);
    r.time_s = 1482 + 3391;
    r.proof.holds = r.proof.inside_travel = true;
    r.proof.deepest_gouge = 0.006;
    r.proof.left_standing = 0.017;
    r.proof.left_standing_rms = 0.003;
    r.proof.most_at_once = 0.9;
    r.proof.largest_section = 0.83;
    r.proof.checks = {
        {"nothing below the design", true, "At most 0.006 mm below it; 0.02 mm is allowed.", "", 0, {}},
        {"nothing left standing", true, "At most 0.017 mm above what the bit reaches.", "", 0, {}},
        {"nothing too much at once", true, "At most 0.9 mm deep, 83 % of the section that is allowed.", "2-finish.nc", 731, {}},
        {"no rapid in stock", true, "No rapid touches stock.", "", 0, {}}};
    r.touch = {Point{2.5, 2.5}, -12};
    r.flatness_mm = 0.15;
    r.assumed = {"Stepover 0.1 mm: 10 % of the tip's diameter.", "Allowance 0.3 mm (default)."};
    r.warnings = {"The stock is 110 mm wide and the finishing bit cuts walls 3 mm high: check that the collet clears the clamps."};
    r.cautions = cautions_for(r.machine, r.material);
}

}  // namespace made_up
