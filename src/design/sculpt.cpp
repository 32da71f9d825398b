/// Bas-relief from tones or from deep depth: slopes attenuated where they are large, kept where they are small, and put
/// together again.
///
/// After Weyrich, Deng, Barnes, Rusinkiewicz, Finkelstein (Digital Bas-Relief from 3D Scenes, 2007) and Wang, Chang, Pan,
/// Zhang (2010), with attenuation over several scales as Fattal, Lischinski, Werman (Gradient Domain High Dynamic Range
/// Compression, 2002) do it for light:
/// 1. grain is levelled; then tones = form + detail, parted by an edge-preserving filter. Detail (fur, leaves, weave)
///    would drown the forms once they are attenuated: a share of it is taken, the strong of it less;
/// 2. contrast at each of several scales s (mm, so nothing depends on the cells): D = s·|∇(form smoothed over s)|;
///    attenuation φ = Π (1 + D/α)^(−p): a large step keeps its place and its sharpness but loses height, a gentle bulge
///    keeps its own;
/// 3. slopes wanted: φ∇form + k∇detail. They no longer belong to any surface, and the surface that comes closest evenly
///    everywhere smears the mismatch of high steps into halos and bowls over flat ground. So the misfit is weighted:
///    little at strong edges (where a step a bit higher or lower is not seen), fully on quiet ground. Poisson's equation
///    by cosine transform is the start, the weighted one is then solved by multigrid.
/// Cost: about thirty passes over the cells, two cosine transforms, a few multigrid cycles.
#include <algorithm>
#include <cmath>
#include <vector>

#include "burin/shape/poisson.hpp"
#include "renderings.hpp"

namespace burin {
namespace {

constexpr int band_rows = 64;
constexpr double finest_scale = 0.4;     ///< mm
constexpr double quiet_contrast = 0.03;  ///< α: the contrast up to which a slope is kept, of the picture's span
constexpr double attenuation = 0.8;      ///< sum of the p
constexpr double next_scale = 0.6;       ///< p of each scale over that of the next finer one
constexpr double form_scale = 1.6;       ///< mm; what has contrast at this scale too is form
constexpr double faint_contrast = 0.15;  ///< at that scale: half the contrast that parts form from detail is then enough
constexpr double edge_contrast = 0.03;   ///< contrast at which a misfit counts a quarter
constexpr float least_weight = 1.0F / 1024;

/// D of a map at a scale: the smoothed map's slope times the scale.
HeightMap contrast_at(const HeightMap& map, double scale, const Crew& crew) {
    const HeightMap soft = window_mean(window_mean(map, scale, crew), scale, crew);
    HeightMap out = map.like(0.0F);
    const int w = map.width(), h = map.height();
    const auto per_step = static_cast<float>(scale / map.cell());
    over_rows(crew, h, band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const int below = std::max(j - 1, 0), above = std::min(j + 1, h - 1);
            const float *low = soft.row(below), *high = soft.row(above), *row = soft.row(j);
            const float up = per_step / static_cast<float>(std::max(above - below, 1));
            float* to = out.row(j);
            for (int i = 0; i < w; ++i) {
                const int l = std::max(i - 1, 0), r = std::min(i + 1, w - 1);
                const float dx = (row[r] - row[l]) * per_step / static_cast<float>(std::max(r - l, 1)), dy = (high[i] - low[i]) * up;
                to[i] = std::sqrt(dx * dx + dy * dy);
            }
        }
    });
    return out;
}

/// A grid twice as fine, of the size given, linear between cell centres.
HeightMap doubled(const HeightMap& coarse, const HeightMap& like, const Crew& crew) {
    HeightMap out = like.like(0.0F);
    const int w = out.width(), h = out.height(), cw = coarse.width(), ch = coarse.height();
    over_rows(crew, h, band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const int cj = j / 2, nj = std::clamp(j % 2 ? cj + 1 : cj - 1, 0, ch - 1);
            const float *here = coarse.row(cj), *near = coarse.row(nj);
            float* to = out.row(j);
            for (int i = 0; i < w; ++i) {
                const int ci = i / 2, ni = std::clamp(i % 2 ? ci + 1 : ci - 1, 0, cw - 1);
                to[i] = 0.75F * (0.75F * here[ci] + 0.25F * here[ni]) + 0.25F * (0.75F * near[ci] + 0.25F * near[ni]);
            }
        }
    });
    return out;
}

