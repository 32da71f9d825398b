#pragma once
/// The questions that reliefs and figures share, answered one by one; for the files settle_….cpp only.
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/error.hpp"
#include "settle.hpp"

namespace burin {

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

/// Lengths that the program thinks up are round: a hundredth of a millimetre is finer than anyone clamps.
[[nodiscard]] double rounded(double mm);
[[nodiscard]] Error refused(const std::string& sentence);

/// Name, machine, material, and which bits; `usual_bits` are those that `workshop` has where none were given, in words.
void settle_names(const Job& given, const Workshop& workshop, const Source& source, std::string_view usual_bits, Chooser& choose,
                  Chooser& choose_cut, SettledJob& job);
/// What the picture itself says of its size, mm; 0: nothing.
[[nodiscard]] Point own_size(const Picture& picture);
/// Width and height of the whole picture on the stock. `own` as own_size gives it, `ratio` height ÷ width of the picture.
[[nodiscard]] Point settle_size(const Cut& cut, const Point& own, double ratio, Chooser& choose, Cut& written, SettledJob& job);
/// Mirrors places, told from a design's middle, left to right where that is asked, and turns them counter-clockwise.
class Facing {
public:
    Facing(double degrees, bool mirror);
    [[nodiscard]] Point operator()(const Point& from_middle) const;

private:
    double cos_, sin_;
    bool mirror_;
};
/// The box round a rectangle turned about its centre.
[[nodiscard]] Point turned_size(const Point& size, double degrees);
inline constexpr Point usual_copy_gap{5, 5};  // mm
/// What copies in columns and rows take up together.
[[nodiscard]] Point copies_size(const Point& size, double columns, double rows, const Point& gap);
/// What of a drawing is taken for grain where nobody said it, and how far its lines may be smoothed; mm², mm.
inline constexpr double usual_speck = 0.05, usual_smooth = 0.02;
/// Levels and gamma of a photo, on cells of `cell` mm; not whether light and dark change places.
void settle_tones(const Point& size, double cell, Chooser& choose, SettledJob& job, TonesWishes& wishes);
/// How far paths may leave the exact ones.
void settle_tolerance(Chooser& choose, SettledJob& job);
/// How the design is turned, and whether it is flipped.
void settle_turn(Chooser& choose, SettledJob& job);
/// Rows, columns and the gap between them; the size of all copies together.
[[nodiscard]] Point settle_copies(const Point& size, Chooser& choose, SettledJob& job);
/// Stock, work zero and the design's place; `thickness` of a stock that is assumed.
/// `centre_to_anchor`: from the design's middle to the point that `at` speaks of where no anchor is given.
void settle_stock(const Cut& cut, const Point& size, double thickness, const Point& centre_to_anchor, Chooser& choose, Chooser& choose_cut,
                  SettledJob& job);
/// What stands on the table, from job and machine; the stock is known.
void settle_keep_outs(SettledJob& job);
/// The option that makes the cut's design smaller, for sentences.
[[nodiscard]] const char* size_option(const Cut& cut);
/// "round stock of 60 mm", "oval stock of 90 × 60 mm", "stock of 90 × 60 mm".
[[nodiscard]] std::string stock_words(const Stock& stock);
/// Throws Error (refused) where a design of `size` does not fit the machine or its place on the stock, or a bit is wider.
void check_fit(const SettledJob& job, const Point& size, const std::vector<Bit>& bits);
void check_depth(double depth, double thickness, bool assumed);
/// Feeds of every bit. `all_alike`: no bit counts as roughing only.
void settle_bits(const Workshop& workshop, bool all_alike, SettledJob& job);
/// How many dots of which sizes for a photo; how deep the bit goes for the largest.
void settle_dots(const Bit& bit, Chooser& choose, SettledFigure& photo);
/// How deep a board's grooves go, how many there are, and what copper may lose.
void settle_board(Chooser& choose, SettledFigure& figure);
/// Which side of a board it is: the bottom is mirrored, place and all, about the middle of the stock.
void settle_layer(Chooser& choose, SettledJob& job);
/// Safe height, inches, one file, dry run, trial.
[[nodiscard]] double usual_safe_height(const Stock& stock, const Machine& machine);
void settle_run(Chooser& choose, SettledJob& job);

}  // namespace burin
