#include "burin/program/text_lines.hpp"

namespace burin {

TextLines::TextLines(std::string_view text) : text_(text), starts_{0} {
    for (std::size_t at = text.find('\n'); at != std::string_view::npos; at = text.find('\n', at + 1)) starts_.push_back(at + 1);
    if (starts_.back() != text.size()) starts_.push_back(text.size());
}

std::string_view TextLines::span(std::uint32_t first, std::uint32_t last) const {
    if (first > last) return {};
    return text_.substr(starts_[first - 1], starts_[last] - starts_[first - 1]);
}

}  // namespace burin
