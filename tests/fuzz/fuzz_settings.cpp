// A controller's list of settings, and a controller's own file: any bytes come to an end. What was understood makes a machine whose file
// reads back, or is refused in a sentence.
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/workshop/controller.hpp"
#include "burin/workshop/presets.hpp"
#include "demand.hpp"

namespace {

burin::Controller controller_of(std::string_view toml) {
    try {
        return burin::read_controller(toml, "fuzz.toml");
    } catch (const burin::Error&) {
        static const std::string plain = [] {
            std::string text = "mark = \"$\"\nknown = [0, 1]\n";
            int number = 100;
            for (const std::string& target : burin::setting_targets())
                text += "[[setting]]\nnumber = " + std::to_string(number++) + "\nsets = \"" + target + "\"\n";
            return text;
        }();
        return burin::read_controller(plain, "plain.toml");
    }
}

burin::Machine like() {
    burin::Machine machine;
    machine.name = "like";
    machine.travel = {250, 160, 55};
    machine.rapid = {2000, 2000, 800};
    machine.acceleration = {100, 100, 60};
    machine.most_feed = 1000;
    machine.spindle = burin::Spindle{10000, 10000, 40, 3};
    machine.laser = burin::Laser{};
    return machine;
}

}  // namespace

/// The list, and behind a line of "====" the controller's file.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(bytes), size);
    const std::size_t between = text.find("====\n");
    const burin::Controller controller = controller_of(between == std::string_view::npos ? std::string_view() : text.substr(between + 5));
    try {
        const burin::SettingsList list = burin::read_settings(text.substr(0, between), controller, "fuzz.txt");
        demand(!list.settings.empty());
        for (const burin::Setting& setting : list.settings)
            demand(setting.number >= 0 && setting.line >= 1 && setting.line <= size + 1 && !setting.value.empty());
        const burin::MachineFromSettings made = burin::machine_from(list, controller, like(), "fuzz", "fuzz.txt");
        const std::string written = burin::write_machine(made.machine);
        demand(burin::write_machine(burin::read_machine(written, "again.toml")) == written);
    } catch (const burin::Error& error) {
        demand(error.fault() == burin::Fault::input && std::string_view(error.what()).find("fuzz.txt") != std::string_view::npos);
    }
    return 0;
}
