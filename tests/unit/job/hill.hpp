#pragma once
/// A small picture and the job that carves it, for the tests of the pipeline.
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/job/job.hpp"
#include "burin/picture/picture.hpp"
#include "burin/workshop/presets.hpp"

namespace tried {

inline burin::Crew crew_of(int threads) {
    burin::Crew crew;
    crew.threads = threads;
    return crew;
}

inline const burin::PresetFolders presets{{BURIN_SOURCE "/presets"}};

/// The coded value of a share of the light: IEC 61966-2-1.
inline std::uint16_t coded(double light) {
    const double value = light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
    return static_cast<std::uint16_t>(std::lround(65535 * value));
}

/// A picture of a round hill in a square, as a file of its own.
struct Hill {
    std::filesystem::path folder, path;
    explicit Hill(int pixels = 60) {
        std::string name = (std::filesystem::temp_directory_path() / "burin-run-XXXXXX").string();
        folder = ::mkdtemp(name.data());
        path = folder / "hill.png";
        std::vector<std::uint16_t> grey;
        for (int j = 0; j < pixels; ++j)
            for (int i = 0; i < pixels; ++i) {
                const double r = std::hypot(i + 0.5 - pixels / 2.0, j + 0.5 - pixels / 2.0) / pixels;
                grey.push_back(static_cast<std::uint16_t>(65535 * std::max(0.0, 1 - 2 * r)));
            }
        std::ofstream(path, std::ios::binary) << burin::write_png_grey16(grey, pixels, pixels, 0, {});
    }
    ~Hill() { std::filesystem::remove_all(folder); }
    Hill(const Hill&) = delete;
    Hill& operator=(const Hill&) = delete;

    [[nodiscard]] burin::Job job(double width = 14) const {
        burin::Job job;
        job.cuts.emplace_back();
        job.cuts[0].picture = path.string();
        job.cuts[0].width = width;
        job.cuts[0].heights = "map";
        job.cuts[0].depth = 1.2;
        job.cuts[0].invert = true;  // a bowl: the larger bit finds something to do
        return job;
    }
};

}  // namespace tried
