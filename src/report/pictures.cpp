// Small pictures for the page. JPEG by libjpeg (ITU-T T.81); shrinking by area means in the coded values, which is what
// the eye expects of a thumbnail. Cost: one pass over the large picture.

#include "pictures.hpp"

// jpeglib.h wants stdio's types before it.
#include <jpeglib.h>

#include <algorithm>
#include <cmath>
#include <csetjmp>
#include <cstdio>
#include <cstdlib>

namespace burin::page {
namespace {

/// libjpeg reports errors by longjmp; `pack` owns nothing that would have to be freed on the way.
struct Packing {
    jpeg_compress_struct out{};
    jpeg_error_mgr errors{};
    std::jmp_buf back;
    unsigned char* bytes = nullptr;
    unsigned long size = 0;

    Packing() = default;
    Packing(const Packing&) = delete;
    Packing& operator=(const Packing&) = delete;
    ~Packing() {
        jpeg_destroy_compress(&out);
        std::free(bytes);
    }
};

[[noreturn]] void give_up(j_common_ptr common) { std::longjmp(static_cast<Packing*>(common->client_data)->back, 1); }
void keep_quiet(j_common_ptr) {}

bool pack(Packing& packing, const Rgb& picture, int quality) {
    if (setjmp(packing.back)) return false;
    jpeg_compress_struct& out = packing.out;
    out.err = jpeg_std_error(&packing.errors);
    packing.errors.error_exit = give_up;
    packing.errors.output_message = keep_quiet;
    out.client_data = &packing;
    jpeg_create_compress(&out);
    jpeg_mem_dest(&out, &packing.bytes, &packing.size);
    out.image_width = static_cast<JDIMENSION>(picture.width);
    out.image_height = static_cast<JDIMENSION>(picture.height);
    out.input_components = 3;
    out.in_color_space = JCS_RGB;
    jpeg_set_defaults(&out);
    jpeg_set_quality(&out, quality, TRUE);
    jpeg_start_compress(&out, TRUE);
    while (out.next_scanline < out.image_height) {
        const auto row = static_cast<std::size_t>(out.next_scanline) * static_cast<std::size_t>(picture.width) * 3;
        JSAMPROW line = const_cast<JSAMPROW>(picture.samples.data() + row);
        jpeg_write_scanlines(&out, &line, 1);
    }
    jpeg_finish_compress(&out);
    return true;
}

/// Cells that pixel k of n takes out of `cells`.
struct Span {
    int first, last;
};
Span span_of(int k, int n, int cells) {
    const int first = static_cast<int>(static_cast<std::int64_t>(k) * cells / n);
    const int last = static_cast<int>((static_cast<std::int64_t>(k) + 1) * cells / n);
    return {first, std::max(first + 1, last)};
}

std::vector<std::uint8_t> coding_of(const Transfer& transfer) {
    std::vector<std::uint8_t> table(65536);
    for (std::size_t k = 0; k < table.size(); ++k) {
        double c = static_cast<double>(k) / 65535;
        if (!transfer.srgb) {
            c = coded(std::pow(c, transfer.gamma));
        }
        table[k] = static_cast<std::uint8_t>(std::lround(c * 255));
    }
    return table;
}

}  // namespace

std::string jpeg(const Rgb& picture, int quality) {
    Packing packing;
    if (!pack(packing, picture, quality))
        throw Error(Fault::refused,
                    "A picture for the report could not be packed: there was not enough memory. Close other programs and try again.");
    return {reinterpret_cast<const char*>(packing.bytes), packing.size};
}

Rgb small(const Picture& picture, int widest, const Crew& crew) {
    Rgb out;
    // A very tall picture is held by its height.
    const double scale = std::min({1.0, static_cast<double>(widest) / picture.width, 1.5 * widest / picture.height});
    out.width = std::max(1, static_cast<int>(picture.width * scale));
    out.height = std::max(1, static_cast<int>(picture.height * scale));
    out.samples.resize(static_cast<std::size_t>(out.width) * static_cast<std::size_t>(out.height) * 3);
    const auto coding = coding_of(picture.transfer);
    const auto channels = static_cast<std::size_t>(picture.channels), stride = static_cast<std::size_t>(picture.width);
    over_rows(crew, out.height, 16, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const Span rows = span_of(j, out.height, picture.height);
            for (int i = 0; i < out.width; ++i) {
                const Span columns = span_of(i, out.width, picture.width);
                std::array<double, 3> sum{};
                for (int b = rows.first; b < rows.last; ++b)
                    for (int a = columns.first; a < columns.last; ++a) {
                        const std::size_t k = static_cast<std::size_t>(b) * stride + static_cast<std::size_t>(a);
                        const double solid = picture.alpha.empty() ? 1 : picture.alpha[k] / 65535.0;
                        for (std::size_t c = 0; c < 3; ++c)
                            sum[c] += 255 + solid * (coding[picture.samples[k * channels + (channels == 3 ? c : 0)]] - 255);
                    }
                const double count = static_cast<double>(rows.last - rows.first) * (columns.last - columns.first);
                for (std::size_t c = 0; c < 3; ++c)
                    out.samples[(static_cast<std::size_t>(j) * static_cast<std::size_t>(out.width) + static_cast<std::size_t>(i)) * 3 + c] =
                        static_cast<std::uint8_t>(std::lround(sum[c] / count));
            }
        }
    });
    return out;
}

