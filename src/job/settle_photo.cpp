/// Every question of a photo answered that is shown by its tones: how far apart the grooves lie, how shallow and how deep they go. (Dots:
/// settle_stipple.cpp.)
#include <cmath>
#include <numbers>

#include "burin/job/options.hpp"
#include "fmt/format.h"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double usual_thickness = 12, usual_pitch = 0.8, usual_least_depth = 0.05, usual_most_depth = 2;
constexpr double left_below = 1;  // mm of stock under the deepest groove, where nobody said how deep

void settle_grooves(const Bit& bit, Chooser& choose, SettledFigure& photo) {
    SettledJob& job = photo.job;
    Cut& cut = job.written.cuts[0];
    ScreenWishes& wishes = photo.screen;
    if (!choose.given("pattern", cut.pattern, std::string("lines"))) job.assumed.push_back("No pattern was given: lines.");
    const std::vector<std::string>& kinds = option_named("pattern")->words;
    wishes.kind = static_cast<ScreenKind>(std::find(kinds.begin(), kinds.end(), *cut.pattern) - kinds.begin());
    wishes.pitch = *cut.pitch;
    choose.given("angle", cut.angle, 0.0);
    wishes.angle = *cut.angle * std::numbers::pi / 180;
    if (wishes.kind == ScreenKind::waves) {
        choose.given("wave-length", cut.wave_length, 8 * wishes.pitch);
        choose.given("wave-height", cut.wave_height, 1.2 * wishes.pitch);
        wishes.wave_length = *cut.wave_length;
        wishes.wave_height = *cut.wave_height;
    }
    if (!choose.given("least-depth", cut.least_depth, usual_least_depth))
        job.assumed.push_back(fmt::format("The shallowest grooves are {} mm deep (--least-depth).", number_text(usual_least_depth)));
    wishes.least_depth = *cut.least_depth;
    const double cone = std::min(bit.tip_height() > 0 ? bit.tip_height() : usual_most_depth, bit.spec().cutting_length);
    const double room = std::min({cone, usual_most_depth, std::max(job.stock.thickness - left_below, job.stock.thickness / 2)});
    // Rounded up, so that a whole pitch is covered.
    const double full = std::min(room, std::ceil(depth_for_width(bit, wishes.pitch, room) * 100 - 1e-6) / 100);
    if (!choose.given("depth", cut.depth, std::floor(full * 1000) / 1000))
        job.assumed.push_back(
            fmt::format("No depth was given: {} mm, where a groove is {:.2f} mm wide.", number_text(*cut.depth), bit.width_at(*cut.depth)));
    check_depth(*cut.depth, job.stock.thickness, job.stock.assumed);
    wishes.most_depth = job.depth = std::min(*cut.depth, bit.spec().cutting_length);
    settle_tolerance(choose, job);
    wishes.tolerance = job.tolerance;
    choose.given("arcs", cut.arcs, false);
    if (cut.fill) photo.fill = parse_colour(*cut.fill);
}

}  // namespace

bool shows_tones(const Cut& cut) { return cut.make == "screen" || cut.make == "stipple"; }

SettledFigure settle_photo(const Job& given, const Workshop& workshop, const Source& source) {
    SettledFigure photo;
    SettledJob& job = photo.job;
    job.written = given;
    const Cut& cut = given.cuts.at(0);
    Cut& written_cut = job.written.cuts.at(0);
    Chooser choose(job.written.reckoned), choose_cut(written_cut.reckoned);
    const bool dots = cut.make == "stipple";
    photo.design.kind = dots ? FigureKind::stipple : FigureKind::screen;
    settle_names(given, workshop, source, workshop.bits.front().name(), choose, choose_cut, job);
    const Picture& picture = source.picture;
    const Point flat_size =
        settle_size(cut, own_size(picture), static_cast<double>(picture.height) / picture.width, choose_cut, written_cut, job);
    const Point size = settle_copies(turned_size(flat_size, cut.rotate.value_or(0)), choose_cut, job);
    settle_stock(cut, size, usual_thickness, {}, choose, choose_cut, job);
    settle_turn(choose_cut, job);
    choose_cut.given("megapixels", written_cut.megapixels, PictureLimits{}.most_megapixels);
    check_fit(job, size, {});
    settle_run(choose, job);
    const auto settle_greys = [&](double finest) {  // as fine as cuts can follow, and no finer than 16 million cells
        settle_tones(flat_size, std::max(finest / 8, std::sqrt(flat_size.x * flat_size.y / 16e6)), choose_cut, job, photo.tones);
        choose_cut.given("invert", written_cut.invert, false);
        photo.tones.invert = *written_cut.invert;
    };
    if (dots) {
        settle_dots(workshop.bits.back(), choose_cut, photo);
        settle_greys(photo.dots.wishes.most);
    } else {
        if (!choose_cut.given("pitch", written_cut.pitch, usual_pitch))
            job.assumed.push_back(fmt::format("No pitch was given: grooves lie {} mm apart.", number_text(usual_pitch)));
        settle_greys(*written_cut.pitch);
        settle_grooves(workshop.bits.back(), choose_cut, photo);
    }
    settle_bits(workshop, true, job);
    job.allowance = 0;
    return photo;
}

}  // namespace burin
