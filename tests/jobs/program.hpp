#pragma once
/// The program as a child: words in, status and texts out; limits and signals on the way.
#include <chrono>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace jobs {

/// A folder of its own for one test, gone afterwards; holds a small picture of a bowl, "bowl.png".
class Scratch {
public:
    Scratch();
    ~Scratch();
    Scratch(const Scratch&) = delete;
    Scratch& operator=(const Scratch&) = delete;
    [[nodiscard]] std::string operator/(const std::string& name) const { return (folder_ / name).string(); }

private:
    std::filesystem::path folder_;
};

struct Outcome {
    int status = -1;  ///< exit status; −signal where it was killed
    std::string out, err;
    double peak_mb = 0;  ///< the most memory that it held at once, 10⁶ bytes
};

struct Circumstances {
    std::optional<unsigned long> largest_file;              ///< RLIMIT_FSIZE
    std::optional<std::chrono::microseconds> signal_after;  ///< then `signal` is sent
    int signal = 0;
    std::string out_to;                    ///< a file in place of the pipe for standard output
    std::vector<std::string> environment;  ///< "LC_ALL=de_DE.UTF-8"
};

/// Runs the program with these words, presets from the source folder and a home without presets.
[[nodiscard]] Outcome call(const std::vector<std::string>& words, const Circumstances& circumstances = {});

/// Every file of a folder by name; hidden ones (leftovers of a killed run) only where asked for.
using Contents = std::map<std::string, std::string>;
[[nodiscard]] Contents contents(const std::string& folder, bool hidden = false);
[[nodiscard]] std::string text_of(const std::string& file);
void put(const std::string& file, const std::string& text);

/// The usual small job on the bowl: "relief", picture, size and so on, with `more` behind and its folder last.
[[nodiscard]] std::vector<std::string> small_job(const Scratch& scratch, const std::vector<std::string>& more, const std::string& folder);

}  // namespace jobs
