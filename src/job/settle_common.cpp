/// What all jobs are asked alike: machine, material, size, stock, place, bits and their feeds.
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numbers>

#include "burin/job/options.hpp"
#include "burn.hpp"
#include "fmt/format.h"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double stock_margin = 5, least_safe = 3;

double rounded_up(double mm) { return std::ceil(mm * 10 - 1e-6) / 10; }

}  // namespace

Job one_cut(const Job& job, const Cut& cut) {
    Job one = job;
    one.cuts = {cut};
    return one;
}

double rounded(double mm) { return std::round(mm * 100) / 100; }

Error refused(const std::string& sentence) { return {Fault::refused, sentence}; }

Point own_size(const Picture& picture) {
    const double ratio = static_cast<double>(picture.height) / picture.width;
    const double height = picture.height_mm.value_or(picture.width_mm.value_or(0) * ratio);
    return {picture.width_mm.value_or(height / ratio), height};
}

Point settle_size(const Cut& cut, const Point& own, double ratio, Chooser& choose, Cut& written, SettledJob& job) {
    if (!cut.width && !cut.height) {
        if (!(own.x > 0))
            throw Error(
                Fault::usage,
                "The picture does not say how large it is: give --width MM (or --height MM), the size of the whole picture on the stock.");
        choose.given("width", written.width, rounded(own.x));
        job.assumed.push_back(fmt::format("The width, {} mm, is the picture's own.", number_text(*written.width)));
    } else if (!cut.width) {
        choose.given("width", written.width, rounded(*cut.height / ratio));
    }
    choose.given("height", written.height, rounded(*written.width * ratio));
    const double stretched = *written.height / (*written.width * ratio);
    if (std::abs(stretched - 1) > 0.01)
        job.warnings.push_back(fmt::format("Width and height stretch the picture by {:.0f} %. Give only one of them to keep its shape.",
                                           (std::max(stretched, 1 / stretched) - 1) * 100));
    return {*written.width, *written.height};
}

Facing::Facing(double degrees, bool mirror)
    : cos_(std::cos(degrees * std::numbers::pi / 180)), sin_(std::sin(degrees * std::numbers::pi / 180)), mirror_(mirror) {}

Point Facing::operator()(const Point& from_middle) const {
    const double x = mirror_ ? -from_middle.x : from_middle.x;
    return {x * cos_ - from_middle.y * sin_, x * sin_ + from_middle.y * cos_};
}

Point turned_size(const Point& size, double degrees) {
    const double quarter = std::remainder(degrees, 180);
    if (quarter == 0) return size;
    if (std::abs(quarter) == 90) return {size.y, size.x};
    const double a = degrees * std::numbers::pi / 180, c = std::abs(std::cos(a)), s = std::abs(std::sin(a));
    return {size.x * c + size.y * s, size.x * s + size.y * c};
}

Point copies_size(const Point& size, double columns, double rows, const Point& gap) {
    return {size.x * columns + gap.x * (columns - 1), size.y * rows + gap.y * (rows - 1)};
}

Point settle_copies(const Point& size, Chooser& choose, SettledJob& job) {
    Cut& cut = job.written.cuts[0];
    choose.given("rows", cut.rows, 1.0);
    choose.given("columns", cut.columns, 1.0);
    job.rows = static_cast<int>(*cut.rows);
    job.columns = static_cast<int>(*cut.columns);
    if (job.rows * job.columns > 1 && !choose.given("gap", cut.gap, usual_copy_gap))
        job.assumed.push_back("Copies lie 5 mm apart (--gap).");
    job.gap = cut.gap.value_or(Point{});
    return copies_size(size, job.columns, job.rows, job.gap);
}

void settle_tones(const Point& size, double cell, Chooser& choose, SettledJob& job, TonesWishes& wishes) {
    Cut& cut = job.written.cuts[0];
    if (!choose.given("levels", cut.levels, Point{1, 99}))
        job.assumed.push_back("No levels were given: the darkest and the lightest 1 % of the picture count as darkest and bare.");
    if (cut.levels->x >= cut.levels->y)
        throw Error(Fault::usage, fmt::format("--levels {},{}: the first must be below the second.", number_text(cut.levels->x),
                                              number_text(cut.levels->y)));
    choose.given("gamma", cut.gamma, 1.0);
    wishes.width = size.x, wishes.height = size.y;
    wishes.black = cut.levels->x, wishes.white = cut.levels->y;
    wishes.gamma = *cut.gamma;
    wishes.cell = cell;
}

