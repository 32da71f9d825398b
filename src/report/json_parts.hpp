#pragma once
/// What every report.json has: figures, the machine, the stock, checks.
#include <array>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "burin/proof/proof.hpp"

namespace burin::json_parts {

using Json = nlohmann::ordered_json;

/// A measured figure, to a millionth: what lies below is noise of the arithmetic. What is no number: null.
[[nodiscard]] Json figure(double value);
[[nodiscard]] Json triple(const std::array<double, 3>& v);
[[nodiscard]] Json span(double lo, double hi);
[[nodiscard]] Json text_or_null(const std::string& text);
[[nodiscard]] Json machine_json(const Machine& machine);
[[nodiscard]] Json stock_json(const Stock& stock);
[[nodiscard]] Json passes_json(const std::vector<PassFigures>& passes);
/// Null: no circuit board.
[[nodiscard]] Json nets_json(const std::optional<NetFigures>& nets);
[[nodiscard]] Json check_json(const Check& check);

}  // namespace burin::json_parts
