import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { applyChain, machineToPart } from '../../shared/kinematics.ts'
import type { Kinematics } from '../../shared/kinematics.ts'
import { LanguageServerUnderTest, bundleServer, rulesOf } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// The server on the plate sample: the ball dips 0.05 mm below the top face in N130.

const seed = 20260303

let bundle: Awaited<ReturnType<typeof bundleServer>>
let server: LanguageServerUnderTest
let job: PlateJob
let uri: string

beforeAll(async () => {
  bundle = await bundleServer()
})
afterAll(() => bundle.remove())
beforeEach(() => {
  job = new PlateJob()
  uri = job.uri('plate.nc')
})
afterEach(() => {
  server.kill()
  job.remove()
})

async function start(configuration?: unknown): Promise<void> {
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({ folder: job.uri(''), configuration })
}

/** The plate's path many times over, so that a search takes a while: the dip comes last. */
function longProgram(times: number): string {
  const lines = job.program.split('\n')
  const dip = job.lineOf('Z-0.05')
  const clean: string[] = []
  for (let i = 0; i < times; i++) clean.push(`X${(5 + 30 * ((i * 7919) % times) / times).toFixed(3)} Y${(5 + 20 * i / times).toFixed(3)} Z0.`)
  return [...lines.slice(0, dip), ...clean, ...lines.slice(dip)].join('\n')
}

