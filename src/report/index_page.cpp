/// index.html: many finished jobs at a glance, in the style of their reports. Pictures are named relatively and not held inside, so that a
/// thousand rows stay a page of some hundred kilobytes.
#include "burin/report/index_page.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>

#include "burin/motion/timing.hpp"
#include "html_style.hpp"
#include "ink.hpp"

namespace burin {
namespace {

using ink::escaped;
using ink::fact;

constexpr std::string_view index_style = R"css(
.pieces{display:grid;grid-template-columns:repeat(auto-fill,minmax(215px,1fr));gap:14px;padding:0;margin:1rem 0;list-style:none}
.pieces>li{background:var(--card);border:1px solid var(--line);margin:0;display:flex;flex-direction:column;min-width:0}
.pieces a.look{display:block;background:#e2dfd9}
.pieces img{width:100%;aspect-ratio:4/3;object-fit:contain}
.pieces .about{padding:.55rem .8rem .7rem;overflow-wrap:anywhere}
.pieces p{margin:.15rem 0;font-size:.88rem;color:var(--soft)}
.pieces .time{color:var(--ink);font-size:1rem}
.pieces h3 a{color:var(--sea)}
.pieces .mark{color:var(--brass);font-weight:600}
.boards{grid-template-columns:repeat(auto-fill,minmax(min(100%,430px),1fr))}
@media print{.pieces{grid-template-columns:repeat(4,1fr);gap:8px}.pieces.boards{grid-template-columns:repeat(2,1fr)}.pieces>li{break-inside:avoid}.pieces .about{padding:.25rem .4rem}}
)css";

/// A path for an address: RFC 3986, 2.3, everything but unreserved characters as %XX.
std::string address(std::string_view path) {
    std::string out;
    for (const char c : path) {
        const bool plain =
            (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '.' || c == '_' || c == '~';
        out += plain ? std::string(1, c) : fmt::format("%{:02X}", static_cast<unsigned char>(c));
    }
    return out;
}

std::size_t count_of(const IndexPage& page, IndexEntry::State state) {
    return static_cast<std::size_t>(
        std::count_if(page.entries.begin(), page.entries.end(), [&](const IndexEntry& entry) { return entry.state == state; }));
}

/// A row that lies on no board is no board.
std::size_t all_of(const IndexPage& page) {
    return static_cast<std::size_t>(std::count_if(page.entries.begin(), page.entries.end(),
                                                  [&](const IndexEntry& entry) { return page.what != "board" || !entry.holds.empty(); }));
}

std::string plural(std::size_t count, std::string_view what) { return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s"); }

std::string head(const IndexPage& page) {
    double seconds = 0;
    std::set<std::string> bits;
    std::size_t pieces = 0;
    for (const IndexEntry& entry : page.entries)
        if (entry.state == IndexEntry::State::done) {
            seconds += entry.time_s;
            bits.insert(entry.bits.begin(), entry.bits.end());
            pieces += entry.holds.size();
        }
    const std::size_t done = count_of(page, IndexEntry::State::done);
    std::string out = fmt::format("<header><p class=\"kind\">{} of {} proved</p><h1>{}</h1>\n<dl class=\"facts\">", done,
                                  plural(all_of(page), page.what), escaped(page.title));
    out += fact("Time on the machine, all together", duration_text(seconds));
    out += fact("Proved", plural(done, page.what));
    if (pieces > 0) out += fact("On them", plural(pieces, "piece"));
    out += fact("Bits", bits.empty() ? "none" : fmt::format("{}", fmt::join(bits, ", ")));
    return out + "</dl></header>\n";
}

std::string failures(const IndexPage& page) {
    std::string out;
    if (count_of(page, IndexEntry::State::failed) > 0) {
        out += "<div class=\"verdict no\"><strong>Not made:</strong><ul>";
        for (const IndexEntry& entry : page.entries)
            if (entry.state == IndexEntry::State::failed)
                out +=
                    fmt::format("<li><strong>{}</strong> ({}): {}</li>", escaped(entry.name), escaped(entry.row), escaped(entry.sentence));
        out += "</ul></div>\n";
    }
    if (const std::size_t missing = count_of(page, IndexEntry::State::missing); missing > 0) {
        std::string names;
        std::size_t shown = 0;
        for (const IndexEntry& entry : page.entries)
            if (entry.state == IndexEntry::State::missing && shown++ < 100) names += (names.empty() ? "" : ", ") + escaped(entry.name);
        out += fmt::format("<div class=\"warn\"><p><strong>{} not done yet:</strong> {}{}</p></div>\n", missing, names,
                           missing > 100 ? " …" : "");
    }
    return out;
}

std::string card(const IndexEntry& entry) {
    const std::string folder = address(entry.folder);
    std::string out = fmt::format(
        "<li><a class=\"look\" href=\"{0}/report.html\"><img src=\"{0}/preview.png\" loading=\"lazy\" alt=\"Preview of {1}\"/></a>"
        "<div class=\"about\"><h3><a href=\"{0}/report.html\">{1}</a></h3><p class=\"time\">{2}</p>",
        folder, escaped(entry.name), escaped(duration_text(entry.time_s)));
    if (!entry.row.empty()) out += fmt::format("<p>{}</p>", escaped(entry.row));
    if (!entry.holds.empty()) out += fmt::format("<p>{}</p>", escaped(fmt::format("{}", fmt::join(entry.holds, ", "))));
    out += fmt::format("<p>{}</p>", escaped(fmt::format("{}", fmt::join(entry.bits, ", "))));
    if (entry.warnings > 0) out += fmt::format("<p class=\"mark\">{}</p>", plural(entry.warnings, "warning"));
    return out + "</div></li>\n";
}

}  // namespace

std::string index_html(const IndexPage& page) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" "
        "content=\"width=device-width,initial-scale=1\"/>"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src 'self' file:; style-src 'unsafe-inline'\"/>"
        "<title>{}</title><style>{}{}</style></head><body><main>\n",
        escaped(page.title), page::style, index_style);
    out += head(page) + failures(page);
    out += fmt::format("<ul class=\"pieces{}\">\n", page.what == "board" ? " boards" : "");
    for (const IndexEntry& entry : page.entries)
        if (entry.state == IndexEntry::State::done) out += card(entry);
    out += fmt::format(
        "</ul>\n<footer><p>Read each report before you cut: what it tells of setting up and of what to watch is not repeated here. Made "
        "by burin {}.</p></footer>\n</main></body></html>\n",
        escaped(page.version));
    return out;
}

}  // namespace burin
