import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { filesBelow, keptFiles, root } from './source-files.ts'

const manifest = JSON.parse(readText('package.json')) as {
  readonly main: string
  readonly bin: Readonly<Record<string, string>>
  readonly scripts: Readonly<Record<string, string>>
  readonly devDependencies: Readonly<Record<string, string>>
  readonly contributes?: {
    readonly commands?: readonly { readonly command: string }[]
    readonly configuration?: { readonly properties?: Readonly<Record<string, unknown>> }
    readonly languages?: readonly { readonly configuration?: string, readonly icon?: Readonly<Record<string, string>> }[]
    readonly grammars?: readonly { readonly path: string }[]
    readonly jsonValidation?: readonly { readonly url: string }[]
    readonly walkthroughs?: readonly { readonly steps: readonly { readonly media: { readonly markdown: string } }[] }[]
  }
}

const textFiles = keptFiles().filter(path =>
  /\.(ts|mjs|cjs|js|json|md|css|html|svg|yml|yaml|sh|nc)$/.test(path) && path !== 'package-lock.json' && existsSync(new URL(path, root)))

describe('package.json', () => {
  test('every script that runs a file of ours finds it', () => {
    const missing = Object.entries(manifest.scripts).flatMap(([name, command]) =>
      [...command.matchAll(/\bnode (\S+\.(?:mjs|js))/g)].map(([, file]) => ({ name, file }))).filter(({ file }) => !existsSync(new URL(file, root)))
    expect(missing).toEqual([])
  })

  test('every file the editor is told of is there', () => {
    const { contributes = {} } = manifest
    const paths = [
      ...contributes.languages?.flatMap(({ configuration, icon }) => [configuration, ...Object.values(icon ?? {})]) ?? [],
      ...contributes.grammars?.map(({ path }) => path) ?? [],
      ...contributes.jsonValidation?.map(({ url }) => url) ?? [],
      ...contributes.walkthroughs?.flatMap(({ steps }) => steps.map(({ media }) => media.markdown)) ?? [],
    ].filter(path => path !== undefined)
    expect(paths.filter(path => !existsSync(new URL(path, root)))).toEqual([])
  })

  test('every command the editor is told of is registered by the client, and the other way round', () => {
    const told = (manifest.contributes?.commands ?? []).map(({ command }) => command).sort()
    const client = filesBelow('client', '.ts').map(readText).join('\n')
    expect(told.length).toBeGreaterThan(0)
    expect(told.filter(command => !client.includes(`'${command}'`))).toEqual([])
  })

  test('every setting the editor is told of is read somewhere', () => {
    const told = Object.keys(manifest.contributes?.configuration?.properties ?? {})
    const code = ['client', 'server/lsp', 'shared'].flatMap(part => filesBelow(part, '.ts')).map(readText).join('\n')
    // A setting is read by its whole name, or section by section; the last part of its name then stands in the code.
    const unread = told.filter(name => !name.endsWith('.trace.server')).filter(name => !new RegExp(`\\b${name.split('.').at(-1)}\\b`).test(code))
    expect(unread).toEqual([])
  })

  test('every dependency has an exact version', () => {
    const versions = Object.entries(manifest.devDependencies)
    expect(versions.filter(([, version]) => !/^\d+\.\d+\.\d+$/.test(version))).toEqual([])
  })

  test('every package that is imported is a dependency', () => {
    const have = new Set([...Object.keys(manifest.devDependencies), 'vscode'])
    const imported = ['shared', 'server', 'client', 'webview', 'tests', '.scripts'].filter(part => existsSync(new URL(part, root)))
      .flatMap(part => filesBelow(part)).filter(path => /\.(ts|mjs)$/.test(path))
      .flatMap(path => [...readText(path).matchAll(/^(?:import|export)\b[^'"`]*?from '([^'.][^']*)'/gm)].map(([, name]) => ({ path, name })))
      .filter(({ name }) => !name.startsWith('node:'))
      .map(({ path, name }) => ({ path, name: name.startsWith('@') ? name.split('/').slice(0, 2).join('/') : name.split('/')[0] }))
    expect(imported.filter(({ name }) => !have.has(name))).toEqual([])
  })
})

describe('what is kept in git', () => {
  test('names no folder of one machine', () => {
    const absolute = /(?<![\w.$}])\/(?:home|root|Users|tmp|mnt|work\/(?:main|shared))\/[\w-]/
    expect(linesWith(absolute, path => !path.startsWith('tests/house/'))).toEqual([])
  })

  test('leaves nothing for later and skips no test', () => {
    const later = /\b(?:TODO|FIXME|XXX|HACK)\b/
    const skipped = /\b(?:test|it|describe)\.(?:only|skip|todo)\b/
    const isCode = (path: string) => /\.(ts|mjs|js)$/.test(path) && !path.startsWith('tests/house/')
    expect(linesWith(later, isCode)).toEqual([])
    expect(linesWith(skipped, isCode)).toEqual([])
  })

  test('code has no any, no non-null mark, no enum and no namespace', () => {
    const banned = /^(?!\s*(?:\*|\/[/*])).*(?::|\bas|<) ?any\b(?! )|^\s*(?:export )?(?:const )?enum |^\s*(?:export )?namespace |@ts-(?:ignore|nocheck)/
    const isCode = (path: string) => path.endsWith('.ts') && !path.startsWith('tests/')
    expect(linesWith(banned, isCode)).toEqual([])
  })
})

function readText(path: string): string {
  return readFileSync(new URL(path, root), 'utf8')
}

function linesWith(pattern: RegExp, wanted: (path: string) => boolean): string[] {
  return textFiles.filter(wanted).flatMap(path =>
    readText(path).split('\n').flatMap((line, i) => pattern.test(line) ? [`${path}:${i + 1}: ${line.trim().slice(0, 120)}`] : []))
}
