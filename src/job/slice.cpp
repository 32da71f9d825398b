/// The command slice: photo and marks in, a stock file and pictures of what was found out. The work is design's; here are the questions and
/// the words.
#include "burin/job/slice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/design/slice.hpp"
#include "burin/job/options.hpp"
#include "burin/report/piece_pictures.hpp"
#include "burin/workshop/traced_piece.hpp"

namespace burin {
namespace {

constexpr double rim = 6;             // mm of table round the piece in the pictures
constexpr double most_pixels = 1800;  // of the pictures' longer side
constexpr std::size_t most_points = 20000;

struct View {
    Homography to_mm{};
    std::vector<Point> marks;  ///< pixels from the lower left corner
};

View view_of(const RunOptions& run, const Picture& photo, const Crew& crew) {
    const auto upright = [&](const Point& p) {
        if (p.x > photo.width || p.y > photo.height)
            throw Error(Fault::usage, fmt::format("The place {},{} lies outside the photo, which has {} × {} pixels.", number_text(p.x),
                                                  number_text(p.y), photo.width, photo.height));
        return Point{p.x, photo.height - p.y};
    };
    if (run.distance && (run.marks || run.marks_size))
        throw Error(Fault::usage, "--distance and --marks both say how the photo lies: give one of them.");
    if (run.distance) {
        const KnownDistance known = parse_distance(*run.distance);
        return {view_by_distance(upright(known.a), upright(known.b), known.mm), {upright(known.a), upright(known.b)}};
    }
    if (!run.marks_size)
        throw Error(Fault::usage, run.marks ? "How large the rectangle of the four marks is was not said: add --marks-size, as in 120x80."
                                            : "How large things are in the photo was not said: give --distance X,Y,X,Y,MM for a photo from "
                                              "straight above, or --marks with --marks-size.");
    std::array<Point, 4> corners{};
    if (run.marks) {
        corners = parse_marks(*run.marks);
        for (Point& p : corners) p = upright(p);
    } else {
        crew.say("looking for the marks");
        corners = printed_marks(photo, crew);
    }
    return {view_by_marks(corners, *run.marks_size), {corners.begin(), corners.end()}};
}

SliceFound found_in(const Order& order, const Picture& photo, const View& view, const Crew& crew) {
    if (!order.run.drawn_outline) return find_slice(photo, view.to_mm, {.bark = order.run.bark.value_or("found") == "found"}, crew);
    const std::string& file = *order.run.drawn_outline;
    std::vector<Point> points = read_outline(read_text(file, "drawn outline"), file);
    for (Point& p : points) p.y = photo.height - p.y;
    return slice_by_hand(points, view.to_mm);
}

TracedPiece piece_of(const SliceFound& found, const View& view, const StraightPhoto& straight, double thickness) {
    TracedPiece piece(found.outer, found.wood, thickness);
    piece.photo = "straight.png";
    piece.photo_box = straight.box;
    for (const Point& p : view.marks) piece.marks.push_back(mapped(view.to_mm, p));
    return piece;
}

std::string figures_json(const TracedPiece& piece, const SliceFound& found) {
    const auto figure = [](double v) { return std::round(v * 1000) / 1000; };
    nlohmann::ordered_json j;
    j["burin"] = BURIN_VERSION;
    const Box box = piece.outer().bounds();
    j["width_mm"] = figure(box.width());
    j["height_mm"] = figure(box.height());
    j["thickness_mm"] = figure(piece.thickness());
    j["area_mm2"] = figure(piece.outer().area());
    j["wood_area_mm2"] = figure(piece.wood().area());
    j["bark_mm"] = piece.has_bark() ? nlohmann::ordered_json(figure(found.bark)) : nlohmann::ordered_json(nullptr);
    j["pixels_per_mm"] = figure(found.pixels_per_mm);
    j["edge_clear_share"] = figure(found.sure);
    j["edge_contrast"] = figure(found.contrast);
    j["warnings"] = found.warnings;
    return j.dump(2) + "\n";
}

std::vector<std::string> summary_of(const TracedPiece& piece, const SliceFound& found, const std::string& folder) {
    const Box box = piece.outer().bounds();
    std::vector<std::string> lines{fmt::format("The piece measures {:.1f} × {:.1f} mm over all; {:.0f} mm² of wood can be cut.",
                                               box.width(), box.height(), piece.wood().area())};
    lines.push_back(piece.has_bark() ? fmt::format("Bark, {:.1f} mm wide on average, is left out.", found.bark)
                                     : std::string("No bark was told from the wood: the whole piece counts as wood."));
    lines.push_back(fmt::format("Look at {0}/slice.png: the lines must follow the piece. Then cut with --stock {0}/slice.toml", folder));
    lines.emplace_back(
        "On the machine the piece must lie turned as in that picture (1° shifts the rim of a 90 mm piece by 0.8 mm): before you take it "
        "away, "
        "draw a pencil line across it that runs along the picture's lower edge.");
    lines.emplace_back(
        "The marks must lie in the plane of the piece's top: on the table below they make it look larger than it is. Measure the piece "
        "once "
        "across with a rule before you trust the figures; a lens that bends straight lines is not reckoned with.");
    return lines;
}

}  // namespace

std::vector<Point> read_outline(std::string_view text, const std::string& origin) {
    std::vector<Point> points;
    std::size_t number = 0;
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t end = std::min(text.find('\n', from), text.size());
        std::string line(text.substr(from, end - from));
        from = end + 1;
        ++number;
        if (!line.empty() && line.front() == '#') continue;
        std::replace_if(
            line.begin(), line.end(), [](char c) { return c == ',' || c == ';' || c == '\t' || c == '\r'; }, ' ');
        std::vector<std::string> words;
        for (std::size_t at = 0; (at = line.find_first_not_of(' ', at)) != std::string::npos && words.size() < 3;) {
            const std::size_t stop = std::min(line.find(' ', at), line.size());
            words.push_back(line.substr(at, stop - at));
            at = stop;
        }
        if (words.empty()) continue;
        try {
            if (words.size() != 2) throw Error(Fault::input, "");
            points.push_back({parse_number(words[0]), parse_number(words[1])});
        } catch (const Error&) {
            if (points.empty() && number == 1) continue;  // names of the columns
            throw Error(Fault::input,
                        fmt::format("{}, line {}: two numbers are wanted here, the pixels from the photo's left and top, as in "
                                    "412,230.",
                                    origin, number));
        }
        const Point& p = points.back();
        if (!(std::abs(p.x) <= 1e6 && std::abs(p.y) <= 1e6))
            throw Error(Fault::input, fmt::format("{}, line {}: this place lies outside every photo.", origin, number));
        if (points.size() > most_points)
            throw Error(Fault::input,
                        fmt::format("{} holds more than {} points, which no outline needs. Draw it with fewer.", origin, most_points));
    }
    if (points.size() < 3)
        throw Error(Fault::input, fmt::format("{} holds {} points, and an outline needs three or more.", origin, points.size()));
    return points;
}

