/// The command line: words in, exit status out. Nothing is computed here.
#include <fmt/format.h>
#include <unistd.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif

#include <atomic>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <new>
#include <opencv2/core/utility.hpp>
#include <string>
#include <vector>

#include "burin/base/error.hpp"
#include "burin/job/manual.hpp"
#include "command_line.hpp"
#include "commands.hpp"

namespace {

std::atomic<bool> stop{false};
static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may set only what needs no lock");

void ask_to_stop(int) { stop = true; }

void catch_signals() {
    struct sigaction action {};
    action.sa_handler = ask_to_stop;
    ::sigaction(SIGINT, &action, nullptr);
    ::sigaction(SIGTERM, &action, nullptr);
    // A file-size limit and a closed pipe come back as errors of the write, with a sentence, instead of killing.
    action.sa_handler = SIG_IGN;
    ::sigaction(SIGXFSZ, &action, nullptr);
    ::sigaction(SIGPIPE, &action, nullptr);
}

/// Grids, moves and texts of a large job go straight back to the system, so that they leave no holes: what is asked for at
/// once is what the job takes. Smaller blocks share one heap, which gives back what is more than 4 MB too large.
void keep_memory() {
#ifdef __GLIBC__
    ::mallopt(M_MMAP_THRESHOLD, 4 << 20);
    ::mallopt(M_TRIM_THRESHOLD, 4 << 20);
    ::mallopt(M_TOP_PAD, 1 << 20);
    ::mallopt(M_ARENA_MAX, 1);
#endif
}

int fail(int status, const std::string& sentence) {
    const bool colour = ::isatty(STDERR_FILENO) && !std::getenv("NO_COLOR");
    fmt::print(stderr, "{}burin: {}{}\n", colour ? "\033[31m" : "", sentence, colour ? "\033[0m" : "");
    return status;
}

}  // namespace

int main(int count, char** words) {
    catch_signals();
    keep_memory();
    cv::setNumThreads(1);  // the crew divides the work, the same way for any number of threads
    try {
        const std::vector<std::string> given(words + 1, words + count);
        return burin::app::run_command(burin::app::read_command_line(given), stop);
    } catch (const burin::Error& error) {
        return fail(error.exit_status(), error.what());
    } catch (const std::bad_alloc&) {
        return fail(1, "There is not enough memory for this job. Give a smaller --width or a larger --cell.");
    } catch (const std::exception& error) {
        return fail(1, fmt::format("Something went wrong inside the program, and nothing was written: {}.", error.what()));
    }
}
