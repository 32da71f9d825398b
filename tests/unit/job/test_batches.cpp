/// Tables of values, the fields they fill, what rows are called, and pieces on boards.
#include <algorithm>
#include <functional>
#include <map>
#include <random>

#include "../../../src/job/fields.hpp"
#include "../../../src/job/nest.hpp"
#include "../../../src/job/row_names.hpp"
#include "burin/base/error.hpp"
#include "burin/job/csv.hpp"
#include "burin/job/each.hpp"
#include "burin/job/job_file.hpp"
#include "check.hpp"

using namespace burin;

namespace {

using Row = std::vector<std::string>;

std::string refusal_of(const std::function<void()>& deed) {
    try {
        deed();
    } catch (const Error& error) {
        return error.what();
    }
    return "";
}
std::string refusal_of(std::string_view csv) {
    return refusal_of([&] { (void)read_csv(csv, "names.csv"); });
}

}  // namespace

// RFC 4180, section 2: the records of its items 1 to 7, below a header.
TEST_CASE("the examples of RFC 4180") {
    const std::string header = "field_name,field_name2,field_name3\r\n";
    const auto rows = [&](const std::string& records) { return read_csv(header + records, "x").rows; };
    CHECK(read_csv(header + "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "x").columns == Row{"field_name", "field_name2", "field_name3"});
    for (const char* records : {"aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa,bbb,ccc\r\nzzz,yyy,xxx", "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx"}) {
        const auto read = rows(records);
        REQUIRE(read.size() == 2);
        CHECK(read[0].values == Row{"aaa", "bbb", "ccc"});
        CHECK(read[1].values == Row{"zzz", "yyy", "xxx"});
        CHECK(read[1].line == 3);
    }
    const auto broken = rows("\"aaa\",\"b \r\nbb\",\"ccc\"\r\nzzz,yyy,xxx");
    REQUIRE(broken.size() == 2);
    CHECK(broken[0].values == Row{"aaa", "b \r\nbb", "ccc"});
    CHECK(broken[1].line == 4);
    CHECK(rows("\"aaa\",\"b\"\"bb\",\"ccc\"").at(0).values == Row{"aaa", "b\"bb", "ccc"});
    CHECK(rows(" a ,,").at(0).values == Row{" a ", "", ""});  // item 4: spaces are part of a field
}

// Common practice, no source: what spreadsheets write.
TEST_CASE("line feeds alone, a mark in front, lines with nothing in them") {
    const CsvTable table = read_csv("\xEF\xBB\xBFname,born\n\nBérénice,1924\n\n\"\"\"Ada\"\"\",\n\n", "x");
    CHECK(table.columns == Row{"name", "born"});
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[0].values == Row{"Bérénice", "1924"});
    CHECK(table.rows[0].line == 3);
    CHECK(table.rows[1].values == Row{"\"Ada\"", ""});
}

// No source: a mistake is named with its line.
TEST_CASE("tables that are none") {
    const std::map<std::string, std::string> cases{
        {"name,born\nAda\n", "line 2: 1 field, and there are 2"},
        {"name,born\nAda,1,2\n", "line 2: 3 fields"},
        {"name\nA\nB\"b\n", "line 3: a quote stands within"},
        {"name\n\"A\" b\n", "line 2: something follows"},
        {"name\nA\n\"B\n\n\n", "line 3: the field that begins"},
        {"name\nA\rB\n", "line 2: a carriage return"},
        {"name\nA\n\xFF\n", "line 3: there are bytes"},
        {"name,\n", "line 1: column 2 has no name"},
        {"name,name\n", "line 1: two columns are called 'name'"},
        {"", "is empty"},
        {"\n\n", "is empty"},
    };
    for (const auto& [csv, sentence] : cases) {
        INFO(csv);
        CHECK_THAT(refusal_of(csv), ContainsSubstring("names.csv"));
        CHECK_THAT(refusal_of(csv), ContainsSubstring(sentence));
    }
    CHECK_THAT(refusal_of(std::string("name\nA\nB\0\n", 10)), ContainsSubstring("line 3: a byte of value 0"));
    CHECK_THAT(refusal_of(std::string(csv_most_bytes + 1, 'a')), ContainsSubstring("larger than 64 MB"));
}

TEST_CASE("fields are filled once, braces are doubled") {  // no source: the syntax that the manual tells
    const std::map<std::string, std::string> row{{"name", "{born}"}, {"born", "1924"}};
    CHECK(fill_fields("{name}, since {born}", row).text == "{born}, since 1924");
    CHECK(fill_fields("{{name}} }}{{", row).text == "{name} }{");
    CHECK_FALSE(fill_fields("{{name}}", row).had_field);
    CHECK_THAT(refusal_of([&] { (void)fill_fields("{nmae}", row); }), ContainsSubstring("did you mean 'name'?"));
    CHECK_THROWS_AS(fill_fields("a { b", row), Error);
    CHECK_THROWS_AS(fill_fields("a } b", row), Error);
}

TEST_CASE("a row's values in a job file: texts, numbers, pairs, flags, bits") {  // no source: as the header has it
    const std::string file =
        "name = 'For {name}'\nstock = '{w}x20x3'\n[[cut]]\nmake = 'incise'\ntext = '{name}'\ncap-height = '{cap}'\nat = ['{x}', 4]\n"
        "mirror = '{flip}'\nbit = { use = '{bit}', feed = '{w}' }\n";
    const std::map<std::string, std::string> row{{"name", "Ada {b}"}, {"w", "60"},      {"cap", "7.5"},
                                                 {"x", "-3"},         {"flip", "true"}, {"bit", "vee:60:0.1:3.175"}};
    const Job job = read_job(file, "tags.toml", "/", row);
    CHECK(job.name == std::string("For Ada {b}"));
    CHECK(job.stock == std::string("60x20x3"));
    const Cut& cut = job.cuts.at(0);
    CHECK(cut.text == std::string("Ada {b}"));
    CHECK(cut.cap_height == 7.5);
    CHECK(cut.at == Point{-3, 4});
    CHECK(cut.mirror == true);
    CHECK(cut.bits.at(0).use == "vee:60:0.1:3.175");
    CHECK(cut.bits.at(0).wishes.feed == 60.0);

    auto bad = row;
    bad["cap"] = "7,5";
    CHECK_THAT(refusal_of([&] { (void)read_job(file, "tags.toml", "/", bad); }),
               ContainsSubstring("tags.toml, line 6: cut.cap-height: '7,5' is not a plain decimal"));
    bad.erase("cap");
    CHECK_THAT(refusal_of([&] { (void)read_job(file, "tags.toml", "/", bad); }),
               ContainsSubstring("line 6: cut.cap-height: there is no column 'cap'"));
    // A number in quotes without a field is a mistake as ever; without a row, braces are letters.
    CHECK_THROWS_AS(read_job("[[cut]]\nmake='incise'\ntext='A'\ncap-height='7'\n", "x", "/", row), Error);
    CHECK(read_job("[[cut]]\nmake='incise'\ntext='{A'\n", "x", "/").cuts.at(0).text == std::string("{A"));
}

TEST_CASE("names of folders") {  // no source: what FAT forbids is from memory
    CHECK(safe_name("../../etc/passwd") == "etc-passwd");
    CHECK(safe_name("Ada (guide)\n\"x\"") == "Ada -guide-x");
    CHECK(safe_name(". .. ").empty());
    CHECK(safe_name("Søren Ø.") == "Søren Ø");
    const std::string longest = safe_name("x" + [] {
        std::string text;
        for (int k = 0; k < 50; ++k) text += "é";
        return text;
    }());
    CHECK(longest.size() == 59);

    const auto names = [](std::string_view csv, const std::optional<std::string>& column = {}) {
        return row_names(read_csv(csv, "x"), column, "x");
    };
    CHECK(names("role,name\nguide,Ada\nguide,Émile\n") == Row{"Ada", "Émile"});
    CHECK(names("name\nA/b\na-B\nÉmile\némile\nindex.html\n...\n") == Row{"A-b", "a-B-2", "Émile", "émile-4", "index.html-5", "row-6"});
    CHECK(names("a,b\n1,2\n1,2\n") == Row{"row-1", "row-2"});
    CHECK_THAT(refusal_of([&] { (void)names("a,name\n1,2\n1,3\n", "nmae"); }), ContainsSubstring("did you mean 'name'?"));
    CHECK_THAT(refusal_of([&] { (void)names("a,b\n1,2\n1,3\n", "a"); }), ContainsSubstring("line 3: the name '1' stands in line 2"));
}

TEST_CASE("rows that are chosen") {
    CHECK(parse_rows("7").first == 7);
    CHECK(parse_rows("7").last == 7);
    CHECK(parse_rows("1-50").last == 50);
    CHECK(parse_rows("0").last == 0);
    for (const char* none : {"", "-", "5-2", "0-3", "1.5", "a", "1-2-3", "-4"}) {
        INFO(none);
        CHECK_THROWS_AS(parse_rows(none), Error);
    }
}

// Invariants, no source: on the board, apart by the gap; what fits on one shelf is on one board.
TEST_CASE("pieces on boards keep their gap") {
    std::mt19937 random(1924);
    for (int trial = 0; trial < 30; ++trial) {
        std::vector<Point> sizes;
        for (int k = 0; k < 60; ++k) sizes.push_back({5.0 + static_cast<double>(random() % 80), 5.0 + static_cast<double>(random() % 60)});
        sizes.push_back({300, 10});
        const Point board{240, 150};
        const double gap = trial % 4;
        const std::vector<Spot> spots = packed(sizes, board, gap);
        REQUIRE(spots.size() == sizes.size());
        CHECK(spots.back().board == no_board);
        for (std::size_t a = 0; a + 1 < sizes.size(); ++a) {
            const Point &lo = spots[a].lo, hi{lo.x + sizes[a].x, lo.y + sizes[a].y};
            CHECK((lo.x >= gap && lo.y >= gap && hi.x <= board.x - gap + 1e-6 && hi.y <= board.y - gap + 1e-6));
            for (std::size_t b = 0; b < a; ++b) {
                if (spots[a].board != spots[b].board) continue;
                const Point &from = spots[b].lo, to{from.x + sizes[b].x, from.y + sizes[b].y};
                CHECK(
                    (hi.x + gap <= from.x + 1e-6 || to.x + gap <= lo.x + 1e-6 || hi.y + gap <= from.y + 1e-6 || to.y + gap <= lo.y + 1e-6));
            }
        }
    }
    const auto tags = packed(std::vector<Point>(12, Point{68, 28}), {240, 150}, 3);
    CHECK(std::all_of(tags.begin(), tags.end(), [](const Spot& spot) { return spot.board == 0; }));
    CHECK(tags[4].lo == Point{74, 34});
}

TEST_CASE("a piece's cuts keep their place on the board") {  // reckoned by hand
    Job job;
    job.stock = "60x20x3";
    job.zero = "centre";
    Cut middle, leaning, given, beside;
    middle.make = "cutout";
    leaning.anchor = "upper-left";
    given.id = "name", given.at = Point{-10, 2};
    beside.align = "below:name:2";
    job.cuts = {middle, leaning, given, beside};
    const Job board = board_job({{"Ada", job}, {"Bo", job}}, {{3, 5}, {70, 5}}, "240x150x3", "tags, board-1");
    REQUIRE(board.cuts.size() == 8);
    CHECK(board.zero == std::string("lower-left"));
    CHECK(board.cuts[0].at == Point{33, 15});
    CHECK(board.cuts[1].at == Point{3, 25});
    CHECK(board.cuts[2].at == Point{23, 17});
    CHECK(board.cuts[6].at == Point{90, 17});
    CHECK(board.cuts[7].align == std::string("below:Bo name:2"));
    CHECK_FALSE(board.cuts[7].at);
    CHECK(board.cuts[6].id == std::string("Bo name"));

    CHECK(least_gap(job, {2, 6, 6, 6}) == Approx(2.6));
    CHECK(piece_size(job, "240x150x3") == Point{60, 20});
    CHECK_THROWS_AS(piece_size(job, "240x150x4"), Error);
    Job other = job;
    other.material = "oak";
    CHECK_THROWS_AS(board_job({{"Ada", job}, {"Bo", other}}, {{3, 5}, {70, 5}}, "240x150x3", "x"), Error);
    job.stock.reset();
    CHECK_THROWS_AS(piece_size(job, "240x150x3"), Error);
}
