#pragma once
/// Who does the work: number of threads, how to stop, whom to tell.
#include <atomic>
#include <functional>
#include <string_view>

namespace burin {

/// Passed down by reference to everything that takes long. A default Crew works alone and silently.
struct Crew {
    int threads = 1;
    const std::atomic<bool>* stop = nullptr;                         ///< set from outside: give up soon
    std::function<void(std::string_view stage, double share)> tell;  ///< progress, share 0 … 1 of the stage

    /// Throws Error (stopped) once `stop` is set.
    void check() const;
    void say(std::string_view stage, double share = 0) const {
        if (tell) tell(stage, share);
    }
};

/// Runs work(0) … work(jobs − 1), each once, on the crew's threads, in any order; returns when all are done.
/// Results do not depend on the number of threads as long as each job writes only what is its own and `jobs` is not
/// chosen from the number of threads. The first error thrown by a job (lowest index) is thrown again here.
void in_parallel(const Crew& crew, int jobs, const std::function<void(int)>& work);

/// Cuts rows 0 … rows − 1 into bands of `grain` rows and runs work(first, last + 1) on each, as in_parallel does.
void over_rows(const Crew& crew, int rows, int grain, const std::function<void(int, int)>& work);

}  // namespace burin
