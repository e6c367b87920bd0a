import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path/posix'
import { describe, expect, test } from 'vitest'
import { helpText } from '../../server/cli/help-text.ts'
import { openScene } from '../../server/engine/service.ts'
import { root } from './source-files.ts'

// What the documents show is what is there.

const readme = readText('README.md')
const manifest = JSON.parse(readText('package.json')) as {
  readonly contributes: {
    readonly commands: readonly { readonly title: string }[]
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

test('THIRD-PARTY-NOTICES.md has every package that can be in a bundle, in its version, with its licence', () => {
  const lock = JSON.parse(readText('package-lock.json')) as {
    readonly packages: Readonly<Record<string, { readonly version: string, readonly license: string, readonly dev?: boolean }>>
  }
  const notices = readText('THIRD-PARTY-NOTICES.md')
  const shipped = Object.entries(lock.packages).filter(([path, { dev }]) => path !== '' && dev !== true)
  expect(shipped.length).toBeGreaterThan(5)
  const lacking = shipped.filter(([path, { version, license }]) => {
    const name = path.slice(path.lastIndexOf('node_modules/') + 'node_modules/'.length)
    const hasText = notices.split('\n').some(line => line.startsWith('## ') && line.slice(3).split(', ').includes(name))
    return !hasText || !notices.includes(`| ${name} | ${version} | ${license} |`)
  })
  expect(lacking.map(([path]) => path)).toEqual([])
})

function readText(path: string): string {
  return readFileSync(new URL(path, root), 'utf8')
}
