#pragma once
/// A program's text by its lines.
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace burin {

/// Where the lines of a text begin; the text must outlive it.
class TextLines {
public:
    explicit TextLines(std::string_view text);
    /// A last line without an end counts too.
    [[nodiscard]] std::uint32_t count() const { return static_cast<std::uint32_t>(starts_.size() - 1); }
    /// Lines first … last, counted from 1, with their ends; none where first > last. Both must be there.
    [[nodiscard]] std::string_view span(std::uint32_t first, std::uint32_t last) const;

private:
    std::string_view text_;
    std::vector<std::size_t> starts_;  // and where the last ends
};

}  // namespace burin
