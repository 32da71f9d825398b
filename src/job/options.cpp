/// The option table. Everything that a person can say to the program stands here once; order is that of the help.
#include "burin/job/options.hpp"

#include <algorithm>

#include "burin/workshop/bit.hpp"

namespace burin {
namespace {

template <class Owner, class T>
Member at(T Owner::*member) {
    return MemberOf<Owner>(member);
}

void check_stock(std::string_view text) { (void)parse_stock(text); }
void check_border(std::string_view text) { (void)parse_border(text); }
/// Sizes are checked at once; names of presets and files only when they are looked for.
void check_bit(std::string_view text) {
    if (Bit::looks_like_sizes(text)) (void)Bit::parse(text);
}

const std::vector<std::string> anchors{"lower-left",   "lower-centre", "lower-right",  "centre-left", "centre",
                                       "centre-right", "upper-left",   "upper-centre", "upper-right"};
constexpr unsigned jobs = command_relief | command_make;
constexpr unsigned relief = command_relief;
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
        {"name", text, "TEXT", "the picture's name", "name of the job, for programs and report", relief, at(&Job::name)},

        {"width", number, "MM", "",
         "width of the whole picture on the stock, margins included; without it: from --height, else the picture's own size", relief,
         at(&Cut::width), 0, 1e6, above},
        {"height", number, "MM", "follows the picture", "height of the whole picture on the stock", relief, at(&Cut::height), 0, 1e6,
         above},
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
        {"depth", number, "MM", "2", "map: depth of black; otherwise the lowest point", relief, at(&Cut::depth), 0, 1000, above},
        {"levels", pair, "LOW,HIGH", "1,99", "percentiles of the picture that are taken as black and white", relief, at(&Cut::levels), 0,
         100},
        {"gamma", number, "NUMBER", "1", "bends the tones: above 1 lowers the middle, below 1 raises it", relief, at(&Cut::gamma), 0.05,
         20},
        {"invert", flag, "", "", "dark becomes high and light low", relief, at(&Cut::invert)},
        {"smooth", number, "MM", "tone: 0.25, else 0", "smooths surfaces but keeps edges, over this distance", relief, at(&Cut::smooth), 0,
         100},
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

        {"at", pair, "X,Y", "the stock's centre", "where the design's centre lies, in work coordinates", relief, at(&Cut::at), -1e5, 1e5},
        {"rotate", number, "DEG", "0", "turns the design about its centre, counter-clockwise", relief, at(&Cut::rotate), -360, 360},
        {"mirror", flag, "", "", "flips the design left to right", relief, at(&Cut::mirror)},

        {"bit",
         bits,
         "BIT",
         "flat:3.175 and ball:1.0",
         "a preset, a file, or sizes such as ball:1.0, flat:3.175, vee:60:0.1:3.175, taper:0.5:10:3.175, bull:3.175:0.5; repeat it for "
         "roughing then finishing",
         relief,
         at(&Cut::bits),
         0,
         0,
         false,
         {},
         check_bit},
        {"material", text, "NAME", "pine", "what is cut: a preset or a file", relief, at(&Job::material)},
        {"machine", text, "NAME", "desk-240x150", "what cuts: a preset or a file", relief, at(&Job::machine)},
        {"stock",
         text,
         "SIZE",
         "5 mm of margin round the design, 12 mm thick, transmit 4",
         "the piece of material: 100x80x12 (width, height, thickness) or round:90x12 (diameter, thickness)",
         relief,
         at(&Job::stock),
         0,
         0,
         false,
         {},
         check_stock},
        {"zero", word, "POINT", "lower-left; round stock: centre", "point of the stock's top that is X0 Y0 Z0", relief, at(&Job::zero), 0,
         0, false, anchors},

        {"depth-per-pass", number, "MM", "reckoned for each bit", "the most that a bit takes at once", relief, at(&Cut::depth_per_pass), 0,
         1000, above},
        {"stepover", number, "MM", "10 % of the tip's diameter", "distance of the finishing lines, along the surface", relief,
         at(&Cut::stepover), 0, 100, above},
        {"scallop", number, "MM", "", "the same, given as the height of the ridges left between the lines", relief, at(&Cut::scallop), 0,
         10, above},
        {"allowance", number, "MM", "0.3", "what roughing leaves for the finishing bit", relief, at(&Cut::allowance), 0, 10},
        {"feed", number, "MM/MIN", "reckoned for each bit", "feed of all bits", relief, at(&Cut::feed), 1, 100000},
        {"plunge", number, "MM/MIN", "reckoned for each bit", "the most at which bits go down", relief, at(&Cut::plunge), 1, 100000},
        {"speed", number, "RPM", "reckoned for each bit", "spindle speed of all bits", relief, at(&Cut::speed), 1, 1000000},
        {"angle", number, "DEG", "0", "direction of the finishing lines; 0 runs along X", relief, at(&Cut::angle), -360, 360},
        {"one-way", flag, "", "", "finishing lines all run the same way", relief, at(&Cut::one_way)},
        {"safe-height", number, "MM", "3", "height above the stock top at which the bit travels", relief, at(&Job::safe_height), 0.5, 1000},
        {"cell", number, "MM", "from the finishing bit", "grid of the computation", relief, at(&Cut::cell), 0.005, 10},
        {"tolerance", number, "MM", "0.005", "how far a thinned path may leave the exact one, never downwards", relief, at(&Cut::tolerance),
         0, 0.02},
        {"megapixels", number, "N", "120", "largest picture that is read", relief, at(&Cut::megapixels), 0, 10000, above},

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
        {command_make, "make", "JOB.toml", {}, "Makes what a job file says.", "burin make lighthouse/job.toml -o again"},
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
