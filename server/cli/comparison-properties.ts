import type { ClearanceChange, ProgramComparison } from '../engine/service.ts'

// `run.properties.toolwake.comparison`: what an edit has changed, for other programs. Lengths mm, part
// frame; angles degrees; lines from 1.

export function comparisonProperties(comparison: ProgramComparison, old: { readonly uri: string, readonly sha256: string }): object {
  const { changes, states, words, clearances, seconds, rewritten, sameMotions, unknownMotions, isSameText, findings } = comparison
  const count = (state: string) => [...findings.stateOf.values()].filter(value => value === state).length
  return {
    old,
    sameText: isSameText,
    motions: { same: sameMotions, rewrittenPlaces: rewritten, unknown: unknownMotions },
    changes: changes.map(({ oldLines, newLines, oldMotions, newMotions, tool, rotary, isLoose }) => ({
      ...oldLines === undefined ? {} : { oldLines },
      ...newLines === undefined ? {} : { newLines },
      oldMotions, newMotions,
      ...tool === undefined ? { compared: false } : {
        toolPoint: { value: tool.point.value, atMost: tool.point.atMost, oldLine: tool.point.oldLine, newLine: tool.point.newLine, point: tool.point.point },
        toolAxis: { value: degrees(tool.axis.value), atMost: degrees(tool.axis.atMost), oldLine: tool.axis.oldLine, newLine: tool.axis.newLine },
      },
      ...rotary === undefined ? {} : { rotary: { letter: rotary.letter, angle: degrees(rotary.angle) } },
      ...isLoose ? { matchedByShare: true } : {},
    })),
    inForce: states,
    words,
    clearances: clearances.map(clearanceProperties),
    seconds,
    findings: { new: count('new'), unchanged: count('unchanged'), updated: count('updated'), graver: findings.worse.size, absent: findings.absent.length },
  }
}

function clearanceProperties({ tool, component, old, new: now, change }: ClearanceChange): object {
  return { tool, component, ...old === undefined ? {} : { old }, ...now === undefined ? {} : { new: now }, change }
}

function degrees(radians: number): number {
  return radians * 180 / Math.PI
}