void add_log_attenuation(HeightMap& sum, const HeightMap& contrast, double power, const Crew& crew) {
    const auto inverse = static_cast<float>(1 / quiet_contrast), p = static_cast<float>(power);
    over_rows(crew, sum.height(), band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            float* to = sum.row(j);
            const float* d = contrast.row(j);
            for (int i = 0; i < sum.width(); ++i) to[i] -= p * std::log(1 + d[i] * inverse);
        }
    });
}

/// D of a map at one scale, from the level of its pyramid where the scale is two to four cells long: finer is waste,
/// coarser is inexact.
HeightMap contrast_on(const HeightMap& map, double scale, const Crew& crew) {
    if (map.cell() * 4 > scale || std::min(map.width(), map.height()) < 3) return contrast_at(map, scale, crew);
    return doubled(contrast_on(halved(map, crew), scale, crew), map, crew);
}

/// What is left of the tones once detail is taken off: a step is seen at every scale, fur and leaves at small scale only,
/// so the larger the contrast at form's scale, the less is smoothed.
HeightMap form_of(const HeightMap& tones, double form_contrast, const Crew& crew) {
    HeightMap contrast = contrast_on(tones, form_scale, crew);
    const auto most = static_cast<float>(form_contrast), faint = static_cast<float>(faint_contrast);
    for (float& c : contrast.values()) c = most * faint / (faint + c);
    return edge_preserving(tones, detail_radius(tones), contrast, crew);
}

/// Leaves in `tones` what `form` lacks of them, the strong of it held down.
void keep_detail(HeightMap& tones, const HeightMap& form, double detail_limit, const Crew& crew) {
    const auto limit = static_cast<float>(detail_limit);
    over_rows(crew, tones.height(), band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            float* row = tones.row(j);
            const float* low = form.row(j);
            for (int i = 0; i < tones.width(); ++i) {
                const float d = row[i] - low[i];
                row[i] = d / (1 + std::abs(d) / limit);
            }
        }
    });
}

/// φ on every cell, and in `weight` how much a misfit of slope counts there.
HeightMap attenuation_of(const HeightMap& form, HeightMap& weight, const Crew& crew) {
    // A step has the same contrast at every scale, a bulge only at its own: so the finest scales attenuate most.
    std::vector<double> scales, powers;
    double total = 0;
    const double size = std::min(form.width(), form.height()) * form.cell();
    for (double s = finest_scale, p = 1; s <= std::max(finest_scale, size / 12) * 1.001; s *= 2, p *= next_scale) {
        scales.push_back(std::max(s, form.cell()));
        powers.push_back(p);
        total += p;
    }
    std::vector<HeightMap> pyramid;  // above the form itself
    const auto level = [&](std::size_t k) -> const HeightMap& { return k == 0 ? form : pyramid[k - 1]; };
    while (level(pyramid.size()).cell() * 4 <= scales.back() && std::min(level(pyramid.size()).width(), level(pyramid.size()).height()) > 2)
        pyramid.push_back(halved(level(pyramid.size()), crew));
    HeightMap phi = level(pyramid.size()).like(0.0F);
    std::size_t next = scales.size();
    for (std::size_t k = pyramid.size() + 1; k-- > 0;) {
        for (; next > 0 && (k == 0 || level(k).cell() * 2 <= scales[next - 1]); --next) {
            HeightMap contrast = contrast_at(level(k), scales[next - 1], crew);
            add_log_attenuation(phi, contrast, attenuation * powers[next - 1] / total, crew);
            if (next == 1) weight = std::move(contrast);
        }
        if (k == 0) break;
        phi = doubled(phi, level(k - 1), crew);
        if (!weight.empty()) weight = doubled(weight, level(k - 1), crew);
        crew.check();
    }
    const auto per_edge = static_cast<float>(1 / edge_contrast);
    over_rows(crew, form.height(), band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            float *p = phi.row(j), *w = weight.row(j);
            for (int i = 0; i < form.width(); ++i) {
                p[i] = std::exp(p[i]);
                const float d = w[i] * per_edge, quiet = 1 / (1 + d * d);
                w[i] = std::max(quiet * quiet, least_weight);
            }
        }
    });
    return phi;
}

