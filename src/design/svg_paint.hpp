#pragma once
/// Walking through an SVG's elements and painting them.
#include <memory>
#include <optional>
#include <vector>

#include "burin/design/svg.hpp"
#include "svg_canvas.hpp"
#include "svg_document.hpp"
#include "svg_path.hpp"
#include "svg_style.hpp"

namespace burin {

/// Where paint may go.
struct SvgClip {
    Region region;
    bool rectangle = false;  ///< the region is its own box
};

/// What an element inherits from the ones around it.
struct SvgState {
    Affine to_mm;
    SvgStyle style;
    double alpha = 1;                     ///< of the groups around
    double width = 100, height = 100;     ///< of the viewport in user units, for percentages
    std::shared_ptr<const SvgClip> clip;  ///< none: everywhere
    int depth = 0;
    [[nodiscard]] double diagonal() const;  ///< what percentages of other lengths refer to (SVG 2, 8.9)
    [[nodiscard]] SvgUnits across() const { return {style.font_size, width}; }
    [[nodiscard]] SvgUnits along() const { return {style.font_size, height}; }
    [[nodiscard]] SvgUnits other() const { return {style.font_size, diagonal()}; }
};

/// What one reading works with.
struct SvgReading {
    const SvgDocument& document;
    const std::vector<SheetRule>& rules;
    SvgRemarks& remarks;
    SvgCanvas& canvas;
    const SvgLetters& letters;
    double tolerance;
    bool follow_strokes;
    std::size_t points_left = svg_limits::points, painted = 0;
    std::vector<pugi::xml_node> used;  ///< elements being painted through `use`, from the outside in
};

/// The element and all it contains.
void paint_element(SvgReading& reading, const SvgState& around, const pugi::xml_node& node);
void paint_children(SvgReading& reading, const SvgState& state, const pugi::xml_node& node);

/// The state within an element: its style, transform, opacity and clip. Nothing where it is not shown.
[[nodiscard]] std::optional<SvgState> entered(SvgReading& reading, const SvgState& around, const pugi::xml_node& node);

/// Fill and stroke of a path in the state's user space.
void paint_path(SvgReading& reading, const SvgState& state, const pugi::xml_node& node, const SvgPath& path);
void paint_text(SvgReading& reading, const SvgState& state, const pugi::xml_node& node);

/// The path of a shape element; nothing for another element or one that draws nothing.
[[nodiscard]] std::optional<SvgPath> shape_path(SvgReading& reading, const SvgState& state, const pugi::xml_node& node);
/// A length attribute of the element, `otherwise` where it is not there or broken (then with a warning).
[[nodiscard]] double length_attribute(SvgReading& reading, const pugi::xml_node& node, const char* name, const SvgUnits& units,
                                      double otherwise);
/// Where `use` and gradients refer to: the href of either kind.
[[nodiscard]] std::string_view href_of(const pugi::xml_node& node);

/// Chords of a path, after a look for coordinates that are none or absurd (which throw).
[[nodiscard]] std::vector<CentreLine> chords(SvgReading& reading, const SvgState& state, const pugi::xml_node& node, const SvgPath& path);
/// Loops in mm, with what lies far off the page cut off.
[[nodiscard]] std::vector<Loop> in_mm(const Affine& to_mm, std::vector<Loop> loops);

/// The clip of an element: clipPath `id` within what clips already.
[[nodiscard]] std::shared_ptr<const SvgClip> clipped_by(SvgReading& reading, const SvgState& state, const pugi::xml_node& node,
                                                        const std::string& id);
/// A rectangle in user space within what clips already.
[[nodiscard]] std::shared_ptr<const SvgClip> clipped_to(const SvgState& state, const ViewBox& box);

/// Colour that a paint comes to; gradients the mean of their stops. Nothing: not painted.
[[nodiscard]] std::optional<SvgColour> colour_of(SvgReading& reading, const SvgPaint& paint, const pugi::xml_node& node);
/// What paint of this colour and opacity makes of white and of black paper: dark of both, light of both, or leaves each as it was.
[[nodiscard]] Tone tone_of(const SvgColour& colour, double opacity);

/// Dashes of a line; nothing where there would be more than `most`.
[[nodiscard]] std::optional<std::vector<CentreLine>> dashed(const CentreLine& line, const std::vector<double>& pattern, double offset,
                                                            std::size_t most);

}  // namespace burin
