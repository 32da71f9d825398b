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
    double rpm = 0, feed = 0, plunge = 0;  ///< feed and plunge in mm/min
    double depth_per_pass = 0;             ///< mm
    double chip_load = 0;                  ///< mm a flute, at this feed and speed
    double bend_mm = 0;                    ///< of the bit (and the machine, where its stiffness is known) under the cutting force
    double reckoned_depth_per_pass = 0;    ///< what the rules alone give
    std::vector<std::string> reasons;      ///< one sentence each: what limits what, with its source
    std::vector<std::string> warnings;     ///< e.g. the user's depth per pass is beyond the reckoned one
};

/// The full slot one pass deep is what counts, for a finishing bit too: it opens the channels the larger bit could not
/// enter. Depth per pass from the material's ratio (vee and taper: half the largest diameter counts), feed from the chip
/// load at the diameter at work, both eased until power at the bit and bend are within the machine's and the job's
/// limits (0.05 mm of bend for roughing, 0.02 for the rest: our choice, no source). Wishes override; what lies beyond the
/// reckoned values is warned of.
/// Machinery's Handbook (F = rpm × flutes × chip load, P = kc × removal rate), Kienzle 1952, beam theory for the bend.
/// Throws Error (refused) where the material is not for a spindle or the machine has none; Error (usage) for a wish that
/// is not above 0.
[[nodiscard]] Feeds reckon_feeds(const Bit& bit, const Material& material, const Machine& machine, const FeedWishes& wishes, bool roughing);

/// Feed in mm/min; 10,000 × 2 × 0.02 = 400 (Machinery's Handbook).
[[nodiscard]] double milling_feed(double rpm, int flutes, double chip_load);
/// Cutting speed π d n in m/min, d in mm (Machinery's Handbook).
[[nodiscard]] double cutting_speed(double diameter, double rpm);
/// Power in W that takes `removal` mm³/s at `specific_force` N/mm² (Machinery's Handbook).
[[nodiscard]] double cutting_power(double specific_force, double removal);
/// Bend in mm of a cantilever under `force` N at its tip: a core of 0.8 × `diameter` over `slim` mm, then a shank of `shank`
/// mm diameter over `rest` mm; carbide, E = 600 GPa (beam theory; core ratio and E from memory).
[[nodiscard]] double stepped_bend(double force, double diameter, double slim, double shank, double rest);
/// The same for any bit, the force acting at height h above its tip: stepped_bend with the cutting length as the slim
/// part; vee and taper by integrating over their cone.
[[nodiscard]] double bend_of(const Bit& bit, double force, double h);

}  // namespace burin
