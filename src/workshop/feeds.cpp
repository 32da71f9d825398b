// Feeds and speeds, the cautious way round: the chart gives depth per pass and chip load; speed, power, bend and the
// machine's greatest feed then take away, never add. Each step leaves a sentence for the report.
// Machinery's Handbook, milling (feed, cutting speed, power by specific force); Kienzle 1952 (thin chips); beam theory.
// Cost: some hundred evaluations of the load.
#include "burin/workshop/feeds.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double most_bend_roughing = 0.05;   // mm: well within the usual allowance; our choice, no source
constexpr double most_bend_finishing = 0.02;  // mm: what a finished surface is held to; our choice, no source
constexpr double thinnest_chip_share = 0.5;   // of the chart's chip load; thinner ones rub and heat: from memory
constexpr double weak_spindle = 100;          // W: below it a pass goes no deeper than half the counted diameter, so that a
constexpr double weak_ratio = 0.5;            // 1 mm bit takes 0.4 to 0.6 mm in softwood: common practice, no source
constexpr double power_share = 0.8;           // of the spindle's power, so that it keeps its speed: from memory

/// What a full slot of depth p with chips of thickness h does to spindle and bit.
struct Load {
    double power = 0;  ///< W
    double force = 0;  ///< N, sideways
    double bend = 0;   ///< mm
};

struct Setting {
    const Bit& bit;
    const Material& material;
    const Machine& machine;
    double rpm;
};

Load load_of(const Setting& at, double p, double h) {
    const int flutes = at.bit.spec().flutes;
    const double kc = specific_force(at.material, h);
    Load load;
    load.power = cutting_power(kc, at.bit.section(p) * milling_feed(at.rpm, flutes, h) / 60);
    load.force = kc * h * p * std::max(1.0, flutes / 2.0);  // half the flutes stand in a full slot at once
    load.bend = bend_of(at.bit, load.force, p / 2);
    if (at.machine.stiffness_n_mm > 0) load.bend += load.force / at.machine.stiffness_n_mm;
    return load;
}

/// The largest share of `from` in [least, 1] that `fits`; least where none does. Fitting must get harder as it grows.
template <typename Fits>
double largest_share(double least, Fits fits) {
    if (fits(1.0)) return 1;
    double lo = least, hi = 1;
    for (int i = 0; i < 40; ++i) {
        const double middle = (lo + hi) / 2;
        (fits(middle) ? lo : hi) = middle;
    }
    return lo;
}

// Downwards to a round figure; the tiny push undoes what the decimal fraction lost in binary.
double round_down(double v, double step) { return std::floor(v / step + 1e-6) * step; }
double round_feed(double v) { return v >= 50 ? round_down(v, 5) : v >= 2 ? round_down(v, 1) : v; }
double round_depth(double v) { return v >= 0.2 ? std::floor(v * 100 + 1e-6) / 100 : v >= 0.02 ? std::floor(v * 1000 + 1e-6) / 1000 : v; }

void check_wish(const std::optional<double>& wish, std::string_view what) {
    if (wish && (!(*wish > 0) || !std::isfinite(*wish)))
        throw Error(Fault::usage, fmt::format("The {} of {} cannot be: it must be above 0.", what, *wish));
}

void check_pairing(const Bit& bit, const Material& material, const Machine& machine) {
    if (!machine.spindle)
        throw Error(Fault::refused,
                    fmt::format("The machine {} has no spindle, so it cannot turn the bit {}: choose a router, or burn instead.",
                                machine.name, bit.name()));
    if (!material.for_spindle || material.chip_load_1 <= 0)
        throw Error(Fault::refused, fmt::format("{} is not for a spindle: {} Choose another material{}.", material.title,
                                                material.spindle_note, material.for_laser ? ", or burn it" : ""));
}

// A drill cuts with all of its lips from the first millimetre on; its point is no narrower bit.
double width_at_work(const Bit& bit, double p) { return bit.shape() == BitShape::drill ? bit.diameter() : bit.width_at(p); }

struct Depth {
    double value = 0;
    std::string reason;
};