Finished make_slice(const Order& order, const PresetFolders&, const Crew& crew) {
    const Cut& cut = order.job.cuts.at(0);
    if (!cut.thickness) throw Error(Fault::usage, "How thick the piece is was not said: measure it, and add --thickness MM.");
    PictureLimits limits;
    if (cut.megapixels) limits.most_megapixels = *cut.megapixels;
    const std::string& name = order.arguments.at(0);
    const Picture photo = read_picture(read_file(name, "photo"), name, limits);
    const View view = view_of(order.run, photo, crew);
    const SliceFound found = found_in(order, photo, view, crew);
    const Box box = Region({found.outer}, FillRule::nonzero).bounds();
    if (!(std::max(box.width(), box.height()) < 3000))
        throw Error(Fault::refused, "The piece would be more than 3 m long. Look at the distance, or the size of the marks, again.");
    const Box shown{{box.lo.x - rim, box.lo.y - rim}, {box.hi.x + rim, box.hi.y + rim}};
    const double pixel = std::max(1 / found.pixels_per_mm, std::max(shown.width(), shown.height()) / most_pixels);
    crew.say("straightening the photo");
    const StraightPhoto straight = straight_photo(photo, view.to_mm, shown, pixel, crew);
    const TracedPiece piece = piece_of(found, view, straight, *cut.thickness);
    Finished made;
    made.files.push_back({"straight.png", straight_png(straight)});
    made.files.push_back({"slice.png", traced_png(straight, piece, crew)});
    made.files.push_back({"slice.toml", write_traced_piece(shifted(piece, {-box.lo.x, -box.lo.y}))});
    made.files.push_back({"report.json", figures_json(piece, found)});
    made.summary = summary_of(piece, found, order.run.output.value_or("."));
    made.warnings = found.warnings;
    return made;
}

}  // namespace burin
