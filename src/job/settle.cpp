/// Every question of a relief answered: sizes, place, bits, feeds, cells. What the person gave wins; the rest is reckoned,
/// and told. What an earlier run reckoned and wrote down is reckoned anew, so that a written job file leads to the same words
/// and bytes, and a changed one to what follows from the change.
#include "settle.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numbers>
#include <utility>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "fmt/format.h"

namespace burin {
namespace {

constexpr double stock_margin = 5, usual_thickness = 12, plate_thickness = 4;
constexpr double tone_smooth = 0.25;  // mm: grain of photos is finer, and what is finer than the bit only costs time
constexpr double most_cells_reckoned = 16e6, most_cells_given = 100e6;
constexpr double vee_ridge = 0.01;         // mm between the lines of a vee: half of what the proof lets stand
constexpr double edge_cell = 0.04;         // mm: for flat tips, whose edge rides on slopes: half a cell of way is 0.02 of height at 45°
constexpr double coarsest_provable = 0.1;  // mm: a wall may move sideways by one cell, and never by more than this

/// Decides between what was given and what is reckoned, and keeps the list of the latter.
class Chooser {
public:
    explicit Chooser(std::vector<std::string>& reckoned) : reckoned_(reckoned) {}

    /// True: the person gave it. `field` holds the value that counts afterwards.
    template <class T>
    bool given(std::string_view name, std::optional<T>& field, const T& usual) {
        if (field) return true;
        field = usual;
        reckoned(name);
        return false;
    }
    void reckoned(std::string_view name) { reckoned_.emplace_back(name); }

private:
    std::vector<std::string>& reckoned_;
};

/// Flat tips touch slopes with their edge, however small they are.
bool rides_on_edge(const Bit& bit) { return bit.shape() == BitShape::vee || bit.width_at(0) > 0.3; }

/// Lengths that the program thinks up are round: a hundredth of a millimetre is finer than anyone clamps.
double rounded(double mm) { return std::round(mm * 100) / 100; }
double rounded_up(double mm) { return std::ceil(mm * 10 - 1e-6) / 10; }

[[nodiscard]] Error refused(const std::string& sentence) { return {Fault::refused, sentence}; }

/// Width and height of the whole picture on the stock.
Point settle_size(const Cut& cut, const Picture& picture, Chooser& choose, Cut& written, SettledRelief& relief) {
    const double ratio = static_cast<double>(picture.height) / picture.width;
    const double own_height = picture.height_mm.value_or(0);
    const double own_width = picture.width_mm.value_or(own_height / ratio);  // 0: the picture does not say
    if (!cut.width && !cut.height) {
        if (!(own_width > 0))
            throw Error(
                Fault::usage,
                "The picture does not say how large it is: give --width MM (or --height MM), the size of the whole picture on the stock.");
        choose.given("width", written.width, rounded(own_width));
        relief.assumed.push_back(fmt::format("The width, {} mm, is the picture's own.", number_text(*written.width)));
    } else if (!cut.width) {
        choose.given("width", written.width, rounded(*cut.height / ratio));
    }
    choose.given("height", written.height, rounded(*written.width * ratio));
    const double stretched = *written.height / (*written.width * ratio);
    if (std::abs(stretched - 1) > 0.01)
        relief.warnings.push_back(fmt::format("Width and height stretch the picture by {:.0f} %. Give only one of them to keep its shape.",
                                              (std::max(stretched, 1 / stretched) - 1) * 100));
    return {*written.width, *written.height};
}

/// The box round a rectangle turned about its centre.
Point turned_size(const Point& size, double degrees) {
    const double quarter = std::remainder(degrees, 180);
    if (quarter == 0) return size;
    if (std::abs(quarter) == 90) return {size.y, size.x};
    const double a = degrees * std::numbers::pi / 180, c = std::abs(std::cos(a)), s = std::abs(std::sin(a));
    return {size.x * c + size.y * s, size.x * s + size.y * c};
}

void settle_stock(const Cut& cut, const Point& size, Chooser& choose, Chooser& choose_cut, SettledRelief& relief) {
    Job& written = relief.written;
    // Light comes through a thin plate only.
    const bool plate = cut.heights == "transmit";
    const double thickness = plate ? cut.most_thickness.value_or(plate_thickness) : usual_thickness;
    const std::string assumed = fmt::format("{}x{}x{}", number_text(rounded_up(size.x + 2 * stock_margin)),
                                            number_text(rounded_up(size.y + 2 * stock_margin)), number_text(thickness));
    const bool given = choose.given("stock", written.stock, assumed);
    const StockSize sizes = parse_stock(*written.stock);
    if (!choose.given("zero", written.zero, std::string(sizes.round ? "centre" : "lower-left")))
        relief.assumed.push_back(sizes.round ? "No zero was given: the centre of the round stock."
                                             : "No zero was given: the lower left corner of the stock's top.");
    relief.stock = make_stock(sizes.round ? Outline::round : Outline::rectangle, sizes.width, sizes.height, sizes.thickness,
                              *anchor_named(*written.zero));
    relief.stock.assumed = !given;
    if (!given) {
        if (cut.at)
            throw Error(Fault::usage, "--at places the design on a stock, and no stock was given. Add --stock, as in --stock 100x80x12.");
        relief.assumed.push_back(fmt::format("No stock was given: {} mm is assumed, {} mm of margin round the design and {} mm thick.",
                                             assumed, number_text(stock_margin), number_text(thickness)));
    }
    const Point centre = relief.stock.bounds.centre();
    choose_cut.given("at", written.cuts[0].at, Point{rounded(centre.x), rounded(centre.y)});
    relief.at = *written.cuts[0].at;
}

void check_fit(const SettledRelief& relief, const Point& size, const std::vector<Bit>& bits) {
    const Machine& machine = relief.machine;
    const std::string design = fmt::format("{} × {} mm", number_text(rounded(size.x)), number_text(rounded(size.y)));
    constexpr double slack = 0.0501;  // sizes become whole cells
    const auto& bounds = relief.stock.bounds;
    if (size.x > machine.travel[0] + slack || size.y > machine.travel[1] + slack) {
        const bool turned = size.y <= machine.travel[0] && size.x <= machine.travel[1];
        throw refused(fmt::format(
            "The design is larger than the machine: it measures {}, and '{}' travels {} × {} mm. Give a smaller --width{}.", design,
            machine.name, number_text(machine.travel[0]), number_text(machine.travel[1]), turned ? ", or --rotate 90" : ""));
    }
    if (size.x > bounds.width() + slack || size.y > bounds.height() + slack)
        throw refused(fmt::format(
            "The design is larger than the stock: it measures {}, and the stock {} × {} mm. Give a smaller --width or a larger --stock.",
            design, number_text(bounds.width()), number_text(bounds.height())));
    const Box box{{relief.at.x - size.x / 2, relief.at.y - size.y / 2}, {relief.at.x + size.x / 2, relief.at.y + size.y / 2}};
    if (!bounds.holds(box.lo, slack) || !bounds.holds(box.hi, slack))
        throw refused(fmt::format(
            "The design sticks out of the stock: it would reach from X{} Y{} to X{} Y{}, and the stock from X{} Y{} to X{} Y{}. Change "
            "--at, --zero or --stock.",
            number_text(rounded(box.lo.x)), number_text(rounded(box.lo.y)), number_text(rounded(box.hi.x)), number_text(rounded(box.hi.y)),
            number_text(bounds.lo.x), number_text(bounds.lo.y), number_text(bounds.hi.x), number_text(bounds.hi.y)));
    for (const Bit& bit : bits)
        if (bit.diameter() > std::min(size.x, size.y))
            throw refused(fmt::format(
                "The bit '{}' is wider than the job: {} mm, and the design measures {}. Give a smaller bit or a larger --width.",
                bit.name(), number_text(bit.diameter()), design));
}

void check_depth(double depth, double thickness, bool assumed) {
    if (depth > thickness + 1e-9)
        throw refused(
            fmt::format("The depth of {} mm is more than the stock's thickness of {} mm{}. Give a smaller --depth or a thicker --stock.",
                        number_text(depth), number_text(thickness), assumed ? ", which was assumed" : ""));
}

void settle_heights(const Material& material, const Point& size, Chooser& choose, SettledRelief& relief) {
    Cut& cut = relief.written.cuts[0];
    HeightsWishes& wishes = relief.heights;
    if (!choose.given("heights", cut.heights, std::string("tone"))) relief.assumed.push_back("No kind of heights was given: tone.");
    const std::vector<std::string>& kinds = option_named("heights")->words;
    wishes.kind = static_cast<HeightsKind>(std::find(kinds.begin(), kinds.end(), *cut.heights) - kinds.begin());
    const bool leveled = wishes.kind != HeightsKind::map && wishes.kind != HeightsKind::dome;  // the others take values as they are
    if (!choose.given("levels", cut.levels, Point{1, 99}) && leveled)
        relief.assumed.push_back("No levels were given: the darkest and the lightest 1 % of the picture count as black and white.");
    choose.given("gamma", cut.gamma, 1.0);
    choose.given("invert", cut.invert, false);
    const double usual_smooth = wishes.kind == HeightsKind::tone ? tone_smooth : 0;
    if (!choose.given("smooth", cut.smooth, usual_smooth) && usual_smooth > 0)
        relief.assumed.push_back(
            fmt::format("The picture's grain is smoothed over {} mm, edges are kept (--smooth).", number_text(usual_smooth)));
    choose.given("detail", cut.detail, 1.0);
    choose.given("steepest", cut.steepest, 90.0);
    if (!choose.given("border", cut.border, std::string("step")))
        relief.assumed.push_back("No border was given: the edge of the relief is a wall from the stock top down (step).");
    choose.given("rotate", cut.rotate, 0.0);
    choose.given("mirror", cut.mirror, false);
    const double thickness = relief.stock.thickness;
    if (wishes.kind == HeightsKind::transmit) {
        choose.given("least-thickness", cut.least_thickness, 0.8);
        choose.given("most-thickness", cut.most_thickness, thickness);
        if (*cut.most_thickness > thickness)
            throw refused(fmt::format("--most-thickness {} is more than the stock's {} mm.", number_text(*cut.most_thickness),
                                      number_text(thickness)));
        if (*cut.least_thickness >= *cut.most_thickness)
            throw refused(fmt::format("--least-thickness {} leaves nothing to cut of a plate of {} mm. Give a smaller one.",
                                      number_text(*cut.least_thickness), number_text(*cut.most_thickness)));
        choose.given("depth", cut.depth, thickness - *cut.least_thickness);
        wishes.least_thickness = *cut.least_thickness;
        wishes.most_thickness = *cut.most_thickness;
    } else if (!choose.given("depth", cut.depth, 2.0)) {
        relief.assumed.push_back("No depth was given: 2 mm.");
    }
    check_depth(*cut.depth, thickness, relief.stock.assumed);
    wishes.width = size.x;
    wishes.height = size.y;
    wishes.depth = *cut.depth;
    wishes.black = cut.levels->x;
    wishes.white = cut.levels->y;
    wishes.gamma = *cut.gamma;
    wishes.invert = *cut.invert;
    wishes.smooth = *cut.smooth;
    wishes.detail = *cut.detail;
    wishes.steepest_deg = *cut.steepest;
    wishes.border_blend = parse_border(*cut.border);
    if (wishes.kind == HeightsKind::dome && !choose.given("dome-rise", cut.dome_rise, *cut.depth))
        relief.assumed.push_back(fmt::format("The dome rises at most {} mm above its ground, the depth: wide figures flatten out there.",
                                             number_text(*cut.dome_rise)));
    const double rise = cut.dome_rise.value_or(0);
    wishes.dome_limit = rise > *cut.depth ? 0 : rise;  // beyond the depth: free, and pressed down to it
    wishes.mu_per_mm = material.mu_per_mm;
    wishes.stock_thickness = thickness;
    relief.rotate_deg = *cut.rotate;
    relief.mirror = *cut.mirror;
}

void settle_bits(const Workshop& workshop, SettledRelief& relief) {
    Cut& cut = relief.written.cuts[0];
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
        Feeds feeds = reckon_feeds(bit, relief.material, relief.machine, wishes, k + 1 < workshop.bits.size());
        choose.given("feed", use.wishes.feed, feeds.feed);
        choose.given("plunge", use.wishes.plunge, feeds.plunge);
        choose.given("speed", use.wishes.speed, feeds.rpm);
        choose.given("depth-per-pass", use.wishes.depth_per_pass, feeds.depth_per_pass);
        use.use = bit.name();  // a file's bit is known by its name from here on, its sizes are written out
        use.bit = bit;
        if (const double most = relief.machine.most_feed; feeds.feed > most)
            throw refused(fmt::format("A feed of {} mm/min is more than the {} mm/min at which '{}' can cut. Give a smaller --feed.",
                                      number_text(feeds.feed), number_text(most), relief.machine.name));
        if (const double most = relief.machine.rapid[2]; feeds.plunge > most)
            throw refused(fmt::format("A plunge of {} mm/min is more than the {} mm/min at which '{}' can move Z. Give a smaller --plunge.",
                                      number_text(feeds.plunge), number_text(most), relief.machine.name));
        for (const std::string& warning : feeds.warnings)  // what is true of all bits is said once
            if (std::find(relief.warnings.begin(), relief.warnings.end(), warning) == relief.warnings.end())
                relief.warnings.push_back(warning);
        relief.bits.push_back({bit, std::move(feeds)});
    }
}

/// Down to ten-thousandths, far finer than any machine, so that job files read well; ridges stay within what was asked.
double rounded_stepover(double mm) { return mm < 0.01 ? mm : std::floor(mm * 1e4 + 1e-6) / 1e4; }

void settle_lines(const Point& area, Chooser& choose, SettledRelief& relief) {
    Cut& cut = relief.written.cuts[0];
    const Bit& finishing = relief.bits.back().bit;
    if (cut.scallop && cut.stepover) throw Error(Fault::usage, "--stepover and --scallop say the same in two ways: give one of them.");
    double stepover = reckon_stepover(finishing);
    if (cut.scallop) {
        if (finishing.round_radius() > 0)
            stepover = rounded_stepover(scallop_stepover(finishing.round_radius(), std::min(*cut.scallop, finishing.round_radius())));
        else
            relief.warnings.push_back(fmt::format("--scallop says nothing for '{}', which has no round tip: lines lie {} mm apart.",
                                                  finishing.name(), number_text(stepover)));
    }
    const bool stepover_given = choose.given("stepover", cut.stepover, stepover);
    relief.stepover = *cut.stepover;
    relief.scallop = scallop_of(finishing, relief.stepover);
    if (!stepover_given)
        relief.assumed.push_back(cut.scallop && finishing.round_radius() > 0
                                     ? fmt::format("Finishing lines lie {:.3f} mm apart along the surface, for ridges of {} mm (plane "
                                                   "geometry; Machinery's Handbook, milling).",
                                                   relief.stepover, number_text(*cut.scallop))
                                     : fmt::format("Finishing lines lie {} mm apart along the surface, reckoned from the tip of {}; ridges "
                                                   "of {:.4f} mm stay between them.",
                                                   number_text(relief.stepover), finishing.name(), relief.scallop));
    if (relief.stepover >= finishing.diameter())
        throw refused(
            fmt::format("The stepover of {} mm is not smaller than the finishing bit '{}': strips would stay uncut between the lines. Give "
                        "a smaller --stepover.",
                        number_text(relief.stepover), finishing.name()));
    if (!choose.given("allowance", cut.allowance, 0.3) && relief.bits.size() > 1)
        relief.assumed.push_back("Roughing leaves 0.3 mm above floors and beside walls for the finishing bit (common practice).");
    relief.allowance = *cut.allowance;
    // Beyond that the finishing bit would meet more beside a wall than the roughing bit itself may take at once.
    if (const double most = relief.bits.front().bit.diameter() / 2; relief.bits.size() > 1 && relief.allowance > most)
        throw refused(fmt::format(
            "An allowance of {} mm is more than half of the roughing bit's diameter ({} mm): that bit would hardly rough, and '{}' would "
            "have to take nearly everything. Give a smaller --allowance.",
            number_text(relief.allowance), number_text(most), finishing.name()));
    choose.given("angle", cut.angle, 0.0);
    choose.given("one-way", cut.one_way, false);
    if (!choose.given("tolerance", cut.tolerance, 0.005))
        relief.assumed.push_back("Paths are thinned within 0.005 mm of the exact ones, and never downwards.");
    relief.angle_deg = *cut.angle;
    relief.one_way = *cut.one_way;
    relief.tolerance = *cut.tolerance;
    if (!choose.given("cell", cut.cell, reckon_cell(finishing, area.x, area.y)))
        relief.assumed.push_back(fmt::format("Everything is computed on cells of {} mm, reckoned from the finishing bit{}.",
                                             number_text(*cut.cell),
                                             *cut.cell > reckon_cell(finishing, 1, 1) ? " and coarsened for the size of the stock" : ""));
    relief.heights.cell = *cut.cell;
    if (rides_on_edge(finishing) && *cut.cell > edge_cell && *cut.cell <= coarsest_provable &&
        area.x / edge_cell * (area.y / edge_cell) <= most_cells_reckoned) {
        relief.heights.cell = edge_cell;
        relief.assumed.push_back(fmt::format(
            "Cells of {} mm are used instead of {}: how deep the edge of a flat tip gets between two slopes depends on half a cell.",
            number_text(edge_cell), number_text(*cut.cell)));
    }
    if (*cut.cell > coarsest_provable)
        relief.warnings.push_back(
            fmt::format("Cells of {} mm are coarser than the {} mm by which a wall may move sideways: only gentle surfaces pass the proof. "
                        "Leave --cell out.",
                        number_text(*cut.cell), number_text(coarsest_provable)));
    if (area.x / *cut.cell * (area.y / *cut.cell) > most_cells_given)
        throw refused(
            fmt::format("Cells of {} mm make more than {:.0f} million over this stock. Give a larger --cell or a smaller --stock.",
                        number_text(*cut.cell), most_cells_given / 1e6));
}

}  // namespace

