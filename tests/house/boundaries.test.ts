import { readFileSync } from 'node:fs'
import { dirname, join, normalize } from 'node:path/posix'
import { describe, expect, test } from 'vitest'
import { filesBelow, root } from './source-files.ts'

// Who may import whom. The compiler keeps the parts apart (no node and no page in the engine); this
// table keeps the layers inside a part in their order, and each package behind one door.

interface Layer {
  /** Folder or file; the longest that fits a file is its layer. */
  readonly path: string
  /** Layers it may import besides itself. */
  readonly layers: readonly string[]
  /** Packages, and `node:` modules, by the beginning of their name. */
  readonly packages?: readonly string[]
}

const engine = ['nc', 'machine', 'geometry', 'setup', 'mesh', 'contact', 'stock', 'result', 'correction', 'mend', 'lint', 'features', 'compare', 'record'].map(name => `server/engine/${name}`)

const layers: readonly Layer[] = [
  { path: 'shared', layers: [] },
  { path: 'server/engine/geometry', layers: ['shared'] },
  { path: 'server/engine/nc', layers: ['shared'] },
  { path: 'server/engine/machine', layers: ['shared', 'server/engine/nc', 'server/engine/geometry'] },
  { path: 'server/engine/setup', layers: ['shared'], packages: ['jsonc-parser'] },
  { path: 'server/engine/mesh', layers: ['shared', 'server/engine/geometry'], packages: ['three', 'three-mesh-bvh', 'fflate'] },
  { path: 'server/engine/contact', layers: ['shared', 'server/engine/geometry', 'server/engine/mesh'] },
  { path: 'server/engine/stock', layers: ['shared', 'server/engine/geometry', 'server/engine/mesh', 'server/engine/contact'] },
  { path: 'server/engine/result', layers: ['shared', 'server/engine/geometry', 'server/engine/mesh', 'server/engine/contact'] },
  // Rules on motions need the certified way of each joint.
  { path: 'server/engine/correction', layers: ['shared', 'server/engine/geometry', 'server/engine/mesh', 'server/engine/contact'] },
  { path: 'server/engine/mend', layers: ['shared', 'server/engine/nc', 'server/engine/machine', 'server/engine/geometry', 'server/engine/contact', 'server/engine/setup', 'server/engine/correction'] },
  { path: 'server/engine/lint', layers: ['shared', 'server/engine/nc', 'server/engine/machine', 'server/engine/geometry'] },
  { path: 'server/engine/features', layers: ['shared', 'server/engine/nc', 'server/engine/machine', 'server/engine/lint'] },
  // Two programs are compared in their motions and in what is in force.
  { path: 'server/engine/compare', layers: ['shared', 'server/engine/machine'] },
  { path: 'server/engine/record', layers: ['shared', 'server/engine/mesh', 'server/engine/contact'] },
  // The service and the files beside it put the layers together.
  { path: 'server/engine', layers: ['shared', ...engine] },
  { path: 'server/edge', layers: ['shared', 'server/engine'], packages: ['node:'] },
  { path: 'server/lsp', layers: ['shared', 'server/engine', 'server/edge', 'server/lsp/features/release-record.ts'], packages: ['node:', 'vscode-languageserver', 'vscode-languageserver-textdocument'] },
  { path: 'server/cli', layers: ['shared', 'server/engine', 'server/edge', 'server/cli/serve-command.ts'], packages: ['node:'] },
  // The editor writes the page that the terminal writes.
  { path: 'server/lsp/features/release-record.ts', layers: ['shared', 'server/engine', 'server/edge', 'server/lsp', 'server/cli'], packages: ['node:'] },
  // `serve` starts the language server from the terminal.
  { path: 'server/cli/serve-command.ts', layers: ['server/cli', 'server/lsp'], packages: ['node:'] },
  { path: 'client', layers: ['shared'], packages: ['vscode', 'vscode-languageclient', 'node:path'] },
  { path: 'webview', layers: ['shared'], packages: ['three'] },
]

/** A package is imported by one file of a part; the rest import that file. Types may be named anywhere. */
const manyDoors = new Set(['vscode', 'vscode-languageserver', 'three', 'node:'])

