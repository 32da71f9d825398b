/// The job file that `burin new` writes: a small sign that can be cut as it stands, and every key in a comment. The keys come from
/// the option table, so that none is forgotten.
#include <fmt/format.h>

#include "burin/job/job_file.hpp"
#include "burin/job/manual.hpp"
#include "burin/job/options.hpp"

namespace burin {
namespace {

constexpr std::string_view beginning = R"(# A job file. Lengths are millimetres, angles degrees. What starts with # is a comment.
# Make it with:  burin make THIS-FILE.toml -o FOLDER

name = "Boathouse"          # for the programs and the report
material = "basswood"       # `burin list materials` shows them all
# machine = "desk-240x150"  # `burin list machines`
stock = "120x60x10"         # width x height x thickness; "round:90x12" is a slice
# zero = "lower-left"       # which point of the stock's top is X0 Y0 Z0

# One [[cut]] after the other: cuts that use the same bit share a program, and cut-outs come last.
# A cut is made from one thing: a picture, a text or a shape.

[[cut]]
make = "incise"             # relief, incise, outline, pocket, stroke, cutout
id = "name"                 # what other cuts call it
text = "Boathouse"
font = "serif:bold"         # a family of this computer, or a font file
cap-height = 11             # of the capitals
at = [60, 33]               # where its middle lies, from the zero
bit = "vee:60:0.1:3.175"    # angle : tip : diameter; `burin list bits`

[[cut]]
make = "incise"
text = "since 1924"
font = "serif"
cap-height = 5
align = "below:name:6"      # below the cut with that id, 6 mm away
bit = "vee:60:0.1:3.175"

[[cut]]
make = "outline"
shape = "rounded"           # circle, ellipse, rectangle, rounded, polygon, star, line, ring
width = 110
height = 50
corner-radius = 6
depth = 0.6
bit = "vee:60:0.1:3.175"

# Many of a kind: write {column} in a string, and  burin make THIS-FILE.toml --each TABLE.csv -o FOLDER

# A picture in place of a text:
# [[cut]]
# make = "relief"
# picture = "boat.png"      # from where this file lies
# width = 40
# depth = 2
# bit = ["flat:3.175", { use = "ball:1.0", feed = 250 }]   # roughing, then finishing
)";

std::string as_comment(const Option& option) {
    std::string out = fmt::format("# {}", option.name);
    out += fmt::format(" = {}", option.kind == ValueKind::flag ? "true" : option.sign);
    out += std::string(out.size() < 28 ? 28 - out.size() : 1, ' ');
    std::size_t column = out.size();
    const std::string text =
        in_keys(option.fallback.empty() ? std::string(option.help) : fmt::format("{} (default: {})", option.help, option.fallback));
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t space = std::min(text.find(' ', from), text.size());
        if (column + space - from > 110) {
            out.pop_back();
            out += "\n#" + std::string(27, ' ');
            column = 28;
        }
        out += text.substr(from, space - from + 1);
        column += space - from + 1;
        from = space + 1;
    }
    while (out.ends_with(' ')) out.pop_back();
    return out + '\n';
}

}  // namespace

std::string starter_job() {
    std::string out(beginning);
    const auto keys = [&](std::string_view heading, auto owned) {
        out += fmt::format("\n# {}\n#\n", heading);
        for (const Option& option : option_table())
            if (owned(option)) out += as_comment(option);
    };
    keys("Every key at the top of the file:", [](const Option& option) { return std::holds_alternative<MemberOf<Job>>(option.member); });
    keys("Every key of a [[cut]], besides make, id and picture:",
         [](const Option& option) { return std::holds_alternative<MemberOf<Cut>>(option.member); });
    return out;
}

}  // namespace burin