double reckon_cell(const Bit& finishing, double width, double height) {
    const double wanted = finishing.tip_diameter() / 2 / 5;
    const double most = rides_on_edge(finishing) ? edge_cell : 0.1;
    double cell = std::min(most, wanted >= 0.1 - 1e-9 ? 0.1 : wanted >= 0.05 - 1e-9 ? 0.05 : 0.02);
    for (const double coarser : {0.05, coarsest_provable})
        if (width / cell * (height / cell) > most_cells_reckoned && coarser > cell) cell = coarser;
    return cell;
}

double reckon_stepover(const Bit& finishing) {
    const double tenth = rounded_stepover(finishing.tip_diameter() / 10);
    if (finishing.shape() != BitShape::vee) return tenth;
    const double steepness = std::numbers::pi / 2 - finishing.spec().angle / 2;  // of the vee's side
    const double floors = finishing.spec().tip + 2 * vee_ridge / std::tan(steepness);
    // On a slope φ the flat of the tip bridges from one groove to the next: s sin(a − φ) sin φ / sin a, most at φ = a/2.
    const double slopes = 2 * vee_ridge / std::tan(steepness / 2);
    return std::max(tenth, std::floor(std::min(floors, slopes) * 1000) / 1000);
}

double scallop_of(const Bit& bit, double stepover) {
    switch (bit.shape()) {
        case BitShape::ball:
        case BitShape::taper:
            return scallop_height(bit.round_radius(), stepover);
        case BitShape::vee:
            return std::max(0.0, (stepover - bit.spec().tip) / 2 / std::tan(bit.spec().angle / 2));
        case BitShape::bull:
            return scallop_height(bit.round_radius(), std::min(stepover, 2 * bit.round_radius()));
        default:
            return 0;
    }
}

