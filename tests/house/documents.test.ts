import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path/posix'
import { describe, expect, test } from 'vitest'
import { readArguments } from '../../server/cli/arguments.ts'
import { helpText } from '../../server/cli/help-text.ts'
import { openScene } from '../../server/engine/service.ts'
import { filesBelow, root } from './source-files.ts'

// What the documents show is what is there.

const readme = readText('README.md')
const manifest = JSON.parse(readText('package.json')) as {
  readonly contributes: {
    readonly commands: readonly { readonly command: string, readonly title: string }[]
    readonly configuration: { readonly properties: Readonly<Record<string, unknown>> }
    readonly languages: readonly { readonly extensions?: readonly string[] }[]
  }
}

describe('README.md', () => {
  test('its sheet and its machine file are read without a finding', () => {
    const [sheet, machine, ...more] = [...readme.matchAll(/^```jsonc\n(.*?)^```/gms)].map(([, text]) => text)
    expect(more).toEqual([])
    const scene = openScene({ path: 'plate.setup.json', text: sheet }, { path: 'mill.machine.json', text: machine })
    expect(scene.findings).toEqual([])
    expect(scene.usable).toBe(true)
    expect(scene.setup?.machinePath).toBe('mill.machine.json')
    expect(scene.setup?.tools).toHaveLength(1)
  })

  test('its options are those of the command line', () => {
    expect(readme).toContain(`\`\`\`text\n${helpText('check')}\`\`\``)
    expect(readme).toContain(`\`\`\`text\n${helpText('mend')}\`\`\``)
  })

  test('every call that it writes out is one the command line takes', () => {
    const blocks = [...readme.matchAll(/^ +toolwake (.*)$/gm)], inline = [...readme.matchAll(/`toolwake ([a-z-]+ [^`]+)`/g)]
    // Lines of the overview, with what may be left out in brackets, are no calls.
    const calls = [...blocks, ...inline].map(([, words]) => words).filter(words => !/[[…,]|\.\.\. |  /.test(words))
    expect(calls.length).toBeGreaterThan(12)
    const wordsOf = (call: string) => [...call.matchAll(/"([^"]*)"|(\S+)/g)].map(([, quoted, word]) => quoted ?? word)
    expect(calls.map(call => ({ call, read: readArguments(wordsOf(call)) })).filter(({ read }) => read.kind === 'unusable')).toEqual([])
  })

  test('it names every command, setting and file ending of the editor', () => {
    const { commands, configuration, languages } = manifest.contributes
    const names = [
      ...commands.map(({ title }) => `| Toolwake: ${title} |`),
      ...Object.keys(configuration.properties).map(name => `| \`${name}\` |`),
      ...languages.flatMap(({ extensions }) => (extensions ?? []).map(ending => `\`${ending}\``)),
    ]
    expect(names.length).toBeGreaterThan(10)
    expect(names.filter(name => !readme.includes(name))).toEqual([])
  })
})

test('every command is carried out by a test in the editor, and every setting is shown to do something', () => {
  const texts = (folder: string) => filesBelow(folder, '.ts').filter(path => !path.endsWith('/settings.test.ts')).map(readText).join('\n')
  const { commands, configuration } = manifest.contributes, inEditor = texts('tests/editor'), all = inEditor + texts('tests/lsp')
  expect(commands.filter(({ command, title }) => !inEditor.includes(`'${command}'`) && !inEditor.includes(`Toolwake: ${title}`)).map(({ command }) => command)).toEqual([])
  expect(Object.keys(configuration.properties).filter(name => !new RegExp(`\\b${name.split('.').at(-1) ?? ''}\\b`).test(all))).toEqual([])
})

test.each(['README.md', 'DEVELOPERS.md', 'CHANGELOG.md', 'samples/README.md'])('the links of %s lead somewhere', document => {
  const text = readText(document)
  const places = [...text.matchAll(/\]\(([^)\s]+)\)/g)].map(([, place]) => place).filter(place => !/^[a-z]+:/.test(place))
  const headings = [...text.matchAll(/^#+ (.*)$/gm)].map(([, heading]) => heading.toLowerCase().replace(/[^\w\- ]/g, '').replaceAll(' ', '-'))
  const lost = places.filter(place => place.startsWith('#')
    ? !headings.includes(place.slice(1))
    : !existsSync(new URL(join(dirname(document), place), root)))
  expect(lost).toEqual([])
})

test('the files and folders that DEVELOPERS.md names are there', () => {
  const named = [...readText('DEVELOPERS.md').matchAll(/`((?:shared|server|client|webview|tests|samples)\/[\w./-]*)`/g)].map(([, path]) => path)
  expect(named.length).toBeGreaterThan(30)
  expect(named.filter(path => !existsSync(new URL(path, root)))).toEqual([])
})

test('THIRD-PARTY-NOTICES.md has every package that is in a bundle, in its version, with its licence', () => {
  const lock = JSON.parse(readText('package-lock.json')) as {
    readonly packages: Readonly<Record<string, { readonly version: string, readonly license: string }>>
  }
  const notices = readText('THIRD-PARTY-NOTICES.md')
  // Written by the bundler, from what it has put into its outputs.
  const shipped = JSON.parse(readText('dist/packages.json')) as readonly string[]
  expect(shipped.length).toBeGreaterThan(5)
  const lacking = shipped.filter(name => {
    const hasText = notices.split('\n').some(line => line.startsWith('## ') && line.slice(3).split(', ').includes(name))
    const versions = Object.entries(lock.packages).filter(([path]) => path.endsWith(`node_modules/${name}`)).map(([, entry]) => `| ${name} | ${entry.version} | ${entry.license} |`)
    return !hasText || !versions.some(row => notices.includes(row))
  })
  expect(lacking).toEqual([])
})

test('nothing is installed beside the package: what is shipped is in the bundles', () => {
  const { dependencies, files } = JSON.parse(readText('package.json')) as { readonly dependencies?: object, readonly files?: object }
  expect(dependencies).toBeUndefined()
  // The two packages hold different files, so each has a list of its own.
  expect(files).toBeUndefined()
})

function readText(path: string): string {
  return readFileSync(new URL(path, root), 'utf8')
}