describe('contact findings in the editor', () => {
  it('come after those of the text, on the block that cuts too deep', async () => {
    await start()
    await server.open(uri, job.program)
    const found = await server.findings(uri, 1, list => rulesOf(list).includes('gouge'))
    const gouge = found.find(one => one.code === 'gouge')
    expect(gouge?.message).toMatch(/0\.05/)
    expect(gouge?.range.start.line).toBe(job.lineOf('Z-0.05'))
    const status = await server.done(uri)
    expect(status.phase).toBe('done')
    expect(status.message).toMatch(/^checked: \d+ blocks, figures ± 0\.001 mm$/)
  })

  it('go with the edit that mends them', async () => {
    await start()
    await server.open(uri, job.program)
    await server.findings(uri, 1, list => rulesOf(list).includes('gouge'))
    const seen = server.statuses.length
    const line = job.lineOf('Z-0.05'), at = job.program.split('\n')[line].indexOf('Z-0.05')
    await server.edit(uri, 2, line, at, at + 6, 'Z0.')
    const status = await server.done(uri, seen)
    expect(status.message).toMatch(/^checked/)
    expect(rulesOf(await server.findings(uri, 2))).not.toContain('gouge')
  })

  it('of a text that was edited while it was searched are never shown', async () => {
    await start()
    await server.open(uri, longProgram(20_000))
    await server.until('a running search', () => server.statuses.some(one => one.phase === 'searching'))
    const before = performance.now()
    await server.replace(uri, job.program.replace('Z-0.05', 'Z0.'), 2)
    await server.findings(uri, 2)
    const answered = performance.now() - before
    await server.until('the end of checking version 2', () => server.statuses.at(-1)?.phase === 'done')
    const after = server.published.slice(server.published.findIndex(one => one.version === 2))
    expect(after.filter(one => one.uri === uri).map(one => one.version)).toEqual(after.filter(one => one.uri === uri).map(() => 2))
    expect(after.flatMap(one => rulesOf(one.diagnostics))).not.toContain('gouge')
    // Far below what the search of the long program takes; generous, since machines that test are busy.
    expect(answered).toBeLessThan(2000)
  })

  it('stay where an edit elsewhere leaves the motion as it is, and move with their line', async () => {
    await start()
    const program = longProgram(3000)
    await server.open(uri, program)
    await server.done(uri)
    const line = (await server.findings(uri, 1)).find(one => one.code === 'gouge')?.range.start.line ?? NaN
    const seen = server.statuses.length, searched = server.published.length
    const head = job.lineOf('N120')
    await server.edit(uri, 2, head, 0, 0, '(ONE LINE MORE)\n')
    await server.done(uri, seen)
    const lists = server.published.slice(searched).filter(one => one.uri === uri)
    expect(lists.at(-1)?.diagnostics.find(one => one.code === 'gouge')?.range.start.line).toBe(line + 1)
    // Nothing had to be searched: no news of a search under way, only of its end.
    expect(server.statuses.slice(seen).filter(one => one.done > 0 && one.phase === 'searching')).toEqual([])
  })

  it(`are those of a program opened afresh, whatever was edited before (seed ${seed})`, async () => {
    job.write('plate.setup.json', job.sheet.replace('"programs": ["plate.nc"]', '"programs": ["*.nc"]'))
    await start()
    const random = new SeededRandom(seed)
    const fresh = job.uri('fresh.nc')
    let text = longProgram(600)
    await server.open(uri, text)
    await server.done(uri)
    for (let version = 2; version < 8; version++) {
      const lines = text.split('\n')
      const at = random.whole(12, lines.length - 9)
      const kinds = [
        () => lines.splice(at, 1),
        () => lines.splice(at, 0, `X${random.between(0, 40).toFixed(2)} Z${random.between(-0.06, 0).toFixed(3)}`),
        () => lines.splice(at, 1, `Y${random.between(0, 30).toFixed(2)}`),
        () => lines.splice(at, 0, ...lines.slice(at, at + 5)),
      ]
      random.pick(kinds)()
      text = lines.join('\n')
      const seen = server.statuses.length
      await server.replace(uri, text, version)
      await server.done(uri, seen)
      const edited = await server.findings(uri, version)
      await server.open(fresh, text, version)
      await server.done(fresh, seen)
      const whole = await server.findings(fresh, version)
      await server.connection.sendNotification('textDocument/didClose', { textDocument: { uri: fresh } })
      const told = (list: typeof whole) => list.map(({ code, range, message }) => ({ code, range, message }))
      expect(told(edited)).toEqual(told(whole))
    }
  })

  it('name the search that was switched off', async () => {
    await start({ contact: { search: 'off' } })
    await server.open(uri, job.program)
    await server.done(uri)
    const found = await server.findings(uri, 1)
    expect(rulesOf(found)).not.toContain('gouge')
    expect(found.find(one => one.code === 'not-checked')?.message).toContain('toolwake.contact.search')
  })

  it('wait for the program to be saved where the user wants it so', async () => {
    await start({ contact: { search: 'on-save' } })
    await server.open(uri, job.program.replace('Z-0.05', 'Z0.'))
    expect((await server.done(uri)).message).toMatch(/^checked/)
    await server.replace(uri, job.program, 2)
    await server.until('the search put off', () => server.statuses.at(-1)?.message.includes('saved'))
    expect(rulesOf(await server.findings(uri, 2))).not.toContain('gouge')
    await server.connection.sendNotification('textDocument/didSave', { textDocument: { uri } })
    await server.findings(uri, 2, list => rulesOf(list).includes('gouge'))
  })

  it('are in the hover of their block', async () => {
    await start()
    await server.open(uri, job.program)
    await server.done(uri)
    const hover = await server.connection.sendRequest<{ contents: { value: string } }>('textDocument/hover', {
      textDocument: { uri }, position: { line: job.lineOf('Z-0.05'), character: 6 },
    })
    expect(hover.contents.value).toMatch(/cutter: 0\.0(50|49|51) mm deep \(±0\.00[0-2]\)/)
    // Common practice: the tool point stands where the program says, X 15, Z -0.05 below the top face.
    expect(hover.contents.value).toMatch(/X 15\.000 {2}Y 10\.500 {2}Z -0\.050/)
  })
})

