import type { Rule } from './rule.ts'
import { arcNearHalfTurn } from './rules/arc-near-half-turn.ts'
import { arcRadiusMismatch } from './rules/arc-radius-mismatch.ts'
import { arcWithoutCentre } from './rules/arc-without-centre.ts'
import { axisOffPoint } from './rules/axis-off-point.ts'
import { axisRate } from './rules/axis-rate.ts'
import { badExpression } from './rules/bad-expression.ts'
import { barrierCrossed } from './rules/barrier-crossed.ts'
import { callTooDeep } from './rules/call-too-deep.ts'
import { centreOfBallCutting } from './rules/centre-of-ball-cutting.ts'
import { coolantOff } from './rules/coolant-off.ts'
import { cycleMisuse } from './rules/cycle-misuse.ts'
import { duplicateSequenceNumber } from './rules/duplicate-sequence-number.ts'
import { dwellInCut } from './rules/dwell-in-cut.ts'
import { endlessLoop } from './rules/endless-loop.ts'
import { feedModeLeftover } from './rules/feed-mode-leftover.ts'
import { fixtureClearance } from './rules/fixture-clearance.ts'
import { fixtureContact } from './rules/fixture-contact.ts'
import { fluteTooShort } from './rules/flute-too-short.ts'
import { gouge } from './rules/gouge.ts'
import { headClearance } from './rules/head-clearance.ts'
import { headContact } from './rules/head-contact.ts'
import { holderClearance } from './rules/holder-clearance.ts'
import { holderContact } from './rules/holder-contact.ts'
import { leftover } from './rules/leftover.ts'
import { lengthOffsetMismatch } from './rules/length-offset-mismatch.ts'
import { linearisationError } from './rules/linearisation-error.ts'
import { machineContact } from './rules/machine-contact.ts'
import { machineNotGiven } from './rules/machine-not-given.ts'
import { malformedNumber } from './rules/malformed-number.ts'
import { malformedWord } from './rules/malformed-word.ts'
import { meshDamaged } from './rules/mesh-damaged.ts'
import { meshInsideOut } from './rules/mesh-inside-out.ts'
import { meshOpen } from './rules/mesh-open.ts'
import { meshTooCoarse } from './rules/mesh-too-coarse.ts'
import { meshUnitsDoubtful } from './rules/mesh-units-doubtful.ts'
import { meshUnreadable } from './rules/mesh-unreadable.ts'
import { missingDecimalPoint } from './rules/missing-decimal-point.ts'
import { missingFeed } from './rules/missing-feed.ts'
import { missingLengthOffset } from './rules/missing-length-offset.ts'
import { missingProgramEnd } from './rules/missing-program-end.ts'
import { missingSpeed } from './rules/missing-speed.ts'
import { missingStartState } from './rules/missing-start-state.ts'
import { missingTarget } from './rules/missing-target.ts'
import { missingWorkOffset } from './rules/missing-work-offset.ts'
import { modalConflict } from './rules/modal-conflict.ts'
import { nearSingular } from './rules/near-singular.ts'
import { neckClearance } from './rules/neck-clearance.ts'
import { neckContact } from './rules/neck-contact.ts'
import { notChecked } from './rules/not-checked.ts'
import { overfeed } from './rules/overfeed.ts'
import { overspeed } from './rules/overspeed.ts'
import { pathReversal } from './rules/path-reversal.ts'
import { plungeWithoutCentreEdge } from './rules/plunge-without-centre-edge.ts'
import { radiusCompensationMisuse } from './rules/radius-compensation-misuse.ts'
import { rapidClearance } from './rules/rapid-clearance.ts'
import { rapidIntoPart } from './rules/rapid-into-part.ts'
import { rapidIntoStock } from './rules/rapid-into-stock.ts'
import { repeatedWord } from './rules/repeated-word.ts'
import { rotarySwing } from './rules/rotary-swing.ts'
import { rotaryUnwind } from './rules/rotary-unwind.ts'
import { rotationNearPart } from './rules/rotation-near-part.ts'
import { scallop } from './rules/scallop.ts'
import { setupError } from './rules/setup-error.ts'
import { setupNotFound } from './rules/setup-not-found.ts'
import { severalSetups } from './rules/several-setups.ts'
import { shankClearance } from './rules/shank-clearance.ts'
import { shankContact } from './rules/shank-contact.ts'
import { shortBlock } from './rules/short-block.ts'
import { spindleStopped } from './rules/spindle-stopped.ts'
import { startsInside } from './rules/starts-inside.ts'
import { strayText } from './rules/stray-text.ts'
import { toolChangeInState } from './rules/tool-change-in-state.ts'
import { toolNeverUsed } from './rules/tool-never-used.ts'
import { toolNotInSetup } from './rules/tool-not-in-setup.ts'
import { travelLimit } from './rules/travel-limit.ts'
import { unclosedBracket } from './rules/unclosed-bracket.ts'
import { unclosedComment } from './rules/unclosed-comment.ts'
import { undefinedVariable } from './rules/undefined-variable.ts'
import { undercutUnreached } from './rules/undercut-unreached.ts'
import { unknownCode } from './rules/unknown-code.ts'
import { unknownLetter } from './rules/unknown-letter.ts'
import { unreachableBlock } from './rules/unreachable-block.ts'
import { unsetWorkOffset } from './rules/unset-work-offset.ts'
import { waiverUnused } from './rules/waiver-unused.ts'
import { waiverWithoutReason } from './rules/waiver-without-reason.ts'
import { zeroLengthBlock } from './rules/zero-length-block.ts'

