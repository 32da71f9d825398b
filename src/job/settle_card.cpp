/// Every question of a test card answered: what stands on it, where it lies, which bit cuts it; and its design on the stock.
#include <algorithm>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double usual_thickness = 12, usual_patches = 11, usual_patch = 8, usual_pitch = 0.8, usual_ladder = 1;

void settle_wishes(const Bit& bit, Chooser& choose, SettledJob& job, CardWishes& wishes) {
    Cut& cut = job.written.cuts[0];
    check_in_vain(cut, "cards that a beam burns (--kind beam, or a machine with a laser alone)",
                  {"powers", "feeds", "power", "line-spacing", "power-mode", "pilot", "air-assist"});
    choose.given("kind", cut.kind, std::string("grooves"));
    if (!choose.given("patches", cut.patches, usual_patches))
        job.assumed.push_back(fmt::format("The grey wedge has {} patches, the bare one included (--patches).", number_text(usual_patches)));
    if (!choose.given("patch-size", cut.patch_size, usual_patch))
        job.assumed.push_back(fmt::format("A patch is {} mm wide (--patch-size).", number_text(usual_patch)));
    if (!choose.given("pitch", cut.pitch, std::min(usual_pitch, bit.diameter())))
        job.assumed.push_back(fmt::format("No pitch was given: grooves lie {} mm apart.", number_text(*cut.pitch)));
    const double cone = bit.tip_height() > 0 ? rounded(bit.tip_height()) : usual_ladder;
    if (!choose.given("depth", cut.depth, std::min(usual_ladder, cone)))
        job.assumed.push_back(fmt::format("The ladders go {} mm deep (--depth).", number_text(*cut.depth)));
    wishes.patches = static_cast<int>(*cut.patches);
    wishes.patch = *cut.patch_size;
    wishes.pitch = *cut.pitch;
    wishes.depth = *cut.depth;
    wishes.title = fmt::format("{} {}", job.material.name, bit.name());
}

}  // namespace

SettledFigure settle_card(const Job& given, const Workshop& workshop, const Source& source) {
    SettledFigure figure;
    SettledJob& job = figure.job;
    job.written = given;
    const Cut& cut = given.cuts.at(0);
    Cut& written_cut = job.written.cuts.at(0);
    Chooser choose(job.written.reckoned), choose_cut(written_cut.reckoned);
    figure.design.kind = FigureKind::stroke;
    const Bit& bit = workshop.bits.back();
    settle_names(given, workshop, source, bit.name(), choose, choose_cut, job);
    CardWishes wishes;
    settle_wishes(bit, choose_cut, job, wishes);
    figure.card = card_for(wishes, &bit);
    const Point size{figure.card->width, figure.card->height};
    settle_stock(cut, size, usual_thickness, {}, choose, choose_cut, job);
    check_fit(job, size, {});
    settle_run(choose, job);
    if (job.trial) throw Error(Fault::usage, "A test card is a trial piece itself: leave --trial out.");
    job.depth = -card_grooves(*figure.card, bit, {}).floor;
    figure.design.depth = job.depth;
    check_depth(job.depth, job.stock.thickness, job.stock.assumed);
    settle_bits(workshop, true, job);
    job.allowance = 0;
    if (written_cut.fill) figure.fill = parse_colour(*written_cut.fill);
    settle_tolerance(choose_cut, job);
    return figure;
}

DesignedFigure design_card_cut(SettledFigure&& settled) {
    DesignedFigure cut{std::move(settled), {}, {}, {}, {}, {}};
    SettledJob& job = cut.figure.job;
    const Card& card = *cut.figure.card;
    const Point lower_left{job.at.x - card.width / 2, job.at.y - card.height / 2};
    cut.design = card_grooves(card, job.bits.back().bit, lower_left);
    cut.box = {lower_left, {lower_left.x + card.width, lower_left.y + card.height}};
    check_on_stock(cut.design, cut.figure);
    append(
        job.assumed,
        {fmt::format(
             "The card measures {:.1f} × {:.1f} mm: a grey wedge of {} patches (figures: per cent covered), grooves of growing depth (d) "
             "and width (w), four marks.",
             card.width, card.height, card.patches.size()),
         "When it is cut: treat it as you will treat the piece (ink or oil it, wipe it clean), photograph it from above with all four "
         "marks in "
         "the picture, and give photo and job.toml to `burin tone`."});
    return cut;
}

}  // namespace burin
