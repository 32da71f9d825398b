// Any bytes at all: the readers give a picture that agrees with itself, or a sentence.
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "burin/picture/picture.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    burin::PictureLimits limits;
    limits.most_megapixels = 0.25;  // so that a run is short
    try {
        const burin::Picture p = burin::read_picture({reinterpret_cast<const std::byte*>(data), size}, "fuzz", limits);
        const std::size_t pixels = static_cast<std::size_t>(p.width) * static_cast<std::size_t>(p.height);
        const bool agrees = p.width > 0 && p.height > 0 && (p.channels == 1 || p.channels == 3) &&
                            p.samples.size() == pixels * static_cast<std::size_t>(p.channels) &&
                            (p.alpha.empty() || p.alpha.size() == pixels) && (!p.width_mm || *p.width_mm > 0);
        if (!agrees) std::abort();
        const burin::HeightMap light = burin::luminance(p, 10);
        for (const float v : light.values())
            if (!(v >= 0 && v <= 1.0001F)) std::abort();
    } catch (const burin::Error& error) {
        if (error.fault() != burin::Fault::input) std::abort();
    }
    return 0;
}
