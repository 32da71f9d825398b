/// The photo of a card becomes a material: the job says which card it is, the photo how it came out.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <system_error>

#include "burin/base/error.hpp"
#include "burin/design/card_photo.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/job/tone.hpp"
#include "burin/report/tone_report.hpp"
#include "burn.hpp"
#include "fmt/format.h"
#include "reckoned.hpp"
#include "settle.hpp"

namespace burin {
namespace {

constexpr std::string_view material_mark = "# A material with tones that were measured on a test card:";

/// The one cut that is a card, as a job of its own.
Job card_alone(const Job& job, const std::string& file) {
    const Cut* card = nullptr;
    for (const Cut& cut : job.cuts) {
        if (cut.make != "card") continue;
        if (card)
            throw Error(Fault::usage, fmt::format("'{}' makes several cards, and a photo shows one: give the job of that one.", file));
        card = &cut;
    }
    if (!card)
        throw Error(Fault::usage,
                    fmt::format("'{}' makes no test card. Give the job.toml that `burin card` wrote beside the card's programs.", file));
    // What was reckoned is reckoned again, but not what stands on the card: that is cut already.
    Job one = as_given(one_cut(job, *card));
    Cut& cut = one.cuts.front();
    cut.patches = card->patches;
    cut.patch_size = card->patch_size;
    cut.pitch = card->pitch;
    cut.depth = card->depth;
    cut.bits = card->bits;
    cut.kind = card->kind;
    cut.powers = card->powers;
    cut.feeds = card->feeds;
    cut.line_spacing = card->line_spacing;
    return one;
}

/// A vee's true sizes in words; empty where the ladders tell nothing.
std::string vee_words(const Bit& bit, const Card& card, const CardReading& reading, std::vector<std::string>& warnings) {
    if (bit.shape() != BitShape::vee || card.rungs.size() < 3) return {};
    std::vector<Point> ladder;
    for (std::size_t k = 0; k < card.rungs.size(); ++k) ladder.push_back({card.rungs[k].depth, reading.widths[k]});
    VeeFit fit;
    try {
        fit = fit_vee(ladder);
    } catch (const Error& error) {
        warnings.emplace_back(error.what());
        return {};
    }
    const double degrees = fit.angle * 180 / std::numbers::pi, nominal = bit.spec().angle * 180 / std::numbers::pi;
    if (fit.residual > 0.08)
        warnings.push_back(fmt::format(
            "The widths of the ladders' grooves lie {:.2f} mm off a straight line: the stock was not flat, or crumbled.", fit.residual));
    return fmt::format(
        "The grooves are those of a vee of {:.1f}° with a tip of {:.2f} mm, cut from a zero that is right (the bit was given as "
        "{:.4g}°, {:.4g} mm). A tip that differs by more than 0.05 mm is more likely a zero that is off by {:.2f} mm.",
        degrees, fit.tip, nominal, bit.spec().tip, (fit.tip - bit.spec().tip) / (2 * std::tan(fit.angle / 2)));
}

std::string material_text(const Material& material, const std::string& photo, const Card& card, const CardReading& reading) {
    std::string text = fmt::format(
        "{}\n# photo '{}', {} patches, {:.1f} pixels to a millimetre.\n# The strongest patch {} {:.0f} % of the bare surface's "
        "light; amounts count from it.\n",
        material_mark, photo, card.patches.size(), reading.pixels_per_mm, reading.lighter ? "adds" : "takes away", 100 * reading.contrast);
    return text + write_material(material);
}

/// Names of files hold letters that every medium takes.
std::string file_name(const std::string& name) {
    std::string out;
    for (const char c : name) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
        out += plain ? c : '-';
    }
    return out.empty() ? "material" : out;
}

}  // namespace

ToneFound find_tone(const ToneOrder& order, const PresetFolders& presets, const Crew& crew) {
    const std::string job_name = order.card_job.string(), photo_name = order.photo.filename().string();
    const Job whole = read_job(read_text(order.card_job, "job file"), job_name, std::filesystem::absolute(order.card_job).parent_path());
    const Job job = card_alone(whole, job_name);
    const Workshop workshop = find_workshop(job, presets);
    const Source source = load_source(job, crew);
    const bool burnt = workshop.bits.empty();
    const Card card = burnt ? *settle_burn_card(job, workshop, source).card : *settle_card(job, workshop, source).card;
    const Picture photo = read_picture(read_file(order.photo, "photo"), order.photo.string(), {order.most_megapixels});
    const CardReading reading = read_card(photo, card, crew);
    ToneFound found;
    found.warnings = reading.warnings;
    Material material = workshop.material;
    const bool grooves = !burnt;
    ToneCurve& curve = grooves ? material.groove_tone : material.burn_tone;
    curve = reading.curve;
    for (Point& p : curve.points) p = {std::round(p.x * 1e4) / 1e4, std::round(p.y * 1e3) / 1e3};
    const std::string file = file_name(material.name) + ".toml";
    found.files.push_back({file, material_text(material, photo_name, card, reading)});
    found.files.push_back({"card.png", card_png(reading, card)});
    found.files.push_back({"tone.svg", tone_svg(reading, card, fmt::format("{}: {}", material.name, grooves ? "grooves" : "burns"))});
    found.summary.push_back(
        fmt::format("The card was found: {:.1f} pixels to a millimetre; the strongest patch {} {:.0f} % of the bare surface's light.",
                    reading.pixels_per_mm, reading.lighter ? "adds" : "takes away", 100 * reading.contrast));
    for (const double share : {0.25, 0.5, 0.75})
        found.summary.push_back(fmt::format("  {:.0f} % dark: {:.3g} {}", 100 * share,
                                            amount_for(reading.curve, share) * (grooves ? 100 : 1),
                                            grooves ? "% of the surface covered" : "J/mm²"));
    const std::string vee = grooves ? vee_words(workshop.bits.back(), card, reading, found.warnings) : std::string();
    if (!vee.empty()) found.summary.push_back(vee);
    return found;
}

void write_tone(const ToneFound& found, const std::filesystem::path& folder) {
    namespace fs = std::filesystem;
    std::error_code error;
    const fs::path material = folder / found.files.front().name;
    if (fs::exists(material, error) && !read_text(material, "material").starts_with(material_mark))
        throw Error(Fault::output,
                    fmt::format("'{}' is there already and was not written by tone: it is left alone. Give another folder with -o.",
                                material.string()));
    fs::create_directories(folder, error);
    if (!fs::is_directory(folder, error))
        throw Error(Fault::output, fmt::format("The folder '{}' cannot be made. Give another with -o.", folder.string()));
    // The material last: who finds it finds the rest.
    for (auto file = found.files.rbegin(); file != found.files.rend(); ++file) write_file(folder / file->name, file->content);
}

}  // namespace burin
