/// The option table and the words of the command line. No source: what counts as a plain decimal, a stock or a border is
/// the contract of options.hpp.
#include <charconv>
#include <set>

#include "burin/base/error.hpp"
#include "burin/base/utf8.hpp"
#include "burin/job/manual.hpp"
#include "burin/job/options.hpp"
#include "check.hpp"

using namespace burin;

namespace {

std::string sentence_of(const auto& deed) {
    try {
        deed();
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::usage);
        return error.what();
    }
    return "";
}

}  // namespace

TEST_CASE("plain decimals are read, everything else is an error") {
    CHECK(parse_number("0") == 0);
    CHECK(parse_number("2.5") == 2.5);
    CHECK(parse_number("-3") == -3);
    CHECK(parse_number("+.5") == 0.5);
    CHECK(parse_number("007.") == 7);
    CHECK(parse_number("0.1") == 0.1);
    for (const char* text :
         {"", "-", "+", ".", "nan", "inf", "-inf", "1e3", "1E3", "1e999", "40mm", " 4", "4 ", "1,5", "0x10", "1.2.3", "--1", "1-", "٣"})
        CHECK_FALSE(sentence_of([&] { (void)parse_number(text); }).empty());
    CHECK_FALSE(sentence_of([&] { (void)parse_number(std::string(400, '9')); }).empty());
}

TEST_CASE("numbers of job files read back to the same value") {
    CHECK(number_text(60) == "60");
    CHECK(number_text(-0.0) == "0");
    CHECK(number_text(0.1) == "0.1");
    for (const double value : {1e-7, 123456789.125, 1.0 / 3, 1e16, -2.5e-5, 100000.0}) {
        const std::string text = number_text(value);
        INFO(text);
        CHECK(text.find('e') == std::string::npos);
        CHECK(parse_number(text) == value);
    }
}

TEST_CASE("letters are told from stray bytes") {  // RFC 3629
    for (const char* text : {"", "lamp", "Möwe", "灯台", "\xf0\x9f\x90\xa6", "\xed\x9f\xbf", "\xf4\x8f\xbf\xbf"}) CHECK(is_utf8(text));
    for (const char* text : {"\xff", "M\xf6we", "\x80", "\xc3", "\xc0\x80", "\xe0\x80\x80", "\xed\xa0\x80", "\xf4\x90\x80\x80",
                             "\xf0\x9f\x90", "\xf5\x80\x80\x80"})
        CHECK_FALSE(is_utf8(text));
}

TEST_CASE("stocks and borders") {
    const StockSize plate = parse_stock("100x80.5x12");
    CHECK((!plate.round && plate.width == 100 && plate.height == 80.5 && plate.thickness == 12));
    const StockSize slice = parse_stock("round:95x14");
    CHECK((slice.round && slice.width == 95 && slice.height == 95 && slice.thickness == 14));
    for (const char* text : {"", "100", "100x80", "100x80x12x3", "round:90", "round:90x80x12", "axbxc", "100x0x12", "-1x2x3", "1e3x2x3",
                             "100 x 80 x 12", "square:3x3"})
        CHECK_FALSE(sentence_of([&] { (void)parse_stock(text); }).empty());
    CHECK(parse_border("step") == 0);
    CHECK(parse_border("blend:2.5") == 2.5);
    for (const char* text : {"blend", "blend:", "blend:0", "blend:-1", "soft", "blend:2mm"})
        CHECK_FALSE(sentence_of([&] { (void)parse_border(text); }).empty());
}

TEST_CASE("lists of powers and feeds") {
    CHECK((parse_list("20,40.5") == std::vector<double>{20, 40.5}));
    CHECK((parse_list("7") == std::vector<double>{7}));
    for (const char* text : {"", ",", "20,", "20,,40", "0,20", "-1", "20;40", "1,2,3,4,5,6,7,8,9,10,11,12,13,14,15,16,17,18,19,20,21"})
        CHECK_FALSE(sentence_of([&] { (void)parse_list(text); }).empty());
    for (const auto& wrong : std::initializer_list<std::pair<const char*, const char*>>{{"powers", "50,101"}, {"feeds", "0.5"}})
        CHECK_FALSE(sentence_of([&] { (void)parse_value(*option_named(wrong.first), wrong.second); }).empty());
}

