/// Programs put together from written ones. Their lines stay as they are, so that what was proved of them stays proved.
/// Cost: one copy of the texts.
#include <fmt/format.h>

#include <cmath>

#include "burin/base/error.hpp"
#include "burin/program/rs274.hpp"
#include "burin/program/text_lines.hpp"
#include "message.hpp"

namespace burin {
namespace {

class Sheet {
public:
    void line(std::string_view text) {
        program_.text.append(text).append("\n");
        ++program_.lines;
    }
    void lines(std::string_view text, std::uint32_t count) {
        program_.text.append(text);
        program_.lines += count;
    }
    /// Goes on with the lines `first` … `last` of another program, and with the passes in them.
    void body(const WrittenProgram& written, std::uint32_t first, std::uint32_t last) {
        program_.part_lines.push_back(program_.lines + 1);
        for (const std::uint32_t line : written.pass_lines) program_.pass_lines.push_back(line - first + program_.lines + 1);
        if (first <= last) lines(TextLines(written.text).span(first, last), last - first + 1);
    }
    [[nodiscard]] WrittenProgram& program() { return program_; }

private:
    WrittenProgram program_;
};

}  // namespace

std::vector<std::string> message_lines(std::string_view message) {
    constexpr std::size_t most = 60;
    std::vector<std::string> lines;
    std::string left = clean_comment(message, 1000);
    while (!left.empty()) {
        std::size_t cut = left.size() <= most ? left.size() : left.rfind(' ', most);
        if (cut == std::string::npos || cut == 0) cut = most;
        lines.push_back("(MSG, " + left.substr(0, cut) + ")");
        left.erase(0, left.find_first_not_of(' ', cut));
    }
    return lines;
}

WrittenProgram merge_programs(std::span<const MergePart> parts, const ProgramStyle& style) {
    if (parts.empty()) throw Error(Fault::usage, "There is no program to be put together.");
    // A program without moves tells how this one begins, how the tool is lifted and how it ends.
    const WrittenProgram frame = write_program({}, style);
    const TextLines frame_lines(frame.text);
    const std::uint32_t before = frame.body_first - 1;
    const auto frame_line = [&](std::uint32_t line) {
        const std::string_view text = frame_lines.span(line, line);
        return text.substr(0, text.size() - 1);
    };
    Sheet sheet;
    sheet.lines(frame_lines.span(1, before), before);
    const bool beam = style.tool == ToolKind::beam, lifts = !beam || style.focus_steps;
    double rpm = style.rpm;
    for (const MergePart& part : parts) {
        if (&part != parts.data() && lifts) sheet.line(frame_line(before + 1));
        if (const std::string title = clean_comment(part.title); !title.empty()) sheet.line("(" + title + ")");
        if (!beam && part.rpm != rpm) {
            rpm = part.rpm;
            sheet.line(fmt::format("S{}", std::llround(rpm)));
            if (style.spin_up_s > 0) sheet.line(frame_line(before));
        }
        sheet.body(*part.written, part.written->body_first, part.written->body_last);
    }
    sheet.lines(frame_lines.span(before + 1, frame.lines), frame.lines - before);
    return std::move(sheet.program());
}

WrittenProgram chain_programs(std::span<const WrittenProgram* const> programs, std::span<const std::string> pauses) {
    if (programs.empty() || pauses.size() + 1 != programs.size())
        throw Error(Fault::usage, "Programs to be chained want one pause between each two of them.");
    Sheet sheet;
    for (std::size_t k = 0; k < programs.size(); ++k) {
        if (k > 0) {
            for (const std::string& line : message_lines(pauses[k - 1])) sheet.line(line);
            sheet.line("M0");
        }
        sheet.body(*programs[k], 1, programs[k]->lines - 1);  // all but M2
    }
    sheet.line("M2");
    return std::move(sheet.program());
}

}  // namespace burin
