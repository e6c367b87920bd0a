import type { Problem } from '../../shared/problem.ts'

/** A sheet that uses every key and has nothing to complain of, apart from what is not simulated yet. */
export const fullSheet = `{
  // Comments and trailing commas are welcome.
  "$schema": "../client/schemas/setup.schema.json",
  "units": "mm",
  "programs": ["inlet.nc", "op2/**/*.nc"],
  "machine": "trunnion.machine.json",
  "baseOffset": "G54",
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 }, "G55": { "X": 10, "Y": 20, "Z": 150, "C": 90 } },
  "part": { "mesh": "inlet.stl", "units": "mm", "translate": [1, 2, 3], "rotate": [90, 0, 45] },
  "stock": { "box": { "min": [-40, -40, -50], "max": [40, 40, 2] } },
  "fixtures": [{ "name": "vice jaw", "mesh": "jaw.stl", "clearance": 2 }],
  "barriers": [{ "name": "floor", "mesh": "floor.stl" }],
  "limits": {
    "gouge": 0.02, "stockToLeave": 0.1, "leftover": 0.06, "axisStep": 4,
    "clearance": { "neck": 0.16, "shank": 0.17, "holder": 1.1, "head": 5.1, "rapid": 1.2 },
  },
  "passes": [
    {
      "tools": [3], "from": "N100", "to": "N4000", "limits": { "gouge": 0.03, "clearance": { "neck": 0.2 } },
      "axisThrough": { "point": [0, 0, 60], "within": 0.05 }, "barriers": ["floor"], "oneWay": true,
    },
  ],
  "tools": [
    {
      "number": 3, "name": "ball 4, relieved neck",
      "cutter": { "shape": "ball", "DC": 4, "LCF": 6 },
      "neck": { "DN": 3.7, "LU": 24 },
      "shank": { "DCONMS": 6, "BHTA": 15 },
      "LPR": 38,
      "holder": [{ "diameter": 12, "topDiameter": 20, "length": 30 }, { "diameter": 50, "length": 20 }],
      "NOF": 2, "centreCutting": true, "point": "tip", "lengthOffset": 13, "radiusOffset": 23, "radiusWear": -0.02, "maxSpeed": 24000, "maxFeed": 3000,
    },
  ],
}
`

/** The least a sheet needs for a contact search, with one tool after the other in \`tools\`. */
export function sheetWith(tools: string, rest = ''): string {
  return `{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } }, "part": { "mesh": "part.stl" }, ${rest}"tools": [${tools}] }`
}

export const holder = '"holder": [{ "diameter": 20, "length": 40 }]'

export const fullMachine = `{
  "name": "table-table, A under C", "units": "mm",
  "axes": {
    "X": { "kind": "linear", "direction": [1, 0, 0], "range": [-300, 300], "rapid": 24000, "maxFeed": 12000, "acceleration": 3 },
    "Y": { "kind": "linear", "direction": [0, 2, 0], "range": [-300, 300] },
    "Z": { "kind": "linear", "direction": [0, 0, 1], "range": [-100, 600] },
    "A": { "kind": "rotary", "direction": [-1, 0, 0], "through": [0, 0, -50], "range": [-110, 30], "rapid": 7200, "acceleration": 180 },
    "C": { "kind": "rotary", "direction": [0, 0, -1], "through": [0, 0, 0], "range": null, "rapid": 14400 }, // turns without end
  },
  "table": ["A", "C"],
  "head": ["X", "Y", "Z"],
  "spindle": { "gauge": [0, 0, 10], "axis": [0, 0, 1] },
  "home": { "X": 0, "Y": 0, "Z": 500, "A": 0, "C": 0 },
  "secondHome": { "X": 0, "Y": 0, "Z": 600, "A": 0, "C": 0 },
  "bodies": [{ "name": "spindle nose", "on": "Z", "mesh": "nose.stl" }],
  "control": {
    "inch": ["G20"], "metric": ["G21"], "toolCentreOn": ["G43.4"], "toolVectorOn": [], "toolCentreOff": ["G49"],
    "tiltedPlaneOn": ["G68.2"], "orientTool": ["G53.1"], "tiltedPlaneOff": ["G69"],
    "tiltedPlaneAngles": { "order": "X-Y-Z", "about": "fixed" }, "orientChoice": { "0": "positive", "3": "nearest" }, "blockTime": 2,
    "inverseTime": "seconds", "dwell": { "P": "seconds" }, "wholeNumber": { "increments": 0.001 }, "arcCentre": "absolute",
    "rotaryTravel": { "C": "shortest" }, "rapid": "straight", "returnLevel": ["G98", "G99"], "subprogram": ["M98"], "macro": false,
    "cycles": false, "jumps": false, "callDepth": 4, "insideCorner": "error", "tiltedPlaneShift": "in-plane", "tiltedPlaneForms": { "2": "points" }, "blockSkip": [2],
    "variables": { "unset": "zero", "named": true, "last": 5399, "axes": "XYZAC", "fix": "toward-zero", "signBefore": false, "spellings": { "ROOT": "SQRT" } },
    "neutral": ["g05.1", "M010"], "define": { "M88": { "says": "chip conveyor on", "effect": "none" } },
  },
}
`

/** The text with one place changed; a change that finds nothing is a mistake of the test. */
export function changed(text: string, from: string, to: string): string {
  if (!text.includes(from)) throw new Error(`the example does not hold: ${from}`)
  return text.replace(from, () => to)
}

export function errorsOf(problems: readonly Problem[]): Problem[] {
  return problems.filter(problem => problem.rule === 'setup-error')
}
