#pragma once
/// What cannot be, shown.
#include <string>
#include <utility>

#include "burin/base/error.hpp"

namespace burin {

/// A refusal that can be shown: a drawing (SVG) of what it speaks of.
class DrawnRefusal : public Error {
public:
    DrawnRefusal(const std::string& sentence, std::string drawing) : Error(Fault::refused, sentence), drawing_(std::move(drawing)) {}
    [[nodiscard]] const std::string& drawing() const { return drawing_; }
    static constexpr const char* file = "refused.svg";  ///< the name under which it is put into the folder of the results

private:
    std::string drawing_;
};

}  // namespace burin