describe('files beside the program', () => {
  it('carry their own findings on their own lines, and are read again when they change', async () => {
    await start()
    job.write('plate.setup.json', job.sheet.replace('"baseOffset"', '"baseOfset"'))
    await server.open(uri, job.program)
    const sheet = job.uri('plate.setup.json')
    const wrong = await server.until('a finding in the sheet', () =>
      server.published.find(one => one.uri === sheet && one.diagnostics.length > 0)?.diagnostics[0])
    expect(wrong.code).toBe('setup-error')
    expect(wrong.message).toContain('baseOffset')
    expect(wrong.range.start.line).toBe(job.sheet.split('\n').findIndex(one => one.includes('baseOffset')))
    await server.until('the end of a check without contact', () => server.statuses.at(-1)?.phase === 'done')
    job.write('plate.setup.json', job.sheet)
    await server.connection.sendNotification('workspace/didChangeWatchedFiles', { changes: [{ uri: sheet, type: 2 }] })
    await server.until('an empty list for the sheet', () => server.published.filter(one => one.uri === sheet).at(-1)?.diagnostics.length === 0)
    await server.findings(uri, 1, list => rulesOf(list).includes('gouge'))
  })

  it('are watched when they are fixtures too, and what the tool does to them is told', async () => {
    await start()
    const jaw = (beside: number) => job.write('jaw.stl', `solid jaw\n${[[0, 0], [0, 30]].map(([, y]) =>
      `facet normal 0 0 0\nouter loop\nvertex ${beside} ${y} -5\nvertex ${beside} ${30 - y} -5\nvertex ${beside} ${y} 100\nendloop\nendfacet`).join('\n')}\nendsolid jaw\n`)
    jaw(15)
    job.write('plate.setup.json', job.sheet.replace('"baseOffset"', '"fixtures": [{ "name": "jaw", "mesh": "jaw.stl" }], "baseOffset"'))
    await server.open(uri, job.program)
    const found = await server.findings(uri, 1, list => rulesOf(list).includes('fixture-contact'))
    expect(found.find(one => one.code === 'fixture-contact')?.message).toContain('the fixture "jaw"')
    await server.done(uri)
    const seen = server.published.length
    jaw(-500)
    await server.connection.sendNotification('workspace/didChangeWatchedFiles', { changes: [{ uri: job.uri('jaw.stl'), type: 2 }] })
    await server.until('findings without the fixture', () => server.published.slice(seen).some(one =>
      one.uri === uri && rulesOf(one.diagnostics).includes('gouge') && !rulesOf(one.diagnostics).includes('fixture-contact')))
  })

  it('are the meshes of machine bodies too, told at the machine file', async () => {
    await start()
    const machine = readFileSync(join(job.folder, 'duct.machine.json'), 'utf8')
    job.write('duct.machine.json', machine.replace('{', '{ "bodies": [{ "name": "nose", "on": "Z", "mesh": "nose.stl" }],'))
    await server.open(uri, job.program)
    const lost = await server.until('a finding in the machine file', () =>
      server.published.find(one => one.uri === job.uri('duct.machine.json') && rulesOf(one.diagnostics).includes('mesh-unreadable')))
    expect(lost.diagnostics.map(one => one.message).join('\n')).toContain('machine body "nose"')
    await server.done(uri)
    // A nose that reaches far below any tool.
    job.write('nose.stl', 'solid nose\nfacet normal 0 0 0\nouter loop\nvertex 0 0 100\nvertex 9 0 100\nvertex 0 3 -900\nendloop\nendfacet\nendsolid nose\n')
    await server.connection.sendNotification('workspace/didChangeWatchedFiles', { changes: [{ uri: job.uri('nose.stl'), type: 1 }] })
    const found = await server.findings(uri, 1, list => rulesOf(list).includes('head-contact'))
    expect(found.find(one => one.code === 'head-contact')?.message).toContain('The machine\'s "nose" touches the part')
  })

  it('may be programs that it calls: their findings stand in them, and a change of one is a change of the caller', async () => {
    await start()
    const line = job.lineOf('Z-0.05'), calling = job.program.split('\n').map((each, i) => i === line ? 'M98 P900' : each).join('\n')
    const called = job.uri('O900.nc')
    await server.open(uri, calling)
    const missing = (await server.findings(uri, 1, list => rulesOf(list).includes('missing-target'))).find(one => one.code === 'missing-target')
    expect(missing?.range).toEqual({ start: { line, character: 4 }, end: { line, character: 8 } })
    // The file comes to be, with a block too deep and a code that nobody knows.
    job.write('O900.nc', 'O900\nG777\nX15. Y10.5 Z-0.05\nM99\n')
    await server.connection.sendNotification('workspace/didChangeWatchedFiles', { changes: [{ uri: called, type: 1 }] })
    const gouge = (await server.findings(uri, 1, list => rulesOf(list).includes('gouge'))).find(one => one.code === 'gouge')
    expect(gouge?.range.start.line).toBe(line)
    const inside = await server.until('a finding in the called file', () =>
      server.published.filter(one => one.uri === called).at(-1)?.diagnostics.find(one => one.code === 'unknown-code'))
    expect(inside.range).toEqual({ start: { line: 1, character: 0 }, end: { line: 1, character: 4 } })
    expect(inside.relatedInformation?.[0]).toMatchObject({ location: { uri }, message: 'O900 is called here.' })
    // What is typed into it and not saved counts too, until its tab is closed.
    await server.open(called, 'O900\nX15. Y10.5 Z0.\nM99\n', 5)
    await server.findings(uri, 1, list => !rulesOf(list).includes('gouge') && !rulesOf(list).includes('missing-target'))
    await server.connection.sendNotification('textDocument/didClose', { textDocument: { uri: called } })
    await server.findings(uri, 1, list => rulesOf(list).includes('gouge'))
  })

  it('may be missing: the mesh is named where the sheet names it', async () => {
    await start()
    job.write('plate.setup.json', job.sheet.replace('plate.stl', 'gone.stl'))
    await server.open(uri, job.program)
    const sheet = job.uri('plate.setup.json')
    const missing = await server.until('a finding about the mesh', () =>
      server.published.flatMap(one => one.diagnostics).find(one => String(one.message).includes('gone.stl')))
    expect(missing.severity).toBeLessThanOrEqual(2)
    expect(server.published.some(one => one.uri === sheet && one.diagnostics.includes(missing))).toBe(true)
    await server.until('the end of the check', () => server.statuses.at(-1)?.phase === 'done')
  })
})

