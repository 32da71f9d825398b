/// Test cards through the whole pipeline and back: cut, photographed (by the test), read. No source: the contracts of run.hpp and tone.hpp;
/// how dark inked grooves look is Murray–Davies 1936: the share that they cover.
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/design/card_photo.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/run.hpp"
#include "burin/job/tone.hpp"
#include "burin/program/rs274.hpp"
#include "check.hpp"
#include "finished.hpp"
#include "hill.hpp"

using namespace burin;
using namespace tried;

namespace {

Job card_job() {
    Job job;
    job.material = "walnut";
    Cut& cut = job.cuts.emplace_back();
    cut.make = "card";
    cut.patches = 6;
    cut.patch_size = 5;
    return job;
}

constexpr double fine = 12.3, across_x = 90, across_y = 100;  // cells to a millimetre; mm of bench

/// What the program's moves cover at the stock top: along each of them the bit is as wide as it is deep there (60°, tip 0.1).
Grid<float> covered_by(const std::string& program) {
    Grid<float> covered(static_cast<int>(across_x * fine), static_cast<int>(across_y * fine), 1 / fine);
    const Track track = read_program(program).track;
    Point3 from = track.start;
    const auto half = [](double z) { return z < 0 ? 0.05 - z * std::tan(std::numbers::pi / 6) : 0.0; };
    for (const Move& move : track.moves) {
        const Point3 to = move.to;
        const double ra = half(from.z), rb = half(to.z), reach = std::max(ra, rb), dx = to.x - from.x, dy = to.y - from.y;
        const auto cell = [](double mm) { return static_cast<int>(std::floor(mm * fine)); };
        for (int j = cell(std::min(from.y, to.y) - reach); reach > 0 && j <= cell(std::max(from.y, to.y) + reach); ++j)
            for (int i = cell(std::min(from.x, to.x) - reach); i <= cell(std::max(from.x, to.x) + reach); ++i) {
                const double x = (i + 0.5) / fine - from.x, y = (j + 0.5) / fine - from.y, length = dx * dx + dy * dy;
                const double share = length > 0 ? std::clamp((x * dx + y * dy) / length, 0.0, 1.0) : 0;
                // A cell on the edge is covered in part.
                const double in = 0.5 + fine * (ra + share * (rb - ra) - std::hypot(x - share * dx, y - share * dy));
                covered(i, j) = std::max(covered(i, j), static_cast<float>(std::clamp(in, 0.0, 1.0)));
            }
        from = to;
    }
    return covered;
}

/// Its grooves full of ink, as a camera sees the card from a little aside.
Picture photo_of(const Grid<float>& covered) {
    const double size = 800;
    const Homography to_stock = homography_of({{{50, 50}, {740, 20}, {720, 770}, {90, 750}}}, {{{0, 0}, {77, 0}, {77, 89}, {0, 89}}});
    Picture photo;
    photo.width = photo.height = static_cast<int>(size);
    for (int row = 0; row < photo.height; ++row)
        for (int i = 0; i < photo.width; ++i) {
            double light = 0;
            for (int s = 0; s < 9; ++s) {
                const int a = s % 3, b = s / 3;
                const Point p = mapped(to_stock, {i + (a + (b + 0.5) / 3) / 3, size - row - (b + (a + 0.5) / 3) / 3});
                const int x = static_cast<int>(std::floor(p.x * fine)), y = static_cast<int>(std::floor(p.y * fine));
                const double ink = covered.holds(x, y) ? static_cast<double>(covered(x, y)) : 0;
                light += (0.55 + (0.08 - 0.55) * ink) / 9;
            }
            light *= 1 - 0.3 * i / size;
            photo.samples.push_back(coded(light));
        }
    return photo;
}

/// How dark the beam's card is everywhere, by the rows of its program: exposure = W ÷ (mm/s × mm), units; darkness by `curve`.
template <class Curve>
Grid<float> burnt_by(const std::string& program, const Laser& laser, double spacing, Curve curve) {
    Grid<float> dark(static_cast<int>(across_x * fine), static_cast<int>(across_y * fine), 1 / fine);
    const Track track = read_program(program, ToolKind::beam).track;
    Point3 from = track.start;
    for (const Move& move : track.moves) {
        const double y0 = move.to.y - spacing / 2, y1 = move.to.y + spacing / 2;
        if (move.kind == MoveKind::feed && move.power > 0)
            for (int j = static_cast<int>(y0 * fine); j <= static_cast<int>(y1 * fine); ++j)
                for (int i = static_cast<int>(std::min(from.x, move.to.x) * fine);
                     i <= static_cast<int>(std::max(from.x, move.to.x) * fine); ++i) {
                    // A cell that a row covers in part gets that part of its darkness.
                    const double in = std::clamp(y1 * fine - j, 0.0, 1.0) - std::clamp(y0 * fine - j, 0.0, 1.0);
                    const double joules = laser.power_w * move.power / laser.scale * 60 / (static_cast<double>(move.feed) * spacing);
                    dark(i, j) = std::min(1.0F, dark(i, j) + static_cast<float>(in * curve(joules)));
                }
        from = move.to;
    }
    return dark;
}

/// Written where find_tone reads it.
void save(const Picture& photo, const std::filesystem::path& path) {
    std::ofstream(path, std::ios::binary) << write_png_grey16(photo.samples, photo.width, photo.height, 0, {});
}

}  // namespace

