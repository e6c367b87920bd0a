import { blocks, rounded } from '../figures.ts'
import { LineWords } from '../line-words.ts'
import { isFeedMotion } from '../program-pose.ts'
import { defineRule } from '../rule.ts'

/** So many blocks in a row are looked at together: a control reads ahead, and a single short block does no harm. */
const WINDOW = 10

export const shortBlock = defineRule({
  id: 'short-block',
  level: 'note',
  group: 'motion',
  docs: {
    what: 'Ten feed moves in a row take less time at the programmed feed than the control needs to take in ten blocks (`blockTime` in the machine file; without it nothing is held against it).',
    why: 'The control runs out of blocks: it slows down or stutters, and the surface shows it.',
    instead: 'Put the path out with a coarser tolerance or by arcs, or lower the feed.',
  },
  bad: [{
    title: 'points a hundredth apart at 6 m/min',
    setup: plainSetup(),
    machine: timedMachine(),
    program: `
N10 G21 G90 G94 G54 G0 X0. Y0. Z0. A0. C0.
N20 G1 X.01 F6000
       ^^^^ note short-block: 0.1 ms a block
${Array.from({ length: 19 }, (_, n) => `N${30 + n} X${((n + 2) / 100).toFixed(2)}`).join('\n')}
`,
  }],
  good: [
    {
      title: 'a few short blocks among long ones',
      setup: plainSetup(),
      machine: timedMachine(),
      program: `
N10 G21 G90 G94 G54 G0 X0. Y0. Z0. A0. C0.
N20 G1 X10. F6000
N30 X10.01
N40 X10.02
N50 X20.
N60 X30.
N70 X40.
N80 X50.
N90 X60.
N100 X70.
N110 X80.
N120 X90.
`,
    },
    {
      title: 'a control whose block time is not known',
      setup: plainSetup(),
      program: `
N10 G21 G90 G94 G54 G0 X0. Y0. Z0. A0. C0.
N20 G1 X.01 F6000
${Array.from({ length: 19 }, (_, n) => `N${30 + n} X${((n + 2) / 100).toFixed(2)}`).join('\n')}
`,
    },
  ],
  start: (report, { machine, text }) => {
    const { blockTime } = machine.control
    if (blockTime === undefined) return {}
    return {
      end(toolpath, lineStarts) {
        let first = -1, shortBlocks = 0, least = Infinity, sum = 0, run = 0, counted = -1
        for (let i = 0; i < toolpath.count; i++) {
          const seconds = toolpath.seconds[i] ?? 0
          if (!isFeedMotion(toolpath, i) || !(seconds > 0)) {
            run = 0
            sum = 0
            continue
          }
          run++
          sum += seconds
          if (run > WINDOW) sum -= toolpath.seconds[i - WINDOW] ?? 0
          // Adding and taking away leaves rounding behind: a part in a million is none.
          if (run < WINDOW || sum >= WINDOW * blockTime * (1 - 1e-6)) continue
          const from = Math.max(counted + 1, i - WINDOW + 1)
          shortBlocks += i - from + 1
          counted = i
          if (first < 0) first = from
          least = Math.min(least, sum / WINDOW)
        }
        if (first < 0) return
        const words = new LineWords(text, machine, lineStarts)
        report({
          rule: 'short-block', motion: first, span: words.wordsSpan(toolpath.line[first] ?? 0, 'XYZABCUVWIJK'),
          message: `From here on ${blocks(shortBlocks)} of this program come faster than the control takes them in: down to ${rounded(least * 1000)} ms a block over ten blocks, it needs ${rounded(blockTime * 1000)} ms.`,
        })
      },
    }
  },
})

function plainSetup(): string {
  return '{ "machine": "example.machine.json", "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } } }'
}

function timedMachine(): string {
  return `{
  "name": "three axes, one millisecond a block",
  "axes": {
    "X": { "kind": "linear", "direction": [1, 0, 0], "range": [-300, 300], "rapid": 24000, "maxFeed": 10000 },
    "Y": { "kind": "linear", "direction": [0, 1, 0], "range": [-300, 300], "rapid": 24000, "maxFeed": 10000 },
    "Z": { "kind": "linear", "direction": [0, 0, 1], "range": [-300, 500], "rapid": 24000, "maxFeed": 10000 },
    "A": { "kind": "rotary", "direction": [-1, 0, 0], "through": [0, 0, 0], "range": [-110, 30], "rapid": 7200 },
    "C": { "kind": "rotary", "direction": [0, 0, -1], "through": [0, 0, 0], "range": null, "rapid": 7200 }
  },
  "table": ["A", "C"],
  "head": ["X", "Y", "Z"],
  "spindle": { "gauge": [0, 0, 0], "axis": [0, 0, 1] },
  "home": { "X": 0, "Y": 0, "Z": 400, "A": 0, "C": 0 },
  "control": { "blockTime": 1 }
}`
}
