// What to beware of, for this machine and this material.
//
// Source: the safety rules of the trade that every report repeats (spindle; diode laser of class 4, IEC 60825-1; what
// must never be burnt), wood dust as IARC group 1, and what the material's own file says.

#include <algorithm>

#include "burin/report/report.hpp"

namespace burin {

std::vector<std::string> cautions_for(const Machine& machine, const Material& material) {
    std::vector<std::string> cautions;
    cautions.emplace_back(
        "Local codes, the instructions of the machine's and the material's makers and licensed practice come before anything on this "
        "sheet.");
    if (machine.spindle) {
        cautions.emplace_back("Wear eye and hearing protection. Use dust extraction, or else a mask.");
        cautions.emplace_back("No gloves, loose sleeves or long hair near the spindle. Never reach in while it turns.");
        cautions.emplace_back("Unplug the spindle before you change the bit.");
        cautions.emplace_back("Keep the emergency stop in reach and stay with the machine until the program has ended.");
        cautions.emplace_back("Clamp the stock so that bit, collet and clamps cannot meet anywhere on the way.");
    }
    if (machine.laser) {
        cautions.emplace_back(
            "A diode laser of class 4 (IEC 60825-1), its border run with the pilot beam included: eyewear rated for its wavelength, "
            "enclosed, nobody unprotected in the room.");
        cautions.emplace_back("Extract the fumes, keep a fire extinguisher at hand, and never leave the beam unattended.");
        cautions.emplace_back(
            "Never burn PVC or vinyl (hydrogen chloride), ABS (hydrogen cyanide), polycarbonate, PTFE and other fluoroplastics "
            "(hydrogen fluoride), FR-4 and carbon fibre (resin, fibres), treated or painted wood, chrome-tanned leather (chromium).");
        cautions.emplace_back(
            "Useless or risky under a blue diode: bare brass, aluminium and mirrors (they reflect it), clear acrylic (it passes "
            "through), HDPE (melts, burns). Slate and ceramics give silica dust.");
    }
    for (const auto& own : material.cautions)
        if (std::find(cautions.begin(), cautions.end(), own) == cautions.end()) cautions.push_back(own);
    cautions.emplace_back("Mains and spindle wiring is work for a licensed person.");
    return cautions;
}

}  // namespace burin
