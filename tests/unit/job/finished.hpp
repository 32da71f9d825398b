#pragma once
/// What came out of a job, or why nothing did, for the tests of the pipeline.
#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/run.hpp"
#include "check.hpp"
#include "hill.hpp"

namespace tried {

inline burin::Finished made(const burin::Job& job, int threads = 2) { return burin::run_job(job, presets, crew_of(threads)); }
/// A job that stands in a file's text.
inline burin::Finished made(const std::string& toml, int threads = 2) { return made(burin::read_job(toml, "job.toml", "/"), threads); }

/// One of its files.
inline const std::string& content(const burin::Finished& finished, const std::string& name) {
    const auto found =
        std::find_if(finished.files.begin(), finished.files.end(), [&](const burin::OutputFile& file) { return file.name == name; });
    REQUIRE(found != finished.files.end());
    return found->content;
}

inline nlohmann::json report_of(const burin::Finished& finished) { return nlohmann::json::parse(content(finished, "report.json")); }

/// Both have the same files, byte by byte.
inline void same(const burin::Finished& a, const burin::Finished& b) {
    REQUIRE(a.files.size() == b.files.size());
    for (std::size_t k = 0; k < a.files.size(); ++k) {
        INFO(a.files[k].name);
        CHECK(a.files[k].name == b.files[k].name);
        CHECK((a.files[k].content == b.files[k].content));
    }
}

/// The sentence with which the deed is refused, by that kind of fault.
template <class Deed>
std::string refusal_of(const Deed& deed, burin::Fault fault) {
    try {
        deed();
    } catch (const burin::Error& error) {
        CHECK(error.fault() == fault);
        return error.what();
    }
    return "nothing was wrong";
}
inline std::string refusal_of(const burin::Job& job, burin::Fault fault) {
    return refusal_of([&] { (void)burin::run_job(job, presets, {}); }, fault);
}

/// The sentence with which a job file is refused; empty: it was made.
inline std::string fault_of(const std::string& toml) {
    try {
        (void)made(toml);
    } catch (const burin::Error& error) {
        return error.what();
    }
    return {};
}

}  // namespace tried
