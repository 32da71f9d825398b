// Probing and setting of zeros as RS-274/NGC text (NISTIR 6556: G38.2, G10 L2, G92; G10 L20 is younger, common practice). Every line says
// its motion word again: G38.2 belongs to the same modal group as G0. Cost: the steps.
#include "burin/program/zeroing.hpp"

#include <fmt/format.h>

#include <cmath>

#include "burin/base/error.hpp"
#include "burin/program/rs274.hpp"
#include "message.hpp"

namespace burin {
namespace {

constexpr std::array<char, 3> axes{'X', 'Y', 'Z'};

[[noreturn]] void refuse(std::string_view what) {
    throw Error(Fault::refused,
                fmt::format("A step of a probing program cannot be written: {} This is a fault of the program, please report it.", what));
}

std::string number(double mm) {
    if (!(std::abs(mm) < 10000)) refuse("it lies beyond 10 m, or is no number.");
    const std::string text = fmt::format("{:.3f}", mm);
    return text == "-0.000" ? "0.000" : text;
}

class Lines {
public:
    explicit Lines(const ZeroStyle& style) : by_(style.by) {
        for (const std::string& comment : style.header)
            if (const std::string clean = clean_comment(comment); !clean.empty()) put("(" + clean + ")");
        put("G21 G90 G17 G94 G54");
        put("M5");
        if (by_ == ZeroBy::g10_l2) put("G92.1");
    }
    void step(const ZeroStep& step) {
        if (step.kind == ZeroStep::Kind::pause) {
            for (const std::string& line : message_lines(step.message)) put(line);
            return put("M0");
        }
        if (!step.at[0] && !step.at[1] && !step.at[2]) refuse("it names no axis.");
        if (step.kind == ZeroStep::Kind::set) return set(step);
        distance_mode(step.relative);
        const bool slow = step.kind != ZeroStep::Kind::rapid;
        if (slow && !(step.feed >= 1 && step.feed < 100000)) refuse("it has no feed.");
        std::string line = step.kind == ZeroStep::Kind::probe ? "G38.2" : slow ? "G1" : "G0";
        for (std::size_t k = 0; k < 3; ++k)
            if (step.at[k]) line += fmt::format(" {}{}", axes[k], number(*step.at[k]));
        if (slow) line += fmt::format(" F{}", static_cast<int>(step.feed));  // rounded down
        if (step.kind == ZeroStep::Kind::probe)
            for (std::size_t k = 0; k < 3; ++k) touched_[k] = touched_[k] || step.at[k];
        put(line);
    }
    std::string end() {
        distance_mode(false);
        put("M5");
        put("M2");
        return std::move(text_);
    }

private:
    void put(const std::string& line) { text_ += line + '\n'; }
    void distance_mode(bool relative) {
        if (relative != relative_) put(relative ? "G91" : "G90");
        relative_ = relative;
    }
    /// In G90 whatever comes before: some controllers read these words as steps under G91.
    void set(const ZeroStep& step) {
        distance_mode(false);
        std::string line = by_ == ZeroBy::g92 ? "G92" : by_ == ZeroBy::g10_l2 ? "G10 L2 P1" : "G10 L20 P1";
        for (std::size_t k = 0; k < 3; ++k) {
            if (!step.at[k]) continue;
            if (by_ != ZeroBy::g10_l2) {
                line += fmt::format(" {}{}", axes[k], number(*step.at[k]));
                continue;
            }
            if (!touched_[k]) refuse("G10 L2 knows places that were probed, and this was not.");
            const std::string value = number(std::abs(*step.at[k]));
            line += fmt::format(" {}[#{}+#{}{}{}]", axes[k], 5221 + k, 5061 + k, *step.at[k] < 0 ? '+' : '-', value);
        }
        put(line);
    }

    ZeroBy by_;
    std::string text_;
    bool relative_ = false;
    std::array<bool, 3> touched_{};
};

}  // namespace

std::string write_zeroing(const std::vector<ZeroStep>& steps, const ZeroStyle& style) {
    Lines lines(style);
    for (const ZeroStep& step : steps) lines.step(step);
    return lines.end();
}

}  // namespace burin
