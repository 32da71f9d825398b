/// Every question of a job answered that burns: with which power, how fast, in rows how far apart, and whether at all.
#include <algorithm>
#include <cmath>

#include "burin/job/options.hpp"
#include "burn.hpp"
#include "fmt/format.h"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double overlapping = 0.7;  // of the spot, from row to row of a coating; common practice, no source
constexpr double usual_thickness = 6, board_thickness = 1.6, usual_feed = 1000, most_border_feed = 1500, most_scale = 65535;

[[nodiscard]] Error usage(const std::string& sentence) { return {Fault::usage, sentence}; }

/// Poison is refused, and what a beam cannot mark likewise: only a person's own words in a job file let it pass.
void check_material(const Material& material, const Cut& cut) {
    if (material.for_laser) return;
    if (cut.burn_anyway && cut.burn_anyway->find_first_not_of(" \t\n") != std::string::npos) return;
    throw refused(fmt::format("{} is not burnt. {} Take another material, or cut it with a bit.", material.title, material.laser_note));
}

void check_wishes(const Job& job, const Cut& cut, bool photo) {
    if (job.air)
        throw usage(
            "--air lifts a bit above the stock, and a beam burns from there too: a border run is dark, or at pilot power (--pilot).");
    if (job.trial) throw usage("--trial makes a piece of cuts with a bit. For a beam, burn a test card, or a small picture on scrap.");
    if (job.one_file.value_or(false)) throw usage("--one-file joins programs of several bits; the border run stays a program of its own.");
    check_coating(cut);
    if (photo) {
        if (cut.crossed.value_or(false))
            throw usage("--crossed belongs to figures: a photo is burnt once, its tones are reckoned for that.");
        if (cut.passes.value_or(1) > 1) throw usage("--passes belongs to figures: a photo is burnt once, its tones are reckoned for that.");
        if (cut.side) throw usage("--side says nothing here: it belongs to figures with --cover filled or outline.");
    } else if (cut.tone || cut.dither_one_way) {
        throw usage("--tone shows the greys of a photo, and this is a figure of one tone: leave it out, or --cover.");
    }
    if (cut.focus_step && cut.passes.value_or(1) < 2) throw usage("--focus-step lowers the head from pass to pass: add --passes.");
    if (cut.dither_one_way.value_or(false) &&
        (!cut.tone || *cut.tone == "power" || cut.tone->starts_with("ordered") || cut.tone == "blue-noise"))
        throw usage("--dither-one-way says nothing here: it belongs to --tone floyd-steinberg, jarvis and stucki.");
}

void settle_tracing(Chooser& choose, Cut& cut) {
    choose.given("threshold", cut.threshold, std::string("auto"));
    choose.given("trim", cut.trim, false);
    choose.given("despeckle", cut.despeckle, usual_speck);
    choose.given("close-holes", cut.close_holes, usual_speck);
    choose.given("smooth", cut.smooth, usual_smooth);
}

void settle_levels(const Point& size, Chooser& choose, SettledBurn& burn) {
    Cut& cut = burn.job.written.cuts[0];
    settle_tones(size, burn.tone.spacing, choose, burn.job, burn.tones);
    burn.tones.invert = *cut.invert != burn.lightens;
    if (!choose.given("tone", cut.tone, std::string("power"))) burn.job.assumed.push_back("No kind of tone was given: by power (--tone).");
    const std::vector<std::string>& kinds = option_named("tone")->words;
    const auto kind = std::find(kinds.begin(), kinds.end(), *cut.tone) - kinds.begin();
    if (kind > 0) burn.dither = static_cast<Dither>(kind - 1);
    burn.to_and_fro = !cut.dither_one_way.value_or(false);
}