/// Wanted difference between two neighbouring cells.
float wanted(float form_a, float form_b, float phi_a, float phi_b, float detail_a, float detail_b, float strength) {
    return 0.5F * (phi_a + phi_b) * (form_b - form_a) + strength * (detail_b - detail_a);
}

/// Σ over the edges of each cell of conductance × wanted difference, towards the cell: the source of the net.
HeightMap source_of(const HeightMap& form, const HeightMap& detail, const HeightMap& phi, const Net* net, double strength,
                    const Crew& crew) {
    HeightMap out = form.like(0.0F);
    const int w = form.width(), h = form.height();
    const auto s = static_cast<float>(strength);
    over_rows(crew, h, band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            float* to = out.row(j);
            const float *f = form.row(j), *d = detail.row(j), *p = phi.row(j), *c = net ? net->right.row(j) : nullptr;
            for (int i = 0; i + 1 < w; ++i) {
                const float flow = (c ? c[i] : 1) * wanted(f[i], f[i + 1], p[i], p[i + 1], d[i], d[i + 1], s);
                to[i] -= flow;
                to[i + 1] += flow;
            }
            for (const int below : {j - 1, j}) {
                if (below < 0 || below + 1 >= h) continue;
                const float *fa = form.row(below), *fb = form.row(below + 1), *da = detail.row(below), *db = detail.row(below + 1);
                const float *pa = phi.row(below), *pb = phi.row(below + 1), *up = net ? net->up.row(below) : nullptr;
                const float sign = below == j ? -1.0F : 1.0F;
                for (int i = 0; i < w; ++i) to[i] += sign * (up ? up[i] : 1) * wanted(fa[i], fb[i], pa[i], pb[i], da[i], db[i], s);
            }
        }
    });
    return out;
}

Net net_of(const HeightMap& weight, const Crew& crew) {
    Net net{weight.like(0.0F), weight.like(0.0F), {}};
    over_rows(crew, weight.height(), band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const float *a = weight.row(j), *b = weight.row(std::min(j + 1, weight.height() - 1));
            float *right = net.right.row(j), *up = net.up.row(j);
            for (int i = 0; i + 1 < weight.width(); ++i) right[i] = std::min(a[i], a[i + 1]);
            for (int i = 0; i < weight.width(); ++i) up[i] = std::min(a[i], b[i]);
        }
    });
    return net;
}

}  // namespace

HeightMap sculpted(HeightMap tones, const Carving& carving, double smooth, double detail, const Crew& crew) {
    crew.say("sculpt", 0);
    tones = edge_preserving(tones, std::max(smooth, finest_scale), smooth > 0 ? 0.1 : carving.grain, crew);
    HeightMap form = form_of(tones, carving.form_contrast, crew);
    keep_detail(tones, form, carving.detail_limit, crew);
    const double strength = detail * carving.detail_share;
    HeightMap weight;
    HeightMap phi = attenuation_of(form, weight, crew);
    crew.say("sculpt", 0.4);
    HeightMap bend = source_of(form, tones, phi, nullptr, strength, crew);
    for (float& v : bend.values()) v = -v;
    HeightMap u = nearly_solve_poisson(bend, crew);
    crew.say("sculpt", 0.6);
    const Net net = net_of(weight, crew);
    weight = HeightMap();
    bend = source_of(form, tones, phi, &net, strength, crew);
    form = tones = phi = HeightMap();
    solve_net(net, std::move(bend), u, 2e-5, 6, crew);
    crew.say("sculpt", 1);
    return u;
}

}  // namespace burin
