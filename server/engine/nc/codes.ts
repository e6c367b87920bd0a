// The preparatory (G) and miscellaneous (M) functions as data: modal group, meaning, where it is
// written down, and what the interpreter does with it. What a control means otherwise stands in the
// machine file and is laid over this table (machine/dialect.ts).
// Sources: ISO 6983-1:1982; NISTIR 6556 table 4 (modal groups) and 3.5, 3.6; "trade": common practice.

/** Codes of one group exclude each other in a block; `none` never does. */
export type ModalGroup =
  | 'none' | 'one-shot' | 'motion' | 'plane' | 'distance' | 'feed-mode' | 'units' | 'radius-compensation'
  | 'length-offset' | 'cycle-return' | 'work-offset' | 'path-control' | 'frame' | 'surface-speed'
  | 'stopping' | 'tool-change' | 'spindle' | 'coolant' | 'overrides'

/** What the interpreter does. `lost`: where the axes stand afterwards is not known. `frame-on`: positions mean something else from here. */
export type Effect =
  | 'none' | 'motion' | 'dwell' | 'plane' | 'distance' | 'feed-mode' | 'inch' | 'metric'
  | 'radius-off' | 'radius-on' | 'length-on' | 'length-off' | 'tool-centre-on' | 'tool-centre-off'
  | 'home' | 'machine-frame' | 'work-offset' | 'cycle' | 'cycle-cancel' | 'cycle-return'
  | 'tool-vector-on' | 'tilted-plane-on' | 'tilted-plane-off' | 'orient-tool'
  | 'frame-on' | 'frame-off' | 'lost' | 'not-simulated' | 'offset-write' | 'set-position' | 'local-shift' | 'probe' | 'path-control'
  | 'call' | 'return' | 'macro' | 'macro-modal' | 'macro-off'
  | 'stop' | 'end' | 'tool-change' | 'spindle-clockwise' | 'spindle-counterclockwise' | 'spindle-stop' | 'coolant-on' | 'coolant-off'
  | 'spindle-clockwise-coolant' | 'spindle-counterclockwise-coolant'

export interface Code {
  /** As it is written: `G1`, `G43.4`, `M3`. */
  readonly code: string
  readonly group: ModalGroup
  readonly effect: Effect
  readonly says: string
  readonly clause: string
  /** The axis words of the block belong to this code, not to the motion code in force. */
  readonly takesAxisWords?: boolean
  /** Codes of `frame-on` that this one ends. */
  readonly ends?: readonly string[]
}

const nist = (section: string) => `NISTIR 6556 ${section}`
const iso = 'ISO 6983-1'
const trade = 'common practice'

