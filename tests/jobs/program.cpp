#include "program.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cmath>
#include <csignal>
#include <fstream>
#include <iterator>
#include <thread>

#include "burin/picture/picture.hpp"

namespace jobs {
namespace fs = std::filesystem;

Scratch::Scratch() {
    std::string name = (fs::temp_directory_path() / "burin-jobs-XXXXXX").string();
    folder_ = ::mkdtemp(name.data());
    constexpr int pixels = 70;
    std::vector<std::uint16_t> grey;
    for (int j = 0; j < pixels; ++j)
        for (int i = 0; i < pixels; ++i) {
            const double r = std::hypot(i + 0.5 - pixels / 2.0, j + 0.5 - pixels / 2.0) / pixels;
            grey.push_back(static_cast<std::uint16_t>(65535 * std::min(1.0, 2 * r)));
        }
    put(*this / "bowl.png", burin::write_png_grey16(grey, pixels, pixels, 0, {}));
}

Scratch::~Scratch() { fs::remove_all(folder_); }

namespace {

[[noreturn]] void become_burin(const std::vector<std::string>& words, const Circumstances& circumstances, int out, int err) {
    ::dup2(::open("/dev/null", O_RDONLY), STDIN_FILENO);
    ::dup2(circumstances.out_to.empty() ? out : ::open(circumstances.out_to.c_str(), O_WRONLY), STDOUT_FILENO);
    ::dup2(err, STDERR_FILENO);
    if (circumstances.largest_file) {
        const rlimit limit{*circumstances.largest_file, *circumstances.largest_file};
        ::setrlimit(RLIMIT_FSIZE, &limit);
    }
    ::setenv("BURIN_PRESETS", BURIN_SOURCE "/presets", 1);
    ::setenv("XDG_CONFIG_HOME", "/nonexistent", 1);
    for (const std::string& setting : circumstances.environment) {
        const std::size_t equals = setting.find('=');
        ::setenv(setting.substr(0, equals).c_str(), setting.substr(equals + 1).c_str(), 1);
    }
    std::vector<char*> argv{const_cast<char*>("burin")};
    for (const std::string& word : words) argv.push_back(const_cast<char*>(word.c_str()));
    argv.push_back(nullptr);
    ::execv(BURIN_PROGRAM, argv.data());
    ::_exit(127);
}

/// Reads both pipes to their ends.
void gather(int out, int err, Outcome& outcome) {
    std::array<pollfd, 2> ends{{{out, POLLIN, 0}, {err, POLLIN, 0}}};
    int open = 2;
    std::array<char, 65536> buffer{};
    while (open > 0) {
        if (::poll(ends.data(), ends.size(), -1) < 0) continue;
        for (std::size_t k = 0; k < ends.size(); ++k) {
            if (ends[k].fd < 0 || ends[k].revents == 0) continue;
            const ssize_t got = ::read(ends[k].fd, buffer.data(), buffer.size());
            if (got > 0) {
                (k == 0 ? outcome.out : outcome.err).append(buffer.data(), static_cast<std::size_t>(got));
            } else {
                ends[k].fd = -1;
                --open;
            }
        }
    }
}

}  // namespace

Outcome call(const std::vector<std::string>& words, const Circumstances& circumstances) {
    std::array<int, 2> out{}, err{};
    if (::pipe2(out.data(), O_CLOEXEC) != 0 || ::pipe2(err.data(), O_CLOEXEC) != 0) return {};
    const pid_t child = ::fork();
    if (child == 0) become_burin(words, circumstances, out[1], err[1]);
    ::close(out[1]);
    ::close(err[1]);
    std::thread sender;
    if (circumstances.signal_after)
        sender = std::thread([&] {
            std::this_thread::sleep_for(*circumstances.signal_after);
            ::kill(child, circumstances.signal);  // the child is waited for only after this: the number is still its own
        });
    Outcome outcome;
    gather(out[0], err[0], outcome);
    if (sender.joinable()) sender.join();
    int status = 0;
    rusage usage{};
    ::wait4(child, &status, 0, &usage);
    outcome.peak_mb = static_cast<double>(usage.ru_maxrss) * 1.024e-3;  // Linux: counted in 1024 bytes
    ::close(out[0]);
    ::close(err[0]);
    outcome.status = WIFSIGNALED(status) ? -WTERMSIG(status) : WEXITSTATUS(status);
    return outcome;
}

std::string text_of(const std::string& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

void put(const std::string& file, const std::string& text) { std::ofstream(file, std::ios::binary) << text; }

Contents contents(const std::string& folder, bool hidden) {
    Contents all;
    if (!fs::exists(folder)) return all;
    for (const auto& entry : fs::directory_iterator(folder)) {
        const std::string name = entry.path().filename().string();
        if (hidden || name.front() != '.') all[name] = text_of(entry.path().string());
    }
    return all;
}

std::vector<std::string> small_job(const Scratch& scratch, const std::vector<std::string>& more, const std::string& folder) {
    std::vector<std::string> words{"relief", scratch / "bowl.png", "--heights", "map", "--width", "14", "--depth", "2"};
    words.insert(words.end(), more.begin(), more.end());
    words.insert(words.end(), {"-o", folder});
    return words;
}

}  // namespace jobs
