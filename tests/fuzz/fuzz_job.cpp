// Job files: any bytes come to an end, and what is wrong is told as a fault of the file. A job that was read is written to one that reads
// back to the same text, with its own row of values and without.
#include <cstddef>
#include <cstdint>
#include <map>
#include <string>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "demand.hpp"

namespace {

void try_job(const auto& read) {
    burin::Job job;
    try {
        job = read();
    } catch (const burin::Error& error) {
        demand(error.fault() == burin::Fault::usage && *error.what() != 0);
        return;
    }
    const std::string written = burin::write_job(job);
    const burin::Job again = burin::read_job(written, "again.toml", "/work");
    demand(burin::write_job(again) == written);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(bytes), size);
    try_job([&] { return burin::read_job(text, "fuzz.toml", "/work"); });
    static const std::map<std::string, std::string> row{{"name", "Möwe & {Söhne}"}, {"width", "40"}, {"mirror", "true"}, {"empty", ""}};
    try_job([&] { return burin::read_job(text, "fuzz.toml", "/work", row); });
    return 0;
}
