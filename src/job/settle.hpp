#pragma once
/// A job with every question answered: what was given, what was reckoned, and why.
#include <array>
#include <string>
#include <vector>

#include "burin/base/grid.hpp"
#include "burin/design/card.hpp"
#include "burin/design/figure.hpp"
#include "burin/design/heights.hpp"
#include "burin/design/screen.hpp"
#include "burin/design/stipple.hpp"
#include "burin/design/tabs.hpp"
#include "burin/design/tones.hpp"
#include "burin/design/trace.hpp"
#include "burin/job/job.hpp"
#include "burin/job/options.hpp"
#include "burin/picture/picture.hpp"
#include "burin/workshop/feeds.hpp"
#include "burin/workshop/presets.hpp"
#include "burin/workshop/stock.hpp"
#include "source.hpp"

namespace burin {

inline constexpr double usual_cap_height = 10;      // mm
inline constexpr const char* usual_font = "serif";  // for letters without a font

struct SettledBit {
    Bit bit;
    Feeds feeds;
};

/// What every kind of job has.
struct SettledJob {
    Job written;  ///< for job.toml: every value, presets written out
    std::string make, name;
    std::string side;  ///< as Job::side
    Machine machine;
    Material material;
    Stock stock;
    double safe_height = 3, lift = 0;
    double rise = 0;  ///< of a job that faces its stock: how high that stands above z = 0 before
    double top = 0;   ///< z where this step of a stepped pocket begins: the floor of the one before
    bool inch = false, one_file = false;
    Point at;    ///< centre of the design, all its copies together, work coordinates
    Point size;  ///< of the rectangle round it, mm
    int rows = 1, columns = 1;
    Point gap;  ///< between copies
    double rotate_deg = 0;
    bool mirror = false;
    std::vector<SettledBit> bits;  ///< in the order given: the last one finishes
    double depth = 0;              ///< how deep the design goes, mm
    double allowance = 0.3, tolerance = 0.005;
    double scallop = 0;  ///< of floors and surfaces, as the last bit leaves them
    std::optional<Point> trial, trial_at;
    std::string trial_words;  ///< which piece of the design this is; empty: all of it
    std::string picture_name;
    std::vector<std::string> assumed, warnings;
};

struct SettledRelief {
    SettledJob job;
    HeightsWishes heights;
    double stepover = 0.1, angle_deg = 0;
    bool one_way = false;
};

/// A stock, or a spoilboard, that is levelled.
struct SettledFace {
    SettledJob job;
    double highest = 0, lowest = 0, skim = 0;  ///< as measured; below the lowest place
    double stepover = 0, run_out = 0;          ///< mm
    bool spiral = false, one_way = false, conventional = false, spoilboard = false;
};

/// A photo as dots or as one line.
struct SettledDots {
    StippleWishes wishes;
    bool one_line = false;
    double hop = 1;  ///< mm above the stock top, between dots
};

struct SettledFigure {
    SettledJob job;
    FigureWishes design;
    TabWishes tabs;  ///< cut-outs
    bool conventional = false, raster = false, arcs = false;
    double onion_skin = 0;
    std::optional<std::array<double, 3>> fill;
    TonesWishes tones;    ///< photos
    ScreenWishes screen;  ///< likewise: grooves
    SettledDots dots;     ///< likewise: dots
    std::optional<Card> card;
};

/// The job with this one cut alone.
[[nodiscard]] Job one_cut(const Job& job, const Cut& cut);
/// The zero of a stock where none is given.
[[nodiscard]] std::string usual_zero(const StockSize& size);
[[nodiscard]] Stock stock_of(const StockSize& size, const std::string& zero);

/// Machine, material, bits and what can be refused without the picture. `bits` keeps the order given.
struct Workshop {
    Machine machine;
    Material material;
    std::vector<Bit> bits;
};
[[nodiscard]] Workshop find_workshop(const Job& job, const PresetFolders& presets);
/// The same for a beam: no bits, and a material that may be burnt.
[[nodiscard]] Workshop find_beam_workshop(const Job& job, const PresetFolders& presets);
/// Whether a cut burns a photo by its tones; else it burns figures, or nothing.
[[nodiscard]] bool burns_tones(const Cut& cut);
/// Whether a text without a font is set in letters of single lines.
[[nodiscard]] bool sets_single_lines(const Cut& cut);

/// Answers every question of a job with one relief. Throws Error: refused where the job conflicts with stock or machine,
/// usage where the sizes are missing.
[[nodiscard]] SettledRelief settle_relief(const Job& job, const Workshop& workshop, const Source& source);

/// How a drawing is to be traced: what was given, else the usual. A width or height that is 0 follows the other; both 0: the
/// picture's own size counts, which `trimmed` pictures must be cut to afterwards. Throws Error (usage) where there is no size at all.
[[nodiscard]] TraceWishes settle_trace(const Cut& cut, const Picture& picture);
/// Answers every question of a job with a drawing. Throws as settle_relief does.
/// `step` of a stepped pocket, from 0.
[[nodiscard]] SettledFigure settle_figure(const Job& job, const Workshop& workshop, const Source& source, int step = 0);

/// Whether a cut shows the tones of a photo, by grooves or dots.
[[nodiscard]] bool shows_tones(const Cut& cut);
/// Answers every question of a job with a photo. Throws as settle_relief does.
[[nodiscard]] SettledFigure settle_photo(const Job& job, const Workshop& workshop, const Source& source);

/// Answers every question of a test card. Throws as settle_relief does, and as card_for.
[[nodiscard]] SettledFigure settle_card(const Job& job, const Workshop& workshop, const Source& source);

/// Answers every question of facing. Throws as settle_relief does.
[[nodiscard]] SettledFace settle_face(const Job& job, const Workshop& workshop, const Source& source);

/// Side of the cells: a fifth of the finishing bit's tip radius, taken down to 0.1, 0.05 or 0.02 mm, then up again until
/// the area has at most 16 million cells; never above 0.1, for a wall may move sideways by one cell and by no more than that.
[[nodiscard]] double reckon_cell(const Bit& finishing, double width, double height);
/// 10 % of the tip's diameter; vees: what leaves at most 0.01 mm between lines, on floors and on slopes across them.
[[nodiscard]] double reckon_stepover(const Bit& finishing);
/// Height of what lines `stepover` apart leave between them on a floor.
[[nodiscard]] double scallop_of(const Bit& bit, double stepover);

}  // namespace burin
