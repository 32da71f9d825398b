#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace burin {

/// A message for the person at the machine, in as many comments as it takes. NISTIR 6556: MSG, marks what is shown.
[[nodiscard]] std::vector<std::string> message_lines(std::string_view message);

}  // namespace burin
