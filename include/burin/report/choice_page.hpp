#pragma once
/// Which bits suit a picture: sets of bits beside each other, one page and its figures.
#include <optional>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/report/report.hpp"

namespace burin {

/// What a set of bits does not get.
struct ChoiceLoss {
    double share = 0;  ///< of what is carved: reliefs, more than Unreached::threshold above the design; figures, never cut at all
    std::optional<double> worst;  ///< mm above the design; reliefs
    Point where;                  ///< of the worst, or of the narrowest place
    int too_narrow = 0;           ///< figures: places that no bit enters
    double narrowest = 0;         ///< mm, of these; 0: none
    int corners = 0;              ///< figures: that stay rounded
    std::string picture;          ///< <img> or <svg>: the design, and in colour what stays
};
/// Cost: a picture shrunk; figures: the medial axis of what is lost, see losses_of.
[[nodiscard]] ChoiceLoss loss_of(const Unreached& left, const Crew& crew);
[[nodiscard]] ChoiceLoss loss_of(const FigureReport& figure, const std::vector<Bit>& bits, const Crew& crew);

/// One set of bits, planned and proved, or refused.
struct Choice {
    std::vector<std::string> bits;  ///< as they were named, in running order
    std::string refused;            ///< why; empty: proved
    double time_s = 0;              ///< of cutting
    int changes = 0;                ///< of bits, between the programs
    double depth = 0, cell = 0;     ///< mm: how deep it really goes; the computation's grid
    ChoiceLoss loss;
    std::string piece;    ///< PNG of the finished piece; may be empty
    std::string command;  ///< what makes it
    [[nodiscard]] double whole_time_s() const { return time_s + changes * change_time_s; }
    static constexpr double change_time_s = 300;  ///< for a change of bit with its zero: common practice, no source
};

/// The rule: of the sets that leave out no more narrow places than the set that loses least, a slower one is taken only where it wins back
/// `worth_of_double_time` of the area for each time that it takes twice as long, changes of bits counted (the least log2 of the time and
/// share lost ÷ worth); of equals the one with fewer bits, then the one that loses less, then the first. Empty: all are refused.
[[nodiscard]] std::optional<std::size_t> sensible_of(const std::vector<Choice>& choices);
inline constexpr double worth_of_double_time = 0.02;  ///< our choice, no source

struct ChoicePage {
    std::string name, version;
    std::string make;  ///< for which command
    std::string picture_name, material;
    Machine machine;
    Point size;  ///< of the design, mm
    std::vector<Choice> choices;
    std::vector<std::string> assumed;
};
/// One file, no outside references, no script, phone and A4. All text is taken as text, never as markup, but for ChoiceLoss::picture.
[[nodiscard]] std::string choice_html(const ChoicePage& page, const Crew& crew);
[[nodiscard]] std::string choice_json(const ChoicePage& page);
/// Why the sensible one is sensible, a sentence.
[[nodiscard]] std::string choice_reason(const ChoicePage& page);
/// "0.3 % of the area", "nothing".
[[nodiscard]] std::string loss_words(const ChoiceLoss& loss);

}  // namespace burin
