/// Reading files and releasing jobs. No source: what the folder must look like follows from the contract in files.hpp;
/// the digests are those of FIPS 180-4's published examples.
#include <fcntl.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "check.hpp"

using namespace burin;
namespace fs = std::filesystem;

namespace {

/// A folder of its own for one test, gone afterwards.
struct Scratch {
    fs::path path;
    Scratch() {
        std::string name = (fs::temp_directory_path() / "burin-files-XXXXXX").string();
        path = ::mkdtemp(name.data());
    }
    ~Scratch() { fs::remove_all(path); }
};

void put(const fs::path& path, const std::string& content) { std::ofstream(path, std::ios::binary) << content; }

std::map<std::string, std::string> contents(const fs::path& folder) {
    std::map<std::string, std::string> all;
    for (const auto& entry : fs::directory_iterator(folder))
        all[entry.path().filename().string()] = entry.is_directory() ? "folder" : read_text(entry.path(), "file");
    return all;
}

Fault fault_of(const auto& deed) {
    try {
        deed();
    } catch (const Error& error) {
        INFO(error.what());
        return error.fault();
    }
    return static_cast<Fault>(0);  // nothing was thrown, which is no fault
}

std::vector<OutputFile> two_bits(const std::string& mark) {
    return {{"1-rough.nc", "rough " + mark},
            {"2-finish.nc", "finish " + mark},
            {"report.html", "html " + mark},
            {"report.json", R"({"programs": [{"file": "1-rough.nc"}, {"file": "2-finish.nc"}], "mark": ")" + mark + "\"}"}};
}
std::vector<OutputFile> one_bit(const std::string& mark) {
    return {{"1-cut.nc", "cut " + mark}, {"report.json", R"({"programs": [{"file": "1-cut.nc"}], "mark": ")" + mark + "\"}"}};
}
std::map<std::string, std::string> as_map(const std::vector<OutputFile>& files) {
    std::map<std::string, std::string> all;
    for (const auto& file : files) all[file.name] = file.content;
    return all;
}

}  // namespace

