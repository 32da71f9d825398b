// RS-274/NGC text becomes a track: see reader.hpp.
#include <fmt/format.h>

#include <new>

#include "burin/program/rs274.hpp"
#include "reader_wide.hpp"

namespace burin {

ReadProgram read_program(std::string_view text, bool dwell_in_milliseconds, const ReadLimits& limits) {
    return read_program(text, ToolKind::spindle, dwell_in_milliseconds, limits);
}

ReadProgram read_program(std::string_view text, ToolKind tool, bool dwell_in_milliseconds, const ReadLimits& limits) {
    ReadProgram program;
    program.tool = tool;
    if (text.size() > limits.most_bytes) {
        program.faults.push_back(
            {0, fmt::format("The text has {} bytes, more than the {} that are read.", text.size(), limits.most_bytes)});
        return program;
    }
    try {
        if (tool == ToolKind::beam) {
            Reader<true>(program, text, dwell_in_milliseconds, limits).run();
        } else {
            Reader<false>(program, text, dwell_in_milliseconds, limits).run();
        }
    } catch (const std::bad_alloc&) {
        program = ReadProgram{};
        program.faults.push_back({0, "The text has more moves than fit into memory. Split it."});
    }
    return program;
}

}  // namespace burin
