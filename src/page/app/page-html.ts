import { TEXT } from '../../write/report-text.js';
import { xmlText } from '../../write/svg-text.js';
import { MESH_FILES, setupFormHtml } from './setup-form.js';

const words = TEXT.page;

/**
 * What the page may do: run its own scripts, WebAssembly for packed meshes among them, and send nothing anywhere but
 * to where it came from.
 */
export const PAGE_POLICY =
  "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; " +
  "worker-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'";

/** The page before a part is opened. */
export function pageHtml(): string {
  return `<!doctype html>
<html lang="${TEXT.language}"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${PAGE_POLICY}">
<meta name="viewport" content="width=device-width,initial-scale=1"><meta name="referrer" content="no-referrer">
<title>${words.title}</title><link rel="icon" href="data:,">
<link rel="stylesheet" href="style.css"></head>
<body><a class="skip" href="#result">${words.skip}</a>
<header class="sheet top"><div><h1>${words.heading}</h1><p class="kicker">${words.lead}</p></div>
<button type="button" id="theme">${words.theme}</button></header>
<main>
<div class="sheet desk">
<div class="open" id="open"><label class="choose" for="part">${words.choose}</label>
<input type="file" id="part" accept="${MESH_FILES}"><p>${words.drop}</p>
<p class="hint">${words.formats}</p><p class="hint">${words.private}</p></div>
<form id="setup" novalidate><details><summary>${words.setup}</summary><p class="hint">${xmlText(words.setupHint)} ${words.keptHint}</p>
${setupFormHtml()}</details>
<div class="row"><button type="submit" id="again" disabled>${words.again}</button><button type="button" id="forget">${words.forget}</button>
<button type="button" id="keep" aria-pressed="false" disabled>${TEXT.compare.keep}</button></div><p class="hint" id="kept-note" role="status"></p></form>
<div id="work" hidden><label for="bar" id="stage"></label><progress id="bar" max="1" value="0"></progress>
<button type="button" id="stop">${words.cancel}</button></div>
<p id="say" role="status"></p><div id="error" role="alert"></div>
<div id="files" hidden><h2>${words.exports}</h2><p class="hint">${words.exportHint}</p><ul class="saves" id="saves"></ul></div>
</div>
<div id="early" class="sheet" hidden></div>
<div id="result" tabindex="-1"></div>
</main>
<script type="module" src="main.js"></script></body></html>
`;
}

/** What the page adds to the report's style. */
export const PAGE_STYLE = `
.top{display:flex;justify-content:space-between;gap:1rem;align-items:start;padding-bottom:0}
.top h1{font-size:clamp(1.2rem,3vw,1.6rem)}
.top button{flex:none}
.desk{padding-bottom:0}
.skip{position:absolute;left:-999em}.skip:focus{left:0;top:0;padding:.5rem 1rem;background:var(--sheet);z-index:2}
.open{border:2px dashed var(--line);background:var(--sheet);padding:clamp(14px,3vw,36px);text-align:center}
.open.over{border-color:var(--accent);background:var(--tint)}
.open p{margin:.3rem auto}
.open input{position:absolute;width:1px;height:1px;opacity:0}
.choose{display:inline-block;background:var(--accent);color:var(--accent-ink);padding:.55rem 1.4rem;cursor:pointer;font-weight:600}
.open input:focus-visible{outline:none}
.open:has(input:focus-visible) .choose{outline:3px solid var(--accent);outline-offset:3px}
.has-part .open{padding:.6rem 1rem}.has-part .open .hint{display:none}
form details{border-bottom:1px solid var(--fine)}
.fields{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,220px),1fr));gap:.6rem 1rem;padding:.4rem 0 1rem;align-items:end}
form fieldset{border:1px solid var(--fine);margin:0 0 1rem;padding:.2rem 1rem}form legend{font-weight:600;padding:0 .4rem}
.fields label{display:block;font-size:.9rem}
.fields input[type=text],.fields select,.fields input[type=file]{width:100%}
.fields .check label{font-size:1rem;padding:.3rem 0}
::placeholder{color:var(--soft);opacity:1}
form .row{margin-top:.6rem}
button:disabled{color:var(--soft);cursor:default;border-color:var(--fine)}
#work{margin-top:1rem;display:grid;grid-template-columns:1fr auto;gap:.3rem 1rem;align-items:center}
#work[hidden]{display:none}
#work label{grid-column:1/-1}
progress{width:100%;height:16px;accent-color:var(--accent)}
#error:not(:empty){border:2px solid var(--bad);padding:.7rem 1rem;margin-top:1rem;background:var(--sheet);overflow-wrap:anywhere}
#error strong{color:var(--bad)}
.saves{list-style:none;margin:0;padding:0;display:flex;flex-wrap:wrap;gap:.4rem .5rem}
.saves a{display:inline-block;border:1px solid var(--line);background:var(--sheet);padding:.3rem .7rem;color:var(--ink);text-decoration:none}
.saves a:hover{border-color:var(--ink);background:var(--tint)}
.early-keys{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;margin-top:.6rem}
#early[hidden],.early-answers:not(:last-child) .to-come{display:none}
#result:focus{outline:none}
.twins{display:grid;grid-template-columns:1fr 1fr;gap:0 .6rem}.twins>:not(.stage){grid-column:1/-1}
#compared :is(td,tbody th){white-space:normal}#compared td span{white-space:nowrap}@media (min-width:1000px){#compared .two{grid-template-columns:minmax(0,3fr) minmax(0,2fr)}}
@media (max-width:600px){.twins{grid-template-columns:1fr}}
.stage .which{position:absolute;right:10px;top:8px;margin:0;font-weight:600;pointer-events:none}
#compared~#report .front{display:block}#compared{padding-bottom:0}
@media print{.top,.desk{display:none}}
`;
