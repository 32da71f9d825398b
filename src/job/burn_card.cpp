/// A test card for a beam: which powers and feeds stand on it, and the rows that burn it. All that is burnt at one feed is a set of rows of
/// its own, over the whole card; what is strongest goes with the slowest. The tones wanted are those that the rows should give, so that the
/// proof holds every patch to its own exposure. Cost: the card's cells, for each feed.
#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burn.hpp"
#include "fmt/format.h"
#include "fmt/ranges.h"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double usual_patches = 11, usual_patch = 5, letter_width = 0.2;

std::string list_text(const std::vector<double>& values) {
    std::vector<std::string> words;
    for (const double value : values) words.push_back(number_text(value));
    return fmt::format("{}", fmt::join(words, ","));
}

std::vector<double> rising(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    values.erase(std::unique(values.begin(), values.end()), values.end());
    return values;
}

/// Round about what the material is thought to want: half of it to twice as much.
std::vector<double> usual_feeds(const SettledBurn& burn) {
    const Machine& machine = burn.job.machine;
    const double most = std::min({machine.most_feed, machine.rapid[0], machine.rapid[1]});
    std::vector<double> feeds;
    for (const double times : {0.5, 0.75, 1.0, 1.5, 2.0}) {
        const double feed = std::min(most, times * burn.tone.feed), whole = feed >= 100 ? 10 : 1;
        feeds.push_back(std::max(1.0, std::floor(feed / whole) * whole));
    }
    return rising(std::move(feeds));
}

std::vector<double> usual_powers(const SettledBurn& burn) {
    std::vector<double> powers;
    for (const double share : {0.2, 0.4, 0.6, 0.8, 1.0}) powers.push_back(rounded(share * *burn.job.written.cuts[0].power));
    return rising(std::move(powers));
}

/// S for a share of full power, as whole steps of the controller.
double steps_of(const SettledBurn& burn, double share) { return std::max(1.0, std::floor(share * burn.laser.scale + 1e-9)); }

CardWishes settle_wishes(const SettledBurn& beam, Cut& cut, std::vector<std::string>& assumed) {
    CardWishes wishes;
    Chooser choose(cut.reckoned);
    choose.given("kind", cut.kind, std::string("beam"));
    choose.given("patches", cut.patches, usual_patches);
    choose.given("patch-size", cut.patch_size, usual_patch);
    if (!choose.given("powers", cut.powers, list_text(usual_powers(beam))))
        assumed.push_back(fmt::format("No powers were given for the grid: {} % (--powers).", *cut.powers));
    if (!choose.given("feeds", cut.feeds, list_text(usual_feeds(beam))))
        assumed.push_back(fmt::format("No feeds were given for the grid: {} mm/min (--feeds).", *cut.feeds));
    wishes.kind = CardKind::beam;
    wishes.patches = static_cast<int>(*cut.patches);
    wishes.patch = *cut.patch_size;
    wishes.spacing = beam.tone.spacing;
    wishes.watts = beam.laser.power_w;
    for (const double percent : parse_list(*cut.powers)) wishes.powers.push_back(steps_of(beam, percent / 100) / beam.laser.scale);
    wishes.feeds = parse_list(*cut.feeds);
    wishes.title = fmt::format("{} {} W", beam.job.material.name, number_text(beam.laser.power_w));
    const Machine& machine = beam.job.machine;
    const double most = std::min({machine.most_feed, machine.rapid[0], machine.rapid[1]});
    if (const double fastest = *std::max_element(wishes.feeds.begin(), wishes.feeds.end()); fastest > most)
        throw refused(fmt::format("A feed of {} mm/min is more than the {} mm/min at which '{}' can burn. Give smaller --feeds.",
                                  number_text(fastest), number_text(most), machine.name));
    return wishes;
}

/// The S of every cell, of all that is burnt at one feed.
class PowerMap {
public:
    PowerMap(const Card& card, const Point& at, double cell)
        : at_(at), power_(static_cast<int>(std::ceil(card.width / cell)), static_cast<int>(std::ceil(card.height / cell)), cell, at) {}

    template <class In>
    void paint(const Box& box, std::uint16_t s, In in) {
        const double cell = power_.cell();
        for (int j = std::max(0, static_cast<int>(box.lo.y / cell)); j <= std::min(power_.height() - 1, static_cast<int>(box.hi.y / cell));
             ++j)
            for (int i = std::max(0, static_cast<int>(box.lo.x / cell));
                 i <= std::min(power_.width() - 1, static_cast<int>(box.hi.x / cell)); ++i)
                if (const Point c = power_.centre(i, j); in(Point{c.x - at_.x, c.y - at_.y})) power_(i, j) = s;
    }
    void paint(const Box& box, std::uint16_t s) {
        paint(box, s, [&](const Point& p) { return box.holds(p); });
    }
    void mark(const CardMark& mark, std::uint16_t s) {
        const double r = Card::ring_outer;
        paint({{mark.centre.x - r, mark.centre.y - r}, {mark.centre.x + r, mark.centre.y + r}}, s, [&](const Point& p) {
            const double off = distance(p, mark.centre);
            return off <= mark.disc || (off >= Card::ring_inner && off <= r);
        });
    }
    void stroke(const Polyline& line, std::uint16_t s) {
        const double half = std::max(letter_width / 2, power_.cell() * 0.75);
        for (std::size_t k = 0; k + 1 < line.points.size() + (line.closed ? 1 : 0); ++k) {
            const Point &a = line.points[k], &b = line.points[(k + 1) % line.points.size()];
            const Box box{{std::min(a.x, b.x) - half, std::min(a.y, b.y) - half}, {std::max(a.x, b.x) + half, std::max(a.y, b.y) + half}};
            const double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
            paint(box, s, [&](const Point& p) {
                const double share = square > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / square, 0.0, 1.0) : 0;
                return distance(p, {a.x + share * dx, a.y + share * dy}) <= half;
            });
        }
    }
    [[nodiscard]] const Grid<std::uint16_t>& power() const { return power_; }

