import type { SeededRandom } from './seeded-random.ts'

// Programs made up at random, for tests that compare what two spellings of one program come to.

/** A program in which every block is allowed and every variable is set before it is read. */
export function validProgram(random: SeededRandom): string[] {
  const number = () => random.pick([random.between(-80, 80).toFixed(3), random.whole(-50, 50).toString(), `${random.whole(0, 9)}.`])
  const value = () => random.pick([number, number, () => `#${random.whole(100, 104)}`, () => `[#${random.whole(100, 104)}+${random.whole(1, 9)}]`, () => `[${random.whole(1, 9)}*SIN[${random.whole(0, 90)}]]`])()
  const lines = ['G21 G90 G17 G94 G40', 'G54 T1 M6', 'G43 H1', 'M3 S1000 F500.', ...[100, 101, 102, 103, 104].map(index => `#${index}=${number()}`)]
  const kinds: (() => string[])[] = [
    () => [`G${random.whole(0, 1)} X${value()} Y${value()}`],
    () => [`G1 X${value()} Z${value()} A${value()} C${value()}`],
    () => [`#${random.whole(100, 104)}=${value()}`],
    () => ['G91', `G1 X${value()}`, 'G90'],
    () => ['G0 X0 Y0', `G${random.whole(2, 3)} X${random.whole(1, 9)}. Y0 I${random.whole(1, 9)}. J${random.whole(1, 9)}.`.replace(/X(\d+)\. Y0 I\d+\./, (_, x: string) => `X${x}. Y0 I${Number(x) / 2}`)],
    () => ['G80 G0 Z50.', `G${random.pick([81, 82, 85, 89])} X${value()} Y${value()} Z-5. R2. P100`, `X${value()}`, 'G80'],
    () => ['#1=0', 'WHILE [#1 LT 3] DO1', '#1=#1+1', `G1 X${value()}`, 'END1'],
    () => [`IF [#100 GT ${number()}] THEN #101=${number()}`],
    () => ['M98 P500 L2'],
    () => [`G65 P600 A${value()} X${value()}`],
    () => ['G43.4 H1', `G1 X${value()} Y${value()} Z${value()} A${random.whole(-20, 20)} C${random.whole(-90, 90)}`, 'G49', 'G43 H1'],
    () => [`G10 L2 P2 X${number()}`, random.pick(['G55', 'G54'])],
    () => [`G92 Y${number()}`, `G1 Y${number()}`, 'G92.1'],
  ]
  for (let n = random.whole(5, 40); n > 0; n--) lines.push(...random.pick(kinds)())
  return [...lines, 'M30', 'O500', 'G91', `G1 X${number()}`, 'G90', 'M99', 'O600', 'G1 X[#1+#24]', 'M99']
}

/** Another way to write the same block. */
export function respelled(random: SeededRandom, line: string): string {
  let text = random.pick([(each: string) => each, (each: string) => each.toLowerCase(), (each: string) => each.replaceAll(' ', ''), (each: string) => each.replaceAll(' ', '\t ')])(line)
  // Names and keywords keep their neighbours apart from the words beside them.
  if (/^(O|#|IF|WHILE|END)/i.test(line) && !text.includes(' ') && !text.includes('\t')) text = line
  if (random.whole(0, 3) === 0) text = `${text} (${random.pick(['ROUGH', 'G0 X1', ''])})`
  return text
}