TEST_CASE("SHA-256 of the published examples") {  // FIPS 180-4 and its example file
    CHECK(sha256("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    CHECK(sha256("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    CHECK(sha256(std::string(1000000, 'a')) == "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("a file is read whole, and what cannot be read is said") {
    const Scratch scratch;
    put(scratch.path / "seal.bin", std::string("\0\x01\xff", 3));
    CHECK(read_text(scratch.path / "seal.bin", "picture") == std::string("\0\x01\xff", 3));
    const Bytes bytes = read_file(scratch.path / "seal.bin", "picture");
    REQUIRE(bytes.size() == 3);
    CHECK(bytes[2] == std::byte{0xff});
    put(scratch.path / "empty", "");
    CHECK(read_file(scratch.path / "empty", "picture").empty());
    put(scratch.path / "ten", "0123456789");
    CHECK(read_text(scratch.path / "ten", "picture", 10).size() == 10);
    CHECK(fault_of([&] { (void)read_text(scratch.path / "ten", "picture", 9); }) == Fault::input);
    CHECK(fault_of([&] { (void)read_file(scratch.path / "none", "picture"); }) == Fault::input);
    CHECK(fault_of([&] { (void)read_file(scratch.path, "picture"); }) == Fault::input);
    CHECK(fault_of([&] { (void)read_file(scratch.path / "ten" / "deeper", "picture"); }) == Fault::input);
    CHECK(fault_of([&] { (void)read_file("/dev/zero", "picture"); }) == Fault::input);
    REQUIRE(::mkfifo((scratch.path / "pipe").c_str(), 0600) == 0);
    CHECK(fault_of([&] { (void)read_file(scratch.path / "pipe", "picture"); }) == Fault::input);  // and does not hang
    try {
        (void)read_file(scratch.path / "none.png", "picture");
    } catch (const Error& error) {
        CHECK_THAT(error.what(), ContainsSubstring("picture") && ContainsSubstring("none.png"));
    }
}

TEST_CASE("a job lands in a folder that is made for it") {
    const Scratch scratch;
    const fs::path folder = scratch.path / "new" / "deep";
    release(folder, two_bits("a"));
    CHECK(contents(folder) == as_map(two_bits("a")));
    check_folder(folder);
}

TEST_CASE("a new job replaces the earlier one and leaves other files alone") {
    const Scratch scratch;
    put(scratch.path / "holiday.jpg", "photo");
    put(scratch.path / "3-other.nc", "by hand");
    fs::create_directory(scratch.path / "letters");
    release(scratch.path, two_bits("a"));
    release(scratch.path, one_bit("b"));
    auto want = as_map(one_bit("b"));
    want["report.html"] = "html a";  // only programs are dangerous when left behind
    want["holiday.jpg"] = "photo";
    want["3-other.nc"] = "by hand";
    want["letters"] = "folder";
    CHECK(contents(scratch.path) == want);
}

TEST_CASE("an earlier report may be damaged or malicious") {
    const Scratch scratch;
    const fs::path inner = scratch.path / "inner";
    fs::create_directory(inner);
    put(scratch.path / "9-keep.nc", "outside");
    for (const char* name : {"1-cut.nc", "Letter.nc", "notes.txt", "7-x.nc.bak", "1-.nc", "-a.nc"}) put(inner / name, "old");
    put(inner / "report.json",
        R"({"programs": [{"file": "1-cut.nc"}, {"file": "../9-keep.nc"}, {"file": "Letter.nc"}, {"file": "notes.txt"},
            {"file": "7-x.nc.bak"}, {"file": "1-.nc"}, {"file": "-a.nc"}, {"file": "2-fin)");
    release(inner, two_bits("b"));
    auto want = as_map(two_bits("b"));
    for (const char* name : {"Letter.nc", "notes.txt", "7-x.nc.bak", "1-.nc", "-a.nc"}) want[name] = "old";
    CHECK(contents(inner) == want);
    CHECK(read_text(scratch.path / "9-keep.nc", "file") == "outside");
}

TEST_CASE("a folder that cannot be written is refused before anything changes") {
    const Scratch scratch;
    put(scratch.path / "file", "plain");
    for (const fs::path& folder : {scratch.path / "file", scratch.path / "file" / "deeper", fs::path("/dev/null")}) {
        CHECK(fault_of([&] { check_folder(folder); }) == Fault::output);
        CHECK(fault_of([&] { release(folder, one_bit("a")); }) == Fault::output);
    }
    CHECK(fault_of([&] { release("/proc/burin", one_bit("a")); }) == Fault::output);  // root may write here, by the permissions
    fs::create_symlink(scratch.path / "nowhere", scratch.path / "dangling");
    CHECK(fault_of([&] { check_folder(scratch.path / "dangling"); }) == Fault::output);
    fs::remove(scratch.path / "dangling");
    release(scratch.path, one_bit("a"));
    fs::create_directory(scratch.path / "2-finish.nc");
    const auto before = contents(scratch.path);
    CHECK(fault_of([&] { release(scratch.path, two_bits("b")); }) == Fault::output);
    CHECK(contents(scratch.path) == before);
    CHECK(fault_of([&] { release(scratch.path, {{"../escape", "x"}}); }) == Fault::output);
    CHECK(fault_of([&] { release(scratch.path, {{"a", "x"}, {"a", "y"}}); }) == Fault::output);
}

TEST_CASE("a medium that fills up leaves the earlier job whole") {
    const Scratch scratch;
    std::signal(SIGXFSZ, SIG_IGN);
    rlimit whole{};
    REQUIRE(::getrlimit(RLIMIT_FSIZE, &whole) == 0);
    const auto with_limit = [&](rlim_t most, const auto& deed) {
        rlimit small = whole;
        small.rlim_cur = most;
        ::setrlimit(RLIMIT_FSIZE, &small);
        const Fault fault = fault_of(deed);
        ::setrlimit(RLIMIT_FSIZE, &whole);
        return fault;
    };
    auto large = two_bits("b");
    large[1].content.assign(100000, 'x');
    const fs::path fresh = scratch.path / "fresh" / "deep";
    CHECK(with_limit(50000, [&] { release(fresh, large); }) == Fault::output);
    CHECK(contents(scratch.path).empty());  // not even the folder stays
    release(scratch.path, one_bit("a"));
    CHECK(with_limit(50000, [&] { release(scratch.path, large); }) == Fault::output);
    CHECK(contents(scratch.path) == as_map(one_bit("a")));
}

TEST_CASE("two runs never write to one folder at a time") {
    const Scratch scratch;
    release(scratch.path, one_bit("a"));
    const int other = ::open(scratch.path.c_str(), O_RDONLY | O_DIRECTORY);
    REQUIRE(::flock(other, LOCK_EX | LOCK_NB) == 0);
    CHECK(fault_of([&] { release(scratch.path, one_bit("b")); }) == Fault::output);
    CHECK(contents(scratch.path) == as_map(one_bit("a")));
    ::close(other);
    release(scratch.path, one_bit("b"));
    CHECK(contents(scratch.path) == as_map(one_bit("b")));
}

TEST_CASE("what a killed run left is swept by the next one") {
    const Scratch scratch;
    SECTION("killed before anything changed: the earlier job is whole, a stranger's program is not touched") {
        release(scratch.path, one_bit("a"));
        put(scratch.path / "2-finish.nc", "by hand");
        put(scratch.path / ".burin-2-finish.nc.part", "half");
        put(scratch.path / ".burin-report.json.part", two_bits("b").back().content);
        release(scratch.path, one_bit("c"));
        auto want = as_map(one_bit("c"));
        want["2-finish.nc"] = "by hand";
        CHECK(contents(scratch.path) == want);
    }
    SECTION("killed among the renamings: programs of both jobs go") {
        put(scratch.path / ".burin-earlier-report.json.part", two_bits("a").back().content);
        put(scratch.path / "2-finish.nc", "finish a");
        put(scratch.path / ".burin-report.json.part", R"({"programs": [{"file": "1-other.nc"}]})");
        put(scratch.path / "1-other.nc", "other b");
        release(scratch.path, one_bit("c"));
        CHECK(contents(scratch.path) == as_map(one_bit("c")));
    }
    SECTION("killed at the very end: the new job is whole") {
        release(scratch.path, two_bits("b"));
        put(scratch.path / ".burin-earlier-report.json.part", one_bit("a").back().content);
        put(scratch.path / "1-cut.nc", "by hand");
        auto large = two_bits("c");
        release(scratch.path, large);
        auto want = as_map(large);
        want["1-cut.nc"] = "by hand";
        CHECK(contents(scratch.path) == want);
    }
}