interface Import { readonly from: string, readonly to: string, readonly isType: boolean, readonly isOwn: boolean }

const sources = ['shared', 'server', 'client', 'webview'].flatMap(part => filesBelow(part, '.ts')).filter(path => !path.endsWith('.d.ts'))
const imports = sources.flatMap(importsOf)

describe('boundaries', () => {
  test('there is something to look at', () => {
    expect(sources.length).toBeGreaterThan(60)
    expect(imports.length).toBeGreaterThan(150)
  })

  test('each layer imports only what it may', () => {
    expect(imports.filter(entry => !isAllowed(entry)).map(({ from, to }) => `${from} imports ${to}`)).toEqual([])
  })

  test('no rule imports another rule', () => {
    const folder = 'server/engine/lint/rules/'
    expect(imports.filter(({ from, to }) => from.startsWith(folder) && to.startsWith(folder)).map(({ from, to }) => `${from} imports ${to}`)).toEqual([])
  })

  test('each package has one door in each part', () => {
    const doors = new Map<string, Set<string>>()
    for (const { from, to, isType, isOwn } of imports) {
      if (isType || isOwn) continue
      const name = packageName(to)
      if (manyDoors.has(name)) continue
      const key = `${from.split('/').slice(0, from.startsWith('server/') ? 2 : 1).join('/')}: ${name}`
      doors.set(key, (doors.get(key) ?? new Set()).add(from))
    }
    expect([...doors].filter(([, files]) => files.size > 1).map(([key, files]) => `${key} is imported by ${[...files].join(' and ')}`)).toEqual([])
  })

  test('nothing imports tests', () => {
    expect(imports.filter(({ to }) => to.startsWith('tests/'))).toEqual([])
  })

  test('no file imports itself by way of others', () => {
    expect(cycles()).toEqual([])
  })
})

function isAllowed({ from, to, isOwn }: Import): boolean {
  const layer = layerOf(from)
  if (layer === undefined) return false
  if (!isOwn) return (layer.packages ?? []).some(name => name.endsWith(':') ? to.startsWith(name) : to === name || to.startsWith(`${name}/`))
  const target = layerOf(to)
  // The edge, the language server and the command line may import the files beside the service, not the layers below them.
  return target !== undefined && (target.path === layer.path || layer.layers.includes(target.path))
}

function layerOf(path: string): Layer | undefined {
  return layers.filter(layer => path === layer.path || path.startsWith(`${layer.path}/`)).sort((a, b) => b.path.length - a.path.length)[0]
}

function importsOf(path: string): Import[] {
  const text = readFileSync(new URL(path, root), 'utf8')
  const statement = /^(?:import|export)\s+(type\s+)?(?:[^'"\n;]*?|\{[^}]*\})\s*from\s+'([^']+)'|^import\s+'([^']+)'|\bimport\('([^']+)'\)/gm
  return [...text.matchAll(statement)].map(([, type, from, bare, dynamic]) => {
    const to = from ?? bare ?? dynamic
    const isOwn = to.startsWith('.')
    return { from: path, to: isOwn ? normalize(join(dirname(path), to)) : to, isType: type !== undefined, isOwn }
  })
}

function packageName(to: string): string {
  if (to.startsWith('node:')) return 'node:'
  return to.startsWith('@') ? to.split('/').slice(0, 2).join('/') : to.split('/')[0]
}

/** Rings of files that import each other, each named once from its first file on. Types do not count: they are gone at run time. */
function cycles(): string[] {
  const next = new Map<string, string[]>()
  for (const { from, to, isType, isOwn } of imports) if (!isType && isOwn) next.set(from, [...next.get(from) ?? [], to])
  const done = new Set<string>()
  const found: string[] = []
  const walk = (path: string, trail: readonly string[]) => {
    const at = trail.indexOf(path)
    if (at >= 0) {
      found.push([...trail.slice(at), path].join(' → '))
      return
    }
    if (done.has(path)) return
    done.add(path)
    for (const to of next.get(path) ?? []) walk(to, [...trail, path])
  }
  for (const path of sources) walk(path, [])
  return found
}
