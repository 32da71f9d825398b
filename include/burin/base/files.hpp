#pragma once
/// The only place that opens files.
#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace burin {

using Bytes = std::vector<std::byte>;

/// The same bytes, to be read as text; they must outlive it.
[[nodiscard]] inline std::string_view text_of(const Bytes& bytes) { return {reinterpret_cast<const char*>(bytes.data()), bytes.size()}; }

/// The whole file. Throws Error (input): missing, a folder, no permission, larger than `most` bytes; the sentence names
/// the file. `what` is what the user calls it ("picture", "job file").
[[nodiscard]] Bytes read_file(const std::filesystem::path& path, std::string_view what, std::size_t most = std::size_t{4} << 30);
/// Its first `most` bytes, or all there are; none of what is no plain file that can be read: reading it whole tells why.
[[nodiscard]] std::string read_head(const std::filesystem::path& path, std::size_t most);
[[nodiscard]] std::string read_text(const std::filesystem::path& path, std::string_view what, std::size_t most = std::size_t{16} << 20);

/// One file of a finished job.
struct OutputFile {
    std::string name;  ///< plain name, no folders
    std::string content;
};

/// Puts a finished job into `folder` (made if missing): each file under a temporary name, flushed to the medium and
/// renamed; an earlier report.json and the earlier programs named in it go first, `files.back()` (report.json) comes
/// last, so that a folder with a report.json always holds one whole job. Other files in the folder are left alone.
/// Throws Error (output); what can be checked is checked before anything there changes.
void release(const std::filesystem::path& folder, const std::vector<OutputFile>& files);

/// Writes one file: under a temporary name beside it, flushed, renamed; what was there under its name is replaced. Throws Error (output).
void write_file(const std::filesystem::path& path, std::string_view content);

/// Throws the Error that `release` would throw for this folder, as far as that can be known before the work is done.
/// Changes nothing.
void check_folder(const std::filesystem::path& folder);

/// Lower-case hexadecimal SHA-256 of the bytes (FIPS 180-4).
[[nodiscard]] std::string sha256(std::string_view bytes);

}  // namespace burin
