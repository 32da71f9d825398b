/// The option table. Everything that a person can say to the program stands here once; order is that of the help.
#include "burin/job/options.hpp"

#include <algorithm>

#include "burin/workshop/bit.hpp"
#include "placing.hpp"

namespace burin {
namespace {

template <class Owner, class T>
Member at(T Owner::*member) {
    return MemberOf<Owner>(member);
}

void check_stock(std::string_view text) { (void)parse_stock(text); }
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
constexpr unsigned any = cut_commands, jobs = cut_commands | command_make, figures = figure_commands;
constexpr unsigned relief = command_relief, incise = command_incise, outline = command_outline, pocket = command_pocket;
constexpr unsigned stroke = command_stroke, cutout = command_cutout;
constexpr bool above = true;

std::vector<Option> make_table() {
    using enum ValueKind;
    return {
        {"output",
         text,
         "FOLDER",
         "",
         "folder for the results, made if it is missing",
         jobs,
         at(&RunOptions::output),
         0,
         0,
         false,
         {},
         nullptr,
         'o'},
        {"name", text, "TEXT", "the picture's name", "name of the job, for programs and report", any, at(&Job::name)},

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
        {"depth", number, "MM", "2; incise: as the figure's width asks",
         "reliefs: the lowest point (map: depth of black); incise: how deep at most; else the floor",
         relief | incise | outline | pocket | stroke, at(&Cut::depth), 0, 1000, above},
        {"levels", pair, "LOW,HIGH", "1,99", "percentiles of the picture that are taken as black and white", relief, at(&Cut::levels), 0,
         100},
        {"gamma", number, "NUMBER", "1", "bends the tones: above 1 lowers the middle, below 1 raises it", relief, at(&Cut::gamma), 0.05,
         20},
        {"invert", flag, "", "", "light and dark change places: reliefs are high where the picture is dark, drawings are light on dark",
         any, at(&Cut::invert)},
        {"smooth", number, "MM", "tone: 0.25, drawings: 0.02, else 0",
         "smooths surfaces over this distance but keeps edges; drawings: how far curves may be smoothed, corners stay", any,
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

        {"text", text, "TEXT", "", "cuts this text in place of a picture; \\n begins a new line", figures, at(&Cut::text)},
        {"font", text, "FONT", "serif", "font of the text: a family, with its style after a colon (\"DejaVu Sans:bold\"), or a file",
         figures, at(&Cut::font)},
        {"cap-height", number, "MM", "10", "height of the capitals", figures, at(&Cut::cap_height), 0.1, 1000},
        {"text-align",
         word,
         "SIDE",
         "centre",
         "how lines of text lie among each other",
         figures,
         at(&Cut::text_align),
         0,
         0,
         false,
         {"left", "centre", "right"}},
        {"letter-spacing", number, "MM", "0", "more room between letters; below 0 less", figures, at(&Cut::letter_spacing), -100, 100},
        {"line-pitch", number, "MM", "1.6 cap heights", "from one line of text to the next", figures, at(&Cut::line_pitch), 0, 1000, above},
        {"fit-width", number, "MM", "", "makes the longest line of text so long, in place of --cap-height", figures, at(&Cut::fit_width), 0,
         1e5, above},
        {"arc", number, "MM", "", "sets the text on a circle with this radius; --at is then the circle's centre", figures, at(&Cut::arc), 0,
         1e5, above},
        {"reading",
         word,
         "SIDE",
         "top",
         "text on a circle: along its top, or along its bottom",
         figures,
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
         figures,
         at(&Cut::shape),
         0,
         0,
         false,
         {"circle", "ellipse", "rectangle", "rounded", "polygon", "star", "line", "ring"}},
        {"diameter", number, "MM", "", "of a circle or ring; of the circle through the tips of a polygon or star", figures,
         at(&Cut::diameter), 0, 1e5, above},
        {"inner-diameter", number, "MM", "", "of a ring's hole; of the circle through a star's inner corners", figures,
         at(&Cut::inner_diameter), 0, 1e5, above},
        {"corner-radius", number, "MM", "", "of a rounded rectangle", figures, at(&Cut::corner_radius), 0, 1e5, above},
        {"corners", whole, "N", "", "of a polygon; tips of a star", figures, at(&Cut::corners), 3, 1000},
        {"length", number, "MM", "", "of a line", figures, at(&Cut::length), 0, 1e5, above},
        {"thickness", number, "MM", "", "of a line that is a bar", figures, at(&Cut::thickness), 0, 1e5, above},

        {"threshold",
         text,
         "KIND",
         "auto",
         "what of a drawing is ink: global (one value for all of it), local (against the paper around, for unevenly lit sheets), auto "
         "(whichever fits), or a lightness from 0 to 1",
         figures,
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
         figures,
         at(&Cut::ink),
         0,
         0,
         false,
         {},
         check_colour},
        {"trim", flag, "", "", "cuts the picture to its ink first: --width is then that of the ink", figures, at(&Cut::trim)},
        {"despeckle", number, "MM2", "0.05", "drops spots smaller than this area", figures, at(&Cut::despeckle), 0, 10000},
        {"close-holes", number, "MM2", "0.05", "closes holes smaller than this area", figures, at(&Cut::close_holes), 0, 10000},
        {"side",
         word,
         "SIDE",
         "on",
         "on, inside or outside the line; outside is the ground's side, in holes too",
         outline,
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
        {"breakthrough", number, "MM", "0.2", "how far the bit goes into the spoilboard", cutout, at(&Cut::breakthrough), 0, 100},
        {"onion-skin", number, "MM", "0", "leaves a skin of this thickness below all lines, which is cut through at the very end", cutout,
         at(&Cut::onion_skin), 0, 100},
        {"conventional", flag, "", "", "cuts along walls the other way round, against the turn of the bit, instead of climbing",
         outline | pocket | cutout, at(&Cut::conventional)},
        {"arcs", flag, "", "", "writes runs that lie on a circle as G2 and G3", outline | pocket | stroke | cutout | incise,
         at(&Cut::arcs)},
        {"fill",
         text,
         "COLOUR",
         "",
         "shows grooves in the preview as filled or painted in this colour, such as #1e3a5f",
         incise | outline | pocket | stroke,
         at(&Cut::fill),
         0,
         0,
         false,
         {},
         check_colour},

        {"at", pair, "X,Y", "the stock's centre", "where the design's centre lies, in work coordinates", any, at(&Cut::at), -1e5, 1e5},
        {"rotate", number, "DEG", "0", "turns the design about its centre, counter-clockwise", any, at(&Cut::rotate), -360, 360},
        {"mirror", flag, "", "", "flips the design left to right, as for clear stock that is looked at from behind", any, at(&Cut::mirror)},
        {"anchor", word, "POINT", "centre; text on a circle: the circle's centre",
         "which point of the design lies at --at; without --at: at which side of the stock it lies", any, at(&Cut::anchor), 0, 0, false,
         anchors},
        {"fit", number, "MM", "", "makes the design as large as the stock allows, with this margin all round", any, at(&Cut::fit), 0, 1e5},
        {"columns", whole, "N", "1", "copies of the design beside each other", any, at(&Cut::columns), 1, 1000},
        {"rows", whole, "N", "1", "copies of the design above each other", any, at(&Cut::rows), 1, 1000},
        {"gap", pair, "X,Y", "5,5", "between copies", any, at(&Cut::gap), 0, 1e5},
        {"align",
         text,
         "SIDE:ID:GAP",
         "",
         "in job files: lays the design beside the cut with that id: above, below, left, right or centre, GAP mm away",
         any,
         at(&Cut::align),
         0,
         0,
         false,
         {},
         check_alignment},
        {"spare", flag, "", "", "in job files: cuts before this one leave its place alone", any, at(&Cut::spare)},
        {"spare-margin", number, "MM", "1", "how far round its figures --spare reaches", any, at(&Cut::spare_margin), 0, 1000},

        {"bit",
         bits,
         "BIT",
         "reliefs: flat:3.175 and ball:1.0; incise: vee:60:0.1:3.175; else flat:2.0",
         "a preset, a file, or sizes such as ball:1.0, flat:3.175, vee:60:0.1:3.175, taper:0.5:10:3.175, bull:3.175:0.5; repeat it for "
         "roughing then finishing",
         any,
         at(&Cut::bits),
         0,
         0,
         false,
         {},
         check_bit},
        {"material", text, "NAME", "pine", "what is cut: a preset or a file", any, at(&Job::material)},
        {"machine", text, "NAME", "desk-240x150", "what cuts: a preset or a file", any, at(&Job::machine)},
        {"stock",
         text,
         "SIZE",
         "5 mm of margin round the design, 12 mm thick, transmit 4, cutout 6",
         "the piece of material: 100x80x12 (width, height, thickness) or round:90x12 (diameter, thickness)",
         any,
         at(&Job::stock),
         0,
         0,
         false,
         {},
         check_stock},
        {"zero", word, "POINT", "lower-left; round stock: centre", "point of the stock's top that is X0 Y0 Z0", any, at(&Job::zero), 0, 0,
         false, anchors},

        {"depth-per-pass", number, "MM", "reckoned for each bit", "the most that a bit takes at once", any, at(&Cut::depth_per_pass), 0,
         1000, above},
        {"stepover", number, "MM", "10 % of the tip's diameter", "distance of the finishing lines, along the surface", relief,
         at(&Cut::stepover), 0, 100, above},
        {"scallop", number, "MM", "", "the same, given as the height of the ridges left between the lines", relief, at(&Cut::scallop), 0,
         10, above},
        {"allowance", number, "MM", "0.3", "what roughing leaves for the finishing bit, and figures for the last pass along their walls",
         relief | outline | pocket | cutout, at(&Cut::allowance), 0, 10},
        {"feed", number, "MM/MIN", "reckoned for each bit", "feed of all bits", any, at(&Cut::feed), 1, 100000},
        {"plunge", number, "MM/MIN", "reckoned for each bit", "the most at which bits go down", any, at(&Cut::plunge), 1, 100000},
        {"speed", number, "RPM", "reckoned for each bit", "spindle speed of all bits", any, at(&Cut::speed), 1, 1000000},
        {"angle", number, "DEG", "0", "direction of the finishing lines; 0 runs along X", relief, at(&Cut::angle), -360, 360},
        {"one-way", flag, "", "", "finishing lines all run the same way", relief, at(&Cut::one_way)},
        {"safe-height", number, "MM", "3", "height above the stock top at which the bit travels", any, at(&Job::safe_height), 0.5, 1000},
        {"cell", number, "MM", "from the finishing bit", "grid of the computation", relief, at(&Cut::cell), 0.005, 10},
        {"tolerance", number, "MM", "0.005", "how far a thinned path may leave the exact one, never downwards", any, at(&Cut::tolerance), 0,
         0.02},
        {"megapixels", number, "N", "120", "largest picture that is read", any, at(&Cut::megapixels), 0, 10000, above},

        {"trial", size, "SIZE", "",
         "makes only a small piece of the design, such as 20x20, to be cut on scrap first: the most demanding one", jobs, at(&Job::trial),
         0, 1e6, above},
        {"trial-at", pair, "X,Y", "the most demanding piece", "centre of the trial piece on the stock, in work coordinates", jobs,
         at(&Job::trial_at), -1e5, 1e5},
        {"air", number, "MM", "", "lifts the whole job by this much, for a dry run above the stock", jobs, at(&Job::air), 0, 1000, above},
        {"inch", flag, "", "", "programs in inches (G20)", jobs, at(&Job::inch)},
        {"one-file", flag, "", "", "joins the programs of all bits in one file, with a pause to change the bit", jobs, at(&Job::one_file)},

        {"threads", whole, "N", "all of the processor's", "threads to work with; the results are the same", jobs, at(&RunOptions::threads),
         1, 1024},
        {"markdown", flag, "", "", "prints the table of all options instead, as the README has it", command_manual,
         at(&RunOptions::markdown)},
        {"json", flag, "", "", "prints report.json on standard output", jobs, at(&RunOptions::json)},
        {"quiet", flag, "", "", "prints nothing but errors", jobs, at(&RunOptions::quiet)},
    };
}

}  // namespace

std::span<const Option> option_table() {
    static const std::vector<Option> table = make_table();
    return table;
}

std::span<const CommandEntry> command_table() {
    static const std::vector<CommandEntry> table{
        {command_relief,
         "relief",
         "PICTURE",
         {},
         "Carves a relief from a picture: PNG, JPEG, TIFF or WebP.",
         "burin relief lighthouse.png --width 80 --depth 3 --material basswood -o lighthouse"},
        {command_incise,
         "incise",
         "PICTURE",
         {},
         "Cuts the figures of a drawing with a vee bit, the wider the deeper.",
         "burin incise gull-ink.png --width 90 --material walnut -o gull"},
        {command_outline,
         "outline",
         "PICTURE",
         {},
         "Cuts along the contours of a drawing: on the line, inside or outside.",
         "burin outline crest.png --width 80 --side outside --depth 1 -o crest"},
        {command_pocket,
         "pocket",
         "PICTURE",
         {},
         "Lowers the figures of a drawing, or their ground, to a flat floor.",
         "burin pocket crest.png --width 80 --depth 1.5 --bit flat:2.0 --bit flat:1.0 -o crest"},
        {command_stroke,
         "stroke",
         "PICTURE",
         {},
         "Follows the strokes of a drawing once, along their middle.",
         "burin stroke gull-ink.png --width 90 --depth 0.5 --bit vee:60:0.1:3.175 -o gull"},
        {command_cutout,
         "cutout",
         "PICTURE",
         {},
         "Cuts the figure free, right through the stock, with holding tabs.",
         "burin cutout crest.png --width 80 --stock 100x110x5 --tabs 4 -o crest"},
        {command_make, "make", "JOB.toml", {}, "Makes what a job file says: one cut or many.", "burin make lighthouse/job.toml -o again"},
        {command_new,
         "new",
         "JOB.toml",
         {},
         "Writes a job file to start from, with every key explained.",
         "burin new sign.toml && burin make sign.toml -o sign"},
        {command_list,
         "list",
         "KIND",
         {"machines", "bits", "materials"},
         "Lists the presets of one kind: machines, bits or materials.",
         "burin list materials"},
        {command_show, "show", "NAME", {}, "Shows a preset as it stands in its file.", "burin show desk-240x150"},
        {command_manual, "manual", "", {}, "Prints the manual page, in the form that man reads.", "burin manual | man -l -"},
        {command_completion,
         "completion",
         "SHELL",
         {"bash", "zsh", "fish"},
         "Prints the completion script of a shell: bash, zsh or fish.",
         "burin completion bash > ~/.local/share/bash-completion/completions/burin"},
    };
    return table;
}

const CommandEntry* command_named(std::string_view name) {
    for (const CommandEntry& command : command_table())
        if (command.name == name) return &command;
    return nullptr;
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