void settle_cover(Chooser& choose, SettledBurn& burn) {
    Cut& cut = burn.job.written.cuts[0];
    if (!choose.given("cover", cut.cover, std::string(burn.scaled ? "filled" : "rows")))
        burn.job.assumed.push_back(burn.scaled ? "Nothing was said of how the figure is burnt: filled (--cover)."
                                               : "Nothing was said of how the figure is burnt: in rows (--cover).");
    burn.rows = *cut.cover == "filled" || *cut.cover == "rows";
    burn.edge = *cut.cover == "filled" || *cut.cover == "outline";
    burn.lines = *cut.cover == "lines";
    if (!burn.rows || burn.edge) {
        if (!burn.scaled)
            throw refused(
                fmt::format("With constant power the beam burns deeper wherever it slows down for a corner, so that only rows are "
                            "burnt evenly: give --cover rows{}.",
                            burn.laser.scales_with_speed ? ", or --power-mode scaled" : ""));
    }
    if (cut.side && (!burn.edge || (burn.rows && *cut.side != "inside")))
        throw usage("--side says where the beam runs beside the line: it belongs to --cover outline.");
    if (*cut.cover == "outline") {
        if (!choose.given("side", cut.side, std::string("inside")))
            burn.job.assumed.push_back("No side was given: the beam keeps inside the line by half its spot (--side).");
        burn.beside = *cut.side == "inside" ? burn.laser.spot_mm / 2 : *cut.side == "outside" ? -burn.laser.spot_mm / 2 : 0;
    } else {
        burn.beside = burn.laser.spot_mm / 2;
    }
    choose.given("crossed", cut.crossed, false);
    burn.crossed = *cut.crossed;
    choose.given("passes", cut.passes, burn.crossed ? 2.0 : 1.0);
    burn.passes = static_cast<int>(*cut.passes);
    if (burn.crossed && (!burn.rows || burn.passes < 2))
        throw usage("--crossed turns the rows of every second pass: it needs --cover filled or rows, and --passes 2 or more.");
    burn.focus_step = cut.focus_step.value_or(0);
    if (const double down = burn.focus_step * (burn.passes - 1); down > 0) {
        if (!(burn.job.machine.travel[2] > 0))
            throw refused(
                fmt::format("'{}' cannot move up and down, so there are no focus steps. Leave --focus-step out.", burn.job.machine.name));
        if (down > burn.job.stock.thickness)
            throw refused(
                fmt::format("{} passes with focus steps of {} mm go {} mm down, and the stock is {} mm thick. Give a smaller "
                            "--focus-step.",
                            burn.passes, number_text(burn.focus_step), number_text(down), number_text(burn.job.stock.thickness)));
    }
}

