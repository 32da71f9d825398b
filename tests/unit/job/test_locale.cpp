/// Bytes do not depend on the locale. Source: promise 6; that German writes a comma for the decimal point: the locale de_DE
/// of the C library, made here from its own sources.
#include <clocale>
#include <cstdio>
#include <filesystem>
#include <locale>
#include <string>

#include "burin/job/run.hpp"
#include "check.hpp"
#include "hill.hpp"

using namespace burin;
using namespace tried;
namespace fs = std::filesystem;

namespace {

/// de_DE.UTF-8 made in a folder of its own and in force, for C and C++, while this lives.
class German {
public:
    German() {
        std::string name = (fs::temp_directory_path() / "burin-locale-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
        const std::string made = (folder_ / "de_DE.UTF-8").string();
        REQUIRE(std::system(("localedef -i de_DE -f UTF-8 '" + made + "' >/dev/null 2>&1").c_str()) == 0);
        ::setenv("LOCPATH", folder_.c_str(), 1);
        REQUIRE(std::setlocale(LC_ALL, "de_DE.UTF-8") != nullptr);
        std::locale::global(std::locale("de_DE.UTF-8"));
    }
    ~German() {
        std::locale::global(std::locale::classic());
        std::setlocale(LC_ALL, "C");
        ::unsetenv("LOCPATH");
        fs::remove_all(folder_);
    }
    German(const German&) = delete;
    German& operator=(const German&) = delete;

private:
    fs::path folder_;
};

}  // namespace

TEST_CASE("a job under de_DE.UTF-8 gives the same bytes") {
    const Hill hill;
    Job job = hill.job(12);
    job.cuts[0].stepover = 0.15;
    const Finished plain = run_job(job, presets, {});
    const German german;
    char text[16];
    std::snprintf(text, sizeof text, "%.1f", 0.5);
    REQUIRE(std::string(text) == "0,5");  // it is in force
    const Finished other = run_job(job, presets, {});
    REQUIRE(other.files.size() == plain.files.size());
    for (std::size_t k = 0; k < plain.files.size(); ++k) {
        INFO(plain.files[k].name);
        CHECK((other.files[k].content == plain.files[k].content));
    }
}
