/// Parts that the reports of bits and of beams share.
#include "json_parts.hpp"

#include <cmath>

namespace burin::json_parts {

Json figure(double value) {
    if (!std::isfinite(value)) return nullptr;
    const double rounded = std::round(value * 1e6) / 1e6;
    return rounded == 0 ? 0.0 : rounded;
}

Json triple(const std::array<double, 3>& v) { return Json::array({figure(v[0]), figure(v[1]), figure(v[2])}); }
Json span(double lo, double hi) { return Json::array({figure(lo), figure(hi)}); }
Json text_or_null(const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); }

Json machine_json(const Machine& machine) {
    Json j;
    j["name"] = machine.name;
    j["title"] = machine.title;
    j["travel_mm"] = triple(machine.travel);
    j["rapid_mm_min"] = triple(machine.rapid);
    j["acceleration_mm_s2"] = triple(machine.acceleration);
    j["corner_tolerance_mm"] = figure(machine.corner_tolerance);
    j["planned_moves"] = machine.planned_moves;
    j["lines_per_s"] = machine.lines_per_s > 0 ? figure(machine.lines_per_s) : Json(nullptr);
    j["typical_dynamics"] = machine.typical_dynamics;
    return j;
}

Json stock_json(const Stock& stock) {
    Json j;
    j["outline"] = stock.oval() ? "oval" : stock.piece ? "traced" : stock.outline == Outline::round ? "round" : "rectangle";
    j["x"] = span(stock.bounds.lo.x, stock.bounds.hi.x);
    j["y"] = span(stock.bounds.lo.y, stock.bounds.hi.y);
    j["thickness_mm"] = figure(stock.thickness);
    if (stock.piece) j["area_mm2"] = figure(stock.piece->wood().area());
    j["assumed"] = stock.assumed;
    j["keep_outs"] = Json::array();
    for (const KeepOut& zone : stock.keep_outs) {
        const Box& box = zone.bounds();
        const bool round = zone.shape() == KeepOut::Shape::circle;
        j["keep_outs"].push_back({{"name", zone.name()},
                                  {"shape", round ? "circle" : "box"},
                                  {"x", span(box.lo.x, box.hi.x)},
                                  {"y", span(box.lo.y, box.hi.y)},
                                  {"height_mm", figure(zone.height())}});
    }
    return j;
}

Json passes_json(const std::vector<PassFigures>& passes) {
    Json list = Json::array();
    for (const auto& pass : passes) {
        Json j;
        j["z_mm"] = figure(pass.z);
        j["length_mm"] = figure(pass.length);
        j["time_s"] = figure(pass.time_s);
        j["line"] = pass.first_line;
        list.push_back(std::move(j));
    }
    return list;
}

Json nets_json(const std::optional<NetFigures>& nets) {
    if (!nets) return nullptr;
    const auto maybe = [](const std::optional<double>& mm) { return mm ? figure(*mm) : Json(nullptr); };
    const auto place = [](const std::optional<double>& mm, const Point& p) { return mm ? Json{figure(p.x), figure(p.y)} : Json(nullptr); };
    Json j;
    j["pieces"] = nets->pieces;
    j["shorts"] = nets->shorts;
    j["breaks"] = nets->breaks;
    j["lost_mm"] = figure(nets->lost);
    j["narrowest_track_mm"] = maybe(nets->track);
    j["narrowest_track_at"] = place(nets->track, nets->track_at);
    j["narrowest_gap_mm"] = maybe(nets->gap);
    j["narrowest_gap_at"] = place(nets->gap, nets->gap_at);
    return j;
}

Json check_json(const Check& check) {
    Json j;
    j["name"] = check.name;
    j["ok"] = check.ok;
    j["detail"] = check.detail;
    j["file"] = text_or_null(check.file);
    j["line"] = check.line ? Json(check.line) : Json(nullptr);
    return j;
}

}  // namespace burin::json_parts
