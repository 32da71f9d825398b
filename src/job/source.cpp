/// From what a cut names to figures in millimetres: files are opened here, everything else is the room design's affair.
#include "source.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/design/alphabet.hpp"
#include "burin/design/lettering.hpp"
#include "burin/design/shapes.hpp"
#include "burin/design/svg.hpp"
#include "burin/job/options.hpp"
#include "burin/workshop/fonts.hpp"
#include "settle.hpp"

namespace burin {
namespace {

constexpr std::size_t most_picture_bytes = std::size_t{4} << 30;

[[nodiscard]] Error usage(const std::string& sentence) { return {Fault::usage, sentence}; }

/// Options that mean something to one kind of source only, as far as they are given.
struct Belonging {
    const char* option;
    bool given;
};
void only_with(const char* needed, bool there, std::initializer_list<Belonging> options) {
    for (const Belonging& option : options)
        if (option.given && !there) throw usage(fmt::format("--{} says nothing here: it belongs to {}.", option.option, needed));
}

void check_kind(const Cut& cut) {
    only_with("pictures of pixels, for their greys", cut.picture.has_value(), {{"steps", cut.steps.value_or(1) > 1}});
    const int kinds = (cut.picture ? 1 : 0) + (cut.text ? 1 : 0) + (cut.shape ? 1 : 0);
    if (kinds == 0) throw usage("Nothing was given to be cut: name a picture, or give --text or --shape.");
    if (kinds > 1)
        throw usage("A cut is made from one thing: a picture, a --text or a --shape. Give each a [[cut]] of its own in a job file.");
    only_with("--text", cut.text.has_value(),
              {{"font", cut.font.has_value()},
               {"cap-height", cut.cap_height.has_value()},
               {"text-align", cut.text_align.has_value()},
               {"letter-spacing", cut.letter_spacing.has_value()},
               {"line-pitch", cut.line_pitch.has_value()},
               {"fit-width", cut.fit_width.has_value()},
               {"arc", cut.arc.has_value()},
               {"reading", cut.reading.has_value()}});
    only_with("--shape", cut.shape.has_value(),
              {{"diameter", cut.diameter.has_value()},
               {"inner-diameter", cut.inner_diameter.has_value()},
               {"corner-radius", cut.corner_radius.has_value()},
               {"corners", cut.corners.has_value()},
               {"length", cut.length.has_value()},
               {"thickness", cut.thickness.has_value()}});
    only_with("pictures", cut.picture.has_value(),
              {{"threshold", cut.threshold.has_value()},
               {"ink", cut.ink.has_value()},
               {"invert", cut.invert.has_value()},
               {"trim", cut.trim.has_value()},
               {"despeckle", cut.despeckle.has_value()},
               {"close-holes", cut.close_holes.has_value()},
               {"smooth", cut.smooth.has_value()},
               {"megapixels", cut.megapixels.has_value()}});
    only_with("pictures and shapes", !cut.text, {{"width", cut.width.has_value()}, {"height", cut.height.has_value()}});
    only_with("--arc", cut.arc.has_value(), {{"reading", cut.reading.has_value()}});
}

/// The bytes of a file that a job names, held against what an earlier run saw of it.
Bytes checked_bytes(const std::string& path, const char* kind, const Cut& cut, Source& source, std::size_t most) {
    if (!is_utf8(path))
        throw Error(
            Fault::input,
            fmt::format("The {}'s name holds bytes that are no letters (no UTF-8), which the job file could not say. Rename it.", kind));
    Bytes bytes = read_file(path, kind, most);
    source.sha256 = sha256({reinterpret_cast<const char*>(bytes.data()), bytes.size()});
    if (cut.sha256 && *cut.sha256 != source.sha256)
        throw Error(Fault::input, fmt::format("The {0} '{1}' is not the one that the job was made with: its SHA-256 differs. Put the "
                                              "old {0} there, or take the line sha256 out of the job file.",
                                              kind, path));
    return bytes;
}

std::string_view text_of(const Bytes& bytes) { return {reinterpret_cast<const char*>(bytes.data()), bytes.size()}; }

/// The outermost of several tones; all of them go into `source.steps`. Thresholds lie midway between N + 1 tones evenly spread.
Tracing trace_tones(const Cut& cut, const TraceWishes& wishes, int steps, Source& source, const Crew& crew) {
    only_with("drawings of one tone", false, {{"threshold", cut.threshold.has_value()}, {"ink", cut.ink.has_value()}});
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
    if (cut.make == "stroke" && !cut.font) {
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

/// Letters of an SVG, in the first of its families that is installed.
std::optional<SvgLettering> svg_letters(const SvgText& text) {
    std::string families = text.family + ",sans-serif";
    for (std::size_t from = 0; from < families.size();) {
        const std::size_t comma = std::min(families.find(',', from), families.size());
        std::string family = families.substr(from, comma - from);
        std::erase_if(family, [](char c) { return c == '"' || c == '\''; });
        family.erase(0, family.find_first_not_of(' '));
        family.erase(family.find_last_not_of(' ') + 1);
        from = comma + 1;
        // A name in an SVG is a family and never a path: nothing but installed fonts is opened for it.
        if (family.empty() || family.find_first_of("/:.\\") != std::string::npos) continue;
        const std::string style = text.bold && text.italic ? ":bold italic" : text.bold ? ":bold" : text.italic ? ":italic" : "";
        try {
            const FontFile font = find_font(family + style);
            const Bytes bytes = read_file(font.path, "font");
            TextLine line = text_line(text_of(bytes), font.face, font.name(), text.text, text.size);
            return SvgLettering{std::move(line.region), line.advance};
        } catch (const Error&) {
            continue;  // the next family may do
        }
    }
    return {};
}

void draw_svg(const Cut& cut, const Bytes& bytes, Source& source) {
    SvgWishes wishes;
    wishes.width = cut.width.value_or(0);
    wishes.height = cut.height.value_or(0);
    wishes.trim = cut.trim.value_or(false);
    wishes.follow_strokes = cut.make == "stroke";
    only_with("pictures of pixels", false, {{"steps", cut.steps.value_or(1) > 1}});
    only_with("pictures of pixels", false,
              {{"threshold", cut.threshold.has_value()},
               {"ink", cut.ink.has_value()},
               {"invert", cut.invert.has_value()},
               {"despeckle", cut.despeckle.has_value()},
               {"close-holes", cut.close_holes.has_value()},
               {"smooth", cut.smooth.has_value()},
               {"megapixels", cut.megapixels.has_value()}});
    source.drawing = read_svg(text_of(bytes), source.name, wishes, svg_letters);
}

}  // namespace

Source load_source(const Job& job, const Crew& crew) {
    const Cut& cut = job.cuts.at(0);
    check_kind(cut);
    Source source;
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
        if (cut.make == "relief")
            throw Error(Fault::refused,
                        "An SVG has no heights, which a relief is made from. Cut it with incise, pocket, outline, stroke or "
                        "cutout, or give a picture of pixels.");
        draw_svg(cut, bytes, source);
        return source;
    }
    source.picture = read_picture(bytes, *cut.picture, {cut.megapixels.value_or(PictureLimits{}.most_megapixels)});
    if (cut.make != "relief") trace(cut, source, crew);
    return source;
}

}  // namespace burin
