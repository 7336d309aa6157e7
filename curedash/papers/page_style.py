"""The style sheet of the page for the phone: light, dark and paper, readable at 360 pixels.

Every tone is repeated in words. Pairs of ink and ground have a contrast of at least 4.5 : 1
(WCAG 2.1, 1.4.3); whatever is tapped is at least 44 pixels high (WCAG 2.1, 2.5.5).
"""

STYLE = """
:root{--ground:#fbfaf7;--ink:#1b1a18;--quiet:#5a564f;--rule:#d8d3c8;--act:#a01414;
--act-ground:#fbe3df;
--today:#6b4a00;--today-ground:#f8ecc9;--link:#0b4f8a;--target:#cfe3cd;--window:#d9cdea;
--fan:#9fb9d8;
--card:#fff}
@media (prefers-color-scheme:dark){:root{--ground:#171614;--ink:#ece8e0;--quiet:#b0a99d;
--rule:#3d3a35;
--act:#ffb3a8;--act-ground:#4a1a16;--today:#f3d58a;--today-ground:#3d3110;--link:#8fc4f5;
--target:#2c4a2b;
--window:#463a5c;--fan:#4a6b92;--card:#1f1d1b}}
*{box-sizing:border-box}
html{background:var(--ground);color:var(--ink);font:1rem/1.45 system-ui,sans-serif;
-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{max-width:46rem;margin:0 auto;padding:.75rem .75rem 3rem}
h1{font-size:1.5rem;margin:.25rem 0}h2{font-size:1.2rem;margin:1.5rem 0 .4rem}
header p{margin:.1rem 0}p{margin:.4rem 0}
h1,h2,.what,.figures,dd,p{overflow-wrap:anywhere}
.quiet{color:var(--quiet);font-size:.92rem}
a{color:var(--link)}
nav{display:flex;gap:.5rem;margin:.6rem 0}
nav a,.back a{display:inline-flex;align-items:center;justify-content:center;min-height:44px;
min-width:44px;padding:0 .9rem;border:1px solid var(--rule);border-radius:.5rem;
background:var(--card);
text-decoration:none}
ul.rows{list-style:none;margin:0;padding:0;border:1px solid var(--rule);border-radius:.6rem;
overflow:hidden;background:var(--card)}
ul.rows li+li{border-top:1px solid var(--rule)}
ul.rows a,.row{display:flex;gap:.6rem;align-items:flex-start;justify-content:space-between;
min-height:44px;padding:.55rem .7rem;color:inherit;text-decoration:none}
a:focus-visible{outline:3px solid var(--link);outline-offset:-3px}
.what{flex:1 1 auto;min-width:0}.figures{flex:0 1 auto;max-width:55%;text-align:right;
font-variant-numeric:tabular-nums}
.level{align-self:start;display:inline-block;flex:none;min-width:3.8rem;padding:0 .45rem;
border-radius:.35rem;
font-size:.85rem;font-weight:600;line-height:1.5rem;text-align:center}
b+.level{margin-left:.5rem;min-width:0}b+bdi+.level{margin-left:.5rem;min-width:0}
ul.rows a.lot-row{display:grid;grid-template-columns:1fr auto;gap:0 .6rem}
.told{grid-column:1/-1}.whole{display:inline-block}
@media (min-width:42rem){ul.rows a.lot-row{grid-template-columns:14rem 4rem 1fr}.lot-row .what{
grid-column:1}
.lot-row .level{grid-column:2;grid-row:1}.lot-row .told{grid-column:3}.lot-row .told.quiet{
grid-column:3}}
.act{color:var(--act);background:var(--act-ground)}
.today{color:var(--today);background:var(--today-ground)}
section.lot{border-top:2px solid var(--rule);margin-top:1.8rem;scroll-margin-top:.5rem}
figure{margin:.7rem 0}
svg{display:block;width:100%;max-width:34rem;height:auto;font:12px system-ui,sans-serif;
background:var(--card);border:1px solid var(--rule);border-radius:.6rem}
svg text{fill:var(--quiet)}
.target{fill:var(--target)}.window{fill:var(--window);fill-opacity:.75}
.fan{fill:var(--fan);fill-opacity:.55}.grid{stroke:var(--rule);stroke-width:.6}
.axis{stroke:var(--quiet);stroke-width:1}.today-mark{stroke:var(--quiet);stroke-dasharray:3 3}
.curve{fill:none;stroke:var(--ink);stroke-width:1.8}.point{fill:var(--ink)}
figcaption{display:flex;flex-wrap:wrap;gap:.2rem 1rem;margin-top:.4rem;font-size:.92rem;
color:var(--quiet)}
.key::before{content:"";display:inline-block;width:1.1em;height:.8em;margin-right:.4em;
border:1px solid var(--quiet);vertical-align:baseline}
.curve-key::before{height:0;border-width:1px 0 0;border-color:var(--ink);vertical-align:.3em;
border-top-width:2px}
.target-key::before{background:var(--target)}.window-key::before{background:var(--window)}
.fan-key::before{background:var(--fan)}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.2rem .9rem;margin:.6rem 0}
dt{color:var(--quiet)}dd{margin:0}
footer{margin-top:2rem;border-top:1px solid var(--rule)}
@media print{:root{--ground:#fff;--card:#fff;--ink:#000;--quiet:#333;--rule:#bbb;--act:#000;
--act-ground:#fff;--today:#000;--today-ground:#fff}
nav,.back{display:none}.level{border:1px solid #000}body{max-width:none;padding:0}
section.lot,ul.rows li,figure{break-inside:avoid}svg{max-width:12cm}*{print-color-adjust:exact;
-webkit-print-color-adjust:exact}}
"""
