/// Files: whole reads with a limit, and the release of a finished job into a folder.
///
/// What is peculiar to the system (POSIX: fsync, flock, rename within one folder) stays in this file. A release goes
/// through these states, and a machine that loses power in any of them never shows a mixture that passes for a job:
///   1. every new file lies in the folder under a temporary name, flushed            (the earlier job is whole)
///   2. the earlier report.json has been put aside under a temporary name            (no finished job)
///   3. the earlier programs and the files that the new ones replace are gone
///   4. the new files have their names, report.json last                             (the new job is whole)
/// What a killed run left under temporary names is swept by the next one: the reports among it name its programs.
#include "burin/base/files.hpp"

#include <fcntl.h>
#include <sha2.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <set>
#include <system_error>
#include <utility>

#include "burin/base/drawn_refusal.hpp"
#include "burin/base/pages.hpp"
#include "fmt/format.h"

namespace burin {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view temporary_prefix = ".burin-";
constexpr std::string_view temporary_suffix = ".part";
constexpr std::string_view earlier_report = ".burin-earlier-report.json.part";
constexpr std::string_view report_name = "report.json";

/// The system's words for errno, whatever the locale.
std::string reason(int error) {
    switch (error) {
        case ENOENT:
            return "it does not exist";
        case EACCES:
        case EPERM:
            return "permission was refused";
        case EROFS:
            return "it lies on a medium that is read-only";
        case ENOSPC:
        case EDQUOT:
            return "the medium is full";
        case EFBIG:
            return "files may not grow that large here";
        case ENOTDIR:
            return "a part of its path is a file, not a folder";
        case EISDIR:
            return "it is a folder";
        case EIO:
            return "the medium reported an error";
        case ENAMETOOLONG:
            return "its name is too long";
        case EMFILE:
        case ENFILE:
            return "too many files are open";
        case ELOOP:
            return "its links go round in a circle";
        default:
            return fmt::format("the system reported error {}", error);
    }
}

[[noreturn]] void fail_output(const fs::path& path, std::string_view deed, int error, std::string_view advice = "") {
    throw Error(Fault::output,
                fmt::format("'{}' could not be {}: {}.{}{}", path.string(), deed, reason(error), advice.empty() ? "" : " ", advice));
}

/// An open file, closed at the end of the scope.
class Descriptor {
public:
    explicit Descriptor(int number) : number_(number) {}
    ~Descriptor() {
        if (number_ >= 0) ::close(number_);
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    [[nodiscard]] int get() const { return number_; }
    [[nodiscard]] bool open() const { return number_ >= 0; }
    /// Some media report a failed write only here.
    [[nodiscard]] bool close() { return ::close(std::exchange(number_, -1)) == 0; }

private:
    int number_;
};

int open_again(const char* path, int flags, mode_t mode = 0) {
    int number = -1;
    do {
        number = ::open(path, flags | O_CLOEXEC, mode);
    } while (number < 0 && errno == EINTR);
    return number;
}

/// Reads all of `path` into `into` (std::string or Bytes).
template <class Buffer>
Buffer read_whole(const fs::path& path, std::string_view what, std::size_t most) {
    const auto fail = [&](const std::string& why) -> void {
        throw Error(Fault::input, fmt::format("The {} '{}' cannot be read: {}.", what, path.string(), why));
    };
    // Without O_NONBLOCK the opening of a pipe that nobody writes to would hang for good.
    const Descriptor file(open_again(path.c_str(), O_RDONLY | O_NONBLOCK));
    if (!file.open()) fail(reason(errno));
    struct stat about {};
    if (::fstat(file.get(), &about) != 0) fail(reason(errno));
    if (S_ISDIR(about.st_mode)) fail("it is a folder, and a file is wanted");
    if (!S_ISREG(about.st_mode)) fail("it is not a plain file");
    const auto too_large = [&] { fail(fmt::format("it is larger than {} MB, the most that is taken", most >> 20)); };
    if (about.st_size > 0 && static_cast<std::uintmax_t>(about.st_size) > most) too_large();
    Buffer bytes;
    const std::size_t expected = static_cast<std::size_t>(about.st_size) + 1;  // one more shows the end without growing
    reserve_to_fill(bytes, expected);
    bytes.resize(expected);
    std::size_t filled = 0;
    for (;;) {
        const ssize_t got = ::read(file.get(), bytes.data() + filled, bytes.size() - filled);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) fail(reason(errno));
        if (got == 0) break;
        filled += static_cast<std::size_t>(got);
        if (filled > most) too_large();
        if (filled == bytes.size()) bytes.resize(filled + filled / 2 + 4096);
    }
    bytes.resize(filled);
    return bytes;
}

bool plain_name(std::string_view name) {
    return !name.empty() && name.front() != '.' && name.find('/') == std::string_view::npos && name.find('\0') == std::string_view::npos;
}

bool digit(char c) { return c >= '0' && c <= '9'; }
bool small_letter(char c) { return c >= 'a' && c <= 'z'; }

/// N-word.nc, which is all that a job's programs are ever called. Anything else a report may name is not ours to remove.
bool program_name(std::string_view name) {
    std::size_t k = 0;
    while (k < name.size() && digit(name[k])) ++k;
    if (k == 0 || k > 3 || k >= name.size() || name[k] != '-') return false;
    const std::size_t word = ++k;
    while (k < name.size() && (small_letter(name[k]) || digit(name[k]) || name[k] == '-')) ++k;
    return k > word && name.substr(k) == ".nc";
}

/// The programs that a report names. Any text will do: every quoted word that is a program's name counts, so that a
/// report cut off in the middle still tells of its programs.
void gather_programs(std::string_view report, std::set<std::string>& names) {
    for (std::size_t from = report.find('"'); from != std::string_view::npos; from = report.find('"', from + 1)) {
        const std::size_t to = report.find('"', from + 1);
        if (to == std::string_view::npos) break;
        const std::string_view word = report.substr(from + 1, to - from - 1);
        if (program_name(word)) names.emplace(word);
    }
}

std::string temporary_name(std::string_view name) { return fmt::format("{}{}{}", temporary_prefix, name, temporary_suffix); }

void write_flushed(const fs::path& path, std::string_view content) {
    Descriptor file(open_again(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW, 0666));
    const std::string_view advice = "Nothing there was changed; free some room or give another folder.";
    if (!file.open()) fail_output(path.parent_path(), "written to", errno, "Give another folder.");
    while (!content.empty()) {
        const ssize_t done = ::write(file.get(), content.data(), content.size());
        if (done < 0 && errno == EINTR) continue;
        if (done < 0) fail_output(path.parent_path(), "written to", errno, advice);
        content.remove_prefix(static_cast<std::size_t>(done));
    }
    if (::fsync(file.get()) != 0 && errno != EINVAL) fail_output(path.parent_path(), "written to", errno, advice);
    if (!file.close()) fail_output(path.parent_path(), "written to", errno, advice);
}

/// Removes `path`; that it is not there is as good.
void remove_file(const fs::path& path) {
    if (::unlink(path.c_str()) != 0 && errno != ENOENT) fail_output(path, "removed", errno);
}

/// The folder held open: locked against a second run, flushed between the states.
class Target {
public:
    explicit Target(const fs::path& folder) : folder_(folder), opened_(open_again(folder.c_str(), O_RDONLY | O_DIRECTORY)) {
        if (!opened_.open()) fail_output(folder, "opened", errno, "Give another folder.");
        if (::flock(opened_.get(), LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK)
            throw Error(Fault::output, fmt::format("Another run is writing to '{}' at this moment. Wait for it, or give another folder.",
                                                   folder.string()));
    }
    /// Some media cannot flush a folder; there is nothing better to be done on them.
    void flush() const {
        if (::fsync(opened_.get()) != 0 && errno != EINVAL && errno != ENOTSUP && errno != EROFS) fail_output(folder_, "flushed", errno);
    }

private:
    const fs::path& folder_;
    Descriptor opened_;
};

std::vector<std::string> stale_names(const fs::path& folder) {
    std::vector<std::string> names;
    std::error_code error;
    for (fs::directory_iterator entry(folder, error), end; !error && entry != end; entry.increment(error)) {
        const std::string name = entry->path().filename().string();
        if (name.starts_with(temporary_prefix) && name.ends_with(temporary_suffix)) names.push_back(name);
    }
    std::sort(names.begin(), names.end());
    return names;
}

/// The programs that a report in the folder names; none where it is missing or nobody can read it.
std::set<std::string> programs_of(const fs::path& report) {
    std::set<std::string> names;
    try {
        gather_programs(read_text(report, "report", std::size_t{1} << 30), names);
    } catch (const Error&) {
        names.clear();
    }
    return names;
}

/// Sweeps what a killed run left. Only in the states 2 to 4 does the mark of an earlier report stand without a report:
/// then programs of two jobs may lie there, and all of them go.
void sweep(const fs::path& folder) {
    const std::vector<std::string> stale = stale_names(folder);
    if (fs::exists(folder / earlier_report) && !fs::exists(folder / report_name))
        for (const std::string& report : {std::string(earlier_report), temporary_name(report_name)})
            for (const std::string& name : programs_of(folder / report)) remove_file(folder / name);
    for (const std::string& name : stale) remove_file(folder / name);
}

void check_names(const fs::path& folder, const std::vector<OutputFile>& files) {
    std::set<std::string_view> seen;
    for (const OutputFile& file : files) {
        if (!plain_name(file.name) || !seen.insert(file.name).second)
            throw Error(Fault::output, fmt::format("'{}' cannot be the name of a result.", file.name));
        struct stat about {};
        if (::lstat((folder / file.name).c_str(), &about) == 0 && S_ISDIR(about.st_mode))
            throw Error(Fault::output,
                        fmt::format("'{}' is a folder, and a result of that name is to be written. Move it, or give another folder.",
                                    (folder / file.name).string()));
    }
}

}  // namespace

Bytes read_file(const fs::path& path, std::string_view what, std::size_t most) { return read_whole<Bytes>(path, what, most); }

std::string read_text(const fs::path& path, std::string_view what, std::size_t most) { return read_whole<std::string>(path, what, most); }

std::string read_head(const fs::path& path, std::size_t most) {
    const Descriptor file(open_again(path.c_str(), O_RDONLY | O_NONBLOCK));
    struct stat about {};
    if (!file.open() || ::fstat(file.get(), &about) != 0 || !S_ISREG(about.st_mode)) return {};
    std::string head(most, '\0');
    std::size_t filled = 0;
    while (filled < most) {
        const ssize_t got = ::read(file.get(), head.data() + filled, most - filled);
        if (got < 0 && errno == EINTR) continue;
        if (got <= 0) break;
        filled += static_cast<std::size_t>(got);
    }
    head.resize(filled);
    return head;
}

void write_file(const fs::path& path, std::string_view content) {
    const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
    const std::string name = path.filename().string();
    if (!plain_name(name)) throw Error(Fault::output, fmt::format("'{}' cannot be the name of a file.", path.string()));
    const fs::path temporary = folder / temporary_name(name);
    write_flushed(temporary, content);
    if (::rename(temporary.c_str(), path.c_str()) != 0) {
        const int error = errno;
        ::unlink(temporary.c_str());
        fail_output(path, "written", error, "Give another name.");
    }
}

void check_folder(const fs::path& folder) {
    if (folder.empty()) throw Error(Fault::usage, "No folder was given for the results: add -o FOLDER.");
    fs::path place = fs::absolute(folder).lexically_normal();
    struct stat about {};
    // The lowest part of the path that is there already.
    while (::stat(place.c_str(), &about) != 0) {
        const int error = errno;
        if (error == ENOTDIR && place.has_relative_path()) {
            place = place.parent_path();
            continue;
        }
        struct stat link {};
        if (error != ENOENT || ::lstat(place.c_str(), &link) == 0 || !place.has_relative_path())
            fail_output(place, "used as the folder for the results", error, "Give another folder.");
        place = place.parent_path();
    }
    if (!S_ISDIR(about.st_mode))
        throw Error(Fault::output,
                    fmt::format("'{}' is a file, and a folder is wanted for the results. Give another name with -o.", place.string()));
    if (::access(place.c_str(), W_OK | X_OK) != 0) fail_output(place, "written to", errno, "Give another folder.");
}

void release(const fs::path& folder, const std::vector<OutputFile>& files) {
    if (files.empty()) throw Error(Fault::output, "There is nothing to write.");
    check_folder(folder);
    check_names(folder, files);
    // Folders made here go again when nothing comes of it; remove() leaves those alone that hold something.
    std::vector<fs::path> made;
    for (fs::path place = fs::absolute(folder).lexically_normal(); place.has_relative_path() && !fs::exists(place);
         place = place.parent_path())
        made.push_back(place);
    std::error_code error;
    fs::create_directories(folder, error);
    // Where the folder above is there, "it does not exist" would tell nothing: such places (/proc) hold no folders of ours.
    if (error.value() == ENOENT && !fs::is_directory(folder))
        throw Error(Fault::output,
                    fmt::format("'{}' could not be made: nothing can be written there. Give another folder.", folder.string()));
    if (error && !fs::is_directory(folder)) fail_output(folder, "made", error.value(), "Give another folder.");

    std::vector<fs::path> written;  // what goes again if anything fails
    try {
        const Target target(folder);
        sweep(folder);
        for (const OutputFile& file : files) {
            written.push_back(folder / temporary_name(file.name));
            write_flushed(written.back(), file.content);
        }
        target.flush();

        const std::set<std::string> programs = programs_of(folder / report_name);
        written.push_back(folder / earlier_report);
        if (::rename((folder / report_name).c_str(), (folder / earlier_report).c_str()) != 0) {
            if (errno != ENOENT) fail_output(folder / report_name, "replaced", errno);
            write_flushed(folder / earlier_report, "");
        }
        target.flush();
        for (const std::string& name : programs) remove_file(folder / name);
        for (const OutputFile& file : files) remove_file(folder / file.name);
        remove_file(folder / DrawnRefusal::file);  // of an earlier run that was refused
        target.flush();
        for (const OutputFile& file : files) {
            if (&file == &files.back()) target.flush();
            written.push_back(folder / file.name);
            if (::rename((folder / temporary_name(file.name)).c_str(), (folder / file.name).c_str()) != 0)
                fail_output(folder / file.name, "written", errno);
        }
        target.flush();
        ::unlink((folder / earlier_report).c_str());  // beside a report it means nothing: the next run sweeps it
    } catch (...) {
        for (const fs::path& path : written) ::unlink(path.c_str());
        for (const fs::path& place : made) fs::remove(place, error);
        throw;
    }
}

std::string sha256(std::string_view bytes) {
    std::array<std::uint8_t, SHA256_DIGEST_LENGTH> digest{};
    SHA2_CTX state;
    SHA256Init(&state);
    SHA256Update(&state, reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
    SHA256Final(digest.data(), &state);
    std::string text;
    for (const std::uint8_t byte : digest) text += fmt::format("{:02x}", byte);
    return text;
}

}  // namespace burin
