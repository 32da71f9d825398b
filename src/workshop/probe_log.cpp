/// Three ways to write down the same: places and heights. Cost: linear in the bytes.
#include "burin/workshop/probe_log.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double far_away = 10000;  // mm
constexpr std::string_view report_mark = "[PRB:";

[[noreturn]] void fail(std::uint32_t line, std::string_view what) {
    throw Error(Fault::input, fmt::format("Line {} of the measured points {}", line, what));
}

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view blanks = " \t\r\v\f";
    const std::size_t from = text.find_first_not_of(blanks);
    return from == std::string_view::npos ? std::string_view() : text.substr(from, text.find_last_not_of(blanks) - from + 1);
}

/// What is shown of a text in a sentence.
std::string shown(std::string_view text) {
    std::string plain;
    for (const char c : text.substr(0, 40)) plain += c >= 32 && c < 127 ? c : '?';
    return text.size() > 40 ? plain + "…" : plain;
}

std::optional<double> number_in(std::string_view text) {
    text = trimmed(text);
    if (text.starts_with('+')) text.remove_prefix(1);
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size() || text.empty()) return std::nullopt;
    return value;
}

double number_at(std::string_view text, std::uint32_t line) {
    const std::optional<double> value = number_in(text);
    if (!value) fail(line, fmt::format("has '{}' where a number is wanted.", shown(trimmed(text))));
    if (!(std::abs(*value) <= far_away)) fail(line, fmt::format("has '{}': no place within 10 m.", shown(trimmed(text))));
    return *value;
}

std::vector<std::string_view> split(std::string_view text, char mark) {
    std::vector<std::string_view> parts;
    while (true) {
        const std::size_t at = text.find(mark);
        parts.push_back(trimmed(text.substr(0, at)));
        if (at == std::string_view::npos) return parts;
        text.remove_prefix(at + 1);
    }
}

std::vector<std::string_view> words_of(std::string_view text) {
    std::vector<std::string_view> words;
    while (true) {
        text = trimmed(text);
        if (text.empty()) return words;
        const std::size_t end = std::min(text.find_first_of(" \t"), text.size());
        words.push_back(text.substr(0, end));
        text.remove_prefix(end);
    }
}

class LogReader {
public:
    LogReader(std::string_view text, const ProbeLogLimits& limits) : text_(text), limits_(limits) {
        log_.reports = text.find(report_mark) != std::string_view::npos;
    }

    ProbeLog read() {
        std::uint32_t number = 0;
        while (!text_.empty()) {
            const std::size_t end = text_.find('\n');
            const std::string_view line = trimmed(text_.substr(0, end));
            text_.remove_prefix(end == std::string_view::npos ? text_.size() : end + 1);
            ++number;
            if (log_.reports)
                report(line, number);
            else if (!line.empty() && line.front() != '#')
                written(line, number);
        }
        if (log_.points.empty())
            throw Error(Fault::input, log_.reports
                                          ? "The log has probe reports, but none of a probe that touched (they end in ':1]')."
                                          : "There are no measured points in it. Each wants a line of three numbers, as in: 10 20 -0.15");
        return std::move(log_);
    }

private:
    void take(const Point3& at, std::uint32_t line) {
        if (log_.points.size() == limits_.most_points)
            fail(line, fmt::format("is one point too many: at most {} are read.", limits_.most_points));
        log_.points.push_back({at, line});
    }

    void report(std::string_view line, std::uint32_t number) {
        const std::size_t from = line.find(report_mark);
        if (from == std::string_view::npos) {
            if (!line.empty()) ++log_.passed_over;
            return;
        }
        const std::string_view inside = line.substr(from + report_mark.size());
        const std::size_t end = inside.find(']'), colon = inside.find(':');
        if (end == std::string_view::npos || colon > end) fail(number, "has a probe report that does not end as '…:1]'.");
        const std::string_view touched = trimmed(inside.substr(colon + 1, end - colon - 1));
        if (touched != "0" && touched != "1") fail(number, "has a probe report that says neither 0 nor 1 at its end.");
        const std::vector<std::string_view> parts = split(inside.substr(0, colon), ',');
        if (parts.size() < 3) fail(number, "has a probe report with fewer than three numbers.");
        if (touched == "0")
            ++log_.passed_over;
        else
            take({number_at(parts[0], number), number_at(parts[1], number), number_at(parts[2], number)}, number);
    }

    void written(std::string_view line, std::uint32_t number) {
        const char mark = line.find(';') != std::string_view::npos ? ';' : ',';
        const bool table = line.find(mark) != std::string_view::npos;
        const std::vector<std::string_view> fields = table ? split(line, mark) : words_of(line);
        if (first_ && names(fields)) {
            first_ = false;
            return;
        }
        first_ = false;
        const bool commas = mark == ';' ? line.find(',') != std::string_view::npos : table && fields.size() > 3 && !named_;
        if (commas) fail(number, fmt::format("reads '{}': decimals want a point and not a comma, and three numbers a line.", shown(line)));
        const std::size_t most = 1 + std::max({columns_[0], columns_[1], columns_[2]});
        if (fields.size() < most || (!named_ && fields.size() != 3))
            fail(number, fmt::format("reads '{}': three numbers are wanted, x y z.", shown(line)));
        take({number_at(fields[columns_[0]], number), number_at(fields[columns_[1]], number), number_at(fields[columns_[2]], number)},
             number);
    }

    /// A first line of names tells which columns count.
    bool names(const std::vector<std::string_view>& fields) {
        std::array<bool, 3> found{};
        std::array<std::size_t, 3> columns{0, 1, 2};
        for (std::size_t k = 0; k < fields.size(); ++k) {
            std::string_view name = fields[k];
            if (name.size() >= 2 && name.front() == '"' && name.back() == '"') name = name.substr(1, name.size() - 2);
            if (name.empty() || (name.size() > 1 && name[1] != ' ' && name[1] != '(' && name[1] != '[' && name[1] != '_')) continue;
            const auto axis = static_cast<std::size_t>((name.front() | 0x20) - 'x');
            if (axis < 3 && !found[axis]) found[axis] = true, columns[axis] = k;
        }
        if (!found[0] || !found[1] || !found[2]) return false;
        columns_ = columns;
        return named_ = true;
    }

    std::string_view text_;
    ProbeLogLimits limits_;
    ProbeLog log_;
    std::array<std::size_t, 3> columns_{0, 1, 2};
    bool first_ = true, named_ = false;
};

}  // namespace

ProbeLog read_probe_log(std::string_view text, const ProbeLogLimits& limits) {
    if (text.size() > limits.most_bytes)
        throw Error(Fault::input, fmt::format("The measured points take {} bytes; at most {} are read.", text.size(), limits.most_bytes));
    if (text.substr(0, 65536).find('\0') != std::string_view::npos)
        throw Error(Fault::input, "The measured points are no text: they hold bytes that no text has.");
    return LogReader(text, limits).read();
}

}  // namespace burin
