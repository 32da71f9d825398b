#pragma once
// Each promise held against what the replay saw; inside the room only. Numbers as in the list of promises; the sixth (the same
// job gives the same bytes) cannot be seen on one text and is left to the tests.
#include <string>
#include <vector>

#include "burin/proof/proof.hpp"
#include "morphology.hpp"
#include "removal.hpp"
#include "way.hpp"

namespace burin::proving {

constexpr double surface_slack = 0.02;  ///< promises 1 and 2, mm
constexpr double height_slack = 0.05;   ///< promise 3: what a grid adds to a height taken at once, mm
constexpr double section_slack = 0.10;  ///< and to a section, share
constexpr double feed_slack = 0.01;     ///< F words are rounded
constexpr double rapid_touch = 0.005;   ///< mm
constexpr double least_volume = 1e-6;   ///< mm³ from which a move takes stock
constexpr double place_slack = 0.002;   ///< mm, two roundings of a coordinate

/// One way in which a promise is broken.
struct Breach {
    std::uint32_t line = 0;
    Point3 place;
    std::string sentence;
};

/// What a promise's check says: kept, with its numbers, or broken, the earliest line first.
[[nodiscard]] Check verdict(std::string name, std::string file, std::string kept, std::vector<Breach> breaches);

/// "x 1.00 y 2.00"
[[nodiscard]] std::string at_place(const Point3& p);

/// 3: fills most_at_once, largest_section, largest_peck.
[[nodiscard]] Check check_at_once(const std::vector<Way>& ways, std::size_t way, const Replay& replay, ProgramFigures& figures);
/// 4: fills fastest_down, rapids_in_stock.
[[nodiscard]] Check check_crash(const Way& way, const Replay& replay, const ProofTask& task, ProgramFigures& figures);
/// 5: fills lo, hi, inside_travel.
[[nodiscard]] Check check_inside(const Way& way, const ProofTask& task, ProgramFigures& figures);
/// From a straight way in plan to a keep-out; 0: over it.
[[nodiscard]] double apart(const KeepOut& zone, const Point& a, const Point& b);
/// Straight ways from place to place of programs that cut nothing, for which no bit was named, against what stands on the table: a bit of
/// 3.175 mm is taken to be in the collet. `z` is how far it comes down; the lines are those of the ways' ends.
struct PlainWay {
    Point from, to;
    double z = 0;
    std::uint32_t line = 0;
};
[[nodiscard]] Check check_plain_ways(const std::string& file, const std::vector<PlainWay>& ways, const std::vector<KeepOut>& zones);
/// The tool and what holds it against what stands on the table; only of stock with keep-outs.
[[nodiscard]] Check check_keep_outs(const Way& way, const ProofTask& task);
/// 7: `line` is the text's last.
[[nodiscard]] Check check_time(const std::string& file, double total_s, std::uint32_t line);
/// 8
[[nodiscard]] Check check_text(const std::string& file, const ReadProgram& read);

/// 1
[[nodiscard]] Check check_below(const std::vector<Way>& ways, const HeightMap& surface, const HeightMap& design, const Comparison& seen,
                                const Crew& crew);
/// 2
[[nodiscard]] Check check_standing(const std::vector<Way>& ways, const HeightMap& surface, const HeightMap& reach, const Comparison& seen,
                                   double scallop);

}  // namespace burin::proving