TEST_CASE("A card is cut, photographed and read: the material comes back with its tones") {
    const Finished card = run_job(card_job(), presets, crew_of(2));
    const Hill place;
    const auto job_path = place.folder / "job.toml", photo_path = place.folder / "card.png";
    std::ofstream(job_path) << content(card, "job.toml");
    save(photo_of(covered_by(content(card, "1-cut.nc"))), photo_path);
    const Finished again = run_job(read_job(content(card, "job.toml"), "job.toml", place.folder), presets, crew_of(1));
    CHECK((content(again, "1-cut.nc") == content(card, "1-cut.nc")));
    CHECK((content(again, "job.toml") == content(card, "job.toml")));

    const ToneFound found = find_tone({photo_path, job_path}, presets, crew_of(2));
    REQUIRE(found.files.front().name == "walnut.toml");
    const Material walnut = read_material(found.files.front().content, "walnut.toml");
    REQUIRE(walnut.groove_tone.points.size() == 6);
    for (const Point& p : walnut.groove_tone.points) CHECK(p.y == Approx(p.x).margin(0.02));
    CHECK(walnut.burn_tone.points.size() == find_material(presets, "walnut").burn_tone.points.size());
    CHECK(walnut.kc1 == find_material(presets, "walnut").kc1);

    // Written where it hurts nobody; a file of the person's own stays.
    const auto folder = place.folder / "tones";
    write_tone(found, folder);
    write_tone(found, folder);
    CHECK(find_material(presets, (folder / "walnut.toml").string()).groove_tone.points == walnut.groove_tone.points);
    std::ofstream(folder / "walnut.toml") << "# mine\n";
    CHECK_THAT(refusal_of([&] { write_tone(found, folder); }, Fault::output), ContainsSubstring("left alone"));

    // Another card's job, a job without a card, no card in the photo.
    Job other = card_job();
    other.cuts[0].patches = 7;
    std::ofstream(job_path) << write_job(other);
    CHECK_THAT(refusal_of(
                   [&] {
                       (void)find_tone({photo_path, job_path}, presets, crew_of(2));
                   },
                   Fault::refused),
               ContainsSubstring("another"));
    std::ofstream(job_path) << write_job(place.job());
    CHECK_THAT(refusal_of(
                   [&] {
                       (void)find_tone({photo_path, job_path}, presets, crew_of(2));
                   },
                   Fault::usage),
               ContainsSubstring("no test card"));
    std::ofstream(job_path) << write_job(card_job());
    CHECK_THAT(refusal_of(
                   [&] {
                       (void)find_tone({place.path, job_path}, presets, crew_of(2));
                   },
                   Fault::refused),
               ContainsSubstring("No marks"));
}

TEST_CASE("A card is burnt, photographed and read: exposures have their darkness") {
    Job job;
    job.machine = "laser-240x150";
    job.material = "basswood";
    Cut& cut = job.cuts.emplace_back();
    cut.make = "card";
    cut.patches = 6;
    cut.powers.emplace("50,100");
    cut.feeds.emplace("600,1200");
    const Finished card = run_job(job, presets, crew_of(2));
    const Hill place;
    const auto job_path = place.folder / "job.toml", photo_path = place.folder / "card.png";
    std::ofstream(job_path) << content(card, "job.toml");
    const Finished again = run_job(read_job(content(card, "job.toml"), "job.toml", place.folder), presets, crew_of(1));
    CHECK((content(again, "2-burn.nc") == content(card, "2-burn.nc")));
    CHECK((content(again, "job.toml") == content(card, "job.toml")));
    const Laser laser = *find_machine(presets, "laser-240x150").laser;
    const auto curve = [](double joules) { return std::clamp((joules - 0.15) / 1.0, 0.0, 1.0); };  // nothing below a threshold
    save(photo_of(burnt_by(content(card, "2-burn.nc"), laser, laser.spot_mm, curve)), photo_path);
    const ToneFound found = find_tone({photo_path, job_path}, presets, crew_of(2));
    const Material basswood = read_material(found.files.front().content, "basswood.toml");
    REQUIRE(basswood.burn_tone.points.size() >= 6);
    for (const Point& p : basswood.burn_tone.points) CHECK(p.y == Approx(curve(p.x)).margin(0.02));
    CHECK(basswood.burn_tone.points.back().x == Approx(2 * 60 / (600 * 0.15)).margin(1e-3));  // 2 W at the slowest feed
    // Beams that cannot.
    job.cuts[0].feeds.emplace("600,3000");
    CHECK_THAT(refusal_of([&] { (void)run_job(job, presets, {}); }, Fault::refused), ContainsSubstring("smaller --feeds"));
    job.material = "brass";
    CHECK_THAT(refusal_of([&] { (void)run_job(job, presets, {}); }, Fault::refused), ContainsSubstring("not burnt"));
}

TEST_CASE("Cards that cannot be are refused") {
    const auto wrong = [](auto change, Fault fault) {
        Job job = card_job();
        change(job);
        return refusal_of([&] { (void)run_job(job, presets, {}); }, fault);
    };
    CHECK_THAT(wrong([](Job& job) { job.cuts[0].bits.emplace_back().use = "flat:2.0"; }, Fault::refused), ContainsSubstring("no greys"));
    CHECK_THAT(wrong([](Job& job) { job.cuts[0].picture = "card.png"; }, Fault::usage), ContainsSubstring("takes no picture"));
    CHECK_THAT(wrong([](Job& job) { job.trial = Point{20, 20}; }, Fault::usage), ContainsSubstring("--trial"));
    CHECK_THAT(wrong([](Job& job) { job.stock = "40x40x12"; }, Fault::refused), ContainsSubstring("larger than the stock"));
    CHECK_THAT(wrong([](Job& job) { job.cuts[0].pitch = 3; }, Fault::usage), ContainsSubstring("pitch"));
}
