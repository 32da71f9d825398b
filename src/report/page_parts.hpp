#pragma once
/// What every page has: lists, pictures, the stock in words, checks.
#include <string>
#include <string_view>
#include <vector>

#include "burin/report/report.hpp"
#include "pictures.hpp"

namespace burin::page {

/// An <img> with the picture inside; `words` say what it shows.
[[nodiscard]] std::string image(std::string_view jpeg, int width, int height, std::string_view words);
[[nodiscard]] std::string image(const Rgb& picture, int quality, std::string_view words);
/// Sentences as a list of this kind, made safe.
[[nodiscard]] std::string list(const std::vector<std::string>& sentences, std::string_view kind = "ul");
/// "round, 90 mm across, 12 mm thick".
[[nodiscard]] std::string stock_words(const Stock& stock);
[[nodiscard]] std::string title_of(const std::string& title, const std::string& name);
/// The material within a sentence: "basswood", but "MDF".
[[nodiscard]] std::string material_words(const Material& material);
/// "the lower left corner of the stock's top"; `zero` as in the option.
[[nodiscard]] std::string zero_words(const std::string& zero, const Stock& stock);
/// Whether it may be run, a paragraph: `how` says what was done with the programs, `deed` what must not be done with refused ones.
[[nodiscard]] std::string verdict(const Proof& proof, std::string_view how, std::string_view deed);
/// What must be known first; nothing where there is nothing.
[[nodiscard]] std::string warnings_first(const std::vector<std::string>& warnings);
/// The picture that was given, a <figure> at the side; nothing where there was none.
[[nodiscard]] std::string given_picture(const Picture* picture, const std::string& name, const Crew& crew);
/// Items of a list of checks.
[[nodiscard]] std::string checks_list(const std::vector<Check>& checks);
/// What the times were reckoned with, a paragraph.
[[nodiscard]] std::string machine_words(const Machine& machine);

}  // namespace burin::page