/// A material's title within a sentence: "basswood", but "MDF".
std::string in_sentence(std::string title) {
    const auto upper = [&](std::size_t k) { return k < title.size() && title[k] >= 'A' && title[k] <= 'Z'; };
    const auto lower = [&](std::size_t k) { return k < title.size() && title[k] >= 'a' && title[k] <= 'z'; };
    if (upper(0) && lower(1)) title[0] = static_cast<char>(title[0] - 'A' + 'a');
    return title;
}

Depth charted_depth(const Bit& bit, const Material& material, const Spindle& spindle) {
    const bool cone = bit.shape() == BitShape::vee || bit.shape() == BitShape::taper;
    const double counted = cone ? bit.diameter() / 2 : bit.diameter();
    const bool weak = spindle.power_w < weak_spindle && material.pass_ratio > weak_ratio;
    Depth depth{(weak ? weak_ratio : material.pass_ratio) * counted, {}};
    std::string cap = weak ? fmt::format(", lowered to {} × for a spindle of {} W (common practice)", weak_ratio, spindle.power_w) : "";
    if (material.most_pass > 0 && depth.value > material.most_pass)
        depth.value = material.most_pass,
        cap += fmt::format(", held to the {} mm that {} takes at most", material.most_pass, in_sentence(material.title));
    if (depth.value > bit.spec().cutting_length)
        depth.value = bit.spec().cutting_length, cap += fmt::format(", held to the cutting length of {} mm", depth.value);
    depth.reason = fmt::format("{} × {}{:.4g} mm of diameter for {}{}; the chart is {}", material.pass_ratio, cone ? "half of " : "",
                               bit.diameter(), in_sentence(material.title), cap, material.source);
    return depth;
}

double choose_speed(const Spindle& spindle, const FeedWishes& wishes, const Setting& at, double chip, Feeds& feeds) {
    if (wishes.speed) {
        const double real = std::clamp(*wishes.speed, spindle.least_rpm, spindle.most_rpm);
        if (real != *wishes.speed)
            feeds.warnings.push_back(
                fmt::format("The speed {} rpm was asked for, but the spindle of {} turns at {}{} rpm: the feed is reckoned for {} rpm.",
                            *wishes.speed, at.machine.name,
                            spindle.least_rpm == spindle.most_rpm ? "" : fmt::format("{} to ", spindle.least_rpm), spindle.most_rpm, real));
        feeds.reasons.push_back(fmt::format("Speed {} rpm: as asked for.", *wishes.speed));
        return real;
    }
    if (spindle.least_rpm == spindle.most_rpm) {
        feeds.reasons.push_back(fmt::format("Speed {} rpm: the only one of this spindle.", spindle.most_rpm));
        return spindle.most_rpm;
    }
    // A settable spindle slows down rather than rub with chips thinner than the chart's.
    const double keeping_up = at.machine.most_feed / (at.bit.spec().flutes * chip);
    if (keeping_up >= spindle.most_rpm) {
        feeds.reasons.push_back(fmt::format("Speed {} rpm: the highest of this spindle ({} to {}), as small bits want it.",
                                            spindle.most_rpm, spindle.least_rpm, spindle.most_rpm));
        return spindle.most_rpm;
    }
    const double slower = std::max(spindle.least_rpm, round_down(keeping_up, 100));
    feeds.reasons.push_back(
        fmt::format("Speed {} rpm: slowed from {} so that chips of {:.3g} mm need no more than the machine's greatest feed of {} mm/min.",
                    slower, spindle.most_rpm, chip, at.machine.most_feed));
    return slower;
}

