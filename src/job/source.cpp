/// From what a cut names to figures in millimetres: files are opened here, everything else is the room design's affair.
#include "source.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <string_view>

#include "board_field.hpp"
#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/base/utf8.hpp"
#include "burin/design/alphabet.hpp"
#include "burin/design/board_file.hpp"
#include "burin/design/lettering.hpp"
#include "burin/design/shapes.hpp"
#include "burin/design/svg.hpp"
#include "burin/job/options.hpp"
#include "burin/workshop/fonts.hpp"
#include "reckoned.hpp"
#include "settle.hpp"

namespace burin {
namespace {

constexpr std::size_t most_picture_bytes = std::size_t{4} << 30;

[[nodiscard]] Error usage(const std::string& sentence) { return {Fault::usage, sentence}; }

void check_steps(const Cut& cut, const char* needed) {
    if (cut.steps.value_or(1) > 1) throw usage(fmt::format("--steps says nothing here: it belongs to {}.", needed));
}

void check_kind(const Cut& cut) {
    if (!cut.picture) check_steps(cut, "pictures of pixels, for their greys");
    const int kinds = (cut.picture ? 1 : 0) + (cut.text ? 1 : 0) + (cut.shape ? 1 : 0);
    if (kinds == 0) throw usage("Nothing was given to be cut: name a picture, or give --text or --shape.");
    if (kinds > 1)
        throw usage("A cut is made from one thing: a picture, a --text or a --shape. Give each a [[cut]] of its own in a job file.");
    if (!cut.text)
        check_in_vain(cut, "--text", {"font", "cap-height", "text-align", "letter-spacing", "line-pitch", "fit-width", "arc", "reading"});
    if (!cut.shape) check_in_vain(cut, "--shape", {"diameter", "inner-diameter", "corner-radius", "corners", "length", "thickness"});
    if (!cut.picture)
        check_in_vain(cut, "pictures", {"threshold", "ink", "invert", "trim", "despeckle", "close-holes", "smooth", "megapixels"});
    if (cut.text) check_in_vain(cut, "pictures and shapes", {"width", "height"});
    if (!cut.arc) check_in_vain(cut, "--arc", {"reading"});
}

/// The bytes of a file that a job names, held against what an earlier run saw of it.
Bytes checked_bytes(const std::string& path, const char* kind, const Cut& cut, Source& source, std::size_t most) {
    if (!is_utf8(path))
        throw Error(
            Fault::input,
            fmt::format("The {}'s name holds bytes that are no letters (no UTF-8), which the job file could not say. Rename it.", kind));
    Bytes bytes = read_file(path, kind, most);
    source.sha256 = sha256(text_of(bytes));
    if (cut.sha256 && *cut.sha256 != source.sha256)
        throw Error(Fault::input, fmt::format("The {0} '{1}' is not the one that the job was made with: its SHA-256 differs. Put the "
                                              "old {0} there, or take the line sha256 out of the job file.",
                                              kind, path));
    return bytes;
}

/// The outermost of several tones; all of them go into `source.steps`. Thresholds lie midway between N + 1 tones evenly spread.
Tracing trace_tones(const Cut& cut, const TraceWishes& wishes, int steps, Source& source, const Crew& crew) {
    check_in_vain(cut, "drawings of one tone", {"threshold", "ink"});
    if (cut.part == "ground") throw usage("--steps lowers every tone by its own depth, so there is no --part ground: leave it out.");
    std::vector<double> values;
    for (int k = 1; k <= steps; ++k) values.push_back(1 - (k - 0.5) / steps);
    std::vector<Tracing> tones = trace_steps(source.picture, wishes, values, crew);
    for (Tracing& tone : tones) {
        if (tone.region.empty()) {
            tones.front().notes.push_back(
                fmt::format("The picture holds {} of the {} steps of grey: darker ones are missing.", source.steps.size(), steps));
            break;
        }
        source.steps.push_back(tone.region);
    }
    return std::move(tones.front());
}

/// Pictures that say their own size are traced whole and cut to the ink then; others are cut while they are traced.
void trace(const Cut& cut, Source& source, const Crew& crew) {
    const TraceWishes wishes = settle_trace(cut, source.picture);
    crew.say("tracing");
    Tracing tracing;
    if (const auto steps = static_cast<int>(cut.steps.value_or(1)); steps > 1)
        tracing = trace_tones(cut, wishes, steps, source, crew);
    else
        tracing = trace_drawing(source.picture, wishes, crew);
    if (cut.trim.value_or(false) && !wishes.trim) {
        const Box ink = tracing.region.bounds();
        const Point back{-ink.lo.x, -ink.lo.y};
        for (Region& step : source.steps) step = moved(step, 0, false, back);
        tracing.region = moved(tracing.region, 0, false, back);
        tracing.dropped = moved(tracing.dropped, 0, false, back);
        tracing.width = ink.width();
        tracing.height = ink.height();
    }
    if (!cut.trim.value_or(false)) source.picture_box = {{0, 0}, {tracing.width, tracing.height}};
    source.dropped = std::move(tracing.dropped);
    source.drawing = {std::move(tracing.region),  {}, tracing.width, tracing.height, {}, std::move(tracing.notes),
                      std::move(tracing.warnings)};
}

LetteringWishes lettering_wishes(const Cut& cut) {
    LetteringWishes wishes;
    wishes.text = *cut.text;
    wishes.cap_height = cut.cap_height.value_or(usual_cap_height);
    wishes.align = cut.text_align == "left" ? Align::left : cut.text_align == "right" ? Align::right : Align::centre;
    wishes.spacing = cut.letter_spacing.value_or(0);
    wishes.line_pitch = cut.line_pitch.value_or(0);
    wishes.fit_width = cut.fit_width.value_or(0);
    wishes.arc_radius = cut.arc.value_or(0);
    wishes.arc_below = cut.reading == "bottom";
    return wishes;
}

void set_text(const Cut& cut, Source& source) {
    const LetteringWishes wishes = lettering_wishes(cut);
    source.name = cut.text->substr(0, cut.text->find('\n'));
    if (sets_single_lines(cut)) {
        source.drawing = alphabet_lines(wishes);
        source.drawing.notes.emplace_back("No font was given: letters of single lines.");
        return;
    }
    const FontFile font = find_font(cut.font.value_or(usual_font));
    const Bytes bytes = checked_bytes(font.path.string(), "font", cut, source, most_picture_bytes);
    source.drawing = lettering(text_of(bytes), font.face, font.name(), wishes);
    if (!cut.font) source.drawing.notes.push_back(fmt::format("No font was given: {}.", font.name()));
}

ShapeWishes shape_wishes(const Cut& cut) {
    ShapeWishes wishes;
    wishes.kind = *shape_named(*cut.shape);
    wishes.diameter = cut.diameter;
    wishes.inner = cut.inner_diameter;
    wishes.width = cut.width;
    wishes.height = cut.height;
    wishes.corner_radius = cut.corner_radius;
    if (cut.corners) wishes.corners = static_cast<int>(*cut.corners);
    wishes.length = cut.length;
    wishes.thickness = cut.thickness;
    return wishes;
}

/// Letters of an SVG, in the first of its families that is installed. Fonts that were read are kept for its next text.
class SvgFonts {
public:
    std::optional<SvgLettering> operator()(const SvgText& text) {
        const std::string style = text.bold && text.italic ? ":bold italic" : text.bold ? ":bold" : text.italic ? ":italic" : "";
        const std::string families = text.family + ",sans-serif";
        for (std::size_t from = 0; from < families.size();) {
            const std::size_t comma = std::min(families.find(',', from), families.size());
            const std::string family = plain(families.substr(from, comma - from));
            from = comma + 1;
            // A name in an SVG is a family and never a path: nothing but installed fonts is opened for it.
            if (family.empty() || family.find_first_of("/:.\\") != std::string::npos) continue;
            try {
                const Known& font = known(family + style);
                TextLine line = text_line(text_of(font.bytes), font.file.face, font.file.name(), text.text, text.size);
                return SvgLettering{std::move(line.region), line.advance};
            } catch (const Error&) {
                continue;  // the next family may do
            }
        }
        return {};
    }

private:
    struct Known {
        FontFile file;
        Bytes bytes;
    };
    [[nodiscard]] static std::string plain(std::string family) {
        std::erase_if(family, [](char c) { return c == '"' || c == '\''; });
        family.erase(0, family.find_first_not_of(' '));
        family.erase(family.find_last_not_of(' ') + 1);
        return family;
    }
    const Known& known(const std::string& wanted) {
        const auto found = known_.find(wanted);
        if (found != known_.end()) return found->second;
        const FontFile file = find_font(wanted);
        return known_.emplace(wanted, Known{file, read_file(file.path, "font")}).first->second;
    }
    std::map<std::string, Known> known_;
};

void draw_svg(const Cut& cut, const Bytes& bytes, Source& source) {
    SvgWishes wishes;
    wishes.width = cut.width.value_or(0);
    wishes.height = cut.height.value_or(0);
    wishes.trim = cut.trim.value_or(false);
    wishes.follow_strokes = cut.make == "stroke" || cut.cover == "lines";
    check_steps(cut, "pictures of pixels");
    check_in_vain(cut, "pictures of pixels", {"threshold", "ink", "invert", "despeckle", "close-holes", "smooth", "megapixels"});
    source.drawing =
        read_svg(text_of(bytes), source.name, wishes, [fonts = SvgFonts()](const SvgText& text) mutable { return fonts(text); });
}

/// What the file says it is must be what is made of it: copper cut from the wrong side is a mirrored board.
void check_part(const Cut& cut, const BoardFile& file, Source& source) {
    const auto says = [&](std::string_view word) { return file.part.find(word) != std::string::npos; };
    if ((cut.make == "isolate" || cut.coating == "resist") && says("Copper")) {
        const bool below = cut.layer == "bottom";
        if (says(",Bot") && !below)
            throw usage(fmt::format("'{}' says that it is the lower copper ({}). Add --layer bottom, so that it is cut mirrored.",
                                    source.name, file.part));
        if (says(",Top") && below)
            throw usage(fmt::format("'{}' says that it is the upper copper ({}): leave --layer bottom out.", source.name, file.part));
    }
    const bool copper = cut.make == "isolate" && !says("Copper"), edge = cut.make == "cutout" && !says("Profile");
    if (!file.part.empty() && (copper || edge))
        source.drawing.warnings.push_back(fmt::format("'{}' says of itself that it is {}, and is cut as {}.", source.name, file.part,
                                                      copper ? "copper" : "the board's edge"));
}

void read_board(const Cut& cut, const Bytes& bytes, Source& source) {
    check_steps(cut, "pictures of pixels");
    check_in_vain(cut, "pictures", {"threshold", "ink", "invert", "despeckle", "close-holes", "smooth", "megapixels", "trim"});
    check_in_vain(cut, "drawings that may be of any size, and a board's own files have theirs", {"width", "height", "fit"});
    BoardFile file = read_board_file(text_of(bytes), source.name, drill_hints(cut), meant_as_edge(cut));
    const Box field = cut.board_field ? parse_field(*cut.board_field) : file.region.bounds();
    check_part(cut, file, source);
    Drawing drawing = drawing_of(std::move(file), field);
    drawing.warnings.insert(drawing.warnings.end(), source.drawing.warnings.begin(), source.drawing.warnings.end());
    source.drawing = std::move(drawing);
    source.drawing.notes.push_back(fmt::format("X{:.2f} Y{:.2f} of '{}' is the lower left corner of the drawing (--board-field).",
                                               field.lo.x, field.lo.y, source.name));
}

}  // namespace

void check_in_vain(const Cut& cut, const char* needed, std::initializer_list<const char*> options) {
    for (const char* name : options)
        if (held_value(*option_named(name), {}, cut)) throw usage(fmt::format("--{} says nothing here: it belongs to {}.", name, needed));
}

Source load_source(const Job& job, const Crew& crew) {
    const Cut& cut = job.cuts.at(0);
    Source source;
    if (cut.make == "card") {
        if (cut.picture || cut.text || cut.shape)
            throw usage("A test card is drawn by the program: it takes no picture, --text or --shape.");
        source.name = "card";
        return source;
    }
    if (cut.make == "face") {
        if (cut.picture || cut.text || cut.shape)
            throw usage("Facing levels the whole stock: it takes no picture, --text or --shape. Cut those after it, in a job file.");
        source.name = "facing";
        return source;
    }
    check_kind(cut);
    if (cut.text) {
        crew.say("lettering");
        set_text(cut, source);
        return source;
    }
    if (cut.shape) {
        source.name = *cut.shape;
        source.drawing = shape(shape_wishes(cut));
        return source;
    }
    crew.say("picture");
    source.name = std::filesystem::path(*cut.picture).filename().string();
    const bool drawing = source.name.ends_with(".svg") || source.name.ends_with(".SVG");
    Bytes bytes = checked_bytes(*cut.picture, "picture", cut, source, drawing ? svg_most_bytes : most_picture_bytes);
    if (drawing || looks_like_svg(text_of(bytes))) {
        if (cut.make == "relief" || shows_tones(cut))
            throw Error(Fault::refused,
                        "An SVG has lines, and neither heights nor tones, which this is made from. Cut it with incise, pocket, "
                        "outline, stroke or cutout, or give a picture of pixels.");
        check_in_vain(cut, "Gerber and drill files", {"board-field", "drill-units", "drill-zeros", "drill-digits"});
        draw_svg(cut, bytes, source);
        return source;
    }
    if (board_file_kind(text_of(bytes), source.name) != BoardFileKind::none) {
        if (cut.make == "relief" || shows_tones(cut))
            throw Error(Fault::refused, "A board's file has lines, and neither heights nor tones. Cut it with isolate, drill or cutout.");
        read_board(cut, bytes, source);
        return source;
    }
    check_in_vain(cut, "Gerber and drill files", {"board-field", "drill-units", "drill-zeros", "drill-digits"});
    source.picture = read_picture(bytes, *cut.picture, {cut.megapixels.value_or(PictureLimits{}.most_megapixels)});
    if (cut.make != "relief" && !shows_tones(cut) && !burns_tones(cut)) trace(cut, source, crew);
    return source;
}

}  // namespace burin
