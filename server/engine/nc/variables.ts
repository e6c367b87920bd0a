// What the reader asks of the control while it works out a block: variables are read as they stand
// before the block, so that all settings of a block take effect together (NISTIR 6556 3.3.3).

/** Why the value of a variable is doubtful. */
export type VariableDoubt = 'never-set' | 'not-simulated' | 'out-of-range'

export interface VariableValue {
  /** NaN: not known. Undefined: vacant, nothing has ever been stored there. */
  readonly value: number | undefined
  readonly doubt?: VariableDoubt
}

export interface VariableSource {
  read(index: number): VariableValue
  readNamed(name: string): VariableValue
}

/** How this control writes and works out expressions. */
export interface ExpressionRules {
  /** FIX and FUP: NISTIR 6556 goes down and up; many controls go towards zero and away from it. */
  readonly fix: 'down' | 'toward-zero'
  /** Whether a sign may stand before a bracket or a variable; by the productions of NISTIR 6556 E.2 it may not. */
  readonly signBefore: boolean
  /** Other spellings of functions and operators: `{ "SQR": "SQRT" }`. */
  readonly spellings: Readonly<Record<string, string>>
}

/** `#5 = …` in a block: what is stored when the block's words have taken effect. */
export interface Setting {
  /** NaN for a named variable. */
  readonly index: number
  readonly name: string
  /** NaN: not known. Undefined: the variable becomes vacant. */
  readonly value: number | undefined
  readonly start: number
  readonly end: number
}
