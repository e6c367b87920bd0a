import type { ExampleBody, Rule, RuleExample, RuleGroup } from './rule.ts'

/** The page of one rule, as `explain`, the editor and RULES.md show it. */
export function rulePage(rule: Rule): string {
  return [
    `## ${rule.id}`,
    `${capital(rule.level)}; ${groupTitles[rule.group].toLowerCase()}.`,
    rule.docs.what,
    `**Why it matters.** ${rule.docs.why}`,
    `**What to do.** ${rule.docs.instead}`,
    ...rule.bad.map(example => exampleText('Reported', example)),
    ...rule.good.map(example => exampleText('Not reported', example)),
  ].join('\n\n') + '\n'
}

/** All pages behind a table of contents: the text of RULES.md. */
export function rulesPage(rules: readonly Rule[]): string {
  const groups = (Object.keys(groupTitles) as RuleGroup[]).filter(group => rules.some(rule => rule.group === group))
  const contents = groups.map(group => [
    `### ${groupTitles[group]}`,
    '',
    '| id | level | what |',
    '|---|---|---|',
    ...rules.filter(rule => rule.group === group).map(rule => `| [${rule.id}](#${rule.id}) | ${rule.level} | ${rule.docs.what} |`),
  ].join('\n'))
  return [
    '<!-- Written by `npm run generate` from server/engine/lint/rules; do not edit. -->',
    '# Rules',
    'Every finding the tool can make. A line of carets marks the word or block in the program line above it.',
    ...contents,
    ...groups.flatMap(group => rules.filter(rule => rule.group === group).map(rule => rulePage(rule).trimEnd())),
  ].join('\n\n') + '\n'
}

/** The list that `explain` prints without a name. */
export function rulesList(rules: readonly Rule[]): string {
  const width = Math.max(...rules.map(rule => rule.id.length))
  return rules.map(rule => `${rule.id.padEnd(width)}  ${rule.level.padEnd(7)}  ${rule.docs.what}\n`).join('')
}

const groupTitles: Readonly<Record<RuleGroup, string>> = {
  text: 'Text',
  state: 'State',
  motion: 'Motion',
  contact: 'Contact',
  result: 'Result',
  inputs: 'Inputs',
}

function exampleText(heading: string, example: RuleExample): string {
  const parts = [`${heading}: ${example.title}`, fenced('nc', example.program)]
  if (example.setup !== undefined) parts.push('Setup sheet:', fenced('json', example.setup))
  if (example.otherSheets !== undefined) parts.push(`Beside it, for the same program: ${example.otherSheets.map(name => `\`${name}\``).join(', ')}.`)
  if (example.machine !== undefined) parts.push('Machine file:', fenced('json', example.machine))
  for (const [name, mesh] of Object.entries(example.meshes ?? {})) {
    parts.push('stl' in mesh ? `\`${name}\`:\n\n${fenced('stl', mesh.stl)}` : `\`${name}\`: ${bodyInWords(mesh)}`)
  }
  return parts.join('\n\n')
}

function bodyInWords(body: ExampleBody): string {
  if ('plate' in body) {
    const { size, thickness } = body.plate
    return `a plate of ${size} × ${size} mm, ${thickness} mm thick, its top at z = 0.`
  }
  if ('cylinder' in body) {
    const { diameter, height, facets } = body.cylinder
    return `a cylinder of ${diameter} mm diameter and ${height} mm height in ${facets} facets, its top at z = 0.`
  }
  const { min, max } = body.box
  return `a box from (${min.join(', ')}) to (${max.join(', ')}) mm${body.fault === undefined ? '' : faultsInWords[body.fault]}.`
}

const faultsInWords = {
  'degenerate': ', with one more triangle that has no area',
  'open': ', with one triangle left out',
  'inside-out': ', with every triangle turned over',
} as const

function fenced(language: string, text: string): string {
  return '```' + language + '\n' + text.replace(/^\n/, '').trimEnd() + '\n```'
}

function capital(word: string): string {
  return word.charAt(0).toUpperCase() + word.slice(1)
}
