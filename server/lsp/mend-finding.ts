import { boundText } from '../../shared/bound-text.ts'
import type { Cancellation } from '../../shared/cancellation.ts'
import type { Edit, Finding } from '../../shared/finding.ts'
import { proveMend } from '../edge/prove-mend.ts'
import { unlessGivenUp } from '../edge/while-wanted.ts'
import { applyEdits, type MendOptions, type MendReport } from '../engine/service.ts'
import { pathOf, uriOf } from './document-path.ts'
import { checkMended, judgedReading, unfinished } from './mended-text.ts'
import { TextDocument } from './protocol.ts'
import type { Reading } from './reading.ts'

/** Rules whose findings a correction of the path can end. */
export const mendable: ReadonlySet<string> = new Set([
  'gouge', 'neck-contact', 'shank-contact', 'holder-contact', 'neck-clearance', 'shank-clearance', 'holder-clearance', 'fixture-contact', 'fixture-clearance',
  'barrier-crossed', 'rapid-into-part', 'rapid-clearance', 'axis-off-point', 'axis-rate',
])

/** A finding that is to be mended: its program's document, its rule, the 0-based line it begins in. */
export interface MendWish { readonly uri: string, readonly rule: string, readonly line: number }

/** What a mend would change in one document, proven, with its words; nothing is changed yet. */
export interface FoundMend {
  /** The program, or the setup sheet where a longer stick-out is what helps. */
  readonly document: Pick<TextDocument, 'uri' | 'positionAt' | 'getText'>
  /** Of the document as it is open; undefined: it is read from the disk. */
  readonly version: number | undefined
  readonly edits: readonly Edit[]
  /** The text with the edits made. */
  readonly text: string
  /** What is done, with its amounts. */
  readonly label: string
  /** The figures after it, proven, and what the proof does not reach. */
  readonly description: string
}

/** Works out and proves the mend of one finding, in the reading of its program; a sentence where there is none. */
export async function mendFinding(
  wish: MendWish, reading: Reading, cancellation: Cancellation, onProgress: (done: number, total: number) => void,
): Promise<FoundMend | { readonly refused: string }> {
  const refuse = (refused: string) => ({ refused })
  if (!mendable.has(wish.rule)) return refuse(`${wish.rule} is not a matter of the path: no mend is worked out for it.`)
  const open = unfinished(reading)
  if (open !== undefined) return refuse(`${open}: ask for the mend again when it is done.`)
  const finding = reading.findings().find(({ rule, file, span }) => rule === wish.rule && file === undefined && reading.document.positionAt(span.start).line === wish.line)
  if (finding === undefined) return refuse(`There is no ${wish.rule} in this line any more.`)
  const options = optionsFor(finding, reading), figures = reading.figures.run(0, reading.figures.count)
  // The threads see that it is called off too, at their next look; the user need not wait for that.
  const proven = await unlessGivenUp(proveMend({
    scene: reading.scene.scene,
    before: judgedReading(reading),
    mend: heldBack => reading.scene.mend(reading.program, pathOf(wish.uri), figures, { ...options, heldBack }, cancellation, onProgress),
    check: text => checkMended(reading, text, cancellation),
    checkReach: (text, scene) => checkMended(reading, text, cancellation, scene),
  }), cancellation), report = proven?.report
  if (report === undefined) return refuse('The mend was called off.')
  if (report.edits.length > 0) return mendOfProgram(report, reading)
  return mendOfSheet(report, reading) ?? refuse(`${wish.rule} was not mended. ${refusedWords(report)}`)
}

/** The blocks of the finding; a rule on motions is mended wherever it is broken. */
function optionsFor({ rule, contact }: Finding, reading: Reading): MendOptions {
  const accepted = reading.findings().flatMap(each => each.waiver === undefined || each.contact === undefined ? [] : [{ rule: each.rule, first: each.contact.firstLine - 1, last: each.contact.lastLine - 1 }])
  return contact === undefined ? { accepted, rules: [rule] } : { accepted, lines: { first: contact.firstLine - 1, last: contact.lastLine - 1 } }
}

function refusedWords({ refused }: MendReport): string {
  const whys = [...new Set(refused.flatMap(({ why }) => why))]
  return whys.length === 0 ? 'Nothing of it is a matter of the path.' : `Tried: ${whys.slice(0, 4).join('; ')}.`
}

function mendOfProgram(report: MendReport, { document, version }: Reading): FoundMend {
  return { document, version, edits: report.edits, text: report.text, label: report.mended.flatMap(({ corrections }) => corrections).join('; '), description: describe(report) }
}

/** The sheet with the stick-outs that end what the path cannot. */
function mendOfSheet({ reach }: MendReport, { textOf }: Reading): FoundMend | undefined {
  const sheets = reach.flatMap(({ sheet }) => sheet === undefined ? [] : [sheet]), path = sheets[0]?.path, text = path === undefined ? undefined : textOf(path)
  if (path === undefined || text === undefined) return undefined
  const edits = sheets.map(({ edit }) => edit)
  return {
    document: TextDocument.create(uriOf(path), 'jsonc', 0, text), version: undefined, edits, text: applyEdits(text, edits),
    label: reach.flatMap(({ tool, from, to }) => to === undefined ? [] : [`tool ${tool}: stick-out ${Number(to.toFixed(3))} mm instead of ${Number(from.toFixed(3))}`]).join('; '),
    description: ['its holder then keeps its distance in the whole program (proven)', ...uncheckedWords(reach.find(({ proof }) => proof !== undefined)?.proof)].join('; '),
  }
}

/** The proven figures after the mend, what still stands, and what the proof does not reach. */
function describe({ mended, proof }: MendReport): string {
  const figures = mended.flatMap(({ figures, remaining }) => [
    ...figures.map(({ component, against, after }) => after === undefined ? `${component} against ${against}: clear of the limit`
      : `${component} against ${against}: ${Math.abs(after.value).toFixed(3)} mm ${after.value < 0 ? 'deep' : 'clear'} ± ${boundText(after.bound)} (proven)`),
    ...remaining > 0 ? [`${remaining} figures still at fault`] : [],
  ])
  return [...figures, ...proof?.left ?? [], ...uncheckedWords(proof)].join('; ')
}

function uncheckedWords(proof: MendReport['proof']): string[] {
  return proof === undefined || proof.unchecked.length === 0 ? [] : [`not checked again: ${proof.unchecked.join(', ')}`]
}
