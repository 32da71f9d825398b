// Advice on memory changes nothing that can be read. Burin's own contract.
#include "burin/base/pages.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

#include "check.hpp"

using namespace burin;

TEST_CASE("memory that is expected to fill keeps what it holds") {
    for (const std::size_t size : {std::size_t{0}, std::size_t{1}, std::size_t{5000}, std::size_t{20} << 20}) {
        std::vector<unsigned char> bytes(size + 7, 41);
        expect_to_fill(bytes.data() + 3, size);
        CHECK(std::count(bytes.begin(), bytes.end(), 41) == static_cast<std::ptrdiff_t>(bytes.size()));
    }
    expect_to_fill(nullptr, 0);
}
