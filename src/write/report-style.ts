/** Style of the report and of the page that shows it. */
export const REPORT_STYLE = `
:root{color-scheme:light dark;--paper:#fcfcf9;--sheet:#ffffff;--ink:#171c21;--soft:#47525d;--line:#8a949e;--fine:#d3d8dc;
--accent:#1d4477;--accent-ink:#ffffff;--tint:#eef2f6;--warn:#7a4b00;--bad:#9c1c1c;--good:#1c5c33;--view:#ffffff;--shade:rgb(0 0 0/.28)}
@media screen and (prefers-color-scheme:dark){:root:not([data-theme=light]){--paper:#13171b;--sheet:#191e23;--ink:#eceff1;--soft:#b3bdc6;
--line:#6d7a86;--fine:#333c44;--accent:#9fc6f5;--accent-ink:#10161c;--tint:#222a32;--warn:#f0c674;--bad:#ff9d94;--good:#8fd3a5;--view:#c9d1d8;--shade:rgb(255 255 255/.4)}}
:root[data-theme=dark]{color-scheme:dark;--paper:#13171b;--sheet:#191e23;--ink:#eceff1;--soft:#b3bdc6;--line:#6d7a86;--fine:#333c44;
--accent:#9fc6f5;--accent-ink:#10161c;--tint:#222a32;--warn:#f0c674;--bad:#ff9d94;--good:#8fd3a5;--view:#c9d1d8;--shade:rgb(255 255 255/.4)}
:root[data-theme=light]{color-scheme:light}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:1rem/1.5 "Source Sans 3","Segoe UI",Roboto,"Liberation Sans",Arial,sans-serif;
font-variant-numeric:tabular-nums}
.sheet{max-width:1400px;margin:0 auto;padding:clamp(10px,2.5vw,32px)}
@media (min-width:2000px){:root{font-size:19px}.sheet{max-width:1840px}}
@media (min-width:3000px){:root{font-size:24px}.sheet{max-width:2560px}}
h1{font-size:clamp(1.35rem,3.4vw,2rem);line-height:1.2;margin:0;font-weight:600;overflow-wrap:anywhere}
h2{font-size:1.15rem;font-weight:600;margin:0 0 .8rem;padding-bottom:.3rem;border-bottom:2px solid var(--ink);display:flex;gap:.7em}
h2 span{color:var(--soft);font-weight:400}
h3{font-size:1rem;margin:1.2rem 0 .4rem;font-weight:600}
section{margin-top:2rem;scroll-margin-top:.5rem}
.contents{display:flex;flex-wrap:wrap;gap:.1rem 1.1rem;margin-top:.8rem}.contents a{padding:.15rem 0;min-height:24px}
@media screen and (min-width:1200px){.front{display:grid;grid-template-columns:minmax(0,6fr) minmax(0,7fr);gap:0 2rem;align-items:start}
.front .answers{grid-template-columns:repeat(2,1fr)}.front .answers>div{padding:.6rem .8rem}.front .answers strong{font-size:1.3rem}
.front .view{grid-template-columns:minmax(0,1fr) 250px}.front .stage{height:clamp(300px,56vh,520px)}.front th,.front td{padding:.32rem .45rem}.front .after{white-space:normal}td.list{min-width:16rem}}
p{margin:.4rem 0;max-width:75ch}
.kicker{margin:0;color:var(--soft);font-size:.9rem}
.block{border:2px solid var(--ink);background:var(--sheet)}
.block>.name{padding:.8rem 1rem;border-bottom:1px solid var(--ink)}
.cells{display:grid;grid-template-columns:repeat(auto-fit,minmax(150px,1fr));margin:0}
.cells>div{padding:.45rem 1rem;border-right:1px solid var(--fine);border-bottom:1px solid var(--fine);min-width:0}
.cells dt{font-size:.78rem;color:var(--soft)}
.cells dd{margin:0;overflow-wrap:anywhere}
.answers{display:grid;grid-template-columns:repeat(4,1fr);gap:1px;background:var(--fine);
border:1px solid var(--fine);margin:0}
.cells>.wide{grid-column:1/-1;box-shadow:0 -1px var(--fine)}
@media (max-width:900px){.answers{grid-template-columns:repeat(2,1fr)}}
@media (max-width:340px){.answers{grid-template-columns:1fr}}
.answers>div{background:var(--sheet);padding:.9rem 1rem}
.answers dt{font-size:.85rem;color:var(--soft)}
.answers dd{margin:0}
.answers strong{display:block;font-size:1.5rem;font-weight:600;line-height:1.25;overflow-wrap:anywhere}
.answers small{color:var(--soft);font-size:.85rem}
.scroll{overflow-x:auto;margin:.6rem 0;background:linear-gradient(to right,var(--sheet) 30%,transparent) left/40px 100%,
linear-gradient(to left,var(--sheet) 30%,transparent) right/40px 100%,linear-gradient(to right,var(--shade),transparent) left/16px 100%,
linear-gradient(to left,var(--shade),transparent) right/16px 100%;background-repeat:no-repeat;background-color:var(--sheet);background-attachment:local,local,scroll,scroll}
table{border-collapse:collapse;width:100%}
caption{text-align:left;font-weight:600;padding:.3rem 0}
@media screen{.scroll{container-type:inline-size}caption{position:sticky;left:0;max-width:100cqi}}
@media screen and (max-width:860px){thead th{white-space:nowrap}}
th,td{padding:.32rem .7rem;text-align:left;border-bottom:1px solid var(--fine);vertical-align:top;font-weight:400}
thead th{font-size:.85rem;color:var(--soft);border-bottom:1.5px solid var(--ink);vertical-align:bottom}
.n{text-align:right}td,tbody th,tbody .row{white-space:nowrap;flex-wrap:nowrap}td.list{white-space:normal;min-width:22rem}td.list span,.after span{white-space:nowrap}.whole{display:inline-block;max-width:100%}
tbody tr:hover{background:var(--tint)}
tr[aria-current=true],tr[aria-current=true]:hover{background:var(--tint);box-shadow:inset 4px 0 0 var(--accent)}
.two{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,430px),1fr));gap:1.2rem 2rem;align-items:start}
.two>*{min-width:0}
@media (min-width:1200px){.two.uneven{grid-template-columns:minmax(0,1.55fr) minmax(0,1fr)}}
figure{margin:0}
figcaption{font-weight:600;margin-bottom:.3rem}
.chart{width:100%;height:auto;display:block;background:var(--sheet);color:var(--ink)}
.chart text{font-size:11px;fill:currentColor}
.chart.wide{min-width:700px;max-width:1100px}
.chart .bar{fill:#4a6d94;stroke:var(--ink);stroke-width:.6}
.chart .bar-of{stroke:var(--ink);stroke-width:.8}
.chart .axis,.chart .tick{fill:none;stroke:currentColor}
.chart .lead{stroke:currentColor;stroke-dasharray:2 2}.chart .halo{paint-order:stroke;stroke:var(--sheet);stroke-width:4px;stroke-linejoin:round}
.chart .grid{stroke:var(--fine)}
.chart .line{fill:none;stroke:currentColor;stroke-width:2}
.chart .dot{fill:var(--sheet);stroke:currentColor;stroke-width:2}
.swatch{width:30px;height:18px;flex:none;border:1px solid var(--ink)}
.drawing{background:#fff;border:1px solid var(--line);overflow-x:auto}
.drawing svg{width:100%;min-width:1000px;height:auto;display:block}
.places{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,330px),1fr));gap:1rem}
.place{margin:0;border:1px solid var(--line);background:var(--sheet)}.place>div{display:grid;grid-template-columns:1fr 1fr;border-bottom:1px solid var(--fine)}
.place svg{width:100%;height:150px;display:block}.place svg+svg{border-left:1px solid var(--fine)}.place figcaption{padding:.3rem .6rem;font-size:.88rem;font-weight:400}
.place .outline{fill:none;stroke:currentColor;stroke-width:.7px;vector-effect:non-scaling-stroke}.place .solid{fill:#8d99a6;fill-opacity:.55;stroke:currentColor;stroke-width:1px}
.place .mark{fill:none;stroke:#c2410c;stroke-width:3.5px;stroke-linecap:round}.place .bar{stroke:currentColor;stroke-width:2px}.place text{fill:currentColor}
.key{position:absolute;width:0;height:0;overflow:hidden}
ul.findings{list-style:none;margin:0;padding:0}
ul.findings li{padding:.35rem 0 .35rem .9rem;border-left:4px solid var(--line);margin-bottom:.35rem}
ul.findings li.warning{border-color:var(--warn)} ul.findings li.error{border-color:var(--bad)}
ul.findings b{font-weight:600} .warning>b{color:var(--warn)} .error>b{color:var(--bad)}
.cautions{border:1.5px solid var(--ink);padding:.6rem 1rem .6rem 2.2rem;background:var(--sheet);margin:0}
details{margin:.5rem 0}
summary{cursor:pointer;padding:.25rem 0;min-height:24px}
a{color:var(--accent)}
:focus-visible{outline:3px solid var(--accent);outline-offset:2px}
button,select,input{font:inherit;color:inherit}
button,select,input[type=text],input[type=number]{background:var(--sheet);border:1px solid var(--line);border-radius:2px;
min-height:32px;padding:.15rem .6rem;max-width:100%}
input[type=number]{width:6.2em}
button{cursor:pointer}
button:hover{border-color:var(--ink);background:var(--tint)}
button[aria-pressed=true]{background:var(--accent);color:var(--accent-ink);border-color:var(--accent)}
input[type=range]{accent-color:var(--accent);width:100%;min-height:24px;margin:0}
input[type=checkbox]{accent-color:var(--accent);width:20px;height:20px;vertical-align:-4px;margin:0 .4rem 0 0}
.view{display:grid;grid-template-columns:minmax(0,1fr) minmax(250px,320px);gap:1rem;align-items:start}
@media (max-width:860px){.view{grid-template-columns:minmax(0,1fr)}}
@media screen and (max-width:860px) and (min-height:600px){.view:not(:has(.twins)){display:block}.view>div:first-child:not(.twins){display:contents}
.view>div:not(.twins)>.stage{position:sticky;top:0;z-index:1;height:44vh}.panel :is(input,select,button){scroll-margin-top:46vh}}
.stage{position:relative;border:1px solid var(--line);background:var(--view);color:#171c21;height:clamp(300px,64vh,900px);margin-bottom:.5rem}
.stage canvas{position:absolute;inset:0;width:100%;height:100%;touch-action:pan-y;display:block}
.stage canvas:focus{touch-action:none}
.stage canvas:focus-visible{outline-offset:-3px}
.stage .note{position:absolute;left:0;top:0;margin:0;padding:1rem;max-width:60ch}
.stage .task{position:absolute;left:50%;top:10px;transform:translateX(-50%);margin:0;padding:.3rem .7rem;background:#fff;color:#171c21;
border:1px solid currentColor;display:flex;flex-wrap:wrap;gap:.2rem .6rem;align-items:center;justify-content:center;width:max-content;max-width:94%;pointer-events:none;font-size:.9rem}
.stage .task[hidden]{display:none}.task progress{width:9em;accent-color:#1d4477}
.stage .cross{position:absolute;left:50%;top:50%;width:17px;height:17px;margin:-8.5px;pointer-events:none;display:none}
.stage canvas:focus-visible~.cross{display:block}
.stage .compass{position:absolute;right:6px;bottom:6px;width:84px;height:84px;pointer-events:none}.compass[hidden],.compass [hidden]{display:none}
.compass line{stroke:currentColor;stroke-width:2;stroke-linecap:round;filter:drop-shadow(0 0 1px #fff)}
.compass text{font-size:13px;font-weight:600;text-anchor:middle;dominant-baseline:central;fill:currentColor}
.stage .compass,.stage .scale{text-shadow:0 0 2px #fff,0 0 2px #fff,0 0 4px #fff,0 0 6px #fff}
.stage .scale{position:absolute;left:14px;bottom:10px;border:solid currentColor;border-width:0 2px 2px;text-align:center;
font-size:.85rem;line-height:1.2;padding-bottom:1px;pointer-events:none;white-space:nowrap}
.print-view{display:none;width:100%}
.panel fieldset{min-width:0;border:0;border-top:1px solid var(--fine);margin:0;padding:.6rem 0}
.panel fieldset:first-child{border-top:0;padding-top:0}
.panel legend{font-weight:600;padding:0;float:left;width:100%;margin-bottom:.3rem}
.panel legend+*{clear:both}
.row{display:flex;flex-wrap:wrap;gap:.4rem;align-items:center}
.row+*,.field+.row{margin-top:.4rem}
.field{display:grid;grid-template-columns:5.2em minmax(0,1fr);gap:.2rem .5rem;align-items:center;margin-top:.3rem}
.field.slider{grid-template-columns:5.2em minmax(0,1fr) 4.4em}
ol.plain{margin:.3rem 0;padding-left:1.4rem}ul.plain{margin:.3rem 0;padding-left:1.2rem}
.keys{list-style:none;padding:0;margin:0;clear:both}
.keys{font-size:.92rem}.keys li{display:flex;gap:.6rem;align-items:center;padding:.12rem 0}
.keys .a{margin-left:auto;white-space:nowrap;padding-left:.5rem}
.readout{margin:.4rem 0 0;min-height:3em}
.readout dl{display:grid;grid-template-columns:auto 1fr;gap:0 .8rem;margin:.3rem 0}
.readout dt{color:var(--soft)}.readout dd{margin:0;text-align:right;overflow-wrap:anywhere}
.icon{min-width:36px;padding:.1rem}.icon svg{width:18px;height:18px;display:block;margin:auto;fill:none;stroke:currentColor;stroke-width:1.6}
.help table{font-size:.88rem}.help td,.help th{white-space:normal}
[aria-invalid=true]{border:2px solid var(--bad)!important}.bad{color:var(--bad);font-size:.88rem;margin:0;grid-column:1/-1}
.keys button{background:none;border:0;padding:0;min-height:26px;display:flex;gap:.6rem;align-items:center;width:100%;text-align:left}
.keys button[aria-pressed=false]{background:none;color:var(--soft);text-decoration:line-through}.keys button[aria-pressed=true]{background:none;color:inherit}.keys button .a{text-decoration:inherit}
.hint{color:var(--soft);font-size:.88rem;margin:.2rem 0}
.paper-only{display:none}
.link{background:none;border:0;padding:0 .2rem;min-height:24px;min-width:28px;text-decoration:underline;color:var(--accent)}
@media (prefers-reduced-motion:reduce){*{transition:none!important;animation:none!important;scroll-behavior:auto!important}}
@media print{
@page{size:A4;margin:12mm}@page plan{size:A4 landscape;margin:0}
:root,:root[data-theme]{color-scheme:light;--paper:#fff;--sheet:#fff;--ink:#000;--soft:#333;--line:#777;--fine:#bbb;--tint:#fff;
--warn:#000;--bad:#000;--good:#000;--accent:#000}
:root{font-size:8pt}body{font-size:8pt;line-height:1.2}
.sheet{padding:0;max-width:none}
section{margin-top:2mm}
h1{font-size:15pt}h2,h3{break-after:avoid}h2{font-size:10pt;margin-bottom:1mm;padding-bottom:.3mm;border-bottom-width:1pt}
.answers{grid-template-columns:repeat(4,1fr)}
.answers>div{padding:.9mm 2mm}.answers strong{font-size:11pt}.answers dt,.answers small{font-size:7.5pt}
.cells{grid-template-columns:repeat(6,1fr)}.cells>div{padding:.6mm 2mm}.block>.name{padding:1.2mm 2mm}
.panel .no-print,.no-print,.stage,.on-screen,button{display:none!important}
.view{grid-template-columns:1.7fr 1fr;gap:4mm}
.print-view{display:block;height:40mm;object-fit:contain;border:.3pt solid #777}
.scroll{overflow:visible;margin:.6mm 0}.cautions{padding:1mm 2mm 1mm 6mm}details,h3{margin:.5mm 0}
table{font-size:7.2pt}th,td{padding:.25mm .9mm}td,td.list,tbody th{white-space:normal;min-width:12mm}td.n,tbody th.n{white-space:nowrap;min-width:0}.after{white-space:normal}caption{padding:.2mm 0}.keys li{padding:0}
p{max-width:none}thead{display:table-header-group}tr,figure,.block,.answers>div,.cautions{break-inside:avoid}
.two{grid-template-columns:1fr 1fr;gap:2mm 4mm}.two.uneven{grid-template-columns:1fr}.two .scroll{break-inside:avoid}ul.plain{columns:2}
.swatch{width:5mm;height:3mm}
.swatch,.chart,.answers,.drawing,.place{print-color-adjust:exact;-webkit-print-color-adjust:exact}
.charts{grid-template-columns:repeat(auto-fit,minmax(52mm,1fr));gap:3mm}.charts figcaption{font-size:7.5pt}.charts .chart text{font-size:13px}.charts .chart{max-height:31mm;overflow:visible}.charts .tick{display:none}.chart.wide{min-width:0}
.plan-sheet{page:plan;break-before:page;break-after:avoid;margin:0}.plan-sheet h2{display:none}
.drawing{overflow:hidden;border:0}.drawing svg{min-width:0;width:297mm;height:209.5mm}
section .keys button{display:flex!important;min-height:0;color:#000}
.more{display:none}.paper-only{display:inline}
.setup .cells{grid-template-columns:repeat(7,1fr)}.setup .cells>div{padding:.3mm 1.2mm}
.places{grid-template-columns:repeat(4,1fr);gap:1.5mm}.place svg{height:26mm}.place figcaption{font-size:7pt;padding:.3mm 1mm}.place:nth-child(n+5){display:none}.place .mark{stroke-width:1.5px}.place{break-inside:avoid}
ul.findings{columns:2}ul.findings li{padding:0 0 0 2mm;margin-bottom:.8mm;border-left-width:1.5pt;break-inside:avoid}
}
`;