void settle_tolerance(Chooser& choose, SettledJob& job) {
    Cut& cut = job.written.cuts[0];
    if (!choose.given("tolerance", cut.tolerance, 0.005)) job.assumed.push_back("Paths keep within 0.005 mm of the exact ones.");
    job.tolerance = *cut.tolerance;
}

void settle_turn(Chooser& choose, SettledJob& job) {
    Cut& cut = job.written.cuts[0];
    choose.given("rotate", cut.rotate, 0.0);
    choose.given("mirror", cut.mirror, false);
    job.rotate_deg = *cut.rotate;
    job.mirror = *cut.mirror;
}

std::string usual_zero(const StockSize& size) { return size.round ? "centre" : "lower-left"; }

Stock stock_of(const StockSize& size, const std::string& zero) {
    if (size.piece) return make_stock(*size.piece, *anchor_named(zero));
    return make_stock(size.round ? Outline::round : Outline::rectangle, size.width, size.height, size.thickness, *anchor_named(zero));
}

void settle_keep_outs(SettledJob& job) {
    job.stock.keep_outs = keep_outs_of(job.written.keep_outs, job.machine);
    if (const std::size_t count = job.machine.keep_outs.size(); count > 0)
        job.assumed.push_back(fmt::format(
            "{} keep-out{} from the file of the machine '{}', which count from the work zero: they are right only where that zero lies at "
            "its usual place.",
            count, count == 1 ? " is" : "s are", job.machine.name));
}

void settle_stock(const Cut& cut, const Point& size, double thickness, const Point& centre_to_anchor, Chooser& choose, Chooser& choose_cut,
                  SettledJob& job) {
    Job& written = job.written;
    const std::string assumed = fmt::format("{}x{}x{}", number_text(rounded_up(size.x + 2 * stock_margin)),
                                            number_text(rounded_up(size.y + 2 * stock_margin)), number_text(thickness));
    const bool given = choose.given("stock", written.stock, assumed);
    if (names_stock_file(*written.stock)) written.stock = std::filesystem::absolute(*written.stock).lexically_normal().string();
    const StockSize sizes = parse_stock(*written.stock);
    if (!choose.given("zero", written.zero, usual_zero(sizes)))
        job.assumed.push_back(sizes.round   ? sizes.width == sizes.height ? "No zero was given: the centre of the round stock."
                                                                          : "No zero was given: the centre of the oval stock."
                              : sizes.piece ? "No zero was given: the lower left corner of the rectangle round the piece, bark and all."
                                            : "No zero was given: the lower left corner of the stock's top.");
    job.stock = stock_of(sizes, *written.zero);
    const auto& reckoned = written.reckoned;  // several cuts: reckoned for all of them
    settle_keep_outs(job);
    job.stock.assumed = !given || std::find(reckoned.begin(), reckoned.end(), "stock") != reckoned.end();
    if (job.stock.assumed) {
        if (cut.at)
            throw Error(Fault::usage, "--at places the design on a stock, and no stock was given. Add --stock, as in --stock 100x80x12.");
        job.assumed.push_back(fmt::format("No stock was given: {} mm is assumed, {} mm of margin round the design and {} mm thick.",
                                          *written.stock, number_text(stock_margin), number_text(job.stock.thickness)));
    }
    job.size = size;
    const Box& bounds = job.stock.bounds;
    const Point middle = bounds.centre();
    const std::optional<Anchor> anchor = cut.anchor ? anchor_named(*cut.anchor) : std::nullopt;
    const Point lean = anchor ? to_anchor({bounds.width(), bounds.height()}, *anchor) : Point{};
    const Point off = cut.align ? Point{} : anchor ? to_anchor(size, *anchor) : centre_to_anchor;
    // A stock that is assumed for this cut lies round the design, wherever the point is that `at` speaks of.
    const Point usual = given ? Point{middle.x + lean.x, middle.y + lean.y} : Point{middle.x + off.x, middle.y + off.y};
    choose_cut.given("at", job.written.cuts[0].at, Point{rounded(usual.x), rounded(usual.y)});
    if (cut.align) choose_cut.reckoned("at");
    const Point& at = *job.written.cuts[0].at;
    job.at = {at.x - off.x, at.y - off.y};
}

