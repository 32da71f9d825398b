/// Options of the command slice: how the photo lies, and what is known of the piece.
#include "slice_options.hpp"

#include <fmt/format.h>

#include "burin/base/error.hpp"
#include "burin/job/slice.hpp"

namespace burin {
namespace {

void check_marks(std::string_view text) { (void)parse_marks(text); }
void check_distance(std::string_view text) { (void)parse_distance(text); }

/// Numbers with commas, exactly so many, each from 0 on.
std::vector<double> numbers(std::string_view text, std::size_t count, const char* example) {
    std::vector<double> values = parse_numbers(text);
    for (const double value : values)
        if (!(value >= 0 && value <= 1e6))
            throw Error(Fault::usage, fmt::format("'{}' will not do: pixels and lengths lie between 0 and a million.", text));
    if (values.size() != count)
        throw Error(Fault::usage, fmt::format("'{}' holds {} numbers, and {} are wanted, as in {}.", text, values.size(), count, example));
    return values;
}

Option text_option(std::string_view name, std::string_view sign, std::string_view fallback, std::string_view help,
                   std::optional<std::string> RunOptions::*member, void (*check)(std::string_view)) {
    Option option;
    option.name = name;
    option.kind = ValueKind::text;
    option.sign = sign;
    option.fallback = fallback;
    option.help = help;
    option.commands = command_slice;
    option.member = MemberOf<RunOptions>(member);
    option.check = check;
    return option;
}

}  // namespace

KnownDistance parse_distance(std::string_view text) {
    const std::vector<double> v = numbers(text, 5, "212,940,1412,952,100");
    if (!(v[4] > 0)) throw Error(Fault::usage, fmt::format("'{}' will not do: the distance, in mm, must be above 0.", text));
    return {{v[0], v[1]}, {v[2], v[3]}, v[4]};
}

std::array<Point, 4> parse_marks(std::string_view text) {
    const std::vector<double> v = numbers(text, 8, "100,900,1500,910,1480,90,120,80");
    return {{{v[0], v[1]}, {v[2], v[3]}, {v[4], v[5]}, {v[6], v[7]}}};
}

std::vector<Option> slice_options() {
    Option size;
    size.name = "marks-size";
    size.kind = ValueKind::size;
    size.sign = "SIZE";
    size.help =
        "width and height, in mm, of the rectangle whose corners the four marks are, such as 120x80; without --marks: printed marks, "
        "rings as on the test card, that are found in the photo";
    size.commands = command_slice;
    size.member = MemberOf<RunOptions>(&RunOptions::marks_size);
    size.least = 0, size.most = 5000, size.above_least = true;
    Option bark = text_option("bark", "KIND", "found", "bark round the wood: found, or none", &RunOptions::bark, nullptr);
    bark.kind = ValueKind::word;
    bark.words = {"found", "none"};
    return {
        text_option("distance", "X,Y,X,Y,MM", "",
                    "photo from straight above: two places in it, in pixels from its upper left corner, and the mm between them",
                    &RunOptions::distance, check_distance),
        text_option("marks", "X,Y,X,Y,X,Y,X,Y", "",
                    "photo from anywhere above: four marks in the plane of the piece's top, in pixels, from the lower left one round to "
                    "the right",
                    &RunOptions::marks, check_marks),
        size,
        text_option("drawn-outline", "FILE.csv", "",
                    "the piece's edge drawn by hand: a point in pixels on each line, in place of looking for it",
                    &RunOptions::drawn_outline, nullptr),
        bark};
}

}  // namespace burin
