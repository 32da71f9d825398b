/// Facing: settled → ways → program → proof on a slab as high as the stock's highest place.
#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burin/toolpath/face.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
#include "place.hpp"

namespace burin {
namespace {

FaceOrder order_of(const SettledFace& face) {
    FaceOrder order{planned_bits(face.job).back(), face.job.stock, face.job.rise, face.stepover};
    order.sweep = face.spiral ? FaceSweep::spiral : FaceSweep::rows;
    order.run_out = face.run_out;
    order.one_way = face.one_way;
    order.conventional = face.conventional;
    order.safe_height = face.job.safe_height - face.job.rise;
    return order;
}

/// A slab over the stock; round an area of the spoilboard the board goes on.
Stock slab_of(const SettledFace& face) {
    Stock slab = face.job.stock;
    const double round = face.spoilboard ? face.job.bits.back().bit.radius() + 2 : 0;
    slab.bounds = {{slab.bounds.lo.x - round, slab.bounds.lo.y - round}, {slab.bounds.hi.x + round, slab.bounds.hi.y + round}};
    slab.thickness += face.job.rise;
    return slab;
}

/// The plane, told from the slab's top.
HeightMap plane_of(const SettledFace& face, const Stock& slab) {
    const Box& all = slab.bounds;
    const double cell = std::max(0.1, std::sqrt(all.width() * all.height() / 16e6));
    const auto count = [&](double length) { return std::max(1, static_cast<int>(std::ceil(length / cell - 1e-9))); };
    HeightMap plane(count(all.width()), count(all.height()), cell, all.lo);
    for (int j = 0; j < plane.height(); ++j)
        for (int i = 0; i < plane.width(); ++i)
            if (!face.spoilboard || face.job.stock.bounds.holds(plane.centre(i, j))) plane(i, j) = static_cast<float>(-face.job.rise);
    return plane;
}

Proof proof_of_face(const SettledFace& face, const Programs& programs, const Crew& crew) {
    const Stock slab = slab_of(face);
    const HeightMap plane = plane_of(face, slab);
    ProofTask task = proof_task(face.job, {&plane, nullptr}, programs.each);
    task.stock = slab;
    task.overrun = std::max(0.0, face.run_out);
    Proof proof = prove(task, crew);
    if (face.spoilboard) proof.surface = cut_out(proof.surface, face.job.stock.bounds, 0);
    drop(proof.reach);
    return proof;
}

FaceReport report_of(const SettledFace& face, const FacePlan& plan) {
    FaceReport report{face.job.rise, face.highest, face.lowest, face.skim};
    report.stepover = plan.stepover;
    report.run_out = face.run_out;
    report.levels = plan.levels;
    report.spiral = face.spiral;
    report.spoilboard = face.spoilboard;
    report.from_beside = plan.from_beside;
    return report;
}

}  // namespace

ProvedCut prove_face(DesignedFace&& cut, const Crew& crew) {
    const SettledFace& face = cut.face;
    FaceOrder order = order_of(face);
    ProvedCut result;
    for (int attempt = 0;; ++attempt) {
        crew.say("toolpaths");
        FacePlan plan = plan_face(order);
        result.face = report_of(face, plan);
        std::vector<ReliefToolpath> paths;
        paths.push_back({0, std::move(plan.path)});
        crew.say("programs");
        result.programs = write_programs(face.job, std::move(paths), crew);
        crew.say("proof");
        result.proof = proof_of_face(face, result.programs, crew);
        const Broken broken = broken_promises(result.proof);
        if (attempt == 3 || broken.others || !broken.too_much_at_once) break;
        order.take -= 0.15;
    }
    if (!result.proof.holds)
        refuse(face.job, result.programs, result.proof,
               fmt::format("\n  Heights in these sentences count from the stock's highest place, which lies at Z{}.",
                           number_text(face.job.rise)));
    result.box = face.job.stock.bounds;
    result.job = std::move(cut.face.job);
    result.job.assumed.push_back(fmt::format(
        "{} of {:.2f} mm each, {} {:.2f} mm apart.", result.face->levels == 1 ? "One level" : fmt::format("{} levels", result.face->levels),
        result.job.rise / result.face->levels, result.face->spiral ? "turns at most" : "rows", result.face->stepover));
    return result;
}

}  // namespace burin
