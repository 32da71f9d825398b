#pragma once
/// Places on a circuit board that the page points at, whether it is milled or burnt.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/design/board.hpp"
#include "burin/proof/proof.hpp"

namespace burin::page {

struct RingInks {
    std::string_view risk, told;  ///< colours: of narrow gaps, of the narrowest track and gap
    double stroke = 0.35;         ///< in hundredths of the drawing's size
};
/// Rings round them on a drawing of `size` mm, in hundredths of a millimetre.
[[nodiscard]] std::string rings_svg(const std::vector<NarrowGap>& gaps, const std::optional<NetFigures>& nets, double size,
                                    const RingInks& inks);
/// "X1 Y2".
[[nodiscard]] std::string place(const Point& p);
/// Items of narrow gaps, as many as have rings: what is done with those that are squeezed, and with others.
[[nodiscard]] std::string gap_list(const std::vector<NarrowGap>& gaps, std::string_view squeezed, std::string_view others);

}  // namespace burin::page
