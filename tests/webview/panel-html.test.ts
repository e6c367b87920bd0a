import { expect, test } from 'vitest'
import { viewerPage } from '../../client/viewer/panel-html.ts'

const page = viewerPage({ script: 'https://local/webview.js', style: 'https://local/webview.css', cspSource: 'https://local', nonce: 'abc123', program: 'a"><script>.nc' })

test('nothing loads but our own files, by nonce', () => {
  const policy = /http-equiv="Content-Security-Policy" content="([^"]*)"/.exec(page)?.[1] ?? ''
  const parts = Object.fromEntries(policy.split('; ').map(part => [part.slice(0, part.indexOf(' ')), part.slice(part.indexOf(' ') + 1)]))
  expect(parts).toEqual({
    'default-src': "'none'", 'img-src': 'https://local data: blob:', 'font-src': 'https://local',
    'style-src': "'nonce-abc123'", 'script-src': "'nonce-abc123'",
  })
  expect(page).not.toContain('unsafe')
})

test('a file name is text, whatever it holds', () => {
  expect(page).toContain('<title>a&quot;&gt;&lt;script&gt;.nc</title>')
  expect(page.match(/<script/g)).toHaveLength(1)
})
