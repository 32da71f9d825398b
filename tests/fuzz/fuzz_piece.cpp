// The readers of a piece's file and of an outline drawn by hand must come to an end on any bytes.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/job/slice.hpp"
#include "burin/workshop/traced_piece.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(bytes), size);
    try {
        if (burin::read_outline(text, "fuzz.csv").size() < 3) std::abort();
    } catch (const burin::Error&) {
    }
    try {
        (void)burin::read_traced_piece(text, "fuzz.toml");
    } catch (const burin::Error&) {
    }
    return 0;
}
