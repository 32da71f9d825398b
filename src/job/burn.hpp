#pragma once
/// A job that burns, with every question answered, and what becomes of it.
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "burin/design/card.hpp"
#include "burin/design/coating.hpp"
#include "burin/design/dither.hpp"
#include "burin/design/tones.hpp"
#include "burin/job/run.hpp"
#include "burin/proof/beam.hpp"
#include "burin/toolpath/burn_figure.hpp"
#include "burin/toolpath/burn_raster.hpp"
#include "settle.hpp"

namespace burin {

class Chooser;

struct SettledBurn {
    SettledJob job;  ///< without bits
    Laser laser;
    bool photo = false;     ///< burnt by its tones; else figures
    bool lightens = false;  ///< the beam makes this material lighter: the picture's lights are burnt
    TonesWishes tones;      ///< of a photo; its width and height lie as the picture does
    std::optional<Dither> dither;
    bool to_and_fro = true;     ///< of the error
    BurnTone tone;              ///< feed included
    bool feed_reckoned = true;  ///< a lower one may be taken
    double angle = 0, line_up = 0;
    bool one_way = false, scaled = true, air = false;
    bool rows = true, edge = true, lines = false;  ///< figures
    double beside = 0;                             ///< of the edge: inwards
    int passes = 1;
    bool crossed = false;  ///< rows of every second pass lie across the others
    double focus_step = 0;
    double pilot_s = 0, border_feed = 1000;
    std::optional<CoatingWishes> coating;  ///< of a circuit board
    std::optional<Card> card;              ///< a test card: neither photo nor figure
};

/// Answers every question of a job that burns. Throws Error as settle_relief does.
[[nodiscard]] SettledBurn settle_burn(const Job& job, const Workshop& workshop, const Source& source);

/// Throws Error (usage) where options of boards stand without --coating, or do not go with it.
void check_coating(const Cut& cut);
/// How a board's coating is burnt; power, rows and passes are known. Throws Error (refused, usage).
void settle_coating(Chooser& choose, SettledBurn& burn);

/// Whether a cut is a test card for a beam: said, or the machine has nothing but a laser.
[[nodiscard]] bool burns_card(const Job& job, const PresetFolders& presets);
/// The same for a test card, which is laid out here. Throws as settle_burn does, and as card_for.
[[nodiscard]] SettledBurn settle_burn_card(const Job& job, const Workshop& workshop, const Source& source);

/// What is to be run, and what it is held against.
struct BurnPlan {
    Toolpath path;
    std::optional<Grid<float>> exposure;  ///< wanted, J/mm², work coordinates: photos
    std::vector<BeamFigure> figures;
    double blur = 0, tone_tolerance = 0.02;
    std::optional<CoatingDesign> coating;  ///< of a circuit board
    Box work;                              ///< what is burnt
    double detail = 0;                     ///< mm a point of the picture; 0: no photo
    std::vector<std::string> notes, warnings;
};
/// The feed, where it was reckoned, is lowered to what the controller keeps up with: into `burn`. Throws Error (refused).
[[nodiscard]] BurnPlan plan_photo(SettledBurn& burn, const Picture& picture, const Crew& crew);
[[nodiscard]] BurnPlan plan_figures(SettledBurn& burn, const Drawing& drawing, const Crew& crew);
/// Throws as plan_coating does.
[[nodiscard]] BurnPlan plan_board(SettledBurn& burn, const Drawing& drawing, const Crew& crew);
/// A card is burnt by rows of the feeds that stand on it.
[[nodiscard]] BurnPlan plan_card(SettledBurn& burn, const Crew& crew);
/// Takes the feed that the rows can be run at, warns, or refuses where the power is constant; false: plan once more.
[[nodiscard]] bool settle_pace(SettledBurn& burn, double fastest, BurnPlan& plan);
/// How a figure that covers `work` is burnt. Throws as rows_order does.
[[nodiscard]] BurnFigureOrder figure_order(const SettledBurn& burn, const Box& work);
/// How rows are run at the feed that counts. Throws Error (refused) where their run-ups need more room than the machine has.
[[nodiscard]] BurnRowsOrder rows_order(const SettledBurn& burn, const Box& work);

/// The whole of a job whose one cut burns. Throws as run_job does.
[[nodiscard]] Finished run_burn(const Job& job, const PresetFolders& presets, const Crew& crew);

}  // namespace burin