void settle_power(Chooser& choose, SettledBurn& burn) {
    SettledJob& job = burn.job;
    Cut& cut = job.written.cuts[0];
    const Laser& laser = burn.laser;
    BurnTone& tone = burn.tone;
    if (laser.scale > most_scale)
        throw refused(
            fmt::format("'{}' has S {} at full power, and no more than {} can be written. Set its scale to what the controller "
                        "really takes.",
                        job.machine.name, number_text(laser.scale), number_text(most_scale)));
    if (!choose.given("power-mode", cut.power_mode, std::string(laser.scales_with_speed ? "scaled" : "constant")))
        job.assumed.push_back(laser.scales_with_speed ? "The controller scales the power with the speed (M4), as the machine's file says."
                                                      : "The power is constant (M3): the machine's file does not say that it scales.");
    burn.scaled = *cut.power_mode == "scaled";
    if (burn.scaled && !laser.scales_with_speed)
        throw refused(fmt::format("'{}' does not scale power with speed, its file says. Give --power-mode constant.", job.machine.name));
    choose.given("power", cut.power, 100.0);
    choose.given("least-power", cut.least_power, 0.0);
    if (*cut.least_power >= *cut.power)
        throw usage(fmt::format("--least-power {} must be below --power {}.", number_text(*cut.least_power), number_text(*cut.power)));
    const double apart = cut.coating ? std::max(0.01, std::round(overlapping * laser.spot_mm * 1000) / 1000) : laser.spot_mm;
    if (!choose.given("line-spacing", cut.line_spacing, apart))
        job.assumed.push_back(fmt::format("Rows lie {}: {} mm (--line-spacing).",
                                          cut.coating ? "nearer than a spot, so that no stripe of the coating stays" : "one spot apart",
                                          number_text(apart)));
    tone.curve = job.material.burn_tone;
    tone.power_w = laser.power_w;
    tone.scale = laser.scale;
    tone.spacing = *cut.line_spacing;
    tone.most_s = std::floor(*cut.power / 100 * laser.scale + 1e-9);
    tone.least_s = std::ceil(*cut.least_power / 100 * laser.scale - 1e-9);
    if (tone.most_s < 1) throw refused("--power is less than one step of the controller's scale. Give more.");
    if (tone.spacing > 1.5 * laser.spot_mm)
        job.warnings.push_back(fmt::format("Rows lie {} mm apart and the spot is {} mm: bare stripes stay between them.",
                                           number_text(tone.spacing), number_text(laser.spot_mm)));
    const double most = std::min({job.machine.most_feed, job.machine.rapid[0], job.machine.rapid[1]});
    if (cut.feed && *cut.feed > most)
        throw refused(fmt::format("A feed of {} mm/min is more than the {} mm/min at which '{}' can burn. Give a smaller --feed.",
                                  number_text(*cut.feed), number_text(most), job.machine.name));
    const double darkest = darkest_feed(tone);
    const double usual = std::max(1.0, std::floor(std::min(most, darkest > 0 ? darkest : usual_feed)));
    burn.feed_reckoned = !choose.given("feed", cut.feed, usual);
    tone.feed = *cut.feed;
    if (darkest <= 0)
        job.warnings.push_back(
            fmt::format("Nothing is known of how dark {} burns: the tones are spread evenly over the power. Burn a test "
                        "card, and put what it shows into the material (burn-tone).",
                        job.material.title));
    else if (burn.feed_reckoned)
        job.assumed.push_back(
            fmt::format("Feed {} mm/min: {:.2f} W over rows {} mm apart then put {:.2f} J on each mm², the darkest tone of {} "
                        "asks for {:.2f}.",
                        number_text(tone.feed), tone.power_w * tone.most_s / tone.scale, number_text(tone.spacing),
                        exposure_of(tone, tone.most_s), job.material.title, amount_for(tone.curve, 1)));
}

void settle_border(Chooser& choose, SettledBurn& burn) {
    SettledJob& job = burn.job;
    Cut& cut = job.written.cuts[0];
    const Laser& laser = burn.laser;
    const double allowed = laser.scales_with_speed ? std::floor(laser.pilot_s) : 0;  // corners slow the head down
    if (!choose.given("pilot", cut.pilot, 100 * allowed / laser.scale))
        job.assumed.push_back(
            allowed > 0 ? fmt::format("The border run has S {}, the most that the machine's file allows (--pilot).", number_text(allowed))
                        : "The border run is dark: the machine's file allows no pilot power.");
    burn.pilot_s = std::floor(*cut.pilot / 100 * laser.scale + 1e-9);
    if (burn.pilot_s > allowed)
        throw refused(
            fmt::format("A border run at {} % would have S {}, and the file of '{}' allows {} (pilot). It counts as a burning laser: "
                        "give a smaller --pilot, or none for a dark run.",
                        number_text(*cut.pilot), number_text(burn.pilot_s), job.machine.name, number_text(allowed)));
    burn.border_feed = std::min({most_border_feed, job.machine.most_feed, job.machine.rapid[0], job.machine.rapid[1]});
}

}  // namespace

bool burns_tones(const Cut& cut) { return cut.make == "burn" && cut.picture && !cut.cover && !cut.coating; }

