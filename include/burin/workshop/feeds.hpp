#pragma once
/// Feeds and speeds reckoned from material, bit and machine, each with its reason.
#include <optional>
#include <string>
#include <vector>

#include "burin/workshop/bit.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/material.hpp"

namespace burin {

/// What the user fixed; empty: reckoned.
struct FeedWishes {
    std::optional<double> feed, plunge, speed, depth_per_pass;
};

struct Feeds {
    double rpm = 0, feed = 0, plunge = 0;   ///< mm/min
    double depth_per_pass = 0;              ///< mm
    double chip_load = 0;                   ///< mm a flute, at this feed and speed
    double bend_mm = 0;                     ///< of the bit under the cutting force
    double reckoned_depth_per_pass = 0;     ///< what the rules alone give
    std::vector<std::string> reasons;       ///< one sentence each: what limits what, with its source
    std::vector<std::string> warnings;      ///< e.g. the user's depth per pass is beyond the reckoned one
};

/// `width_of_cut` is the stepover of the engaged side, mm (a full slot: the diameter at work).
/// Machinery's Handbook (F = rpm × flutes × chip load, P = kc × removal rate), Kienzle 1952, beam theory for the bend.
/// Throws Error (refused) where the material is not for a spindle or the machine has none.
[[nodiscard]] Feeds reckon_feeds(const Bit& bit, const Material& material, const Machine& machine, const FeedWishes& wishes,
                                 bool roughing);

}  // namespace burin
