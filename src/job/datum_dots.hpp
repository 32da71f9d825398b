#pragma once
/// Two small dots in the waste, by which zero is found again; inside the room only.
#include <string>
#include <vector>

#include "burin/job/order.hpp"
#include "burin/proof/proof.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/presets.hpp"
#include "burin/workshop/stock.hpp"
#include "setup_options.hpp"

namespace burin {

struct DrilledDots {
    std::string file, text;
    DatumDots places;
    std::string bit, material;
    Stock stock;
    double depth = 0;
    Proof proof;
    std::vector<std::string> assumed;
    std::vector<std::string> cautions;
};

/// Drills them with the order's bit, 0.5 mm deep or as deep as a pass may be, and proves it as every cut is proved. Throws Error: refused,
/// where a dot lies beside the stock or the proof finds a fault.
[[nodiscard]] DrilledDots drill_dots(const Order& order, const Machine& machine, const PresetFolders& presets, const std::string& file,
                                     const Crew& crew);

}  // namespace burin
