import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { SettingsStore, defaultSettings, readSettings } from '../../server/lsp/settings.ts'

describe('settings', () => {
  it('have the defaults that package.json shows', () => {
    const manifest = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as {
      contributes: { configuration: { properties: Record<string, { default: unknown }> } }
    }
    const { properties } = manifest.contributes.configuration
    expect({
      search: properties['toolwake.contact.search'].default,
      epsilon: properties['toolwake.contact.epsilon'].default,
      threads: properties['toolwake.contact.threads'].default,
      memoryLimit: properties['toolwake.memoryLimit'].default,
      keptResults: properties['toolwake.keptResults'].default,
      rules: properties['toolwake.rules'].default,
      setupSheet: properties['toolwake.setupSheet'].default,
      setupSheets: properties['toolwake.setupSheets'].default,
      hints: {
        modes: properties['toolwake.hints.modes'].default,
        values: properties['toolwake.hints.values'].default,
        clearances: properties['toolwake.hints.clearances'].default,
      },
      toolSummary: properties['toolwake.toolSummary'].default,
    }).toEqual(defaultSettings)
  })

  it.each([undefined, null, 3, 'x', {}, { contact: null }, { contact: { search: 'sometimes', epsilon: 'small', threads: NaN }, rules: [], setupSheet: 1, setupSheets: { 'a.nc': 1, 'b.nc': '' } }])(
    'keep their defaults where a client sends %o', raw => {
      expect(readSettings(raw)).toEqual(defaultSettings)
    })

  it('are kept inside their limits', () => {
    expect(readSettings({ contact: { epsilon: 0, threads: 1e9 } })).toMatchObject({ epsilon: 0.0001, threads: 64 })
  })

  it('take levels of rules that are levels', () => {
    expect(readSettings({ rules: { 'missing-feed': 'off', gouge: 'fatal', 'axis-rate': 'error' } }).rules)
      .toEqual({ 'missing-feed': 'off', 'axis-rate': 'error' })
  })

  it('are asked once for a document, and again after a change', async () => {
    let asked = 0
    const store = new SettingsStore(async () => ({ contact: { threads: ++asked } }))
    expect((await store.of('a')).threads).toBe(1)
    expect((await store.of('a')).threads).toBe(1)
    store.forget()
    expect((await store.of('a')).threads).toBe(2)
  })

  it('are the defaults where the client fails to answer', async () => {
    const store = new SettingsStore(() => Promise.reject(new Error('gone')))
    expect(await store.of('a')).toEqual(defaultSettings)
  })
})
