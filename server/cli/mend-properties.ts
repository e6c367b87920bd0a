import type { MendedReport, MendReport, RefusedReport } from '../engine/service.ts'
import { regionOf, type TextLines } from './text-lines.ts'

// `run.properties.toolwake.mend`: what a mend has changed in a program, for other programs. Lengths mm; lines from 1, those of the program as it was.

/** The program as it was: where it lies, its hash, its lines. */
export interface OldProgram { readonly uri: string, readonly sha256: string, readonly lines: TextLines }

export function mendProperties({ mended, refused, reach, proof }: MendReport, { uri, sha256, lines }: OldProgram): object {
  return {
    old: { uri, sha256 },
    mended: mended.map(place => ({
      ...placeProperties(place),
      corrections: place.corrections, notEnough: place.rejected, stays: place.stays, figures: place.figures, remaining: place.remaining, standing: place.standing,
      changes: place.changes.map(({ line, name, words, inserted }) => ({ line: line + 1, block: name, words, inserted })),
      // As in a fix (3.57): what is taken out of the program as it was, and what is put there.
      replacements: place.edits.map(({ span, text }) => ({ deletedRegion: regionOf(lines, span), insertedContent: { text } })),
    })),
    refused: refused.map(place => ({ ...placeProperties(place), why: place.why })),
    reach: reach.map(({ tool, from, to, why, proof: ofReach }) => ({ tool, from, ...to === undefined ? {} : { to }, ...why === undefined ? {} : { why }, ...proofProperties(ofReach) })),
    ...proofProperties(proof), ...proof === undefined ? {} : { leftStanding: proof.left },
  }
}

function proofProperties(proof: MendReport['proof']): object {
  return proof === undefined ? {} : { checkedAgain: proof.checked, notCheckedAgain: proof.unchecked }
}

function placeProperties({ rules, firstLine, lastLine }: MendedReport | RefusedReport): object {
  return { rules, firstLine: firstLine + 1, lastLine: lastLine + 1 }
}