TEST_CASE("values are held against what the table says of them") {
    const auto wrong = [](const char* name, const char* text) {
        const Option* option = option_named(name);
        REQUIRE(option);
        return sentence_of([&] { (void)parse_value(*option, text); });
    };
    for (const auto& [name, text] : std::initializer_list<std::pair<const char*, const char*>>{
             {"depth", "0"},    {"depth", "-2"},       {"stepover", "0"},    {"width", "0"},     {"steepest", "91"}, {"levels", "99,1"},
             {"levels", "5,5"}, {"levels", "-1,99"},   {"levels", "1"},      {"at", "3;4"},      {"at", "3,"},       {"trial", "20"},
             {"trial", "20x0"}, {"trial", "20x20x20"}, {"heights", "tones"}, {"zero", "center"}, {"threads", "0"},   {"threads", "1.5"},
             {"bit", "ball:0"}, {"bit", ""},           {"feed", "0"},        {"scallop", "0"}})
        CHECK_FALSE(wrong(name, text).empty());
    for (const auto& [name, text] : std::initializer_list<std::pair<const char*, const char*>>{{"depth", "0.01"},
                                                                                               {"steepest", "90"},
                                                                                               {"levels", "0,100"},
                                                                                               {"at", "-3,4"},
                                                                                               {"trial", "20x30"},
                                                                                               {"heights", "map"},
                                                                                               {"zero", "centre"},
                                                                                               {"threads", "2"},
                                                                                               {"bit", "ball:1.0"},
                                                                                               {"bit", "my-bit"},
                                                                                               {"allowance", "0"},
                                                                                               {"rotate", "-90"},
                                                                                               {"border", "blend:1"}})
        CHECK(wrong(name, text).empty());
    CHECK_THAT(wrong("zero", "center"), ContainsSubstring("'centre'"));
}

TEST_CASE("every option is complete and stands in help, manual and completion") {
    std::set<std::string_view> names;
    const std::string manual = man_page("1.2.3");
    CHECK_THAT(manual, ContainsSubstring("burin 1.2.3"));
    const std::string bash = completion_script("bash"), zsh = completion_script("zsh"), fish = completion_script("fish");
    for (const Option& option : option_table()) {
        INFO(option.name);
        CHECK(names.insert(option.name).second);
        CHECK(option_named(option.name) == &option);
        CHECK_FALSE(option.help.empty());
        CHECK(option.sign.empty() == (option.kind == ValueKind::flag));
        CHECK(option.commands != 0);
        std::string roff_name = "\\-\\-";
        for (const char c : option.name) roff_name += c == '-' ? std::string("\\-") : std::string(1, c);
        CHECK_THAT(manual, ContainsSubstring(roff_name));
        const std::string dashed = "--" + std::string(option.name);
        CHECK_THAT(bash, ContainsSubstring(dashed));
        CHECK_THAT(zsh, ContainsSubstring(dashed));
        CHECK_THAT(fish, ContainsSubstring("-l " + std::string(option.name)));
        for (const CommandEntry& command : command_table())
            if (option.commands & command.command) CHECK_THAT(help_text(command), ContainsSubstring(dashed));
    }
    for (const CommandEntry& command : command_table()) {
        CHECK_THAT(overview_text(), ContainsSubstring(std::string(command.name)));
        CHECK_THAT(help_text(command), ContainsSubstring(std::string(command.example)));
    }
    CHECK_FALSE(sentence_of([] { (void)completion_script("csh"); }).empty());
}

TEST_CASE("help keeps within the terminal") {
    for (const CommandEntry& command : command_table()) {
        const std::string help = help_text(command);
        for (std::size_t from = 0; from < help.size();) {
            const std::size_t to = help.find('\n', from);
            INFO(help.substr(from, to - from));
            CHECK(to - from <= 100);
            from = to + 1;
        }
    }
}
