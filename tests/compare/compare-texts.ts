import { comparePrograms, openScene, readProgram, summarise, underWaivers, type ProgramComparison } from '../../server/engine/service.ts'

const sheet = `{
  "programs": ["*.nc"],
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 }, "G55": { "X": 5, "Y": 0, "Z": 150 } },
  "tools": [
    { "number": 1, "name": "ball 6", "cutter": { "shape": "ball", "DC": 6, "LCF": 10 }, "LPR": 40, "holder": [{ "diameter": 20, "length": 40 }] },
    { "number": 2, "name": "flat 8", "cutter": { "shape": "flat", "DC": 8, "LCF": 12 }, "LPR": 50, "holder": [{ "diameter": 20, "length": 40 }] }
  ]
}`

/** The scene of the comparisons: the built-in table-table machine, A under C, and two tools; without a part. */
export const scene = openScene({ path: 'compare.setup.json', text: sheet }, undefined)

/** Two texts as a user would have them compared, without a search. */
export function compareTexts(old: string, now: string): ProgramComparison {
  const check = (text: string, path: string) => {
    const program = readProgram({ path, text }, scene)
    return summarise(program, scene, underWaivers(program, []), [])
  }
  return comparePrograms(check(old, 'old.nc'), check(now, 'new.nc'), scene)
}
