#pragma once
/// The small grammars of SVG's attributes.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace burin {

/// Reads an attribute from left to right. What is asked for and not there leaves the place where it was.
class SvgScan {
public:
    explicit SvgScan(std::string_view text) : text_(text) {}
    [[nodiscard]] bool done() const { return at_ == text_.size(); }
    [[nodiscard]] char look() const { return done() ? '\0' : text_[at_]; }
    [[nodiscard]] std::size_t place() const { return at_; }
    void step() { ++at_; }
    void skip_space();
    void skip_comma();  ///< white space with at most one comma in it
    bool take(char c);
    /// Sign, digits, fraction, exponent (SVG 2, 9.3.9; CSS Values 3, 4.3): "1.5.5" is 1.5 and .5. Values beyond double's range are
    /// infinite.
    std::optional<double> number();
    std::optional<bool> flag();  ///< a single 0 or 1, whatever follows
    std::string_view word();     ///< letters, digits, - and _

private:
    std::string_view text_;
    std::size_t at_ = 0;
};

[[nodiscard]] bool svg_space(char c);
[[nodiscard]] std::string_view trimmed(std::string_view text);
[[nodiscard]] std::string lowered(std::string_view text);
/// Pieces between separators, trimmed; none is empty.
[[nodiscard]] std::vector<std::string_view> pieces(std::string_view text, char separator);
[[nodiscard]] std::vector<std::string_view> words_of(std::string_view text);

/// A length with its unit.
struct SvgLength {
    double value = 0;
    std::string_view unit;  ///< "", "px", "mm", ..., "%"
};
[[nodiscard]] std::optional<SvgLength> svg_length(SvgScan& scan);
/// What lengths without a fixed size refer to, in user units.
struct SvgUnits {
    double font_size = 16, percent_of = 0;
};
/// Pixels of 1/96 inch (CSS Values 3, 6.2); nothing for a unit that is none.
[[nodiscard]] std::optional<double> in_pixels(const SvgLength& length, const SvgUnits& units);
/// A whole attribute that is one length.
[[nodiscard]] std::optional<double> in_pixels(std::string_view text, const SvgUnits& units);

}  // namespace burin
