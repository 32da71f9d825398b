#pragma once
/// What can go wrong, said to the person at the machine.
#include <stdexcept>
#include <string>

namespace burin {

/// The value is the exit status of the program.
enum class Fault {
    refused = 1,   ///< the job conflicts with the stock or the machine, or breaks a promise
    usage = 2,     ///< an option or a job file is wrong in itself
    input = 3,     ///< an input is missing or cannot be read
    output = 4,    ///< the result cannot be written
    stopped = 130  ///< Ctrl-C
};

/// A sentence that says what is wrong, where, and what to do about it.
class Error : public std::runtime_error {
public:
    Error(Fault fault, const std::string& sentence) : std::runtime_error(sentence), fault_(fault) {}
    [[nodiscard]] Fault fault() const { return fault_; }
    [[nodiscard]] int exit_status() const { return static_cast<int>(fault_); }

private:
    Fault fault_;
};

}  // namespace burin
