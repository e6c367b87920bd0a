import { createHash } from 'node:crypto'
import { levels } from '../../../shared/finding.ts'
import { cautions, escaped } from '../../engine/service.ts'
import { count, duration } from '../closing-words.ts'
import { renderSarif } from '../render-sarif.ts'
import { checkedSection } from './checked-section.ts'
import { acceptedSection, findingsSection } from './findings-section.ts'
import { paragraph, section, table, type Html } from './html.ts'
import { machineSection, stockSection } from './machine-section.ts'
import type { RecordInput, RecordSection } from './record-input.ts'
import { style } from './style.ts'
import { surfaceSection } from './surface-section.ts'
import { toolsSection } from './tools-section.ts'

const sections: readonly RecordSection[] = [inputsSection, checkedSection, findingsSection, acceptedSection, toolsSection, machineSection, stockSection, surfaceSection, cautionsSection, signSection]

/**
 * The release record of one program: one page that needs nothing besides itself and runs no script. The same input gives
 * the same bytes. The SARIF of the check stands in it as data, for other programs.
 */
export function renderRecord(input: RecordInput): string {
  const { report, program } = input
  const styleHash = createHash('sha256').update(style).digest('base64')
  // No "<" can end the data before its end.
  const twin = renderSarif(report).replaceAll('<', '\\u003c')
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'sha256-${styleHash}'; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Release record: ${escaped(program.name)}</title>
<style>${style}</style>
</head>
<body>
<main>
<h1>Release record: ${escaped(program.name)}</h1>
${paragraph(`Written by Toolwake ${report.version} from the files named below. It is signed by people, on the last page.`, 'soft')}
${verdict(input)}
${sections.map(one => one(input)).join('')}</main>
<script type="application/json" id="toolwake-sarif">
${twin}</script>
</body>
</html>
`
}

/** The findings in numbers. None never reads as "safe". */
function verdict({ program: { findings }, outcome: { result } }: RecordInput): Html {
  const open = findings.filter(({ waiver }) => waiver === undefined), undecided = open.filter(({ open: isOpen }) => isOpen === true).length
  const numbers = levels.toReversed().flatMap(level => {
    const number = open.filter(finding => finding.level === level).length
    return number === 0 ? [] : [count(number, level)]
  })
  const worst = levels.findLast(level => open.some(finding => finding.level === level)) ?? 'none', accepted = findings.length - open.length
  return `<div class="verdict ${worst}">\n${[
    paragraph(numbers.length === 0 ? 'Nothing was found in what was checked.' : `${numbers.join(', ')}${undecided > 0 ? `, of these ${undecided} undecided` : ''}.`),
    ...accepted === 0 ? [] : [paragraph(`${count(accepted, 'finding')} accepted in the program, with ${accepted === 1 ? 'its reason' : 'their reasons'} below.`)],
    paragraph(`${count(result.blocks, 'block')}, ${count(result.motions, 'motion')}, estimated time ${duration(result.seconds)}. ${result.tools.length > 0 ? 'Compared with the part.' : result.motionChecked ? 'Not compared with a part.' : 'Read as text; nothing was simulated.'}`),
    paragraph('A clean result is no proof of a safe program. See what was not checked, and the cautions.'),
  ].join('\n')}\n</div>`
}

function inputsSection({ report, program }: RecordInput): Html {
  const roles = { program: 'program', called: 'called program', setup: 'setup sheet', machine: 'machine', mesh: 'mesh', earlier: 'earlier set-up' }
  return section('inputs', 'Files', [table('The files as they lay on the disk, each with the SHA-256 of its bytes', ['Role', 'File', 'Bytes', 'SHA-256'],
    program.inputs.map(({ role, path, sha256, length }) => [roles[role], path === '-' ? program.name : report.shownPath(path), length.toLocaleString('en-US'), sha256]))])
}

function cautionsSection(): Html {
  return section('cautions', 'Cautions', [paragraph(cautions.join(' '))])
}

/** Left empty: whether a program is released is for people to say. */
function signSection(): Html {
  const rows = ['Checked by', 'Released by'].map(role => `<tr><th scope="row">${role}</th><td></td><td></td><td>☐ yes&nbsp;&nbsp;☐ no</td><td></td></tr>`)
  return section('sign', 'Release', [
    paragraph('To be filled in by hand. Toolwake releases nothing.', 'soft'),
    `<table class="sign">\n<caption>Signatures</caption>\n<thead><tr>${['Role', 'Name', 'Date', 'Release', 'Signature'].map(text => `<th scope="col">${text}</th>`).join('')}</tr></thead>\n<tbody>\n${rows.join('\n')}\n<tr><th scope="row">Remarks</th><td colspan="4"></td></tr>\n</tbody>\n</table>`,
  ])
}
