/// A board from both sides: the cuts from above are one job, those from below another, on the same stock with the same zero, so that no
/// program holds both. Layers lie on one another by their drawings' own corners: all of them have one size and one place.
#include "sides.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "board_field.hpp"
#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/report/board_sheet.hpp"
#include "fmt/format.h"
#include "settle.hpp"
#include "source.hpp"

namespace burin {
namespace {

using Json = nlohmann::ordered_json;

bool from_below(const Cut& cut) { return cut.layer == "bottom"; }
bool in_layers(const Cut& cut) { return cut.picture && (cut.make == "isolate" || cut.make == "drill" || cut.coating == "resist"); }
/// The board's edge lies on the layers too, where its file says where they are.
bool lies_on_layers(const Cut& cut) { return in_layers(cut) || cut.board_field; }

Job side_of(const Job& job, bool below) {
    Job side = job;
    side.side = below ? "bottom-" : "top-";
    std::erase_if(side.cuts, [&](const Cut& cut) { return from_below(cut) != below; });
    return side;
}

/// All layers lie in the same place, as the person said it.
void check_places(const Job& job) {
    if (!job.stock)
        throw Error(Fault::usage,
                    "A board that is made from both sides needs its stock: give stock, such as stock = \"50x40x1.6\". Both sides "
                    "must lie on the same piece.");
    if (!job.keep_outs.empty())
        throw Error(
            Fault::usage,
            "A board that is turned over is clamped anew for its other side, so keep-out says nothing here. Make a job of each side, "
            "with its own clamps.");
    if (job.one_file.value_or(false))
        throw Error(Fault::usage,
                    "--one-file says nothing here: the board is turned over between the programs of its two sides. Leave it out.");
    const Cut* first = nullptr;
    std::optional<std::string> way;
    for (const Cut& cut : job.cuts) {
        if (from_below(cut) && cut.turn_over) {
            if (way && *way != *cut.turn_over)
                throw Error(Fault::usage, "Two cuts of the bottom turn the board over in different ways: give them the same --turn-over.");
            way = cut.turn_over;
        }
        if (!lies_on_layers(cut)) continue;
        if (!first) first = &cut;
        const auto same = [&](const auto& member) { return cut.*member == first->*member; };
        if (!same(&Cut::at) || !same(&Cut::rotate) || !same(&Cut::mirror) || !same(&Cut::anchor) || !same(&Cut::rows) ||
            !same(&Cut::columns) || !same(&Cut::trim) || !same(&Cut::width) || !same(&Cut::height) || !same(&Cut::board_field))
            throw Error(Fault::usage,
                        "Two layers of the board are placed or sized differently (width, height, at, rotate, mirror, anchor, "
                        "rows, columns, trim, board-field): give them the same, or their holes will not meet.");
    }
}

/// The layers as drawn.
void load_layers(const Job& job, BoardSheet& sheet, const Crew& crew) {
    std::optional<Point> size;
    for (const Cut& cut : job.cuts) {
        if (!in_layers(cut)) continue;
        const Source source = load_source(one_cut(job, cut), crew);
        const Point own{source.drawing.width, source.drawing.height};
        constexpr double alike = 0.05;
        if (size && (std::abs(size->x - own.x) > alike || std::abs(size->y - own.y) > alike))
            throw Error(Fault::usage,
                        fmt::format("The layers of the board are of different sizes: '{}' is {:.2f} × {:.2f} mm, those before it "
                                    "{:.2f} × {:.2f} mm. Draw all of them on a sheet of one size.",
                                    source.name, own.x, own.y, size->x, size->y));
        size = own;
        if (cut.make == "drill") {
            for (const Figure& figure : source.drawing.region.figures()) {
                const Point at = mass_of(figure.outer).centroid;
                const auto there = [&](const Point& other) { return distance(at, other) < alike; };
                if (std::none_of(sheet.holes.begin(), sheet.holes.end(), there)) sheet.holes.push_back(at);
            }
        } else {
            Region& copper = from_below(cut) ? sheet.copper_below : sheet.copper_above;
            copper = united(copper, source.drawing.region);
        }
    }
    if (sheet.copper_above.empty() || sheet.copper_below.empty()) return;
    if (!meet(sheet.copper_above.bounds(), sheet.copper_below.bounds()))
        throw Error(Fault::refused,
                    "The two layers do not overlap anywhere: one of them is drawn beside the other. Draw both as seen from "
                    "above, on sheets of one size.");
}

BoardSide side_in(const Json& report, const std::string& name) {
    BoardSide side{name, name + "-report.html", {}};
    for (const Json& program : report["programs"])
        side.programs.push_back({program["file"].get<std::string>(), program["tool"].get<std::string>(), program["time_s"].get<double>()});
    return side;
}

const std::string& content(const Finished& finished, const std::string& name) {
    const auto found =
        std::find_if(finished.files.begin(), finished.files.end(), [&](const OutputFile& file) { return file.name == name; });
    return found->content;
}

/// Both sides' cuts as they were settled, in the job's own order.
Job whole_job(const Job& job, const Finished& above, const Finished& below) {
    Job top = read_job(content(above, "job.toml"), "job.toml", "/");
    const Job bottom = read_job(content(below, "job.toml"), "job.toml", "/");
    std::vector<Cut> cuts;
    std::size_t from_top = 0, from_bottom = 0;
    for (const Cut& cut : job.cuts) cuts.push_back(from_below(cut) ? bottom.cuts.at(from_bottom++) : top.cuts.at(from_top++));
    top.cuts = std::move(cuts);
    return top;
}

Json report_of(const BoardSheet& sheet, const Json& above, const Json& below) {
    Json j;
    for (const char* key : {"job", "burin", "machine", "material", "stock", "zero"}) j[key] = above[key];
    j["command"] = "make";
    j["time_s"] = above["time_s"].get<double>() + below["time_s"].get<double>();
    j["programs"] = above["programs"];
    for (const Json& program : below["programs"]) j["programs"].push_back(program);
    j["proof"]["holds"] = above["proof"]["holds"].get<bool>() && below["proof"]["holds"].get<bool>();
    Json& board = j["board"];
    board["pieces_top"] = sheet.nets.top, board["pieces_bottom"] = sheet.nets.bottom;
    board["holes"] = sheet.nets.holes, board["joining_holes"] = sheet.nets.joining;
    board["nets"] = sheet.nets.nets;
    j["sides"] = {above, below};
    j["warnings"] = sheet.warnings;
    j["cautions"] = sheet.cautions;
    return j;
}

void take_files(Finished&& side, const std::string& prefix, Finished& whole) {
    for (OutputFile& file : side.files) {
        if (file.name == "job.toml" || file.name == "report.json") continue;
        if (!file.name.starts_with(prefix)) file.name.insert(0, prefix);
        whole.files.push_back(std::move(file));
    }
    whole.summary.insert(whole.summary.end(), side.summary.begin(), side.summary.end());
}

}  // namespace

bool has_two_sides(const Job& job) {
    return std::any_of(job.cuts.begin(), job.cuts.end(), from_below) && !std::all_of(job.cuts.begin(), job.cuts.end(), from_below);
}

Finished run_sides(const Job& job, const Crew& crew, const std::function<Finished(const Job&)>& make) {
    check_places(job);
    BoardSheet sheet;
    load_layers(job, sheet, crew);
    sheet.nets = net_list(sheet.copper_above, sheet.copper_below, sheet.holes);
    Finished above = make(side_of(job, false)), below = make(side_of(job, true));
    const Json top = Json::parse(content(above, "report.json")), bottom = Json::parse(content(below, "report.json"));
    const Job written = whole_job(job, above, below);
    sheet.name = written.name.value_or("board");
    sheet.version = BURIN_VERSION;
    sheet.top = side_in(top, "top"), sheet.bottom = side_in(bottom, "bottom");
    for (const Cut& cut : job.cuts)
        if (from_below(cut)) sheet.left_right = cut.turn_over.value_or("left-right") == "left-right";
    sheet.stock = fmt::format("{} mm", *written.stock);
    for (const auto& caution : top["cautions"]) sheet.cautions.push_back(caution.get<std::string>());
    for (const Finished* side : {&above, &below})
        for (const std::string& warning : side->warnings) sheet.warnings.push_back((side == &above ? "Top: " : "Bottom: ") + warning);
    std::string bare;
    for (const Point& hole : sheet.nets.missing) bare += fmt::format("{}X{:.2f} Y{:.2f}", bare.empty() ? "" : ", ", hole.x, hole.y);
    if (!bare.empty())
        sheet.warnings.push_back(fmt::format(
            "These holes meet no copper on either side, which is right for screws and wrong for parts: {} of the drawing.", bare));
    Finished whole;
    whole.warnings = sheet.warnings;
    take_files(std::move(above), "top-", whole);
    take_files(std::move(below), "bottom-", whole);
    if (sheet.nets.holes > 0)
        whole.summary.push_back(fmt::format("{} pieces above and {} below, joined by {} holes: {} nets.", sheet.nets.top, sheet.nets.bottom,
                                            sheet.nets.joining, sheet.nets.nets));
    whole.files.push_back({"job.toml", write_job(written)});
    whole.files.push_back({"report.html", board_sheet_html(sheet)});
    whole.files.push_back({"report.json", report_of(sheet, top, bottom).dump(2) + "\n"});
    return whole;
}

}  // namespace burin
