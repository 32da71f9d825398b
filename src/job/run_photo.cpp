/// Photos by their tones: picture → darkness → what is to be covered → its place on the stock → grooves. What follows is a figure's way.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/design/screen.hpp"
#include "burin/job/options.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
#include "place.hpp"

namespace burin {
namespace {

/// Share of the surface that gives each darkness on this material.
Grid<float> coverage_of(Grid<float>&& darkness, const Material& material) {
    if (!material.groove_tone.empty())
        for (float& value : darkness.values()) value = static_cast<float>(amount_for(material.groove_tone, static_cast<double>(value)));
    return std::move(darkness);
}

/// The piece of a trial, where the tones change most.
Grid<float> trial_of(const Grid<float>& placed, SettledJob& job) {
    Grid<float> heights = placed;
    for (float& value : heights.values()) value = -value;
    const Box piece = trial_piece(job, placed.bounds(), demanding_piece(heights, placed.bounds(), job.trial->x, job.trial->y));
    const Grid<float> part = cut_out(placed, piece, 0);
    become_trial(job, piece, {piece.width(), piece.height()});
    return shifted(part, {job.at.x - part.bounds().centre().x, job.at.y - part.bounds().centre().y});
}

std::vector<Groove> every_copy(const std::vector<Groove>& grooves, const std::vector<Point>& places) {
    std::vector<Groove> all;
    for (const Point& at : places)
        for (const Groove& groove : grooves) {
            all.push_back(groove);
            for (Point3& p : all.back().tip) p.x += at.x, p.y += at.y;
        }
    return all;
}

void say_what_shows(const SettledFigure& photo, FigureDesign& design) {
    const ToneDesign& tone = *design.tone;
    const Bit& bit = photo.job.bits.back().bit;
    design.notes.push_back(
        fmt::format("The grooves cover from {:.0f} % (shallowest, {:.2f} mm wide) to {:.0f} % (deepest, {:.2f} mm wide) of the "
                    "surface.",
                    100 * tone.least, bit.width_at(photo.screen.least_depth), 100 * tone.most, bit.width_at(photo.screen.most_depth)));
    if (tone.most < 0.85)
        design.warnings.push_back(
            fmt::format("Nothing comes out darker than {:.0f} % covered: that is as wide as the grooves get. A smaller "
                        "--pitch, a larger --depth or a blunter vee shows more.",
                        100 * tone.most));
}

void lay_grooves(const Grid<float>& coverage, const SettledFigure& photo, FigureDesign& design, const Crew& crew) {
    ScreenWishes wishes = photo.screen;
    wishes.angle += photo.job.rotate_deg * std::numbers::pi / 180;
    Screen screen = make_screen(coverage, wishes, photo.job.bits.back().bit, crew);
    design.grooves = std::move(screen.grooves);
    design.floor = -wishes.most_depth;
    design.tone = ToneDesign{{}, 1.5 * wishes.pitch, screen.least, screen.most};
    say_what_shows(photo, design);
}

}  // namespace

DesignedFigure design_photo_cut(SettledFigure&& settled, const Picture& picture, const Crew& crew) {
    DesignedFigure cut{std::move(settled), {}, {}, {}, {}, {}};
    SettledFigure& photo = cut.figure;
    SettledJob& job = photo.job;
    Tones tones = make_tones(picture, photo.tones, crew);
    const Grid<float> item = turned(coverage_of(std::move(tones.darkness), job.material), job.rotate_deg, job.mirror, crew);
    cut.box = {{job.at.x - job.size.x / 2, job.at.y - job.size.y / 2}, {job.at.x + job.size.x / 2, job.at.y + job.size.y / 2}};
    const bool copies = job.rows * job.columns > 1;
    Grid<float> coverage = shifted(copies ? tiled(item, job.rows, job.columns, job.gap) : item, job.at);
    if (job.trial) coverage = trial_of(coverage, job), cut.box = coverage.bounds();
    const bool each = copies && !job.trial;
    crew.say("grooves");
    double shown = 1;
    if (photo.design.kind == FigureKind::stipple)
        shown = lay_dots(each ? item : coverage, photo, cut.design, crew);
    else
        lay_grooves(each ? item : coverage, photo, cut.design, crew);
    if (each) cut.design.grooves = every_copy(cut.design.grooves, copies_of(job));
    if (shown < 1)
        for (float& v : coverage.values()) v *= static_cast<float>(shown);
    cut.design.tone->coverage = std::move(coverage);
    check_on_stock(cut.design, photo);
    append(job.assumed, tones.notes);
    append(job.assumed, cut.design.notes);
    append(job.warnings, tones.warnings);
    append(job.warnings, cut.design.warnings);
    return cut;
}

}  // namespace burin