/** Source `nist`, `iso` or `trade` of each row; the machine file may say otherwise. */
export const codes: readonly Code[] = [
  { code: 'G0', group: 'motion', effect: 'motion', says: 'rapid positioning', clause: nist('3.5.1') },
  { code: 'G1', group: 'motion', effect: 'motion', says: 'straight cut at the feed', clause: nist('3.5.2') },
  { code: 'G2', group: 'motion', effect: 'motion', says: 'arc, clockwise', clause: nist('3.5.3') },
  { code: 'G3', group: 'motion', effect: 'motion', says: 'arc, counterclockwise', clause: nist('3.5.3') },
  { code: 'G4', group: 'one-shot', effect: 'dwell', says: 'dwell', clause: nist('3.5.4'), takesAxisWords: true },
  { code: 'G8', group: 'none', effect: 'none', says: 'acceleration', clause: iso },
  { code: 'G9', group: 'none', effect: 'none', says: 'deceleration, exact stop in this block', clause: iso },
  { code: 'G10', group: 'one-shot', effect: 'offset-write', says: 'offset written by the program', clause: nist('3.5.5'), takesAxisWords: true },
  { code: 'G15', group: 'frame', effect: 'frame-off', says: 'polar coordinates off', clause: trade, ends: ['G16'] },
  { code: 'G16', group: 'frame', effect: 'frame-on', says: 'polar coordinates on', clause: trade },
  { code: 'G17', group: 'plane', effect: 'plane', says: 'arc plane XY', clause: nist('3.5.6') },
  { code: 'G18', group: 'plane', effect: 'plane', says: 'arc plane ZX', clause: nist('3.5.6') },
  { code: 'G19', group: 'plane', effect: 'plane', says: 'arc plane YZ', clause: nist('3.5.6') },
  { code: 'G28', group: 'one-shot', effect: 'home', says: 'through the point given to home', clause: nist('3.5.8'), takesAxisWords: true },
  { code: 'G30', group: 'one-shot', effect: 'home', says: 'through the point given to the second home', clause: nist('3.5.8'), takesAxisWords: true },
  { code: 'G31', group: 'one-shot', effect: 'lost', says: 'move until a signal', clause: trade, takesAxisWords: true },
  { code: 'G33', group: 'motion', effect: 'lost', says: 'thread, constant lead', clause: iso, takesAxisWords: true },
  { code: 'G34', group: 'motion', effect: 'lost', says: 'thread, increasing lead', clause: iso, takesAxisWords: true },
  { code: 'G35', group: 'motion', effect: 'lost', says: 'thread, decreasing lead', clause: iso, takesAxisWords: true },
  { code: 'G38.2', group: 'motion', effect: 'probe', says: 'straight probe', clause: nist('3.5.9') },
  { code: 'G40', group: 'radius-compensation', effect: 'radius-off', says: 'radius compensation off', clause: nist('3.5.10') },
  { code: 'G41', group: 'radius-compensation', effect: 'radius-on', says: 'radius compensation, tool left of the contour', clause: nist('3.5.10') },
  { code: 'G42', group: 'radius-compensation', effect: 'radius-on', says: 'radius compensation, tool right of the contour', clause: nist('3.5.10') },
  { code: 'G43', group: 'length-offset', effect: 'length-on', says: 'length offset on', clause: nist('3.5.11'), ends: ['G44'] },
  { code: 'G44', group: 'length-offset', effect: 'frame-on', says: 'length offset, negative', clause: iso },
  { code: 'G49', group: 'length-offset', effect: 'length-off', says: 'length offset off', clause: nist('3.5.11'), ends: ['G44'] },
  { code: 'G50', group: 'frame', effect: 'frame-off', says: 'scaling off', clause: trade, ends: ['G51'] },
  { code: 'G51', group: 'frame', effect: 'frame-on', says: 'scaling on', clause: trade, takesAxisWords: true },
  { code: 'G52', group: 'one-shot', effect: 'local-shift', says: 'local shift of the work offset', clause: trade, takesAxisWords: true },
  { code: 'G53', group: 'one-shot', effect: 'machine-frame', says: 'this block in machine coordinates', clause: nist('3.5.12') },
  ...['G54', 'G55', 'G56', 'G57', 'G58', 'G59', 'G59.1', 'G59.2', 'G59.3'].map((code): Code => (
    { code, group: 'work-offset', effect: 'work-offset', says: `work offset ${code}`, clause: nist('3.5.13') })),
  { code: 'G54.1', group: 'work-offset', effect: 'work-offset', says: 'further work offset, number in P', clause: trade },
  { code: 'G60', group: 'path-control', effect: 'path-control', says: 'exact positioning, fine', clause: iso },
  { code: 'G61', group: 'path-control', effect: 'path-control', says: 'exact path', clause: nist('3.5.14') },
  { code: 'G61.1', group: 'path-control', effect: 'path-control', says: 'exact stop', clause: nist('3.5.14') },
  { code: 'G62', group: 'path-control', effect: 'path-control', says: 'fast positioning', clause: iso },
  { code: 'G63', group: 'path-control', effect: 'path-control', says: 'tapping mode', clause: iso },
  { code: 'G64', group: 'path-control', effect: 'path-control', says: 'continuous path', clause: nist('3.5.14') },
  { code: 'G65', group: 'one-shot', effect: 'macro', says: 'call of another program', clause: trade, takesAxisWords: true },
  { code: 'G66', group: 'none', effect: 'macro-modal', says: 'call of another program after each motion', clause: trade, takesAxisWords: true },
  { code: 'G67', group: 'none', effect: 'macro-off', says: 'modal call off', clause: trade },
  { code: 'G68', group: 'frame', effect: 'frame-on', says: 'turned coordinates on', clause: trade, takesAxisWords: true },
  { code: 'G69', group: 'frame', effect: 'frame-off', says: 'turned coordinates off', clause: trade, ends: ['G68'] },
  ...Object.entries({
    G73: 'drilling, the chip broken after each peck', G74: 'left-hand tapping', G76: 'fine boring, drawn off the wall', G81: 'drilling', G82: 'drilling with a dwell',
    G83: 'drilling, out of the hole after each peck', G84: 'right-hand tapping', G85: 'boring, out at the feed', G86: 'boring, spindle stopped, out at rapid',
    G87: 'back boring', G88: 'boring, spindle stopped, out by hand', G89: 'boring with a dwell, out at the feed',
  }).map(([code, says]): Code => ({ code, group: 'motion', effect: 'cycle', says: `fixed cycle: ${says}`, clause: code < 'G8' ? trade : nist('3.5.16') })),
  { code: 'G80', group: 'motion', effect: 'cycle-cancel', says: 'fixed cycle off', clause: nist('3.5.16.1') },
  { code: 'G90', group: 'distance', effect: 'distance', says: 'absolute positions', clause: nist('3.5.17') },
  { code: 'G91', group: 'distance', effect: 'distance', says: 'incremental positions', clause: nist('3.5.17') },
  { code: 'G92', group: 'one-shot', effect: 'set-position', says: 'position set to the values given', clause: nist('3.5.18'), takesAxisWords: true },
  { code: 'G92.1', group: 'one-shot', effect: 'set-position', says: 'set position cleared', clause: nist('3.5.18') },
  { code: 'G92.2', group: 'one-shot', effect: 'set-position', says: 'set position suspended', clause: nist('3.5.18') },
  { code: 'G92.3', group: 'one-shot', effect: 'set-position', says: 'set position taken up again', clause: nist('3.5.18') },
  { code: 'G93', group: 'feed-mode', effect: 'feed-mode', says: 'inverse-time feed', clause: nist('3.5.19') },
  { code: 'G94', group: 'feed-mode', effect: 'feed-mode', says: 'feed per minute', clause: nist('3.5.19') },
  { code: 'G95', group: 'feed-mode', effect: 'feed-mode', says: 'feed per revolution', clause: iso },
  { code: 'G96', group: 'surface-speed', effect: 'not-simulated', says: 'constant surface speed', clause: iso },
  { code: 'G97', group: 'surface-speed', effect: 'none', says: 'spindle speed in revolutions per minute', clause: iso },
  { code: 'G98', group: 'cycle-return', effect: 'cycle-return', says: 'cycle returns to the level it started from', clause: nist('3.5.20') },
  { code: 'G99', group: 'cycle-return', effect: 'cycle-return', says: 'cycle returns to R', clause: nist('3.5.20') },

  { code: 'M0', group: 'stopping', effect: 'stop', says: 'stop', clause: nist('3.6.1') },
  { code: 'M1', group: 'stopping', effect: 'stop', says: 'optional stop', clause: nist('3.6.1') },
  { code: 'M2', group: 'stopping', effect: 'end', says: 'end of program', clause: nist('3.6.1') },
  { code: 'M3', group: 'spindle', effect: 'spindle-clockwise', says: 'spindle clockwise', clause: nist('3.6.2') },
  { code: 'M4', group: 'spindle', effect: 'spindle-counterclockwise', says: 'spindle counterclockwise', clause: nist('3.6.2') },
  { code: 'M5', group: 'spindle', effect: 'spindle-stop', says: 'spindle off', clause: nist('3.6.2') },
  { code: 'M6', group: 'tool-change', effect: 'tool-change', says: 'tool change', clause: nist('3.6.3') },
  { code: 'M7', group: 'coolant', effect: 'coolant-on', says: 'coolant 2 (mist)', clause: nist('3.6.4') },
  { code: 'M8', group: 'coolant', effect: 'coolant-on', says: 'coolant 1 (flood)', clause: nist('3.6.4') },
  { code: 'M9', group: 'coolant', effect: 'coolant-off', says: 'coolant off', clause: nist('3.6.4') },
  { code: 'M10', group: 'none', effect: 'none', says: 'clamp', clause: iso },
  { code: 'M11', group: 'none', effect: 'none', says: 'unclamp', clause: iso },
  { code: 'M13', group: 'spindle', effect: 'spindle-clockwise-coolant', says: 'spindle clockwise with coolant', clause: iso },
  { code: 'M14', group: 'spindle', effect: 'spindle-counterclockwise-coolant', says: 'spindle counterclockwise with coolant', clause: iso },
  { code: 'M19', group: 'spindle', effect: 'spindle-stop', says: 'spindle stopped at an angle', clause: iso },
  { code: 'M30', group: 'stopping', effect: 'end', says: 'end of program, reset', clause: nist('3.6.1') },
  ...[36, 37, 38, 39].map((number): Code => ({ code: `M${number}`, group: 'none', effect: 'none', says: 'feed or spindle range', clause: iso })),
  { code: 'M48', group: 'overrides', effect: 'none', says: 'overrides on', clause: nist('3.6.5') },
  { code: 'M49', group: 'overrides', effect: 'none', says: 'overrides off', clause: nist('3.6.5') },
  { code: 'M60', group: 'stopping', effect: 'stop', says: 'workpiece change and stop', clause: nist('3.6.1') },
  { code: 'M98', group: 'none', effect: 'call', says: 'call of another program', clause: trade },
  { code: 'M99', group: 'none', effect: 'return', says: 'end of a called program, or back to the start', clause: trade },
]