const char* size_option(const Cut& cut) {
    return cut.fit_width ? "--fit-width" : cut.text ? "--cap-height" : cut.diameter ? "--diameter" : cut.length ? "--length" : "--width";
}

std::string stock_words(const Stock& stock) {
    const std::string width = number_text(stock.bounds.width()), height = number_text(stock.bounds.height());
    if (stock.outline == Outline::round && !stock.oval()) return fmt::format("round stock of {} mm", width);
    return fmt::format("{} of {} × {} mm", stock.oval() ? "oval stock" : stock.piece ? "wood of the piece" : "stock", width, height);
}

void check_fit(const SettledJob& job, const Point& size, const std::vector<Bit>& bits) {
    const Machine& machine = job.machine;
    const Cut& cut = job.written.cuts.front();
    const char* smaller = size_option(cut);
    const std::string design = fmt::format("{} × {} mm", number_text(rounded(size.x)), number_text(rounded(size.y)));
    constexpr double slack = 0.0501;  // sizes become whole cells
    const auto& bounds = job.stock.bounds;
    if (size.x > machine.travel[0] + slack || size.y > machine.travel[1] + slack) {
        const bool turned = size.y <= machine.travel[0] && size.x <= machine.travel[1];
        throw refused(fmt::format(
            "The design is larger than the machine: it measures {}, and '{}' travels {} × {} mm. Give a smaller {}{}.", design,
            machine.name, number_text(machine.travel[0]), number_text(machine.travel[1]), smaller, turned ? ", or --rotate 90" : ""));
    }
    // Of a traced piece the empty rim of a drawing may hang over the edge; what is cut is held against its wood by the proof.
    const bool on_piece = job.stock.piece != nullptr;
    if (!on_piece && (size.x > bounds.width() + slack || size.y > bounds.height() + slack))
        throw refused(fmt::format(
            "The design is larger than the stock: it measures {}, and the stock {} × {} mm. Give a smaller {} or a larger --stock.", design,
            number_text(bounds.width()), number_text(bounds.height()), smaller));
    const Box box{{job.at.x - size.x / 2, job.at.y - size.y / 2}, {job.at.x + size.x / 2, job.at.y + size.y / 2}};
    if (!on_piece && (!bounds.holds(box.lo, slack) || !bounds.holds(box.hi, slack)))
        throw refused(fmt::format(
            "The design sticks out of the stock: it would reach from X{} Y{} to X{} Y{}, and the stock from X{} Y{} to X{} Y{}. Change "
            "--at, --zero or --stock.",
            number_text(rounded(box.lo.x)), number_text(rounded(box.lo.y)), number_text(rounded(box.hi.x)), number_text(rounded(box.hi.y)),
            number_text(bounds.lo.x), number_text(bounds.lo.y), number_text(bounds.hi.x), number_text(bounds.hi.y)));
    for (const Bit& bit : bits)
        if (bit.diameter() > std::min(size.x, size.y))
            throw refused(
                fmt::format("The bit '{}' is wider than the job: {} mm, and the design measures {}. Give a smaller bit or a larger {}.",
                            bit.name(), number_text(bit.diameter()), design, smaller));
}

void check_depth(double depth, double thickness, bool assumed) {
    if (depth > thickness + 1e-9)
        throw refused(
            fmt::format("The depth of {} mm is more than the stock's thickness of {} mm{}. Give a smaller --depth or a thicker --stock.",
                        number_text(depth), number_text(thickness), assumed ? ", which was assumed" : ""));
}