void warn_of_wishes(const FeedWishes& wishes, const Setting& at, double reckoned_feed, Feeds& feeds) {
    const auto& machine = at.machine;
    const double most_level = std::min(machine.rapid[0], machine.rapid[1]);
    if (wishes.depth_per_pass && feeds.depth_per_pass > feeds.reckoned_depth_per_pass + 1e-9)
        feeds.warnings.push_back(
            fmt::format("The depth per pass of {} mm for the bit {} is beyond the {} mm reckoned for {}: cut a trial piece first, "
                        "and watch the bit.",
                        feeds.depth_per_pass, at.bit.name(), feeds.reckoned_depth_per_pass, in_sentence(at.material.title)));
    if (wishes.feed && *wishes.feed > reckoned_feed * 1.005 + 0.5)
        feeds.warnings.push_back(
            fmt::format("The feed of {} mm/min for the bit {} is beyond the {} mm/min reckoned: the bit may break or the spindle stall.",
                        *wishes.feed, at.bit.name(), reckoned_feed));
    if (wishes.feed && *wishes.feed > most_level)
        feeds.warnings.push_back(
            fmt::format("The feed of {} mm/min is more than {} can run ({} mm/min); the time is reckoned with what it can.", *wishes.feed,
                        machine.name, most_level));
    if (wishes.plunge && *wishes.plunge > feeds.feed / 3 * 1.005 + 0.5)
        feeds.warnings.push_back(
            fmt::format("The plunge of {} mm/min for the bit {} is more than a third of its feed, the most that is common: start lower.",
                        *wishes.plunge, at.bit.name()));
    if (feeds.chip_load < thinnest_chip_share * chip_load(at.material, width_at_work(at.bit, feeds.depth_per_pass)) * 0.98)
        feeds.warnings.push_back(fmt::format("Chips of {:.2g} mm are thin for the bit {} in {}: it may rub and heat instead of cutting.",
                                             feeds.chip_load, at.bit.name(), in_sentence(at.material.title)));
}

}  // namespace

double milling_feed(double rpm, int flutes, double chip_load) { return rpm * flutes * chip_load; }
double cutting_speed(double diameter, double rpm) { return std::numbers::pi * diameter * rpm / 1000; }
double cutting_power(double specific_force, double removal) { return specific_force * removal / 1000; }