std::array<std::uint8_t, 3> unreached_colour(double mm, double grey) {
    // From paper over amber to a dark red; below a hundredth of a millimetre it is reached.
    constexpr std::array<std::array<double, 3>, 4> ramp{{{246, 226, 170}, {232, 150, 48}, {190, 58, 28}, {96, 14, 24}}};
    std::array<std::uint8_t, 3> out{};
    const double t = std::clamp(mm / Unreached::full, 0.0, 1.0) * 3;
    const auto k = static_cast<std::size_t>(std::min(2.0, std::floor(t)));
    const double f = t - static_cast<double>(k), cover = std::clamp((mm - 0.01) / 0.05, 0.0, 1.0);
    for (std::size_t c = 0; c < 3; ++c)
        out[c] = static_cast<std::uint8_t>(std::lround(grey + cover * (ramp[k][c] + f * (ramp[k + 1][c] - ramp[k][c]) - grey)));
    return out;
}

}  // namespace burin::page

namespace burin {

Unreached unreached(const HeightMap& design, const HeightMap& reach, const Crew& crew) {
    constexpr int widest = 900;
    Unreached out;
    page::Rgb map;
    map.width = std::min(widest, design.width());
    map.height = std::max(1, static_cast<int>(std::lround(static_cast<double>(design.height()) * map.width / design.width())));
    map.samples.resize(static_cast<std::size_t>(map.width) * static_cast<std::size_t>(map.height) * 3);
    const double deepest = -static_cast<double>(*std::min_element(design.values().begin(), design.values().end()));
    struct Row {
        float worst = 0;
        int column = 0, row = 0;
        std::int64_t carved = 0, above = 0;
    };
    std::vector<Row> found(static_cast<std::size_t>(map.height));
    over_rows(crew, map.height, 16, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const page::Span rows = page::span_of(j, map.height, design.height());
            Row& row = found[static_cast<std::size_t>(j)];
            for (int i = 0; i < map.width; ++i) {
                const page::Span columns = page::span_of(i, map.width, design.width());
                double height = 0;
                float most = 0;
                for (int b = rows.first; b < rows.last; ++b) {
                    const float *d = design.row(design.height() - 1 - b), *r = reach.row(design.height() - 1 - b);
                    for (int a = columns.first; a < columns.last; ++a) {
                        const float left = r[a] - d[a];
                        height += d[a];
                        most = std::max(most, left);
                        row.carved += d[a] < 0;
                        row.above += left > static_cast<float>(Unreached::threshold);
                        if (left > row.worst) {
                            row.worst = left;
                            row.column = a;
                            row.row = design.height() - 1 - b;
                        }
                    }
                }
                const double count = static_cast<double>(rows.last - rows.first) * (columns.last - columns.first);
                const double grey = deepest > 0 ? 246 + 96 * height / count / deepest : 246;
                const auto colour = page::unreached_colour(most, grey);
                std::copy(colour.begin(), colour.end(), map.samples.begin() + (static_cast<std::ptrdiff_t>(j) * map.width + i) * 3);
            }
        }
    });
    std::int64_t carved = 0, above = 0;
    for (const auto& row : found) {
        carved += row.carved;
        above += row.above;
        if (row.worst > out.worst) {
            out.worst = row.worst;
            out.where = design.centre(row.column, row.row);
        }
    }
    out.width = map.width;
    out.height = map.height;
    out.map = page::jpeg(map, 84);
    out.share = carved > 0 ? static_cast<double>(above) / static_cast<double>(carved) : 0;
    return out;
}

}  // namespace burin
