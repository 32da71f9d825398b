#include "burin/base/crew.hpp"

#include <algorithm>
#include <exception>
#include <thread>
#include <vector>

#include "burin/base/error.hpp"

namespace burin {

void Crew::check() const {
    if (stop && stop->load(std::memory_order_relaxed)) throw Error(Fault::stopped, "Stopped. Nothing was written.");
}

void in_parallel(const Crew& crew, int jobs, const std::function<void(int)>& work) {
    crew.check();
    const int threads = std::min(crew.threads, jobs);
    if (threads <= 1) {
        for (int k = 0; k < jobs; ++k) work(k);
        return;
    }
    std::atomic<int> next{0};
    std::vector<std::exception_ptr> errors(static_cast<std::size_t>(jobs));
    const auto labour = [&] {
        for (int k = next++; k < jobs; k = next++) {
            try {
                crew.check();
                work(k);
            } catch (...) {
                errors[static_cast<std::size_t>(k)] = std::current_exception();
                next = jobs;
            }
        }
    };
    {
        std::vector<std::jthread> hands;
        for (int t = 1; t < threads; ++t) hands.emplace_back(labour);
        labour();
    }
    for (const auto& e : errors)
        if (e) std::rethrow_exception(e);
}

void over_rows(const Crew& crew, int rows, int grain, const std::function<void(int, int)>& work) {
    const int bands = (rows + grain - 1) / grain;
    in_parallel(crew, bands, [&](int k) { work(k * grain, std::min(rows, (k + 1) * grain)); });
}

}  // namespace burin