void settle_bits(const Workshop& workshop, bool all_alike, SettledJob& job) {
    Cut& cut = job.written.cuts[0];
    const FeedWishes all{.feed = cut.feed, .plunge = cut.plunge, .speed = cut.speed, .depth_per_pass = cut.depth_per_pass};
    for (std::size_t k = 0; k < workshop.bits.size(); ++k) {
        BitUse& use = cut.bits[k];
        const Bit& bit = workshop.bits[k];
        Chooser choose(use.reckoned);
        // For this bit alone, else for all bits, else reckoned.
        const auto wish = [](const std::optional<double>& own, const std::optional<double>& of_all) { return own ? own : of_all; };
        const FeedWishes wishes{.feed = wish(use.wishes.feed, all.feed),
                                .plunge = wish(use.wishes.plunge, all.plunge),
                                .speed = wish(use.wishes.speed, all.speed),
                                .depth_per_pass = wish(use.wishes.depth_per_pass, all.depth_per_pass)};
        Feeds feeds = reckon_feeds(bit, job.material, job.machine, wishes, !all_alike && k + 1 < workshop.bits.size());
        choose.given("feed", use.wishes.feed, feeds.feed);
        choose.given("plunge", use.wishes.plunge, feeds.plunge);
        choose.given("speed", use.wishes.speed, feeds.rpm);
        choose.given("depth-per-pass", use.wishes.depth_per_pass, feeds.depth_per_pass);
        use.use = bit.name();  // a file's bit is known by its name from here on, its sizes are written out
        use.bit = bit;
        if (const double most = job.machine.most_feed; feeds.feed > most)
            throw refused(fmt::format("A feed of {} mm/min is more than the {} mm/min at which '{}' can cut. Give a smaller --feed.",
                                      number_text(feeds.feed), number_text(most), job.machine.name));
        if (const double most = job.machine.rapid[2]; feeds.plunge > most)
            throw refused(fmt::format("A plunge of {} mm/min is more than the {} mm/min at which '{}' can move Z. Give a smaller --plunge.",
                                      number_text(feeds.plunge), number_text(most), job.machine.name));
        for (const std::string& warning : feeds.warnings)  // what is true of all bits is said once
            if (std::find(job.warnings.begin(), job.warnings.end(), warning) == job.warnings.end()) job.warnings.push_back(warning);
        job.bits.push_back({bit, std::move(feeds)});
    }
}

void settle_names(const Job& given, const Workshop& workshop, const Source& source, std::string_view usual_bits, Chooser& choose,
                  Chooser& choose_cut, SettledJob& job) {
    Job& written = job.written;
    const Cut& cut = given.cuts.at(0);
    Cut& written_cut = written.cuts.at(0);
    job.make = cut.make;
    job.side = given.side;
    job.picture_name = source.name;
    choose.given("name", written.name, cut.picture ? std::filesystem::path(source.name).stem().string() : source.name);
    job.name = *written.name;
    if (!source.sha256.empty()) written_cut.sha256 = source.sha256;
    job.machine = workshop.machine;
    job.material = workshop.material;
    if (!given.machine) {
        choose.reckoned("machine");
        job.assumed.push_back(fmt::format("No machine was given: '{}'.", job.machine.name));
    }
    if (!given.material) {
        choose.reckoned("material");
        job.assumed.push_back(fmt::format("No material was given: {}.", job.material.name));
    }
    written.machine = job.machine.name;
    written.material = job.material.name;
    written.machine_table = job.machine;
    written.material_table = job.material;
    if (!cut.bits.empty() || workshop.bits.empty()) return;
    choose_cut.reckoned("bit");
    job.assumed.push_back(fmt::format("{} given: {}.", workshop.bits.size() > 1 ? "No bits were" : "No bit was", usual_bits));
    for (const Bit& bit : workshop.bits) written_cut.bits.emplace_back().use = bit.name();
}

/// Over every keep-out where the machine's travel has room for that above the stock's underside: no way round them is needed then.
double usual_safe_height(const Stock& stock, const Machine& machine) {
    constexpr double over = 2;  // mm above the highest; common practice, no source
    double highest = least_safe - over;
    for (const KeepOut& zone : stock.keep_outs) highest = std::max(highest, zone.height());
    const double safe = std::ceil(highest + over);
    return safe + stock.thickness + 1 <= machine.travel[2] ? safe : least_safe;
}

