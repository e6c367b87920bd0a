// What stands under every verdict, wherever it is shown: common practice at the machine. Lines of a terminal.

/** What a check does not look at: stock and what is left of it only where the sheet asks for them. */
export function notLookedAt({ isStockFollowed, isResultMeasured }: { readonly isStockFollowed: boolean, readonly isResultMeasured: boolean }): readonly string[] {
  const stock = isStockFollowed
    ? isResultMeasured ? '' : 'material left standing, '
    : isResultMeasured ? 'stock that is still to be cut, ' : 'stock and material left standing, '
  return [
    `Not looked at: ${stock}fixtures, barriers and bodies of the machine that no file gives,`,
    'control parameters, smoothing, wear, deflection, heat, chips and hoses. Code that is not simulated is named above.',
  ]
}

export const cautions: readonly string[] = [
  'A clean result is no proof of a safe program. What is said holds for the machine, tools, holders, offsets and',
  'part that were given, within the bounds stated; the facets\' own distance from the true surface comes on top.',
  'The machine builder\'s manual and the rules of the site come first. Only qualified, authorised people run the',
  'machine. Prove out the first piece: single block, reduced rapid, dry run. This is no safety function: guards',
  'and interlocks stay on.',
]
