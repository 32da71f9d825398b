#pragma once
/// libpng reports errors by longjmp. A mark is set round single steps into the library that own nothing, so that no frame that
/// is jumped over has anything to free.
#include <png.h>

#include <csetjmp>
#include <cstring>

namespace burin {

struct PngGuard {
    char message[120] = "";  ///< of the library, once a step has failed
    std::jmp_buf back;

    /// Runs one step that owns nothing; false if libpng gave up in it.
    template <class Step>
    [[nodiscard, gnu::noinline]] bool ok(Step step) {
        if (setjmp(back)) return false;
        step();
        return true;
    }
};

/// The library's handlers, to be given to it with a PngGuard as their pointer.
[[noreturn]] inline void on_png_error(png_structp png, png_const_charp text) {
    auto& guard = *static_cast<PngGuard*>(png_get_error_ptr(png));
    std::strncpy(guard.message, text, sizeof guard.message - 1);
    std::longjmp(guard.back, 1);
}
inline void on_png_warning(png_structp, png_const_charp) {}

}  // namespace burin
