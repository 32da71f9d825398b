#pragma once
/// How the page looks: on a phone, on a desk, on A4.
#include <string_view>

namespace burin::page {

inline constexpr std::string_view style = R"css(
:root{--ink:#22303a;--soft:#5d6b74;--line:#d8d3c6;--paper:#fdfcf9;--card:#fff;--sea:#0d5c63;--brass:#8a5a12;--good:#2c6a3f;--bad:#a8321e}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 system-ui,sans-serif}
main{max-width:1080px;margin:0 auto;padding:20px 16px 48px}
h1,h2,h3{font-family:serif;font-weight:600;line-height:1.2;overflow-wrap:anywhere}
h1{font-size:clamp(1.6rem,5vw,2.5rem);margin:.1em 0 .2em}
h2{font-size:1.35rem;margin:2.2rem 0 .7rem;padding-top:.6rem;border-top:2px solid var(--ink)}
h3{font-size:1.1rem;margin:0 0 .3rem}
p{margin:.4rem 0 .8rem}
.kind{color:var(--soft);letter-spacing:.02em;margin:0}
.facts{display:flex;flex-wrap:wrap;gap:1px;background:var(--line);border:1px solid var(--line);margin:1rem 0}
.facts div{background:var(--card);padding:.55rem .8rem;flex:1 1 auto;min-width:124px}
.facts dt,.facts dd,.grid dt,.grid dd{margin:0}
.facts dt,.grid dt{font-size:.8rem;color:var(--soft)}
.facts dd{font-size:1.25rem;font-family:serif;overflow-wrap:anywhere}
.verdict{padding:.7rem .9rem;border-left:6px solid var(--good);background:#eef5ef;margin:1rem 0}
.verdict.no{border-color:var(--bad);background:#fbeeea}
.warn{padding:.3rem .9rem .5rem;border-left:6px solid #c98a12;background:#fdf5e1;margin:1rem 0}
.warn h2{border:0;margin:.4rem 0;padding:0;font-size:1.1rem}
ul,ol{padding-left:1.3rem;margin:.4rem 0 .8rem}
li{margin:.3rem 0}
figure{margin:0}
figcaption{font-size:.88rem;color:var(--soft);margin-top:.35rem}
img,svg{max-width:100%;height:auto;display:block}
.pair{display:grid;gap:18px;align-items:start}
.main img{width:100%}
.side img{border:1px solid var(--line);width:100%;max-width:420px}
.steps{counter-reset:step;list-style:none;padding:0}
.steps>li{counter-increment:step;position:relative;padding:.1rem 0 .1rem 2.5rem;margin:.7rem 0}
.steps>li:before{content:counter(step);position:absolute;left:0;top:0;width:1.75rem;height:1.75rem;border-radius:50%;background:var(--sea);color:#fff;text-align:center;line-height:1.75rem;font-weight:600}
.program{background:var(--card);border:1px solid var(--line);border-top:5px solid var(--c);padding:.9rem;margin:1rem 0;display:grid;grid-template-columns:52px 1fr;gap:14px}
.program .bit{width:52px;max-height:210px}
.program .wide{grid-column:1/-1}
.file{font-family:monospace;overflow-wrap:anywhere}
.grid{display:grid;grid-template-columns:repeat(auto-fill,minmax(112px,1fr));gap:.5rem .6rem;margin:.6rem 0}
.grid dd{font-weight:600}
.why{font-size:.92rem}
.why p{margin:.3rem 0 0}
.why li{margin:.12rem 0}
.bar{display:flex;height:1.1rem;border-radius:3px;overflow:hidden;margin:.6rem 0 .3rem}
.bar i{display:block;background:var(--c);border-right:1px solid #fff}
.key{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;font-size:.9rem;padding:0;list-style:none}
.key b{display:inline-block;width:.8rem;height:.8rem;background:var(--c);margin-right:.4rem}
details{margin:.5rem 0}
summary{cursor:pointer;color:var(--sea);font-weight:600}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums;font-size:.92rem}
th,td{text-align:left;padding:.3rem .5rem .3rem 0;border-bottom:1px solid var(--line);vertical-align:top}
th{font-weight:600;color:var(--soft);font-size:.82rem}
td.n,th.n{text-align:right}
.checks{list-style:none;padding:0}
.checks li{padding:.45rem 0 .45rem 1.9rem;border-bottom:1px solid var(--line);position:relative;overflow-wrap:anywhere}
.checks li:before{content:"\2713";position:absolute;left:.2rem;color:var(--good);font-weight:700}
.checks li.no:before{content:"\2717";color:var(--bad)}
.checks span{color:var(--soft)}
.checks .file{white-space:nowrap}
.ramp{display:flex;height:.9rem;max-width:300px;border:1px solid var(--line)}
.ramp i{flex:1}
.ends{display:flex;justify-content:space-between;max-width:300px;font-size:.82rem;color:var(--soft)}
.cautions{border:2px solid var(--bad);padding:.2rem 1rem .4rem;background:#fff;margin:1.6rem 0}
.cautions h2{border:0;padding:0;margin:.6rem 0 .3rem;color:var(--bad)}
footer{margin-top:2.5rem;font-size:.85rem;color:var(--soft)}
@media(min-width:760px){
.pair{grid-template-columns:2fr 1fr}
.pair.even{grid-template-columns:1.15fr 1fr}
.program{grid-template-columns:84px 1fr}
.program .bit{width:84px;max-height:230px}
.program .wide{grid-column:2/-1}
}
@media print{
@page{size:A4;margin:13mm 14mm}
html{font-size:9.6pt}
body{font-size:1rem;line-height:1.38;background:#fff;-webkit-print-color-adjust:exact;print-color-adjust:exact}
main{max-width:none;padding:0}
h2{margin:1rem 0 .4rem;font-size:1.2rem;break-after:avoid}
li{margin:.1rem 0}
ul,ol,p{margin-bottom:.4rem}
.steps>li{margin:.4rem 0}
.checks li{padding-top:.15rem;padding-bottom:.15rem}
.facts,.verdict,.warn,.cautions{margin:.6rem 0}
.facts div{min-width:0;padding:.4rem .6rem}
.facts dd{font-size:1.1rem}
.grid{gap:.25rem .8rem}
h3{break-after:avoid}
.program,.facts,figure,li,p,.verdict,.warn,.cautions{break-inside:avoid}
.pair{grid-template-columns:2fr 1fr;gap:12px}
.pair.even{grid-template-columns:1.15fr 1fr}
.program{grid-template-columns:60px 1fr;padding:.6rem}
.program .bit{width:60px;max-height:150px}
.program .wide{grid-column:2/-1}
.bar,.key{break-after:avoid}
details{display:none}
a{color:inherit;text-decoration:none}
}
)css";

}  // namespace burin::page
