// What is no picture is named. Source of the signatures: the specifications of those kinds, from memory.
#include "check.hpp"
#include "made.hpp"

TEST_CASE("An empty file") { CHECK_THAT(made::refusal(""), ContainsSubstring("'lighthouse' is empty")); }

TEST_CASE("Files of other kinds are named, and what would be read is said") {
    using std::string_literals::operator""s;
    const std::vector<std::pair<std::string, std::string>> files{
        {"%PDF-1.7\n1 0 obj", "a PDF document"},
        {"<?xml version=\"1.0\"?>\n<!-- lamp -->\n<svg xmlns=\"http://www.w3.org/2000/svg\"/>", "an SVG drawing"},
        {"\xEF\xBB\xBF  <SVG width=\"10\"/>", "an SVG drawing"},
        {"<!DOCTYPE html><html><body>404", "a web page"},
        {"<?xml version=\"1.0\"?><museum/>", "an XML document"},
        {"GIF89a\x01\x00\x01\x00"s, "a GIF picture"},
        {"BM\x46\x00\x00\x00\x00\x00\x00\x00\x36\x00\x00\x00\x28\x00\x00\x00"s, "a BMP picture"},
        {"\x00\x00\x00\x18"
         "ftypheic\x00\x00\x00\x00"s,
         "a HEIC picture"},
        {"\x00\x00\x00\x18"
         "ftypmif1\x00\x00\x00\x00"s,
         "a HEIC picture"},
        {"\x00\x00\x00\x18"
         "ftypavif\x00\x00\x00\x00"s,
         "an AVIF picture"},
        {"\x00\x00\x00\x18"
         "ftypisom\x00\x00\x00\x00"s,
         "a film"},
        {"RIFF\x24\x00\x00\x00WAVEfmt "s, "a sound"},
        {"PK\x03\x04\x14\x00"s, "a ZIP archive"},
        {"\x1F\x8B\x08\x00"s, "a gzip archive"},
        {"P6\n2 2\n255\n", "a portable anymap"},
        {"8BPS\x00\x01"s, "a layered PSD picture"},
        {"%!PS-Adobe-3.0 EPSF-3.0", "a PostScript document"},
        {"Dear keeper, the lamp is out.\n", "a text"},
        {std::string(5000, '\0'), "nothing but zeros"},
    };
    for (const auto& [bytes, kind] : files) {
        CAPTURE(kind);
        const std::string sentence = made::refusal(bytes);
        CHECK_THAT(sentence, ContainsSubstring("is " + kind));
        CHECK_THAT(sentence, ContainsSubstring("PNG, JPEG, TIFF or WebP"));
    }
}

TEST_CASE("Bytes of no known kind") {
    CHECK_THAT(made::refusal("\x01\x02\x03\xFE\xFD"), ContainsSubstring("not a picture of a kind that can be read"));
    std::string text_mode = "\x89PNG\n\x1A\n";
    CHECK_THAT(made::refusal(text_mode + "xxxxxxxxxxxxxxxxxxxxxx"), ContainsSubstring("as binary data"));
}

TEST_CASE("Noise behind every signature is refused, never worse") {
    using std::string_literals::operator""s;
    for (const std::string& start :
         {"\x89PNG\r\n\x1A\n"s, "\xFF\xD8\xFF"s, "II*\0"s, "MM\0*"s, "RIFF\xE8\x03\x00\x00WEBPVP8 "s, "RIFF\xE8\x03\x00\x00WEBPVP8L"s})
        for (std::uint32_t seed = 0; seed < 50; ++seed) {
            const auto noise = made::noise8(1000, seed);
            CAPTURE(start, seed);
            CHECK_FALSE(made::refusal(start + std::string(noise.begin(), noise.end())).empty());
        }
}
