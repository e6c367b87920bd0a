// Every key the two files may hold, by the object it stands in. The reader refuses what is not
// listed; the JSON Schemas in client/schemas must list the same (a test compares them).

const placement = ['mesh', 'units', 'translate', 'rotate'] as const

export const sheetKeys = {
  sheet: ['$schema', 'units', 'programs', 'machine', 'baseOffset', 'offsets', 'part', 'stock', 'fixtures', 'barriers', 'limits', 'passes', 'tools'],
  part: placement,
  stock: ['box', 'cylinder', 'offset', 'from', 'pitch', ...placement],
  box: ['min', 'max'],
  cylinder: ['diameter', 'bottom', 'top'],
  fixture: ['name', ...placement, 'clearance'],
  barrier: ['name', ...placement],
  limits: ['gouge', 'stockToLeave', 'clearance', 'leftover', 'axisStep'],
  clearance: ['neck', 'shank', 'holder', 'head', 'rapid'],
  pass: ['tools', 'from', 'to', 'limits', 'axisThrough', 'barriers', 'oneWay', 'mend'],
  mendStep: ['by', 'components', 'allow', 'clearance', 'barrier', 'point'],
  axisThrough: ['point', 'within'],
  tool: ['number', 'name', 'cutter', 'neck', 'shank', 'LPR', 'holder', 'NOF', 'centreCutting', 'point', 'lengthOffset', 'radiusOffset', 'radiusWear', 'maxSpeed', 'maxFeed'],
  neck: ['DN', 'LU'],
  shank: ['DCONMS', 'BHTA'],
  profileArc: ['to', 'radius', 'hollow'],
  segment: ['diameter', 'topDiameter', 'length'],
} as const

/** Keys of a cutter besides its shape. */
export const cutterKeys = {
  flat: ['DC', 'LCF'],
  ball: ['DC', 'LCF'],
  bull: ['DC', 'RE', 'LCF'],
  taper: ['RE', 'BHTA', 'DC', 'LCF'],
  drill: ['DC', 'SIG', 'LCF'],
  lollipop: ['DC', 'DN', 'LCF'],
  apt: ['d', 'r', 'e', 'f', 'a', 'b', 'h', 'LCF'],
  profile: ['outline', 'LCF'],
} as const

export type CutterShape = keyof typeof cutterKeys

export const cutterShapes = Object.keys(cutterKeys) as readonly CutterShape[]

export const machineKeys = {
  machine: ['$schema', 'name', 'units', 'axes', 'table', 'head', 'spindle', 'home', 'secondHome', 'bodies', 'control'],
  axis: ['kind', 'direction', 'through', 'range', 'rapid', 'maxFeed', 'acceleration'],
  spindle: ['gauge', 'axis'],
  body: ['name', 'on', ...placement],
  control: [
    'inch', 'metric', 'toolCentreOn', 'toolVectorOn', 'toolCentreOff', 'tiltedPlaneOn', 'orientTool', 'tiltedPlaneOff',
    'tiltedPlaneAngles', 'tiltedPlaneForms', 'tiltedPlaneShift', 'orientChoice', 'blockTime',
    'inverseTime', 'dwell', 'wholeNumber', 'arcCentre', 'rotaryTravel', 'rapid',
    'returnLevel', 'subprogram', 'macro', 'cycles', 'variables', 'jumps', 'callDepth', 'insideCorner', 'blockSkip', 'neutral', 'define',
  ],
  wholeNumber: ['increments'],
  tiltedPlaneAngles: ['order', 'about'],
  variables: ['unset', 'named', 'last', 'axes', 'fix', 'signBefore', 'spellings'],
  definition: ['says', 'effect'],
} as const

/** Letters an axis may have; the letter says whether it is straight or turns (ISO 841). */
export const linearLetters = ['X', 'Y', 'Z', 'U', 'V', 'W'] as const
export const rotaryLetters = ['A', 'B', 'C'] as const
export const axisLetters: readonly string[] = [...linearLetters, ...rotaryLetters]

export function isRotaryLetter(letter: string): boolean {
  return rotaryLetters.some(known => known === letter)
}