private:
    Point at_;
    Grid<std::uint16_t> power_;
};

PowerMap powers_at(double feed, double slowest, const Card& card, const Point& at, const SettledBurn& burn) {
    PowerMap map(card, at, burn.tone.spacing);
    double strongest = 0;
    for (const CardPatch& patch : card.patches) {
        if (patch.amount <= 0) continue;
        const double s = steps_of(burn, patch.power);
        if (patch.feed == slowest) strongest = std::max(strongest, s);
        if (patch.feed == feed) map.paint(patch.box, static_cast<std::uint16_t>(s));
    }
    if (feed != slowest) return map;
    const auto s = static_cast<std::uint16_t>(strongest);
    for (const CardMark& mark : card.marks) map.mark(mark, s);
    for (const CardDot& dot : card.dots)
        if (dot.filled) map.paint(dot.box, s);
    for (const Polyline& line : card.letters) map.stroke(line, s);
    return map;
}

void check_pace(const SettledBurn& burn, double feed, double fastest, BurnPlan& plan) {
    if (feed <= fastest) return;
    const std::string why = fmt::format("The controller cannot keep up with the card's shortest lines at {} mm/min", number_text(feed));
    if (!burn.scaled)
        throw refused(fmt::format("{}, and with constant power it would burn unevenly. The fastest that works is {} in --feeds.", why,
                                  number_text(std::max(1.0, std::floor(0.99 * fastest)))));
    plan.warnings.push_back(fmt::format("{}: it will run slower there. The power follows the speed, so the tones stay.", why));
}

}  // namespace

bool burns_card(const Job& job, const PresetFolders& presets) {
    const Cut& cut = job.cuts.at(0);
    if (cut.make != "card") return false;
    if (cut.kind) return *cut.kind == "beam";
    if (!job.machine_table && !job.machine) return false;
    const Machine machine = job.machine_table ? *job.machine_table : find_machine(presets, *job.machine);
    return machine.laser && !machine.spindle;
}

SettledBurn settle_burn_card(const Job& given, const Workshop& workshop, const Source& source) {
    // How the beam works is asked first, of a card without a size: what stands on it follows from that.
    check_in_vain(given.cuts[0], "cards of grooves", {"pitch", "depth", "fill", "depth-per-pass", "plunge", "speed", "tolerance"});
    if (!given.cuts[0].bits.empty())
        throw Error(Fault::usage, "--bit says nothing here: a beam burns this card. For one of grooves give --kind grooves.");
    Job asked = given;
    asked.stock.reset();
    asked.cuts[0].at.reset();
    Source sized = source;
    sized.drawing.width = sized.drawing.height = 1;
    const SettledBurn beam = settle_burn(asked, workshop, sized);
    Cut cut = given.cuts[0];
    cut.power = beam.job.written.cuts[0].power;
    std::vector<std::string> unsaid;
    const Card card = card_for(settle_wishes(beam, cut, unsaid), nullptr);
    sized.drawing.width = card.width;
    sized.drawing.height = card.height;
    SettledBurn burn = settle_burn(given, workshop, sized);
    (void)settle_wishes(burn, burn.job.written.cuts[0], burn.job.assumed);
    burn.card = card;
    return burn;
}

BurnPlan plan_card(SettledBurn& burn, const Crew& crew) {
    const Card& card = *burn.card;
    const SettledJob& job = burn.job;
    const Point at{job.at.x - card.width / 2, job.at.y - card.height / 2};
    std::vector<double> feeds;
    for (const CardPatch& patch : card.patches)
        if (patch.amount > 0) feeds.push_back(patch.feed);
    feeds = rising(std::move(feeds));
    BurnPlan plan;
    plan.work = {at, {at.x + card.width, at.y + card.height}};
    crew.say("toolpaths");
    for (const double feed : feeds) {
        crew.check();
        const PowerMap map = powers_at(feed, feeds.front(), card, at, burn);
        const Grid<std::uint16_t>& power = map.power();
        if (!plan.exposure) plan.exposure = power.like(0.0F);
        SettledBurn at_feed = burn;
        at_feed.tone.feed = feed;
        for (std::size_t k = 0; k < power.size(); ++k)
            if (power.values()[k] > 0) plan.exposure->values()[k] = static_cast<float>(exposure_of(at_feed.tone, power.values()[k]));
        const std::vector<BurnRow> rows = rows_of(power);
        check_pace(burn, feed, fastest_feed(rows, job.machine, 0), plan);
        plan.path.passes.push_back({plan.path.track.moves.size(), 0, fmt::format("rows at F{}", number_text(feed))});
        append_rows(plan.path, rows, rows_order(at_feed, plan.work), crew);
    }
    plan.blur = std::max(burn.laser.spot_mm, burn.tone.spacing);
    plan.notes.push_back(
        fmt::format("The card measures {:.1f} × {:.1f} mm: a grey wedge of {} patches at {} mm/min, and a grid of powers (per cent) and "
                    "feeds (mm/min), "
                    "written below each patch.",
                    card.width, card.height, card.wishes.patches, number_text(feeds.front())));
    plan.notes.emplace_back(
        "When it is burnt: wipe it, photograph it from above with all four marks in the picture, and give photo and job.toml to `burin "
        "tone`.");
    return plan;
}

}  // namespace burin
