// Everything that can be done with the picture, by name: its key, and its words for buttons, hints and the list of keys.

export const actions = {
  'fit': { key: 'f', label: 'Fit', says: 'Show all of the part from this side' },
  'view-corner': { key: '1', label: 'Corner', says: 'Look from the front left corner' },
  'view-top': { key: '2', label: 'Top', says: 'Look along Z of the part' },
  'view-front': { key: '3', label: 'Front', says: 'Look along Y of the part' },
  'view-right': { key: '4', label: 'Right', says: 'Look along X of the part' },
  'view-back': { key: '5', label: 'Back', says: 'Look against Y of the part' },
  'view-left': { key: '6', label: 'Left', says: 'Look against X of the part, from its other side' },
  'view-below': { key: '7', label: 'Below', says: 'Look against Z of the part' },
  'view-tool': { key: 't', label: 'Down the tool', says: 'Look from the spindle along the tool axis, through the tool' },
  'view-axis': { key: 'c', label: 'Along a rotary axis', says: 'Look along a rotary axis of the machine, one after the other' },
  'perspective': { key: 'v', label: 'Perspective', says: 'In perspective or parallel' },
  'part': { key: 'p', label: 'Part', says: 'Part: solid, see-through or hidden' },
  'tool': { key: 'a', label: 'Tool', says: 'Tool: solid, see-through or hidden' },
  'stock': { key: 'k', label: 'Stock', says: 'Stock before the first block: solid, its edges, or hidden' },
  'stock-now': { key: 'z', label: 'Stock as it stands', says: 'Show what is left of the stock after the block, or not' },
  'around': { key: 'u', label: 'All around the part', says: 'Fixtures, barriers and machine, all together: solid, see-through or hidden' },
  'rapids': { key: 'r', label: 'Rapids', says: 'Show rapid motion' },
  'marks': { key: 'm', label: 'Marks', says: 'Show the findings on the part' },
  'figures': { key: 'g', label: 'Figures', says: 'Show depth or clearance beside each mark' },
  'map': { key: 'y', label: 'Colours', says: 'Colour the places where cutter, neck, shank or holder come nearest to the part, or what is left on it, or nothing' },
  'whiskers': { key: 'h', label: 'Tool axes', says: 'Show the tool axis all along the path' },
  'frames': { key: 'o', label: 'Frames', says: 'Show the axes of part, machine and tool' },
  'cut': { key: 'x', label: 'Cut open', says: 'Cut open at the tool point: square to X, Y or Z, across the way, along the tool, or not' },
  'cut-back': { key: ',', label: 'Cut back', says: 'Move the cut back' },
  'cut-on': { key: '.', label: 'Cut on', says: 'Move the cut on' },
  'cut-turn': { key: 'i', label: 'Other side', says: 'Take the other side of the cut away' },
  'wake': { key: 'w', label: 'Wake', says: 'Show what the cutter leaves: behind the tool, over the chosen run, or not' },
  'run-from': { key: 'b', label: 'Run from here', says: 'The chosen run begins with this block' },
  'run-to': { key: 'e', label: 'Run to here', says: 'The chosen run ends with this block' },
  'measure': { key: 'd', label: 'Measure', says: 'Measure between two points on the part: click them, or Enter for the middle of the picture' },
  'compare': { key: 'q', label: 'Compare…', says: 'Compare the motions with another version of the program' },
  'change-before': { key: 'Shift+j', label: 'Previous change', says: 'To the previous motion that another version runs another way' },
  'change-after': { key: 'j', label: 'Next change', says: 'To the next motion that another version runs another way' },
  'picture': { key: 's', label: 'Picture…', says: 'Keep the picture with a caption in a file' },
  'play': { key: ' ', label: 'Play', says: 'Run the program, or stop it' },
  'slower': { key: '[', label: 'Slower', says: 'Run slower' },
  'faster': { key: ']', label: 'Faster', says: 'Run faster' },
  'block-before': { key: 'PageUp', label: 'Previous block', says: 'To the previous block that moves' },
  'block-after': { key: 'PageDown', label: 'Next block', says: 'To the next block that moves' },
  'finding-before': { key: 'Shift+n', label: 'Previous finding', says: 'To the previous finding of the program' },
  'finding-after': { key: 'n', label: 'Next finding', says: 'To the next finding of the program' },
  'start': { key: 'Home', label: 'Start', says: 'To the start of the program' },
  'end': { key: 'End', label: 'End', says: 'To the end of the program' },
  'quantity': { key: 'l', label: 'Strip', says: 'What the strip shows: clearance, feed, axes or their rates' },
  'keys': { key: '?', label: 'Keys', says: 'List the keys' },
} as const satisfies Readonly<Record<string, { readonly key: string, readonly label: string, readonly says: string }>>

export type ActionName = keyof typeof actions

const byKey = new Map<string, ActionName>((Object.keys(actions) as ActionName[]).map(name => [actions[name].key, name]))

/** The action of a key that was pressed, or undefined. */
export function actionOf({ key, shiftKey }: { readonly key: string, readonly shiftKey: boolean }): ActionName | undefined {
  const isLetter = /^[a-z]$/i.test(key)
  return byKey.get(isLetter ? `${shiftKey ? 'Shift+' : ''}${key.toLowerCase()}` : key)
}

/** A key as it stands on the keyboard. */
export function keyText(key: string): string {
  return { ' ': 'Space', 'PageUp': 'Page up', 'PageDown': 'Page down' }[key] ?? (key.length === 1 ? key.toUpperCase() : key.replace(/[a-z]$/, last => last.toUpperCase()))
}

/** For the hint over a button. */
export function hintOf(name: ActionName): string {
  return `${actions[name].says} (${keyText(actions[name].key)})`
}