Feeds reckon_feeds(const Bit& bit, const Material& material, const Machine& machine, const FeedWishes& wishes, bool roughing) {
    check_wish(wishes.feed, "feed");
    check_wish(wishes.plunge, "plunge feed");
    check_wish(wishes.speed, "spindle speed");
    check_wish(wishes.depth_per_pass, "depth per pass");
    check_pairing(bit, material, machine);

    const int flutes = bit.spec().flutes;
    const double most_power = power_share * machine.spindle->power_w;
    const double most_bend = roughing ? most_bend_roughing : most_bend_finishing;
    Feeds feeds;
    Setting at{bit, material, machine, 0};

    // The depth first, by the rules alone: as deep as the chart says, less where even thin chips would be too much.
    const auto charted = charted_depth(bit, material, *machine.spindle);
    const auto chip_at = [&](double p) { return chip_load(material, width_at_work(bit, p)); };
    const double wished = wishes.depth_per_pass ? std::min(*wishes.depth_per_pass, bit.spec().cutting_length) : charted.value;
    at.rpm = choose_speed(*machine.spindle, wishes, at, chip_at(wished), feeds);
    const auto bearable = [&](double p, double h) {
        const auto load = load_of(at, p, h);
        return load.power <= most_power && load.bend <= most_bend;
    };
    const double depth_share = largest_share(
        0.0, [&](double s) { return s <= 0 || bearable(s * charted.value, thinnest_chip_share * chip_at(s * charted.value)); });
    feeds.reckoned_depth_per_pass = round_depth(charted.value * depth_share);
    feeds.depth_per_pass = wishes.depth_per_pass ? wished : feeds.reckoned_depth_per_pass;
    if (!wishes.depth_per_pass)
        feeds.reasons.push_back(fmt::format(
            "Depth per pass {} mm: {}{}.", feeds.depth_per_pass, charted.reason,
            depth_share < 1
                ? fmt::format("; lowered from {:.3g} mm to stay within the spindle's power and {} mm of bend", charted.value, most_bend)
                : ""));
    else
        feeds.reasons.push_back(fmt::format("Depth per pass {} mm: as asked for; the rules give {} mm ({}).", feeds.depth_per_pass,
                                            feeds.reckoned_depth_per_pass, charted.reason));
    if (wishes.depth_per_pass && *wishes.depth_per_pass > wished)
        feeds.warnings.push_back(
            fmt::format("The depth per pass of {} mm is more than the bit {} can cut; its cutting length of {} mm is used.",
                        *wishes.depth_per_pass, bit.name(), wished));

    // Then the feed: the chart's chip at the diameter at work, thinner where machine, power or bend ask for it.
    const double p = feeds.depth_per_pass, at_work = width_at_work(bit, p), charted_chip = chip_at(p);
    feeds.reasons.push_back(
        fmt::format("Chip load {:.3g} mm: the chart's for {} ({} mm at 1 mm, {} mm at 3 mm) at the diameter at work, {:.4g} mm.",
                    charted_chip, in_sentence(material.title), material.chip_load_1, material.chip_load_3, at_work));
    double chip = charted_chip;
    if (const double most_chip = machine.most_feed / (at.rpm * flutes); chip > most_chip) {
        chip = most_chip;
        feeds.reasons.push_back(fmt::format("Chips thinned to {:.3g} mm: more would need a feed above the machine's greatest, {} mm/min.",
                                            chip, machine.most_feed));
    }
    const double share = largest_share(0.02, [&](double s) { return bearable(p, s * chip); });
    if (share < 1) {
        chip *= share;
        feeds.reasons.push_back(
            fmt::format("Chips thinned to {:.3g} mm: more would need above {:.3g} W at the bit ({} % of the spindle's {} W) or bend the "
                        "bit by more than {} mm.",
                        chip, most_power, power_share * 100, machine.spindle->power_w, most_bend));
    }
    const double reckoned_feed = std::max(round_feed(milling_feed(at.rpm, flutes, chip)), 1.0);
    feeds.feed = wishes.feed.value_or(reckoned_feed);
    feeds.rpm = wishes.speed.value_or(at.rpm);
    feeds.chip_load = feeds.feed / (at.rpm * flutes);
    feeds.reasons.push_back(wishes.feed
                                ? fmt::format("Feed {} mm/min: as asked for; the rules give {} mm/min.", feeds.feed, reckoned_feed)
                                : fmt::format("Feed {} mm/min = {} rpm × {} flutes × {:.3g} mm, rounded down (Machinery's Handbook).",
                                              feeds.feed, at.rpm, flutes, chip));
    feeds.reasons.push_back(fmt::format("Cutting speed {:.3g} m/min = π × {:.4g} mm × {} rpm (Machinery's Handbook).",
                                        cutting_speed(at_work, at.rpm), at_work, at.rpm));

    // A third of the feed in soft stuff, a quarter in hard.
    const bool soft = specific_force(material, feeds.chip_load) < 100;
    const double plunge = std::max(1.0, round_feed(std::min(feeds.feed / (soft ? 3 : 4), machine.rapid[2])));
    feeds.plunge = wishes.plunge.value_or(plunge);
    feeds.reasons.push_back(wishes.plunge ? fmt::format("Plunge {} mm/min: as asked for; the rules give {} mm/min.", feeds.plunge, plunge)
                                          : fmt::format("Plunge {} mm/min: a {} of the feed (common practice, no source).", feeds.plunge,
                                                        soft ? "third" : "quarter"));

    const auto load = load_of(at, p, feeds.chip_load);
    feeds.bend_mm = load.bend;
    feeds.reasons.push_back(
        fmt::format("Power {:.2g} W of {} W in a full slot, with {:.4g} N/mm² (P = kc × removal rate, Machinery's Handbook{}).", load.power,
                    machine.spindle->power_w, specific_force(material, feeds.chip_load), material.kc_exponent > 0 ? "; Kienzle 1952" : ""));
    feeds.reasons.push_back(
        fmt::format("Bend {:.2g} mm under {:.2g} N (beam theory, a core of 0.8 of the diameter, carbide).", load.bend, load.force));

    if (wishes.feed && (load.power > most_power || load.bend > most_bend))
        feeds.warnings.push_back(fmt::format(
            "At this feed the bit {} needs {:.2g} W (the spindle has {} W) and bends by {:.2g} mm: lower the feed or the depth per pass.",
            bit.name(), load.power, machine.spindle->power_w, load.bend));
    if (!wishes.feed && share <= 0.021)
        feeds.warnings.push_back(fmt::format(
            "A depth per pass of {} mm is more than this spindle and the bit {} can bear at any feed: lower it.", p, bit.name()));
    warn_of_wishes(wishes, at, reckoned_feed, feeds);
    if (!material.spindle_note.empty()) feeds.warnings.push_back(material.spindle_note);
    return feeds;
}

}  // namespace burin
