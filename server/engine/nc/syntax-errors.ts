import type { Problem } from '../../../shared/problem.ts'

// Every wording of the reader. The keys are those of this table; the ids are those of the rules.

const count = (n: number) => n.toLocaleString('en-US')

/** Text as it is shown in a message: short, without control characters. */
export function shown(text: string): string {
  let out = ''
  for (const character of text.length > 40 ? `${text.slice(0, 37)}…` : text) {
    const code = character.charCodeAt(0)
    out += code < 32 || code >= 127 && code < 160 || code === 0xfffd ? `\\x${code.toString(16).padStart(2, '0')}` : character
  }
  return out
}

export const syntaxErrors = {
  letterAlone: (letter: string) => ({
    rule: 'malformed-word', message: `${letter} stands without a number. The word is left out.` }),
  letterRun: (text: string) => ({
    rule: 'malformed-word', message: `"${shown(text)}" is not a word of the language: each letter needs its number. It is left out.` }),
  noDigits: (word: string) => ({
    rule: 'malformed-number', message: `"${shown(word)}" holds no digit. The word is left out.` }),
  twoPoints: (word: string) => ({
    rule: 'malformed-number', message: `"${shown(word)}" holds a second decimal point. The word is left out.` }),
  signInside: (word: string) => ({
    rule: 'malformed-number', message: `"${shown(word)}" holds a sign inside the number. The word is left out.` }),
  tooManyDigits: (word: string, digits: number) => ({
    rule: 'malformed-number', message: `The number in "${shown(word)}" has ${count(digits)} digits; at most 64 are read. The word is left out.` }),
  sequenceNumber: (word: string) => ({
    rule: 'malformed-number', message: `"${shown(word)}" is no sequence number: N takes a whole number without a sign. It is left out.` }),
  secondSequence: (word: string) => ({
    rule: 'repeated-word', message: `"${shown(word)}" is a second sequence number in the block; the first one holds.` }),
  unclosedComment: () => ({
    rule: 'unclosed-comment', message: 'The comment opened here is not closed on its line: the rest of the line is read as comment.' }),
  nestedComment: () => ({
    rule: 'stray-text', message: 'A comment inside a comment: a control ends the comment at the first ")" and reads what follows as words.' }),
  unclosedBracket: () => ({
    rule: 'unclosed-bracket', message: 'The bracket opened here is not closed on its line. The word it belongs to is left out.' }),
  unknownLetter: (word: string) => ({
    rule: 'unknown-letter', message: `"${shown(word)}": the letter ${word.charAt(0).toUpperCase()} has no meaning here. The word is left out.` }),
  strayText: (text: string) => ({
    rule: 'stray-text', message: `"${shown(text)}" belongs to no word and is left out.` }),
  skipInside: () => ({
    rule: 'stray-text', message: 'The block skip "/" stands inside the block; it is only read at its start. It is left out.' }),
  percentInside: () => ({
    rule: 'stray-text', message: '"%" stands inside the line; it only means something at its start. It is left out.' }),
  restOfLine: (left: number) => ({
    rule: 'stray-text', message: `The rest of this line (${count(left)} characters) is left out: too much of the line could not be read.` }),
  tooManyWords: (words: number, left: number) => ({
    rule: 'stray-text', message: `The line holds more than ${count(words)} words: the ${count(left)} characters from here to its end are not read. Are the line ends lost?` }),
  noProgramText: (odd: number, looked: number) => ({
    rule: 'stray-text', message: `This is no program text: ${count(odd)} of its first ${count(looked)} characters are control characters. Nothing of it is read.` }),
  valueless: (word: string, because: string) => ({
    rule: 'bad-expression', message: `"${shown(word)}" has no value: ${because}. Motion that depends on it is not checked.` }),
  neverSet: (name: string, isLost: boolean) => ({
    rule: 'undefined-variable', message: `${name} is read before anything is stored in it. ${isLost ? 'Its value is whatever the control still holds; motion that depends on it is not checked.' : 'Nothing is taken for its value.'}` }),
  systemVariable: (name: string) => ({
    rule: 'not-checked', message: `${name} holds what only the machine knows; its value is not simulated. Motion that depends on it is not checked.` }),
  unknownValue: (word: string) => ({
    rule: 'not-checked', message: `"${shown(word)}" depends on a value that is not known here. Motion that depends on it is not checked.` }),
  unknownFlow: (text: string) => ({
    rule: 'not-checked', message: `"${shown(text)}" depends on a value that is not known here: whether the control jumps is not known. The next block of the text is taken.` }),
  malformedFlow: (text: string, expected: string) => ({
    rule: 'malformed-word', message: `"${shown(text)}": ${expected} was expected. It is left out.` }),
  variable: (word: string) => ({
    rule: 'not-checked', message: `"${shown(word)}": variables are not worked out here. Its value is taken as not known, and motion that depends on it is not checked.` }),
  assignment: (text: string) => ({
    rule: 'not-checked', message: `"${shown(text)}": variables are not worked out here. Words that use them are taken as not known.` }),
  controlFlow: (text: string) => ({
    rule: 'not-checked', message: `"${shown(text)}": jumps, loops and conditions are not followed. The blocks are taken in the order of the text.` }),
  cornerWord: (word: string) => ({
    rule: 'not-checked', message: `"${shown(word)}": the chamfer or rounding of the corner is not simulated.` }),
} as const satisfies Record<string, (...values: never[]) => Pick<Problem, 'rule' | 'message'>>
