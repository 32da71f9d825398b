#pragma once
/// A job as the person gave it: what they said, and nothing of what is reckoned.
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/workshop/bit.hpp"
#include "burin/workshop/feeds.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/material.hpp"

namespace burin {

/// A bit as it was named, and what is fixed for it alone.
struct BitUse {
    std::string use;         ///< preset, file or sizes
    std::optional<Bit> bit;  ///< written out in a job file: then `use` is only its name
    FeedWishes wishes;
    std::vector<std::string> reckoned;
};

/// One cut of a job. Empty: not given. Lengths mm, angles degrees.
/// `reckoned` names those values that an earlier run chose and nobody changed since: they count as not given.
struct Cut {
    std::string make = "relief";         ///< the name of a command that cuts something
    std::optional<std::string> id;       ///< what others call it
    std::optional<std::string> picture;  ///< absolute once read
    std::optional<std::string> sha256;   ///< of the picture, as an earlier run saw it
    std::optional<double> width, height, megapixels;
    std::optional<std::string> heights;  ///< map, tone, sculpt, dome, transmit
    std::optional<double> depth, gamma, smooth, detail, steepest, dome_rise, least_thickness, most_thickness;
    std::optional<Point> levels;  ///< percentiles
    std::optional<bool> invert, mirror, one_way;
    std::optional<std::string> border;  ///< "step", "blend:MM"
    std::optional<Point> at;
    std::optional<double> rotate, angle, fit, rows, columns, spare_margin;
    std::optional<Point> gap;
    std::optional<std::string> anchor, align;
    std::optional<bool> spare, turn_to_fit;
    // Lettering and shapes, in place of a picture.
    std::optional<std::string> text, font, text_align, reading, shape;
    std::optional<double> cap_height, letter_spacing, line_pitch, fit_width, arc;
    std::optional<double> diameter, inner_diameter, corner_radius, corners, length, thickness;
    // Drawings.
    std::optional<bool> trim, conventional, raster, arcs, follow_width;
    std::optional<std::string> threshold, ink, side, part, fill;
    std::optional<double> despeckle, close_holes, tabs, steps, tab_width, tab_height, breakthrough, onion_skin;
    // Photos as grooves.
    std::optional<std::string> pattern;
    std::optional<double> pitch, wave_length, wave_height, least_depth;
    // Photos as dots.
    std::optional<std::string> tone_by;
    std::optional<double> dots, least_dot, most_dot, dot_gap, hop;
    std::optional<bool> one_line;
    // Burning with a beam.
    std::optional<std::string> tone, power_mode, cover;
    std::optional<std::string> burn_anyway;  ///< job files only: why a material may be burnt that else is refused
    std::optional<double> line_spacing, power, least_power, pilot, line_up, passes, focus_step;
    std::optional<bool> dither_one_way, air_assist, crossed;
    std::optional<std::string> coating;  ///< of a circuit board: resist, mask
    std::optional<double> around;
    // Circuit boards.
    std::optional<double> copper, unevenness, overlap, squeeze, hole_slack;
    std::optional<bool> clear;
    std::optional<std::string> layer, turn_over, board_field, drill_units, drill_zeros;
    std::optional<Point> hole_sizes, drill_digits;
    // Facing.
    std::optional<double> highest, lowest, skim, run_out;
    std::optional<std::string> sweep;
    std::optional<bool> spoilboard;
    // Test cards.
    std::optional<std::string> kind, powers, feeds;
    std::optional<double> patches, patch_size;

    std::vector<BitUse> bits;
    std::optional<double> depth_per_pass, stepover, scallop, allowance, feed, plunge, speed, cell, tolerance;
    std::vector<std::string> reckoned;
};

struct Job {
    std::optional<std::string> name;
    std::optional<std::string> machine, material;  ///< preset or file
    std::optional<Machine> machine_table;          ///< written out in a job file; wins
    std::optional<Material> material_table;
    std::optional<std::string> stock;  ///< "100x80x12", "round:90x12", "slice.toml"
    std::optional<std::string> zero;
    std::vector<std::string> keep_outs;  ///< as parse_keep_out reads them
    std::optional<double> safe_height, air;
    std::optional<bool> inch, one_file;
    std::optional<Point> trial, trial_at;  ///< size and centre of the piece to be cut on scrap
    std::vector<Cut> cuts;
    std::string side;  ///< "top-" or "bottom-" where a board is made from both sides: before its programs' names, set by the program alone
    std::vector<std::string> reckoned;
};

/// What concerns one run and no job.
struct RunOptions {
    std::optional<std::string> output;
    std::optional<double> threads;
    std::optional<bool> quiet, json, markdown;
    std::optional<std::string> card;                           ///< the job of the card in a photo
    std::optional<std::string> each, name_column, only, nest;  ///< batches: table, column of names, rows, board
    std::optional<double> gap_between;
    std::optional<std::string> marks, distance, drawn_outline, bark;  ///< a piece in a photo: what is known of its place and line
    std::optional<Point> marks_size;
    std::optional<std::string> controller, like;  ///< a machine from its controller's settings
    // Zeroing: a touch plate's sizes, a slip of paper, how it is probed, two places of dots.
    std::optional<double> plate, plate_wall, plate_width, paper, probe_feed, probe_slow, probe_travel;
    std::optional<std::string> datum_dots;
    // The outline of a work, walked.
    std::optional<std::string> by, walk;
    std::optional<double> grow;
    std::optional<bool> stop_at_corners;
    // A top that is measured, and programs bent onto it.
    std::optional<double> apart, inset, reach;
    std::optional<bool> stop_at_places;
    std::optional<std::string> points, zero_at;
    std::optional<double> stopped_line, stopped_share, stopped_below, run_in;  ///< where a program stopped; percent, mm
    std::optional<double> minutes, parts_wanted;                               ///< how a program is split
    std::optional<std::string> make;                                           ///< what bits are chosen for: the name of a command
};

}  // namespace burin