describe('the viewer\'s questions', () => {
  it('are answered with scene, arrays and pose', async () => {
    await start()
    await server.open(uri, job.program)
    await server.done(uri)
    const scene = await server.ask('toolwake/scene', { uri })
    expect(scene).toMatchObject({ uri, version: 1, unit: 1, part: { name: 'plate.stl', triangles: 12, max: [40, 30, 0] } })
    expect(scene.tools.map(tool => tool.number)).toEqual([1])
    expect(scene.findings.find(one => one.rule === 'gouge')).toMatchObject({ line: job.lineOf('Z-0.05'), point: expect.any(Array) as unknown })
    const read = async (key: string) => {
      const slice = await server.ask('toolwake/sceneBuffer', { uri, key, offset: 0 })
      if ('gone' in slice) throw new Error(`${key} is gone`)
      const bytes = Buffer.from(slice.base64, 'base64')
      expect(bytes.length).toBe(slice.totalBytes)
      return bytes
    }
    expect((await read(scene.part?.positions ?? '')).length).toBe(12 * 36)
    expect((await read(scene.path.positions)).length).toBe(scene.path.vertices * 12)
    expect((await read(scene.path.lines)).length).toBe(scene.path.vertices * 4)
    expect((await read(scene.path.flags)).length).toBe(scene.path.vertices)
    expect(await server.ask('toolwake/sceneBuffer', { uri, key: 'path/0/none', offset: 0 })).toEqual({ gone: true })

    const line = job.lineOf('Z-0.05')
    const pose = await server.ask('toolwake/poseAt', { uri, line })
    expect(pose.text).toBe('N130 X15. Z-0.05')
    expect(pose).toMatchObject({ line, tool: 0, toolNumber: 1, rapid: false })
    const [x, y, z] = pose.pose?.point ?? []
    expect([x, y, z].map(value => Math.round((value ?? NaN) * 1e6) / 1e6)).toEqual([15, 10.5, -0.05])
    const cutter = pose.clearances?.find(one => one.component === 'cutter')
    expect(cutter?.value).toBeCloseTo(-0.05, 2)

    // What the page draws by itself comes to the same: the motion's pose, and the figures of its components.
    const { motions, contact } = scene
    if (motions === undefined || contact === undefined) throw new Error('The motions and the search are missing.')
    const numbers = async <T>(key: string | undefined, make: (buffer: ArrayBuffer) => T) => {
      const bytes = await read(key ?? '')
      return make(Uint8Array.from(bytes).buffer)
    }
    const lines = await numbers(motions.buffers.line, buffer => new Uint32Array(buffer))
    const joints = await numbers(motions.buffers.joints, buffer => new Float64Array(buffer))
    const value = await numbers(contact.value, buffer => new Float32Array(buffer))
    const certified = await numbers(contact.certified, buffer => new Float32Array(buffer))
    const points = await numbers(contact.points, buffer => new Float32Array(buffer))
    expect([lines.length, joints.length, value.length, points.length]).toEqual([motions.count, (motions.count + 1) * motions.axes.length, motions.count * 4, motions.count * 12])
    const motion = lines.lastIndexOf(line)
    const own = toolPose(motions.kinematics, joints.subarray((motion + 1) * motions.axes.length), motions.lengths[0])
    expect(own.map(one => Math.round(one * 1e6) / 1e6)).toEqual([15, 10.5, -0.05])
    expect((value[motion * 4] + certified[motion * 4]) / 2).toBeCloseTo(cutter?.value ?? NaN, 5)
    expect((value[motion * 4] - certified[motion * 4]) / 2).toBeCloseTo(cutter?.bound ?? NaN, 5)
    const gouge = scene.findings.find(one => one.rule === 'gouge')
    expect([...points.subarray(motion * 12, motion * 12 + 3)].map(one => Math.round(one * 1e3))).toEqual(gouge?.point?.map(one => Math.round(one * 1e3)))
    expect(contact.limits[0]?.feed[0]).toBe(-(gouge?.contact?.allowed ?? NaN))
  })

  it('bring the limits that the findings are judged by, those of an index at feed too', async () => {
    await start()
    // The ball's centre stands 2 mm before the edge and 3 mm above it: √13 - 3 = 0.61 mm are clear, and the table turns away and back.
    await server.open(uri, job.program.replace('N150 X-5.', 'N150 X-2.\nN152 C10. F500.\nN154 C0.\nN156 X-5. F800.'))
    await server.done(uri)
    const { motions, contact, findings } = await server.ask('toolwake/scene', { uri })
    const near = findings.find(one => one.rule === 'rotation-near-part')
    const slice = await server.ask('toolwake/sceneBuffer', { uri, key: motions?.buffers.line ?? '', offset: 0 })
    if ('gone' in slice) throw new Error('The lines are gone.')
    const lines = new Uint32Array(Uint8Array.from(Buffer.from(slice.base64, 'base64')).buffer)
    const first = lines.indexOf(near?.firstLine ?? NaN)
    expect(first).toBeGreaterThan(0)
    expect(near?.contact?.allowed).toBe(1)
    expect(contact?.limits.map(({ motion, feed }) => [motion, feed[0]])).toEqual([[0, -0.01], [first, near?.contact?.allowed], [first + 2, -0.01]])
    expect(contact?.limits[1]).toMatchObject({ feed: contact?.limits[0]?.rapid, rapid: contact?.limits[0]?.rapid })
  })

  it('name what stands around the part, each with its triangles, and the stock', async () => {
    job.write('plate.setup.json', job.sheet.replace('"limits"', '"fixtures": [{ "name": "vice", "mesh": "plate.stl", "translate": [0, 90, 0], "clearance": 2 }],\n  "stock": { "box": { "min": [0, 0, -20], "max": [40, 30, 1] } },\n  "limits"'))
    const machine = readFileSync(join(job.folder, 'duct.machine.json'), 'utf8')
    job.write('duct.machine.json', machine.replace('"spindle"', '"bodies": [{ "name": "spindle nose", "on": "Z", "mesh": "plate.stl", "translate": [0, 0, 200] }],\n  "spindle"'))
    await start()
    await server.open(uri, job.program)
    await server.done(uri)
    const { bodies, stock, motions } = await server.ask('toolwake/scene', { uri })
    expect(bodies.map(({ kind, name, triangles }) => ({ kind, name, triangles }))).toEqual([{ kind: 'fixture', name: 'vice', triangles: 12 }, { kind: 'machine', name: 'spindle nose', triangles: 12 }])
    expect(motions?.axes[bodies[1]?.joint ?? -1]?.letter).toBe('Z')
    expect(stock).toEqual({ kind: 'box', min: [0, 0, -20], max: [40, 30, 1] })
    const slice = await server.ask('toolwake/sceneBuffer', { uri, key: bodies[0]?.positions ?? '', offset: 0 })
    if ('gone' in slice) throw new Error('The fixture is gone.')
    const corners = new Float32Array(Uint8Array.from(Buffer.from(slice.base64, 'base64')).buffer)
    const heights = Array.from({ length: corners.length / 3 }, (_, i) => corners[i * 3 + 1])
    // The plate reaches from 0 to 30 in Y; the fixture stands 90 beyond.
    expect([Math.min(...heights), Math.max(...heights)]).toEqual([90, 120])
  })

  it('tell what another version moves in another way, and nothing else', async () => {
    await start()
    await server.open(uri, job.program)
    const renumbered = job.program.replaceAll(/^N(\d+)/gm, (_, number: string) => `N${Number(number) * 3} (SAME)`)
    expect((await server.ask('toolwake/otherVersion', { uri, text: renumbered, name: 'renumbered' })).changes).toEqual([])
    const released = job.program.replace('Z-0.05', 'Z0.')
    const { changes, path, name } = await server.ask('toolwake/otherVersion', { uri, text: released, name: 'released' })
    expect(name).toBe('released')
    expect(changes).toHaveLength(1)
    const [change] = changes
    // The block that dips, and the one that comes back from there.
    expect(change.lines).toEqual([job.lineOf('Z-0.05'), job.lineOf('Z-0.05') + 1])
    expect(change.apart?.value).toBeCloseTo(0.05, 6)
    expect(change.apart?.atMost).toBeGreaterThanOrEqual(0.05 - 1e-9)
    const slice = await server.ask('toolwake/sceneBuffer', { uri, key: path.positions, offset: 0 })
    expect('totalBytes' in slice && slice.totalBytes).toBe(path.vertices * 12)
    // The scene's own arrays are still there.
    const scene = await server.ask('toolwake/scene', { uri })
    expect('gone' in await server.ask('toolwake/sceneBuffer', { uri, key: scene.path.positions, offset: 0 })).toBe(false)
    expect('gone' in await server.ask('toolwake/sceneBuffer', { uri, key: path.positions, offset: 0 })).toBe(false)
  })
})

/** The tool point at these joints, by the chains alone. */
function toolPose(kinematics: Omit<Kinematics, 'linearInverse'>, joints: Float64Array, length = NaN): number[] {
  const point = Float64Array.from(kinematics.gauge, (one, k) => one - length * (kinematics.axis[k] ?? NaN))
  applyChain(kinematics.head, joints, point, true)
  machineToPart(kinematics, joints, point, true)
  return [...point]
}