Workshop find_workshop(const Job& job, const PresetFolders& presets) {
    const Cut& cut = job.cuts.at(0);
    Workshop found{.machine = job.machine_table ? *job.machine_table : find_machine(presets, job.machine.value_or("desk-240x150")),
                   .material = job.material_table ? *job.material_table : find_material(presets, job.material.value_or("pine")),
                   .bits = {}};
    if (cut.bits.empty())
        for (const char* usual : {"flat:3.175", "ball:1.0"}) found.bits.push_back(find_bit(presets, usual));
    for (const BitUse& use : cut.bits) found.bits.push_back(use.bit ? *use.bit : find_bit(presets, use.use));
    if (!found.machine.spindle)
        throw refused(
            fmt::format("The machine '{}' has no spindle, and a relief is cut with one. Give a router with --machine; `burin list "
                        "machines` names them.",
                        found.machine.name));
    if (job.stock && cut.depth) check_depth(*cut.depth, parse_stock(*job.stock).thickness, false);
    for (const Bit& bit : found.bits)
        if (bit.shape() == BitShape::drill)
            throw refused(
                fmt::format("The bit '{}' is a drill: it goes straight down only, and a relief is cut sideways. Give a flat, ball, "
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

SettledRelief settle_relief(const Job& job, const Workshop& workshop, const Picture& picture, const std::string& sha256) {
    SettledRelief relief;
    relief.written = job;
    Job& written = relief.written;
    const Cut& cut = job.cuts.at(0);
    Cut& written_cut = written.cuts.at(0);
    Chooser choose(written.reckoned), choose_cut(written_cut.reckoned);

    const std::filesystem::path path(*cut.picture);
    relief.picture_name = path.filename().string();
    choose.given("name", written.name, path.stem().string());
    relief.name = *written.name;
    written_cut.sha256 = sha256;

    relief.machine = workshop.machine;
    relief.material = workshop.material;
    if (!job.machine) {
        choose.reckoned("machine");
        relief.assumed.push_back(fmt::format("No machine was given: '{}'.", relief.machine.name));
    }
    if (!job.material) {
        choose.reckoned("material");
        relief.assumed.push_back(fmt::format("No material was given: {}.", relief.material.name));
    }
    written.machine = relief.machine.name;
    written.material = relief.material.name;
    written.machine_table = relief.machine;
    written.material_table = relief.material;
    if (cut.bits.empty()) {
        choose_cut.reckoned("bit");
        relief.assumed.push_back("No bits were given: flat:3.175 for roughing and ball:1.0 for finishing.");
    }
    if (cut.bits.empty())
        for (const Bit& bit : workshop.bits) written_cut.bits.emplace_back().use = bit.name();

    const Point flat_size = settle_size(cut, picture, choose_cut, written_cut, relief);
    const Point size = turned_size(flat_size, cut.rotate.value_or(0));
    settle_stock(cut, size, choose, choose_cut, relief);
    settle_heights(relief.material, flat_size, choose_cut, relief);
    choose_cut.given("megapixels", written_cut.megapixels, PictureLimits{}.most_megapixels);
    check_fit(relief, size, workshop.bits);
    if (!choose.given("safe-height", written.safe_height, 3.0))
        relief.assumed.push_back("No safe height was given: the bit travels 3 mm above the stock top.");
    choose.given("inch", written.inch, false);
    choose.given("one-file", written.one_file, false);
    relief.safe_height = *written.safe_height;
    relief.inch = *written.inch;
    relief.one_file = *written.one_file;
    relief.lift = written.air.value_or(0);
    settle_bits(workshop, relief);
    settle_lines({relief.stock.bounds.width(), relief.stock.bounds.height()}, choose_cut, relief);
    relief.trial = written.trial;
    relief.trial_at = written.trial_at;
    return relief;
}

}  // namespace burin
