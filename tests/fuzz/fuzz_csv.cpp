// The reader of tables must come to an end on any bytes; what it read is read again the same when it is written by the book.
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/job/csv.hpp"
#include "demand.hpp"

namespace {

void put(const std::vector<std::string>& values, std::string& text) {
    for (std::size_t k = 0; k < values.size(); ++k) {
        text += k > 0 ? ",\"" : "\"";
        for (const char c : values[k]) text += c == '"' ? std::string("\"\"") : std::string(1, c);
        text += '"';
    }
    text += "\r\n";
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    burin::CsvTable table;
    try {
        table = burin::read_csv({reinterpret_cast<const char*>(bytes), size}, "fuzz.csv");
    } catch (const burin::Error&) {
        return 0;
    }
    std::string text;
    put(table.columns, text);
    for (const auto& row : table.rows) {
        demand(row.values.size() == table.columns.size() && row.line >= 1 && row.line <= size + 1);
        put(row.values, text);
    }
    const burin::CsvTable again = burin::read_csv(text, "again.csv");
    demand(again.columns == table.columns && again.rows.size() == table.rows.size());
    for (std::size_t k = 0; k < again.rows.size(); ++k) demand(again.rows[k].values == table.rows[k].values);
    return 0;
}
