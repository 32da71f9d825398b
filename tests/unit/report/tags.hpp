#pragma once
/// Whether a page or drawing is well-formed.
#include <algorithm>
#include <array>
#include <cctype>
#include <string>
#include <vector>

namespace made_up {

/// The tag that is wrong, or nothing: every element that is opened is closed in order, attributes are quoted, every & begins an
/// entity. Void elements of HTML are written as <br/>.
inline std::string fault_in_tags(const std::string& text) {
    std::vector<std::string> open;
    for (std::size_t k = 0; k < text.size(); ++k) {
        if (text[k] == '&') {
            const std::size_t end = text.find(';', k);
            const std::string entity = end == std::string::npos || end > k + 8 ? "" : text.substr(k, end - k + 1);
            constexpr std::array known{"&amp;", "&lt;", "&gt;", "&quot;", "&#39;"};
            if (std::find(known.begin(), known.end(), entity) == known.end()) return "stray & at " + std::to_string(k);
        }
        if (text[k] == '>') return "stray > at " + std::to_string(k);
        if (text[k] != '<') continue;
        if (text.compare(k, 2, "<!") == 0 || text.compare(k, 2, "<?") == 0) {
            k = text.find('>', k);
            continue;
        }
        const bool closing = text[k + 1] == '/';
        std::size_t end = k + 1 + closing;
        while (std::isalnum(static_cast<unsigned char>(text[end]))) ++end;
        const std::string name = text.substr(k + 1 + closing, end - k - 1 - closing);
        if (name.empty()) return "stray < at " + std::to_string(k);
        bool quoted = false;
        for (; quoted || text[end] != '>'; ++end) {
            if (end + 1 >= text.size()) return "unfinished " + name;
            if (text[end] == '"') quoted = !quoted;
            if (text[end] == '<') return "a < inside " + name;
        }
        if (closing) {
            if (open.empty() || open.back() != name) return "</" + name + "> closes " + (open.empty() ? "nothing" : open.back());
            open.pop_back();
        } else if (text[end - 1] != '/') {
            if (name == "style") {  // CSS, up to its end
                end = text.find("</style>", end);
                if (end == std::string::npos) return "unfinished style";
                end += 7;
            } else {
                open.push_back(name);
            }
        }
        k = end;
    }
    return open.empty() ? "" : "never closed: " + open.back();
}

}  // namespace made_up