/** The only list of the rules, in alphabetical order. */
export const allRules: readonly Rule[] = [
  arcNearHalfTurn,
  arcRadiusMismatch,
  arcWithoutCentre,
  axisOffPoint,
  axisRate,
  badExpression,
  barrierCrossed,
  callTooDeep,
  centreOfBallCutting,
  coolantOff,
  cycleMisuse,
  duplicateSequenceNumber,
  dwellInCut,
  endlessLoop,
  feedModeLeftover,
  fixtureClearance,
  fixtureContact,
  fluteTooShort,
  gouge,
  headClearance,
  headContact,
  holderClearance,
  holderContact,
  leftover,
  lengthOffsetMismatch,
  linearisationError,
  machineContact,
  machineNotGiven,
  malformedNumber,
  malformedWord,
  meshDamaged,
  meshInsideOut,
  meshOpen,
  meshTooCoarse,
  meshUnitsDoubtful,
  meshUnreadable,
  missingDecimalPoint,
  missingFeed,
  missingLengthOffset,
  missingProgramEnd,
  missingSpeed,
  missingStartState,
  missingTarget,
  missingWorkOffset,
  modalConflict,
  nearSingular,
  neckClearance,
  neckContact,
  notChecked,
  overfeed,
  overspeed,
  pathReversal,
  plungeWithoutCentreEdge,
  radiusCompensationMisuse,
  rapidClearance,
  rapidIntoPart,
  rapidIntoStock,
  repeatedWord,
  rotarySwing,
  rotaryUnwind,
  rotationNearPart,
  scallop,
  setupError,
  setupNotFound,
  severalSetups,
  shankClearance,
  shankContact,
  shortBlock,
  spindleStopped,
  startsInside,
  strayText,
  toolChangeInState,
  toolNeverUsed,
  toolNotInSetup,
  travelLimit,
  unclosedBracket,
  unclosedComment,
  undefinedVariable,
  undercutUnreached,
  unknownCode,
  unknownLetter,
  unreachableBlock,
  unsetWorkOffset,
  waiverUnused,
  waiverWithoutReason,
  zeroLengthBlock,
]

/** The rule with this id, or undefined. */
export function ruleOf(id: string): Rule | undefined {
  return byId.get(id)
}

const byId = new Map(allRules.map(rule => [rule.id, rule]))
