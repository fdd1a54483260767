import { INK, PAPER } from './palette.js';

/**
 * The page looks like a maker's sheet: paper, ruled lines, a tape for the slider, numbered tickets for the
 * sets, and notes at the foot. In the dark the table round the paper is dark and the paper itself is dimmed.
 */
export const PAGE_STYLE = `
:root { color-scheme: light dark; --paper: ${PAPER}; --ink: ${INK}; --soft: #5d574b; --rule: #cfc8b8; --sheet: #ffffff; --table: #e4dfd2; --mark: #103090; --lit: #f3e3b5; }
@media (prefers-color-scheme: dark) { :root { --paper: #211e1a; --ink: #ece7da; --soft: #b9b1a1; --rule: #565044; --sheet: #cfcabf; --table: #15130f; --mark: #e8b45c; --lit: #4a3d1c; } }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 120rem; padding: 0.75rem 1.25rem 3rem; background: var(--paper); color: var(--ink); font: 0.9375rem/1.45 system-ui, sans-serif; font-variant-numeric: tabular-nums; }
h1, h2, legend, summary, .panel figcaption { font-family: "Iowan Old Style", "Palatino Linotype", Palatino, Georgia, serif; }
h1 { font-size: 1.35rem; font-weight: 600; margin: 0 0 0.4rem; overflow-wrap: anywhere; }
h2 { font-size: 1.15rem; font-weight: 600; margin: 2rem 0 0.5rem; border-top: 3px double var(--rule); padding-top: 0.75rem; }
p { margin: 0.35rem 0; max-width: 70ch; }
[hidden] { display: none !important; }
:focus-visible { outline: 3px solid var(--mark); outline-offset: 2px; }
select, button, input { font: inherit; color: inherit; }
select, button { background: var(--paper); border: 1px solid var(--soft); border-radius: 2px; padding: 0.2rem 0.5rem; min-height: 1.9rem; max-width: 100%; }
button { cursor: pointer; }
button:disabled { opacity: 0.5; cursor: default; }
input[type=file] { max-width: 100%; }
input[type=radio], input[type=checkbox], input[type=range] { accent-color: var(--mark); }
.picker { display: flex; flex-wrap: wrap; align-items: center; gap: 0.4rem 1.25rem; margin-bottom: 0.5rem; }
fieldset { border: 0; margin: 0; padding: 0; min-width: 0; }
legend { padding: 0; font-style: italic; color: var(--soft); }
.tickets { display: flex; flex-wrap: wrap; gap: 0.5rem; align-items: center; }
.tickets legend { float: left; align-self: center; margin-right: 0.4rem; }
.ticket { position: relative; display: grid; grid-template-columns: auto 1fr; column-gap: 0.6rem; align-items: center; padding: 0.25rem 0.7rem 0.3rem 0.5rem; border: 1px dashed var(--soft); border-radius: 2px; cursor: pointer; }
.ticket input { position: absolute; opacity: 0; inset: 0; margin: 0; cursor: pointer; }
.ticket .number { grid-row: 1 / 3; font: 600 1.5rem/1 Georgia, serif; min-width: 1ch; }
.ticket .name { font-weight: 600; }
.ticket .facts { font-size: 0.8rem; color: var(--soft); }
.ticket:has(:checked) { border: 2px solid var(--ink); padding: calc(0.25rem - 1px) calc(0.7rem - 1px) calc(0.3rem - 1px) calc(0.5rem - 1px); background: var(--lit); }
.ticket:has(:checked) .facts { color: var(--ink); }
.ticket:has(:focus-visible) { outline: 3px solid var(--mark); outline-offset: 2px; }
.beside { margin: 0; }
.beside select { width: 11rem; }
.stage { position: relative; display: grid; grid-template-columns: 1fr 1fr; gap: 0.75rem; }
.stage canvas { position: absolute; inset: 0; width: 100%; height: 100%; pointer-events: none; }
.panel { margin: 0; position: relative; min-width: 0; }
.panel figcaption { position: absolute; top: 0.4rem; left: 0.6rem; font-style: italic; color: var(--soft); background: var(--table); padding: 0 0.3rem; z-index: 2; }
.panel .window { position: relative; height: clamp(20rem, calc(100vh - 16.5rem), 60rem); background: var(--table); border: 1px solid var(--rule); cursor: grab; touch-action: none; }
.panel .window:active { cursor: grabbing; }
.stage.has-two .panel .window { position: relative; height: clamp(14rem, calc(50vh - 8rem), 40rem); }
.window:focus-visible::after { content: ""; position: absolute; left: calc(50% - 9px); top: calc(50% - 9px); width: 18px; height: 18px; z-index: 3; background: linear-gradient(var(--ink), var(--ink)) center / 2px 100% no-repeat, linear-gradient(var(--ink), var(--ink)) center / 100% 2px no-repeat; }
.stage canvas { z-index: 1; }
.names { position: absolute; inset: 0; overflow: hidden; z-index: 2; pointer-events: none; }
.names span { position: absolute; transform: translate(-50%, -50%); white-space: nowrap; font: italic 0.72rem/1.2 Georgia, serif; color: #23211d; background: rgb(251 250 247 / 0.8); padding: 0 0.25rem; border-radius: 2px; }
.under { display: grid; grid-template-columns: minmax(16rem, 1fr) minmax(0, 1.4fr); gap: 0.5rem 1.5rem; margin: 0.5rem 0 0.75rem; align-items: start; }
.tape { display: grid; grid-template-columns: 1fr auto; gap: 0.4rem 0.75rem; align-items: center; }
.tape output { font-style: italic; color: var(--soft); }
.tape input { grid-column: 1 / 3; grid-row: 2; width: 100%; height: 2rem; appearance: none; margin: 0; border: 1px solid var(--rule); border-radius: 2px; background: repeating-linear-gradient(to right, var(--soft) 0 1px, transparent 1px 10%) 0 0 / 100% 50% no-repeat, repeating-linear-gradient(to right, var(--rule) 0 1px, transparent 1px 2%) 0 0 / 100% 30% no-repeat, var(--sheet); }
@media (prefers-color-scheme: dark) { .tape input { background-color: var(--paper); } }
.tape input::-webkit-slider-thumb { appearance: none; width: 10px; height: 2rem; background: var(--mark); border: 0; border-radius: 1px; cursor: ew-resize; }
.tape input::-moz-range-thumb { width: 10px; height: 2rem; background: var(--mark); border: 0; border-radius: 1px; cursor: ew-resize; }
/* Of one height, so that nothing moves away from under a finger while the words change. */
.aim { height: 5.9rem; overflow-y: auto; display: flex; flex-direction: column; border-left: 3px double var(--rule); padding-left: 0.75rem; }
.bench > * { min-width: 0; }
.notes { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(19rem, 100%), 1fr)); gap: 0.75rem 1.5rem; align-items: start; }
.note-box { border-top: 1px solid var(--ink); padding-top: 0.3rem; min-width: 0; }
.note-box > summary { font-weight: 600; cursor: pointer; }
.note { color: var(--soft); font-size: 0.85rem; }
.list { list-style: none; margin: 0.3rem 0; padding: 0; max-height: 21rem; overflow-y: auto; }
.list button { display: grid; grid-template-columns: auto 1fr; column-gap: 0.6rem; width: 100%; text-align: left; border: 0; border-bottom: 1px solid var(--rule); border-radius: 0; background: none; padding: 0.25rem 0.3rem; }
.list button:focus-visible { outline-offset: -3px; }
.list .swatch { grid-row: 1 / 3; align-self: center; width: 36px; height: 12px; }
.list .name { grid-column: 2; }
.list .facts { grid-column: 2; font-size: 0.8rem; color: var(--soft); }
.list .lit { background: var(--lit); }
.list .lit .facts { color: var(--ink); }
.legend { min-height: 6rem; }
.dyes { list-style: none; padding: 0; margin: 0.3rem 0; max-height: 13rem; overflow-y: auto; columns: 2 8rem; }
.dyes li { display: grid; grid-template-columns: auto 1fr auto; gap: 0.4rem; align-items: center; font-size: 0.85rem; break-inside: avoid; }
.dye { width: 1rem; height: 1rem; border: 1px solid var(--soft); }
.bars { display: flex; align-items: end; height: 3rem; gap: 1px; }
.bars i { flex: 1; background: var(--soft); }
.ramp { height: 0.9rem; border: 1px solid var(--soft); }
.scale { display: flex; justify-content: space-between; font-size: 0.8rem; }
.ticks { display: flex; flex-wrap: wrap; gap: 0.2rem 1rem; }
.tools { display: grid; grid-template-columns: 1fr 1fr; gap: 0.15rem 0.5rem; margin: 0.3rem 0; }
.tools label { display: flex; gap: 0.35rem; align-items: baseline; }
.tools legend { float: left; grid-column: 1 / 3; }
.buttons { display: flex; flex-wrap: wrap; gap: 0.4rem; }
.axes { display: flex; flex-wrap: wrap; gap: 0.3rem; align-items: center; font-size: 0.85rem; }
.axes span { display: inline-flex; flex-wrap: wrap; gap: 0.3rem; align-items: center; }
.plot svg { width: 100%; max-width: 26rem; height: auto; display: block; font-size: 10px; fill: var(--ink); overflow: visible; }
.plot .rule { fill: none; stroke: var(--soft); }
.plot .front { fill: none; stroke: var(--soft); stroke-dasharray: 3 3; }
.plot .dropped { fill: transparent; stroke: var(--soft); stroke-width: 1.5; pointer-events: all; }
.plot .dropped:hover, .plot .dropped:focus-visible { stroke: var(--mark); stroke-width: 2.5; outline: none; }
.told { min-height: 3.9em; }
details.dropped ul { margin: 0.3rem 0; padding-left: 1.1rem; }
.plot .dot { cursor: pointer; }
.plot .dot rect { fill: var(--paper); stroke: var(--ink); }
.plot .dot.chosen rect { fill: var(--lit); stroke-width: 2.5; }
.plot .dot:focus-visible rect { stroke: var(--mark); stroke-width: 3; }
.plot .dot text { font: 600 12px Georgia, serif; }
figure { margin: 0; }
.pictures { display: grid; grid-template-columns: repeat(auto-fit, minmax(9rem, 1fr)); gap: 0.75rem; }
details.figures-of > summary { cursor: pointer; font: 600 1rem/1.4 "Iowan Old Style", "Palatino Linotype", Palatino, Georgia, serif; margin-top: 0.75rem; }
.set { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(20rem, 100%), 1fr)); gap: 1.5rem; }
figure img { width: 100%; height: auto; background: var(--sheet); border: 1px solid var(--rule); }
.set figcaption { font-size: 0.85rem; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; font-size: 0.875rem; margin: 0.5rem 0; }
caption { text-align: left; font-weight: 600; padding-bottom: 0.25rem; }
th, td { text-align: left; padding: 0.15rem 0.9rem 0.15rem 0; border-bottom: 1px solid var(--rule); vertical-align: top; }
th { font-weight: 400; }
thead th { font-weight: 600; }
.figures th, .figures td { padding-right: 0.6rem; }
.figures tbody th { width: 6.5rem; }
th.chosen { text-decoration: underline; text-underline-offset: 0.2em; }
@media (min-width: 70rem) {
  .bench { display: grid; grid-template-columns: minmax(0, 1fr) 21rem; gap: 0 1.25rem; }
  .notes { display: block; max-height: calc(clamp(20rem, 100vh - 13.5rem, 60rem) + 5.5rem); overflow-y: auto; padding-right: 0.6rem; scrollbar-gutter: stable; }
  .note-box { margin-bottom: 0.75rem; }
  .panel .window { position: relative; height: clamp(20rem, calc(100vh - 13.5rem), 60rem); }
  .stage.has-two .panel .window { position: relative; height: calc(clamp(20rem, 100vh - 14.25rem, 60rem) / 2); }
  .under { grid-template-columns: 1fr 1fr; }
}
@media (max-width: 46rem) {
  body { padding: 0.6rem 0.75rem 2rem; }
  .stage, .under { grid-template-columns: minmax(0, 1fr); }
  .panel .window, .stage.has-two .panel .window { position: relative; height: 52vh; margin: 0 1.5rem; }
  .panel figcaption { left: 2rem; }
  .aim { height: 9rem; }
}
`;
