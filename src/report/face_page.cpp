// The steps of setting up a stock that is faced. The plane that is wanted is z = 0, and nobody can touch it before it is cut: so zero is
// set at the highest place, by what was measured.

#include "face_page.hpp"

#include <fmt/format.h>

#include "ink.hpp"
#include "page_parts.hpp"

namespace burin::page {

using ink::escaped;
using ink::number;

std::string face_stock_step(const JobReport& report) {
    const FaceReport& face = *report.face;
    if (face.spoilboard)
        return fmt::format(
            "<strong>Board.</strong> The area of {} × {} mm on the board that the machine cuts on. Take out every screw in it, or sink it "
            "by more than {} mm: a bit that meets a screw breaks, and flies.",
            number(report.stock.bounds.width()), number(report.stock.bounds.height()), number(face.rise + 1));
    return fmt::format(
        "<strong>Stock.</strong> {}, measured below the finished plane: where it is thinnest it must measure <strong>{} mm</strong> "
        "before. "
        "Put it on a flat spoilboard so that it does not rock: wedge what is hollow below. Look for nails, stones and loose bark.",
        escaped(stock_words(report.stock)), number(report.stock.thickness + face.skim));
}

std::string face_hold_words(const JobReport& report) {
    if (report.face->spoilboard) return "";
    return " The whole top is cut, so nothing may hold it from above: screw it from below, glue it to a board, or clamp its sides below "
           "Z0.";
}

std::string face_zero_step(const JobReport& report) {
    const FaceReport& face = *report.face;
    std::string xy = zero_words(report.zero, report.stock);
    if (const auto at = xy.find("of the stock's top"); face.spoilboard && at != std::string::npos) xy = xy.substr(0, at) + "of the area";
    return fmt::format(
        "<strong>Zero.</strong> X0 Y0 is {0}. <strong>Z0 is the finished plane</strong>, {1} mm below the highest place. Drive to the "
        "highest place (where the machine showed {2}), lower the tip until it just grips a slip of paper, and set Z to "
        "<strong>{1}</strong> "
        "there, and the paper's thickness more. Then lower it at the lowest place: the machine must show about {3}, and nowhere on the top "
        "may it grip the paper above Z{1}. What stands higher would be taken all at once.",
        escaped(xy), number(face.rise, 3), number(face.highest, 3), number(face.rise - (face.highest - face.lowest), 3));
}

}  // namespace burin::page