bool sets_single_lines(const Cut& cut) { return !cut.font && (cut.make == "stroke" || (cut.make == "burn" && cut.cover == "lines")); }

Workshop find_beam_workshop(const Job& job, const PresetFolders& presets) {
    const Cut& cut = job.cuts.at(0);
    Workshop found{.machine = job.machine_table ? *job.machine_table : find_machine(presets, job.machine.value_or("laser-240x150")),
                   .material = job.material_table ? *job.material_table
                                                  : find_material(presets, job.material.value_or(cut.coating ? "coated-copper" : "pine")),
                   .bits = {}};
    if (!found.machine.laser)
        throw refused(
            fmt::format("The machine '{}' has no laser, and this job burns with one. Give one that has with --machine; `burin list "
                        "machines` names them.",
                        found.machine.name));
    check_material(found.material, cut);
    return found;
}

SettledBurn settle_burn(const Job& given, const Workshop& workshop, const Source& source) {
    SettledBurn burn;
    SettledJob& job = burn.job;
    job.written = given;
    const Cut& cut = given.cuts.at(0);
    Cut& written = job.written.cuts.at(0);
    Chooser choose(job.written.reckoned), choose_cut(written.reckoned);
    burn.laser = *workshop.machine.laser;
    burn.photo = !source.picture.samples.empty() && !cut.cover && !cut.coating;
    check_wishes(given, cut, burn.photo);
    settle_names(given, workshop, source, "", choose, choose_cut, job);
    if (!job.material.for_laser)
        job.warnings.push_back(fmt::format("{} is not meant to be burnt: {} The job file says why it is all the same: \"{}\"",
                                           job.material.title, job.material.laser_note, *cut.burn_anyway));
    const Picture& picture = source.picture;
    const Drawing& drawing = source.drawing;
    const Point field = burn.photo ? own_size(picture) : Point{drawing.width, drawing.height};
    const double ratio = burn.photo ? static_cast<double>(picture.height) / picture.width : field.y / field.x;
    const Point flat_size = cut.picture ? settle_size(cut, field, ratio, choose_cut, written, job) : field;
    const Point size = settle_copies(turned_size(flat_size, cut.rotate.value_or(0)), choose_cut, job);
    settle_stock(cut, size, cut.coating ? board_thickness : usual_thickness, {}, choose, choose_cut, job);
    settle_turn(choose_cut, job);
    if (cut.coating) settle_layer(choose_cut, job);
    choose_cut.given("invert", written.invert, false);
    if (!picture.samples.empty()) choose_cut.given("megapixels", written.megapixels, PictureLimits{}.most_megapixels);
    check_fit(job, size, {});
    choose.given("inch", job.written.inch, false);
    job.inch = *job.written.inch;
    choose.given("safe-height", job.written.safe_height, 3.0);
    job.safe_height = *job.written.safe_height;
    settle_power(choose_cut, burn);
    burn.lightens = luminance(job.material.burnt_colour) > luminance(job.material.colour);
    if (burn.photo) {
        if (burn.lightens)
            job.assumed.push_back(
                fmt::format("The beam makes {} lighter: the picture's lights are burnt (--invert swaps).", job.material.title));
        settle_levels(flat_size, choose_cut, burn);
    } else {
        if (!picture.samples.empty()) settle_tracing(choose_cut, written);
        settle_cover(choose_cut, burn);
        if (cut.coating) settle_coating(choose_cut, burn);
    }
    settle_border(choose_cut, burn);
    choose_cut.given("angle", written.angle, 0.0);
    choose_cut.given("one-way", written.one_way, false);
    choose_cut.given("line-up", written.line_up, 0.0);
    choose_cut.given("air-assist", written.air_assist, false);
    burn.angle = *written.angle * 3.14159265358979323846 / 180;
    burn.one_way = *written.one_way;
    burn.line_up = *written.line_up;
    burn.air = *written.air_assist;
    return burn;
}

}  // namespace burin