void settle_run(Chooser& choose, SettledJob& job) {
    Job& written = job.written;
    const double safe = usual_safe_height(job.stock, job.machine);
    if (!choose.given("safe-height", written.safe_height, safe))
        job.assumed.push_back(fmt::format("No safe height was given: the bit travels {} mm above the stock top{}.", number_text(safe),
                                          safe > least_safe ? ", over the highest keep-out" : ""));
    choose.given("inch", written.inch, false);
    choose.given("one-file", written.one_file, false);
    job.safe_height = *written.safe_height;
    job.inch = *written.inch;
    job.one_file = *written.one_file;
    job.lift = written.air.value_or(0);
    job.trial = written.trial;
    job.trial_at = written.trial_at;
}

Workshop find_workshop(const Job& job, const PresetFolders& presets) {
    const Cut& cut = job.cuts.at(0);
    if (cut.make == "burn" || burns_card(job, presets)) return find_beam_workshop(job, presets);
    Workshop found{.machine = job.machine_table ? *job.machine_table : find_machine(presets, job.machine.value_or("desk-240x150")),
                   .material = job.material_table ? *job.material_table
                                                  : find_material(presets, job.material.value_or(cut.make == "isolate" ? "fr4" : "pine")),
                   .bits = {}};
    const std::vector<const char*> usual_bits = cut.make == "relief" ? std::vector{"flat:3.175", "ball:1.0"}
                                                : cut.make == "incise" || cut.make == "card" || shows_tones(cut)
                                                    ? std::vector{"vee:60:0.1:3.175"}
                                                : cut.make == "isolate" ? std::vector{"vee:30:0.1:3.175"}
                                                : cut.make == "face"    ? std::vector{"flat-6"}
                                                                        : std::vector{"flat:2.0"};
    if (cut.bits.empty() && cut.make == "drill")
        throw Error(Fault::usage,
                    "Which drill makes the holes was not said: give it with --bit, such as drill-0.8 ('burin list bits' shows all).");
    if (cut.bits.empty())
        for (const char* usual : usual_bits) found.bits.push_back(find_bit(presets, usual));
    for (const BitUse& use : cut.bits) found.bits.push_back(use.bit ? *use.bit : find_bit(presets, use.use));
    if (!found.machine.spindle)
        throw refused(
            fmt::format("The machine '{}' has no spindle, and this job is cut with one. Give a router with --machine; `burin list "
                        "machines` names them.",
                        found.machine.name));
    if (job.stock && cut.depth) check_depth(*cut.depth, parse_stock(*job.stock).thickness, false);
    for (const Bit& bit : found.bits)
        if (cut.make == "drill" && bit.shape() != BitShape::drill && bit.shape() != BitShape::flat)
            throw refused(
                fmt::format("The bit '{}' makes no holes with upright walls. Give a drill with --bit, such as drill-0.8 ('burin list "
                            "bits' shows all), or a flat bit to mill wider ones.",
                            bit.name()));
    for (const Bit& bit : found.bits)
        if (bit.shape() == BitShape::drill && cut.make != "drill" && (cut.make != "stipple" || cut.one_line.value_or(false)))
            throw refused(
                fmt::format("The bit '{}' is a drill: it goes straight down only, and this job is cut sideways. Give a flat, ball, "
                            "vee, taper or bull bit; 'burin list bits' shows all.",
                            bit.name()));
    const double depth = cut.depth.value_or(2), safe = job.safe_height.value_or(3);
    if (const double air = job.air.value_or(0);
        air > 0 && depth + safe + air > found.machine.travel[2] && depth + safe <= found.machine.travel[2])
        throw refused(
            fmt::format("A dry run lifted by {} mm, over a depth of {} mm and a safe height of {} mm, needs more than the {} mm "
                        "that '{}' travels up and down. Give a smaller --air.",
                        number_text(air), number_text(depth), number_text(safe), number_text(found.machine.travel[2]), found.machine.name));
    if (depth + safe > found.machine.travel[2])
        throw refused(fmt::format("A depth of {} mm and a safe height of {} mm need more than the {} mm that '{}' travels up and down.",
                                  number_text(depth), number_text(safe), number_text(found.machine.travel[2]), found.machine.name));
    return found;
}

}  // namespace burin
