// The record's look: made for paper first, A4 and letter alike, and for a screen second. Nothing is told by colour alone.

import { lineColours, toolColours } from '../../engine/service.ts'

export const style = `
@page { margin: 15mm }
:root { --ink: #1d2329; --soft: #57616b; --rule: #c8ced4; --grave: #a3231d; --heed: #7a5200; --calm: #1b5e8a }
* { box-sizing: border-box }
body { margin: 0 auto; padding: 24px; max-width: 190mm; color: var(--ink); background: #fff; font: 10.5pt/1.45 "Liberation Sans", Arial, Helvetica, sans-serif }
h1 { margin: 0 0 2px; font-size: 20pt; line-height: 1.2 }
h2 { margin: 26px 0 8px; padding-bottom: 3px; border-bottom: 2px solid var(--ink); font-size: 13.5pt; break-after: avoid }
h3 { margin: 18px 0 4px; font-size: 11.5pt; break-after: avoid }
h4 { margin: 12px 0 2px; font-size: 10.5pt; break-after: avoid }
p { margin: 4px 0; orphans: 3; widows: 3 }
ul { margin: 4px 0; padding-left: 20px }
table { width: 100%; margin: 8px 0 12px; border-collapse: collapse; font-size: 9.5pt }
caption { padding-bottom: 3px; color: var(--soft); text-align: left }
th, td { padding: 3px 8px 3px 0; border-bottom: 1px solid var(--rule); text-align: left; vertical-align: top; overflow-wrap: anywhere }
thead th { border-bottom: 1.5px solid var(--ink); overflow-wrap: normal }
tr, figure, .finding, .tool-sheet { break-inside: avoid }
thead { display: table-header-group }
td.number { white-space: nowrap }
code { font: 9pt "Liberation Mono", Consolas, monospace; overflow-wrap: anywhere; white-space: pre-wrap }
.soft { color: var(--soft) }
.verdict { margin: 14px 0; padding: 10px 14px; border: 1.5px solid var(--ink); border-left-width: 8px }
.verdict.error { border-color: var(--grave) }
.verdict.warning { border-color: var(--heed) }
.verdict p:first-child { font-size: 12.5pt; font-weight: bold }
.level { font-weight: bold }
.level.error { color: var(--grave) }
.level.warning { color: var(--heed) }
.level.note { color: var(--calm) }
figure { margin: 8px 0 12px }
figcaption { color: var(--soft); font-size: 9pt }
svg { display: block; max-width: 100%; height: auto }
svg svg { display: inline }
.tool-sheet { display: flex; gap: 14px; align-items: flex-start }
.tool-sheet > svg { flex: 0 0 200px }
.tool-sheet > div { flex: 1 }
.ground { fill: #fafbfc }
.frame { fill: none; stroke: #8a949e }
.body { fill: #c9d0d6; stroke: #3c4650; stroke-width: 1 }
.body-line { fill: none; stroke: #3c4650; stroke-width: 1.5 }
${toolColours.join('\n')}
.way { fill: none; stroke: #0f6b8f; stroke-width: 1.1 }
.rapid { fill: none; stroke: #0f6b8f; stroke-width: .9; stroke-dasharray: 5 4 }
.place { fill: none; stroke: #a3231d; stroke-width: 2 }
.mark { font-weight: bold; fill: #a3231d; paint-order: stroke; stroke: #fff; stroke-width: 3px }
.leader { fill: none; stroke: #a3231d; stroke-width: .7 }
.limit { fill: none; stroke: #1d2329; stroke-width: 1.4 }
.shade { fill: none; stroke-width: 1.1 }
${lineColours.join('\n')}
.sign td, .sign th { height: 38px; border: 1px solid #8a949e; padding: 4px 8px }
@media print { body { padding: 0; max-width: none } }
`
