/// The option table. Everything that a person can say to the program stands here once; order is that of the help.
#include "burin/job/options.hpp"

#include <algorithm>

#include "beam_options.hpp"
#include "board_options.hpp"
#include "burin/job/each.hpp"
#include "burin/workshop/bit.hpp"
#include "card_options.hpp"
#include "choose_options.hpp"
#include "face_options.hpp"
#include "level_options.hpp"
#include "placing.hpp"
#include "rework_options.hpp"
#include "setup_options.hpp"
#include "slice_options.hpp"

namespace burin {
namespace {

template <class Owner, class T>
Member at(T Owner::*member) {
    return MemberOf<Owner>(member);
}

void check_stock(std::string_view text) {
    if (!names_stock_file(text)) (void)parse_stock(text);  // files are read when they are needed
}
void check_keep_out(std::string_view text) { (void)parse_keep_out(text); }
void check_rows(std::string_view text) { (void)parse_rows(text); }
void check_border(std::string_view text) { (void)parse_border(text); }
void check_alignment(std::string_view text) { (void)parse_alignment(text); }
void check_colour(std::string_view text) { (void)parse_colour(text); }
void check_threshold(std::string_view text) { (void)parse_threshold(text); }
/// Sizes are checked at once; names of presets and files only when they are looked for.
void check_bit(std::string_view text) {
    if (Bit::looks_like_sizes(text)) (void)Bit::parse(text);
}

const std::vector<std::string> anchors{"lower-left",   "lower-centre", "lower-right",  "centre-left", "centre",
                                       "centre-right", "upper-left",   "upper-centre", "upper-right"};
constexpr unsigned every = cut_commands, rework = command_resume | command_split, checked = cut_commands | command_check | rework,
                   card = command_card, face = command_face;
constexpr unsigned any = every & ~(card | face), lying = every & ~face;  // lying: on a place of their own
constexpr unsigned burn = command_burn, cutting = every & ~burn, with_bits = checked & ~burn, drawn = figure_commands | burn;
constexpr unsigned jobs = every | command_make, pieces = (any & ~command_burn) | command_make;
constexpr unsigned relief = command_relief, incise = command_incise, outline = command_outline, pocket = command_pocket;
constexpr unsigned stroke = command_stroke, cutout = command_cutout, screen = command_screen, photos = photo_commands;
constexpr unsigned stipple = command_stipple, isolate = command_isolate, drill = command_drill;
constexpr unsigned levelling = command_level | command_bend, checked_too = checked | command_bend;
constexpr unsigned serving = command_machine | command_zero | command_pace | levelling | command_slice;  // what is set up at the machine
constexpr bool above = true;

std::vector<Option> make_table() {
    using enum ValueKind;
    return {
        {"output",
         text,
         "FOLDER",
         "",
         "folder for the results, made if it is missing",
         jobs | command_check | command_tone | serving | rework,
         at(&RunOptions::output),
         0,
         0,
         false,
         {},
         nullptr,
         'o'},
        {"card", text, "JOB.toml", "", "the job.toml that was written beside the programs of the card in the photo", command_tone,
         at(&RunOptions::card)},
        {"each", text, "TABLE.csv", "", "makes the job once for each row of this table, its values put in the place of {column}",
         command_make, at(&RunOptions::each)},
        {"name-column", text, "COLUMN", "the first with different values", "column that names the folders of --each", command_make,
         at(&RunOptions::name_column)},
        {"only",
         text,
         "ROWS",
         "all",
         "does these rows of --each, such as 7 or 1-50; 0 writes only the page over all that is there",
         command_make,
         at(&RunOptions::only),
         0,
         0,
         false,
         {},
         check_rows},
        {"nest",
         text,
         "STOCK",
         "",
         "lays the pieces of --each out on boards of this stock, such as 240x150x3",
         command_make,
         at(&RunOptions::nest),
         0,
         0,
         false,
         {},
         check_stock},
        {"gap-between", number, "MM", "5", "room between the pieces of --nest, and from the board's edges", command_make,
         at(&RunOptions::gap_between), 0, 1000},
        {"name", text, "TEXT", "the picture's name", "name of the job, for programs and report", every | (serving & ~command_slice),
         at(&Job::name)},

        {"width", number, "MM", "",
         "width of the whole picture on the stock, margins included; without it: from --height, else the picture's own size", any,
         at(&Cut::width), 0, 1e6, above},
        {"height", number, "MM", "follows the picture", "height of the whole picture on the stock", any, at(&Cut::height), 0, 1e6, above},
        {"heights",
         word,
         "KIND",
         "tone",
         "how the picture becomes heights: map (values are heights), tone (lightness), sculpt (a bas-relief from a photo), dome (a "
         "silhouette puffed up), transmit (a plate to be seen against the light)",
         relief,
         at(&Cut::heights),
         0,
         0,
         false,
         {"map", "tone", "sculpt", "dome", "transmit"}},
        {"depth", number, "MM",
         "2; incise: as the figure's width asks; screen: as wide as the pitch; stipple: as the dots ask; card: 1; isolate: through the "
         "copper, "
         "and --unevenness",
         "reliefs: the lowest point (map: depth of black); incise, screen, stipple: how deep at most; card: the deepest groove of its "
         "ladders; else "
         "the floor",
         relief | incise | outline | pocket | stroke | photos | card | isolate, at(&Cut::depth), 0, 1000, above},
        {"levels", pair, "LOW,HIGH", "1,99", "percentiles of the picture that are taken as black and white", relief | photos | burn,
         at(&Cut::levels), 0, 100},
        {"gamma", number, "NUMBER", "1", "bends the tones: above 1 lowers (darkens) the middle, below 1 raises (lightens) it",
         relief | photos | burn, at(&Cut::gamma), 0.05, 20},
        {"invert", flag, "", "",
         "light and dark change places: reliefs are high where the picture is dark, drawings are light on dark, photos are cut where they "
         "are light",
         any, at(&Cut::invert)},
        {"smooth", number, "MM", "tone: 0.25, drawings: 0.02, else 0",
         "smooths surfaces over this distance but keeps edges; drawings: how far curves may be smoothed, corners stay", relief | drawn,
         at(&Cut::smooth), 0, 100},
        {"detail", number, "NUMBER", "1", "strength of small detail: 0 none, 1 as it is, 2 twice", relief, at(&Cut::detail), 0, 20},
        {"steepest", number, "DEG", "90", "slopes above this angle are laid back", relief, at(&Cut::steepest), 5, 90},
        {"border",
         text,
         "KIND",
         "step",
         "edge of the relief: step (a wall from the stock top down) or blend:MM (rises to the stock top over that distance)",
         relief,
         at(&Cut::border),
         0,
         0,
         false,
         {},
         check_border},
        {"dome-rise", number, "MM", "the depth",
         "dome: greatest height above its ground, where wide figures flatten out; more than the depth: they are pressed down to it as a "
         "whole",
         relief, at(&Cut::dome_rise), 0, 1000, above},
        {"least-thickness", number, "MM", "0.8", "transmit: thickness where the plate is brightest", relief, at(&Cut::least_thickness), 0,
         1000, above},
        {"most-thickness", number, "MM", "the stock's", "transmit: thickness where the plate is darkest", relief, at(&Cut::most_thickness),
         0, 1000, above},

        {"text", text, "TEXT", "", "cuts this text in place of a picture; \\n begins a new line", drawn, at(&Cut::text)},
        {"font", text, "FONT", "serif; stroke: letters of single lines",
         "font of the text: a family, with its style after a colon (\"DejaVu Sans:bold\"), or a file", drawn, at(&Cut::font)},
        {"cap-height", number, "MM", "10", "height of the capitals", drawn, at(&Cut::cap_height), 0.1, 1000},
        {"text-align",
         word,
         "SIDE",
         "centre",
         "how lines of text lie among each other",
         drawn,
         at(&Cut::text_align),
         0,
         0,
         false,
         {"left", "centre", "right"}},
        {"letter-spacing", number, "MM", "0", "more room between letters; below 0 less", drawn, at(&Cut::letter_spacing), -100, 100},
        {"line-pitch", number, "MM", "1.6 cap heights", "from one line of text to the next", drawn, at(&Cut::line_pitch), 0, 1000, above},
        {"fit-width", number, "MM", "", "makes the longest line of text so long, in place of --cap-height", drawn, at(&Cut::fit_width), 0,
         1e5, above},
        {"arc", number, "MM", "", "sets the text on a circle with this radius; --at is then the circle's centre", drawn, at(&Cut::arc), 0,
         1e5, above},
        {"reading",
         word,
         "SIDE",
         "top",
         "text on a circle: along its top, or along its bottom",
         drawn,
         at(&Cut::reading),
         0,
         0,
         false,
         {"top", "bottom"}},
        {"shape",
         word,
         "SHAPE",
         "",
         "cuts this shape in place of a picture",
         drawn,
         at(&Cut::shape),
         0,
         0,
         false,
         {"circle", "ellipse", "rectangle", "rounded", "polygon", "star", "line", "ring"}},
        {"diameter", number, "MM", "", "of a circle or ring; of the circle through the tips of a polygon or star", drawn,
         at(&Cut::diameter), 0, 1e5, above},
        {"inner-diameter", number, "MM", "", "of a ring's hole; of the circle through a star's inner corners", drawn,
         at(&Cut::inner_diameter), 0, 1e5, above},
        {"corner-radius", number, "MM", "", "of a rounded rectangle", drawn, at(&Cut::corner_radius), 0, 1e5, above},
        {"corners", whole, "N", "", "of a polygon; tips of a star", drawn, at(&Cut::corners), 3, 1000},
        {"length", number, "MM", "", "of a line", drawn, at(&Cut::length), 0, 1e5, above},
        {"thickness", number, "MM", "", "of a line that is a bar; slice: of the piece", drawn | command_slice, at(&Cut::thickness), 0, 1e5,
         above},

        {"threshold",
         text,
         "KIND",
         "auto",
         "what of a drawing is ink: global (one value for all of it), local (against the paper around, for unevenly lit sheets), auto "
         "(whichever fits), or a lightness from 0 to 1",
         drawn,
         at(&Cut::threshold),
         0,
         0,
         false,
         {},
         check_threshold},
        {"ink",
         text,
         "COLOUR",
         "",
         "takes what is near this colour, such as #1e3a5f, for the ink",
         drawn,
         at(&Cut::ink),
         0,
         0,
         false,
         {},
         check_colour},
        {"trim", flag, "", "", "cuts the picture to its ink first: --width is then that of the ink", drawn, at(&Cut::trim)},
        {"despeckle", number, "MM2", "0.05", "drops spots smaller than this area", drawn, at(&Cut::despeckle), 0, 10000},
        {"close-holes", number, "MM2", "0.05", "closes holes smaller than this area", drawn, at(&Cut::close_holes), 0, 10000},
        {"side",
         word,
         "SIDE",
         "on; burn: inside",
         "on, inside or outside the line; outside is the ground's side, in holes too",
         outline | burn,
         at(&Cut::side),
         0,
         0,
         false,
         {"on", "inside", "outside"}},
        {"part",
         word,
         "PART",
         "figure",
         "what is lowered: the figure, or the ground round it",
         pocket,
         at(&Cut::part),
         0,
         0,
         false,
         {"figure", "ground"}},
        {"steps", whole, "N", "1", "lowers so many tones of grey in steps, white not at all, black by --depth", pocket, at(&Cut::steps), 1,
         16},
        {"raster", flag, "", "", "clears floors in rows instead of along the contour", pocket, at(&Cut::raster)},
        {"follow-width", flag, "", "", "deeper where the stroke is wider, up to --depth", stroke, at(&Cut::follow_width)},
        {"tabs", whole, "N", "4", "holding tabs round every piece, fewer round small ones", cutout, at(&Cut::tabs), 0, 1000},
        {"tab-width", number, "MM", "4", "width of a tab", cutout, at(&Cut::tab_width), 0, 1000, above},
        {"tab-height", number, "MM", "1", "height of a tab above the stock's underside", cutout, at(&Cut::tab_height), 0, 1000, above},
        {"breakthrough", number, "MM", "0.2", "how far the bit goes into the spoilboard; drill: beyond its point", cutout | drill,
         at(&Cut::breakthrough), 0, 100},
        {"onion-skin", number, "MM", "0", "leaves a skin of this thickness below all lines, which is cut through at the very end", cutout,
         at(&Cut::onion_skin), 0, 100},
        {"conventional", flag, "", "", "cuts along walls the other way round, against the turn of the bit, instead of climbing",
         outline | pocket | cutout | face, at(&Cut::conventional)},
        {"arcs", flag, "", "", "writes runs that lie on a circle as G2 and G3", outline | pocket | stroke | cutout | incise | isolate,
         at(&Cut::arcs)},
        {"fill",
         text,
         "COLOUR",
         "",
         "shows grooves in the preview as filled or painted in this colour, such as #1e3a5f",
         incise | outline | pocket | stroke | photos | card,
         at(&Cut::fill),
         0,
         0,
         false,
         {},
         check_colour},

        {"pattern",
         word,
         "PATTERN",
         "lines",
         "how the grooves run: lines, crossed (two sets of lines), waves, rings or spiral (round the middle)",
         screen,
         at(&Cut::pattern),
         0,
         0,
         false,
         {"lines", "crossed", "waves", "rings", "spiral"}},
        {"pitch", number, "MM", "0.8", "from one groove to the next", screen | card, at(&Cut::pitch), 0.05, 100},
        {"least-depth", number, "MM", "0.05", "depth of the shallowest grooves; lighter tones have none", screen, at(&Cut::least_depth), 0,
         10, above},
        {"wave-length", number, "MM", "8 pitches", "waves: from crest to crest", screen, at(&Cut::wave_length), 0, 10000, above},
        {"wave-height", number, "MM", "1.2 pitches", "waves: from the middle to a crest", screen, at(&Cut::wave_height), 0, 1000, above},

        {"dots", whole, "N", "as many as the tones need", "how many dots", stipple, at(&Cut::dots), 1, 2e6},
        {"tone-by",
         word,
         "WHAT",
         "size; bits that are as wide below as above: number",
         "what carries the tone: the dots' size (darker is larger, and denser) or, with equal dots, their number",
         stipple,
         at(&Cut::tone_by),
         0,
         0,
         false,
         {"size", "number"}},
        {"least-dot", number, "MM", "0.3, or what the bit's tip makes",
         "diameter of the smallest dots, width of the line where it is narrowest", stipple, at(&Cut::least_dot), 0, 100, above},
        {"most-dot", number, "MM", "1; equal dots and a line 0.8",
         "diameter of the largest dots, or of all; width of the line where it is widest", stipple, at(&Cut::most_dot), 0, 100, above},
        {"dot-gap", number, "MM", "0", "least distance between the rims of two dots; below 0 they may run together", stipple,
         at(&Cut::dot_gap), -10, 100},
        {"one-line", flag, "", "", "joins the dots' places into one line that swells with the tone", stipple, at(&Cut::one_line)},
        {"hop", number, "MM", "1, at most the safe height", "height above the stock top at which the bit travels from one dot to the next",
         stipple, at(&Cut::hop), 0.1, 1000},

        {"at", pair, "X,Y", "the stock's centre", "where the design's centre lies, in work coordinates", lying, at(&Cut::at), -1e5, 1e5},
        {"rotate", number, "DEG", "0", "turns the design about its centre, counter-clockwise", any, at(&Cut::rotate), -360, 360},
        {"mirror", flag, "", "", "flips the design left to right, as for clear stock that is looked at from behind", any, at(&Cut::mirror)},
        {"anchor", word, "POINT", "centre; text on a circle: the circle's centre",
         "which point of the design lies at --at; without --at: at which side of the stock it lies", lying, at(&Cut::anchor), 0, 0, false,
         anchors},
        {"fit", number, "MM", "", "makes the design as large as the stock allows, with this margin all round", any, at(&Cut::fit), 0, 1e5},
        {"turn-to-fit", flag, "", "", "turns the design to where --fit makes it largest", any, at(&Cut::turn_to_fit)},
        {"columns", whole, "N", "1", "copies of the design beside each other", any, at(&Cut::columns), 1, 1000},
        {"rows", whole, "N", "1", "copies of the design above each other", any, at(&Cut::rows), 1, 1000},
        {"gap", pair, "X,Y", "5,5", "between copies", any, at(&Cut::gap), 0, 1e5},
        {"align",
         text,
         "SIDE:ID:GAP",
         "",
         "in job files: lays the design beside the cut with that id: above, below, left, right or centre, GAP mm away",
         lying,
         at(&Cut::align),
         0,
         0,
         false,
         {},
         check_alignment},
        {"spare", flag, "", "", "in job files: cuts before this one leave its place alone", lying, at(&Cut::spare)},
        {"spare-margin", number, "MM", "1", "how far round its figures --spare reaches", lying, at(&Cut::spare_margin), 0, 1000},

        {"bit",
         bits,
         "BIT",
         "reliefs: flat:3.175 and ball:1.0; incise, screen, stipple, card, dots of zero: vee:60:0.1:3.175; isolate: vee:30:0.1:3.175; "
         "zero: flat:3.175; face: flat-6; check: as the "
         "program's comment says; else flat:2.0",
         "a preset, a file, or sizes such as ball:1.0, flat:3.175, vee:60:0.1:3.175, taper:0.5:10:3.175, bull:3.175:0.5; repeat it for "
         "roughing then finishing; check: one for each program, in their order, or one for all; choose: each that you have, once",
         with_bits | command_zero | command_bend,
         at(&Cut::bits),
         0,
         0,
         false,
         {},
         check_bit},
        {"material", text, "NAME", "pine; isolate: fr4; --coating: coated-copper", "what is cut: a preset or a file",
         checked_too | command_zero, at(&Job::material)},
        {"machine", text, "NAME", "desk-240x150; burn: laser-240x150", "what cuts: a preset or a file",
         checked | command_zero | command_pace | levelling, at(&Job::machine)},
        {"stock",
         text,
         "SIZE",
         "5 mm of margin round the design, 12 mm thick, transmit 4, cutout, drill and burn 6, isolate 1.6; check: round what is cut",
         "the piece of material: 100x80x12 (width, height, thickness) round:90x12 (diameter, thickness), "
         "oval:120x90x12, or the file of a traced piece",
         checked | command_zero | levelling,
         at(&Job::stock),
         0,
         0,
         false,
         {},
         check_stock},
        {"zero", word, "POINT", "lower-left; round stock: centre", "point of the stock's top that is X0 Y0 Z0",
         checked | command_zero | levelling, at(&Job::zero), 0, 0, false, anchors},
        {"keep-out",
         texts,
         "ZONE",
         "",
         "a clamp, screw or stop that the tool must stay clear of, repeated for each: box:X0,Y0,X1,Y1:HEIGHT or "
         "circle:X,Y,DIAMETER:HEIGHT, "
         "in work coordinates, HEIGHT above the stock top; a name may follow after another colon",
         (checked & ~card) | command_pace | command_level,
         at(&Job::keep_outs),
         0,
         0,
         false,
         {},
         check_keep_out},

        {"depth-per-pass", number, "MM", "reckoned for each bit", "the most that a bit takes at once", with_bits | command_bend,
         at(&Cut::depth_per_pass), 0, 1000, above},
        {"stepover", number, "MM", "10 % of the tip's diameter; face: 45 % of the diameter",
         "distance of the finishing lines, along the surface; face: from one row to the next", relief | face, at(&Cut::stepover), 0, 100,
         above},
        {"scallop", number, "MM", "", "the same, given as the height of the ridges left between the lines", relief, at(&Cut::scallop), 0,
         10, above},
        {"allowance", number, "MM", "0.3", "what roughing leaves for the finishing bit, and figures for the last pass along their walls",
         relief | outline | pocket | cutout, at(&Cut::allowance), 0, 10},
        {"feed", number, "MM/MIN", "reckoned for each bit, or for the material's tone; check: the machine's greatest; pace: 1000 or that",
         "feed of all bits, or of the beam; check: the most that may be; pace: of the walk", checked_too | command_pace, at(&Cut::feed), 1,
         100000},
        {"plunge", number, "MM/MIN", "reckoned for each bit", "the most at which bits go down", with_bits | command_bend, at(&Cut::plunge),
         1, 100000},
        {"speed", number, "RPM", "reckoned for each bit", "spindle speed of all bits", with_bits | command_bend, at(&Cut::speed), 1,
         1000000},
        {"angle", number, "DEG", "0", "direction of the finishing lines, of a photo's grooves or of a beam's rows; 0 runs along X",
         relief | screen | burn, at(&Cut::angle), -360, 360},
        {"one-way", flag, "", "", "finishing lines, or a beam's or facing rows, all run the same way; facing rows so that the bit climbs",
         relief | burn | face, at(&Cut::one_way)},
        {"safe-height", number, "MM", "3; pace: as high as the programs go; level: 1 above the highest place that is looked for",
         "height above the stock top at which the bit travels", every | command_zero | command_pace | command_level, at(&Job::safe_height),
         0.5, 1000},
        {"cell", number, "MM", "from the finishing bit", "grid of the computation", relief, at(&Cut::cell), 0.005, 10},
        {"tolerance", number, "MM", "0.005", "how far a thinned path may leave the exact one, never downwards", cutting & ~face,
         at(&Cut::tolerance), 0, 0.02},
        {"megapixels", number, "N", "120", "largest picture that is read", any | command_tone | command_slice, at(&Cut::megapixels), 0,
         10000, above},

        {"trial", size, "SIZE", "",
         "makes only a small piece of the design, such as 20x20, to be cut on scrap first: the most demanding one", pieces, at(&Job::trial),
         0, 1e6, above},
        {"trial-at", pair, "X,Y", "the most demanding piece", "centre of the trial piece on the stock, in work coordinates", pieces,
         at(&Job::trial_at), -1e5, 1e5},
        {"air", number, "MM", "", "lifts the whole job by this much, for a dry run above the stock", pieces | card | face, at(&Job::air), 0,
         1000, above},
        {"inch", flag, "", "", "programs in inches (G20)", jobs, at(&Job::inch)},
        {"one-file", flag, "", "", "joins the programs of all bits in one file, with a pause to change the bit", pieces | card,
         at(&Job::one_file)},

        {"threads", whole, "N", "all of the processor's", "threads to work with; the results are the same",
         jobs | command_tone | command_check | serving | rework, at(&RunOptions::threads), 1, 1024},
        {"markdown", flag, "", "", "prints the table of all options instead, as the README has it", command_manual,
         at(&RunOptions::markdown)},
        {"json", flag, "", "", "prints report.json on standard output", jobs | command_check | serving | rework, at(&RunOptions::json)},
        {"quiet", flag, "", "", "prints nothing but errors", jobs | command_tone | command_check | serving | rework,
         at(&RunOptions::quiet)},
    };
}

/// The card's and the beam's own stand before what places a design; what serves at the machine stands before what concerns one run.
std::vector<Option> whole_table() {
    std::vector<Option> table = make_table();
    const auto put_before = [&](std::string_view name, const std::vector<Option>& part) {
        const auto place = std::find_if(table.begin(), table.end(), [&](const Option& option) { return option.name == name; });
        table.insert(place, part.begin(), part.end());
    };
    put_before("at", board_options());
    put_before("at", card_options());
    put_before("at", beam_options());
    put_before("at", face_options());
    put_before("threads", setup_options());
    put_before("threads", level_options());
    put_before("threads", rework_options());
    put_before("threads", slice_options());
    put_before("threads", choose_options());
    for (Option& option : table)
        if (choose_takes(option.name)) option.commands |= command_choose;
    return table;
}

}  // namespace

std::span<const Option> option_table() {
    static const std::vector<Option> table = whole_table();
    return table;
}

std::vector<const Option*> options_of(Command command) {
    std::vector<const Option*> found;
    for (const Option& option : option_table())
        if (option.commands & command) found.push_back(&option);
    return found;
}

const Option* option_named(std::string_view name) {
    const auto table = option_table();
    const auto found = std::find_if(table.begin(), table.end(), [&](const Option& option) { return option.name == name; });
    return found == table.end() ? nullptr : &*found;
}

}  // namespace burin
