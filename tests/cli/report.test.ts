import { createHash } from 'node:crypto'
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'
import { schemaFaults } from './sarif-schema.ts'

// `toolwake report` as a process, on the plate: its program has one gouge, in N130.

let job: PlateJob
beforeAll(() => { job = new PlateJob() })
afterAll(() => job.remove())

async function report(args: readonly string[] = ['plate.nc'], folder = job.folder): Promise<{ readonly code: number | null, readonly errors: string, readonly output: string, readonly page: string }> {
  const { code, errors, output } = await runToolwake(['report', ...args, '--output', 'record.html'], { folder })
  const path = join(folder, 'record.html')
  return { code, errors, output, page: existsSync(path) ? readFileSync(path, 'utf8') : '' }
}

/** The data inside the page. */
function twinOf(page: string): string {
  const match = /<script type="application\/json" id="toolwake-sarif">\n([^<]*)<\/script>/.exec(page)
  return JSON.stringify(JSON.parse(match?.[1] ?? ''))
}

describe('toolwake report', () => {
  test('fails as check does, and says what was found, with which bound, where and by which tool', async () => {
    const { code, errors, output, page } = await report()
    expect([code, errors]).toEqual([1, ''])
    expect(output).toBe('The release record of plate.nc is in record.html: 1 finding. Read what was not checked before you sign it.\n')
    expect(page).toContain('<h3>gouge: 1 cause</h3>')
    expect(page).toMatch(/0\.05\d mm deep ± 0\.001 mm, limit 0\.010 mm; lines 15 to 16, 2 blocks, worst in line 15\./)
    expect(page).toContain('A clean result is no proof of a safe program.')
    expect(page).toContain('Stock: none was followed')
    expect(page).toContain('<td>☐ yes&nbsp;&nbsp;☐ no</td>')
  })

  test('names every file with the hash that its bytes have', async () => {
    const { page } = await report()
    for (const name of ['plate.nc', 'plate.setup.json', 'duct.machine.json', 'plate.stl']) {
      expect(page).toContain(createHash('sha256').update(readFileSync(join(job.folder, name))).digest('hex'))
    }
  })

  test('the twin inside is the SARIF of a check, valid', async () => {
    const { page } = await report(), twin = twinOf(page)
    const { output } = await runToolwake(['check', 'plate.nc', '--format', 'sarif'], { folder: job.folder })
    expect(schemaFaults(JSON.parse(twin))).toEqual([])
    expect(twin).toBe(JSON.stringify(JSON.parse(output)))
  })

  test('the same files give the same bytes, whatever the threads, the folder and the way they are named', async () => {
    const { page } = await report()
    expect((await report(['plate.nc', '--threads', '1', '--no-cache'])).page).toBe(page)
    const elsewhere = join(job.folder, 'elsewhere')
    mkdirSync(elsewhere)
    for (const name of readdirSync(job.folder).filter(name => /^(plate|duct)\./.test(name))) cpSync(join(job.folder, name), join(elsewhere, name))
    expect((await report(['plate.nc'], elsewhere)).page).toBe(page)
    expect((await report([join(elsewhere, 'plate.nc')])).page).toBe(page)
    expect(page).not.toContain(job.folder)
  })

  test('what is left on the part is drawn in colours where it is measured, the same for any number of threads', async () => {
    job.write('left.setup.json', job.sheet.replace('"gouge": 0.01', '"gouge": 0.01, "leftover": 0.05'))
    const { page } = await report(['plate.nc', '--setup', 'left.setup.json'])
    expect(page).toContain('most that may stand 0.050 mm')
    expect(page).toContain('This view shows 100.0 % of the measured surface.')
    expect((await report(['plate.nc', '--setup', 'left.setup.json', '--threads', '1', '--no-cache'])).page).toBe(page)
  })

  test('a mesh that is missing is said without the place of the job, and the record never reads as clean', async () => {
    job.write('lost.setup.json', job.sheet.replace('plate.stl', 'gone/lost.stl'))
    const { page, code } = await report(['plate.nc', '--setup', 'lost.setup.json'])
    expect(code).toBe(1)
    expect(page).toContain('mesh-unreadable')
    expect(page).toContain('gone/lost.stl')
    expect(page).not.toContain(job.folder)
    expect(page).toContain('Contact with the part: no mesh of it could be used.')
    expect(page).toContain('Not compared with a part.')
  })

  test('words of files stand in the page as words', async () => {
    job.write('odd.nc', job.program.replace('BALL 6 OVER THE TOP', '</script><b>BOLD</b>').replace('N110 Y10.5', 'N110 Y10.5 <img>'))
    const { page } = await report(['odd.nc', '--setup', 'plate.setup.json'])
    expect(page.match(/<\/script>/g)).toHaveLength(1)
    expect(page).not.toMatch(/<(b|img)>/)
    expect(twinOf(page)).toContain('odd.nc')
  })

  test('accepted findings stand apart, with their reason; nothing fails', async () => {
    job.write('accepted.nc', job.program.replace('N130 X15. Z-0.05', 'N130 X15. Z-0.05 (ACCEPT GOUGE: RELIEF POCKET)'))
    const { page, code } = await report(['accepted.nc', '--setup', 'plate.setup.json'])
    expect(code).toBe(0)
    expect(page).toContain('RELIEF POCKET')
    expect(page).toMatch(/<th scope="row">A1<\/th><td>error gouge<\/td>/)
  })

  test('a call that cannot be carried out says why and writes nothing', async () => {
    const without = await runToolwake(['report', 'plate.nc'], { folder: job.folder })
    expect([without.code, without.errors]).toEqual([2, 'toolwake: "report" needs --output FILE, where the release record is to be written, an HTML file.\n'])
    const onto = await runToolwake(['report', 'plate.nc', '--output', 'plate.nc'], { folder: job.folder })
    expect(onto.code).toBe(2)
    expect(readFileSync(join(job.folder, 'plate.nc'), 'utf8')).toBe(job.program)
    const away = await runToolwake(['report', 'none.nc', '--output', 'none.html'], { folder: job.folder })
    expect(away.code).toBe(2)
    expect(existsSync(join(job.folder, 'none.html'))).toBe(false)
  })
})
