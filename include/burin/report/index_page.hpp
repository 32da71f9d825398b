#pragma once
/// One page for many finished jobs.
#include <string>
#include <string_view>
#include <vector>

namespace burin {

struct IndexEntry {
    std::string name;                ///< of the job
    std::string folder;              ///< beside the page, holds report.html and preview.png
    std::string row;                 ///< where it came from, in words: "row 3"
    std::vector<std::string> holds;  ///< what lies on a board
    enum class State { done, failed, missing } state = State::missing;
    std::string sentence;  ///< why it failed
    double time_s = 0;
    std::vector<std::string> bits;
    std::size_t warnings = 0;
};

struct IndexPage {
    std::string title, version;
    std::string what;  ///< of what there are many: "piece", "board"
    std::vector<IndexEntry> entries;
};

/// The page: previews, which are fetched from the entries' folders when they come into sight, names, times, bits, warnings and what
/// failed. No script, nothing from outside its folder; phone and A4. All text is taken as text, never as markup. Cost: linear.
[[nodiscard]] std::string index_html(const IndexPage& page);

}  // namespace burin
