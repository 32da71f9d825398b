/// Comma-separated values, RFC 4180 section 2, read in one pass. Cost: linear in the bytes.
#include "burin/job/csv.hpp"

#include <algorithm>
#include <set>

#include "burin/base/error.hpp"
#include "burin/base/utf8.hpp"
#include "burin/job/options.hpp"
#include "fmt/format.h"

namespace burin {
namespace {

class CsvReader {
public:
    CsvReader(std::string_view text, const std::string& origin) : text_(text), origin_(origin) {}

    [[nodiscard]] bool ended() const { return at_ == text_.size(); }

    /// The next record; `at_` then stands behind its line end.
    [[nodiscard]] CsvRow record() {
        CsvRow row{line_, {}};
        while (true) {
            row.values.push_back(at_ < text_.size() && text_[at_] == '"' ? quoted() : plain());
            if (ended()) return row;
            const char end = text_[at_++];
            if (end == ',') continue;
            if (end == '\r') ++at_;  // its line feed follows, as plain() and quoted() saw
            ++line_;
            return row;
        }
    }

    [[nodiscard]] Error wrong(std::size_t line, std::string_view what) const {
        return {Fault::input, fmt::format("{}, line {}: {}", origin_, line, what)};
    }

private:
    [[nodiscard]] bool at_end_of_field() const {
        if (ended() || text_[at_] == ',' || text_[at_] == '\n') return true;
        if (text_[at_] != '\r') return false;
        if (at_ + 1 < text_.size() && text_[at_ + 1] == '\n') return true;
        throw wrong(line_, "a carriage return stands alone here; lines end with a line feed, with or without a carriage return before it.");
    }

    [[nodiscard]] std::string plain() {
        const std::size_t from = at_;
        for (; !at_end_of_field(); ++at_)
            if (text_[at_] == '"')
                throw wrong(line_,
                            "a quote stands within a field that does not begin with one. Put the whole field in quotes, and write each "
                            "quote in it twice.");
        return std::string(text_.substr(from, at_ - from));
    }

    [[nodiscard]] std::string quoted() {
        const std::size_t began = line_;
        std::string value;
        for (++at_; at_ < text_.size(); ++at_) {
            if (text_[at_] == '\n') ++line_;
            if (text_[at_] != '"') {
                value += text_[at_];
            } else if (at_ + 1 < text_.size() && text_[at_ + 1] == '"') {
                value += text_[at_++];
            } else {
                ++at_;
                if (!at_end_of_field())
                    throw wrong(line_, "something follows the quote that ends a field. A quote within a field is written twice.");
                return value;
            }
        }
        throw wrong(began, "the field that begins with a quote here is never closed by one.");
    }

    std::string_view text_;
    const std::string& origin_;
    std::size_t at_ = 0, line_ = 1;
};

std::size_t line_of(std::string_view bytes, std::size_t at) {
    return 1 + static_cast<std::size_t>(std::count(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
}

/// What is no text at all. The line is found by halves only where there is something to tell.
void check_bytes(std::string_view bytes, const std::string& origin) {
    if (bytes.size() > csv_most_bytes)
        throw Error(Fault::input,
                    fmt::format("{} is larger than {} MB, the most that is taken. Make several of it.", origin, csv_most_bytes >> 20));
    if (const std::size_t nul = bytes.find('\0'); nul != std::string_view::npos)
        throw Error(Fault::input,
                    fmt::format("{}, line {}: a byte of value 0 stands there, which no text holds. Save the table as CSV in UTF-8.", origin,
                                line_of(bytes, nul)));
    if (is_utf8(bytes)) return;
    for (std::size_t from = 0, line = 1; from <= bytes.size(); ++line) {
        const std::size_t to = std::min(bytes.find('\n', from), bytes.size());
        if (!is_utf8(bytes.substr(from, to - from)))
            throw Error(
                Fault::input,
                fmt::format("{}, line {}: there are bytes that are no letters (no UTF-8). Save the table as CSV in UTF-8.", origin, line));
        from = to + 1;
    }
}

void check_columns(const CsvRow& header, const CsvReader& reader) {
    std::set<std::string_view> seen;
    for (std::size_t k = 0; k < header.values.size(); ++k) {
        const std::string& name = header.values[k];
        if (name.empty()) throw reader.wrong(header.line, fmt::format("column {} has no name. The first line names the columns.", k + 1));
        if (!seen.insert(name).second) throw reader.wrong(header.line, fmt::format("two columns are called '{}'.", name));
    }
}

bool blank(const CsvRow& row) { return row.values.size() == 1 && row.values.front().empty(); }

}  // namespace

CsvTable read_csv(std::string_view bytes, const std::string& origin) {
    check_bytes(bytes, origin);
    if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
    CsvReader reader(bytes, origin);
    CsvTable table;
    while (!reader.ended()) {
        CsvRow row = reader.record();
        if (blank(row)) continue;
        if (table.columns.empty()) {
            check_columns(row, reader);
            table.columns = std::move(row.values);
        } else if (row.values.size() != table.columns.size()) {
            throw reader.wrong(row.line, fmt::format("{} field{}, and there are {} columns. A field that holds a comma is put in quotes.",
                                                     row.values.size(), row.values.size() == 1 ? "" : "s", table.columns.size()));
        } else {
            table.rows.push_back(std::move(row));
        }
    }
    if (table.columns.empty())
        throw Error(Fault::input, fmt::format("{} is empty. Its first line names the columns, each further line is one piece.", origin));
    return table;
}

}  // namespace burin
