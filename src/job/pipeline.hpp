#pragma once
/// What reliefs and figures have in common on the way from a settled job to its files.
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "burin/job/run.hpp"
#include "burin/picture/picture.hpp"
#include "burin/report/report.hpp"
#include "burin/toolpath/relief.hpp"
#include "programs.hpp"
#include "settle.hpp"
#include "source.hpp"

namespace burin {

/// Gives up the memory of a value at the end of its use. A large job's grids, moves and texts take tens of megabytes each, and
/// what the whole job may hold at once is promised.
template <class T>
void drop(T& value) {
    value = T();
}

inline void append(std::vector<std::string>& list, const std::vector<std::string>& more) {
    list.insert(list.end(), more.begin(), more.end());
}

/// on-the-piece.png: what a job leaves, on the photo of a traced piece; empty where there is none. Throws Error (input) where the photo
/// that the stock's file names is missing.
[[nodiscard]] std::string on_piece(const HeightMap& surface, const Stock& stock, const Material& material, const Crew& crew,
                                   const std::optional<std::array<double, 3>>& fill, const Grid<float>* burnt = nullptr);

/// The piece of a trial: round the place that was asked for, else `demanding`; within `box`, where the whole design lies.
/// Throws Error (refused) where a bit is wider, or the place lies beside the design.
[[nodiscard]] Box trial_piece(const SettledJob& job, const Box& box, const Box& demanding);
/// Makes a trial of the job: a piece of scrap of its own as the stock, with the same margin, thickness and kind of zero, for a
/// design of `size` that was `piece` of the whole.
void become_trial(SettledJob& job, const Box& piece, const Point& size);

/// One cut, planned, written and proved by itself on its own stock.
struct ProvedCut {
    SettledJob job;
    Programs programs;  ///< at their true height
    Proof proof;
    Box box;                             ///< of the design, work coordinates
    std::size_t number = 0;              ///< of the cut in the job
    std::optional<std::size_t> follows;  ///< a step of a pocket: that before it, among the proved ones
    std::string step;                    ///< likewise: "step 2"
    std::optional<Unreached> unreached;
    std::optional<FigureReport> figure;
    std::optional<FaceReport> face;
};

/// A cut that knows what it will be on the stock, and is not planned yet.
struct DesignedRelief {
    SettledRelief relief;
    HeightMap design;  ///< over the whole stock
    Box box;
};
struct DesignedFigure {
    SettledFigure figure;
    FigureDesign design;
    Box box;
    Region dropped;   ///< as FigureReport has it
    Region drawn;     ///< likewise
    Box picture_box;  ///< likewise
};
struct DesignedFace {
    SettledFace face;
};
using DesignedCut = std::variant<DesignedRelief, DesignedFigure, DesignedFace>;

[[nodiscard]] DesignedRelief design_relief(SettledRelief&& relief, const Picture& picture, const Crew& crew);
[[nodiscard]] DesignedFigure design_figure_cut(SettledFigure&& figure, Source&& source, const Crew& crew);
[[nodiscard]] DesignedFigure design_photo_cut(SettledFigure&& photo, const Picture& picture, const Crew& crew);
[[nodiscard]] DesignedFigure design_card_cut(SettledFigure&& card);
/// Dots for a photo's coverage: the grooves of the design, its floor and tone (but for the coverage), and what there is to say of them.
/// Returns the share of the coverage that they show: less than 1 where there are too few.
[[nodiscard]] double lay_dots(const Grid<float>& coverage, const SettledFigure& photo, FigureDesign& design, const Crew& crew);
/// Throws Error (refused) where the bit's middle would leave the stock.
void check_on_stock(const FigureDesign& design, const SettledFigure& figure);
/// Plans until the proof holds; throws Error (refused) where it does not.
[[nodiscard]] ProvedCut prove_relief(DesignedRelief&& cut, const Crew& crew);
[[nodiscard]] ProvedCut prove_figure(DesignedFigure&& cut, const Crew& crew);
[[nodiscard]] ProvedCut prove_face(DesignedFace&& cut, const Crew& crew);

/// The report of a cut with these settled programs in place of its own; `picture` may be null.
[[nodiscard]] JobReport report_of(ProvedCut&& cut, const Picture* picture, const Programs& programs);

/// All files of the job, as `release` wants them, and what is said about them.
[[nodiscard]] Finished finished_of(const JobReport& report, const Job& written, Programs&& programs, const Crew& crew);

/// The job's bits with what they may do, as toolpaths are planned with them.
[[nodiscard]] std::vector<ReliefBit> planned_bits(const SettledJob& job);

}  // namespace burin
