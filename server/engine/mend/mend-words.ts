import type { MendStep } from '../../../shared/setup.ts'
import type { StepMade } from './try-steps.ts'

// Corrections in words.

/** The correction by its name, with its allowances. */
export function sayStep({ by, components, allow, clearance, barrier }: MendStep): string {
  const details = [
    components === undefined || components.length === 4 ? undefined : components.join(', '),
    allow === undefined ? undefined : `up to ${short(allow)} mm deep`,
    clearance === undefined ? undefined : `${short(clearance)} mm clear`,
    barrier === undefined ? undefined : `"${barrier}"`,
  ].filter(each => each !== undefined)
  return details.length === 0 ? by : `${by} (${details.join('; ')})`
}

/** What a correction did, with its largest amount. */
export function sayMade({ step, most }: StepMade): string {
  const name = sayStep(step)
  switch (step.by) {
    case 'back-off': return `${name}: ${millimetres(most)} along the tool axis`
    case 'lift': return `${name}: ${millimetres(most)} off the surface`
    case 'lean': return `${name}: ${(most * 180 / Math.PI).toFixed(3)}° about the tool point`
    case 'aim': return `${name}: ${(most * 180 / Math.PI).toFixed(3)}° to the point`
    case 'end-at': return `${name}: ${millimetres(most)} of the path left out`
    case 'ease': return `${name}: down to ${(most * 100).toFixed(1)} % of the feed`
    case 'reach': return `${name}: ${millimetres(most)} more stick-out`
    default: return step.by satisfies never
  }
}

export function millimetres(value: number): string {
  return `${value.toFixed(3)} mm`
}

function short(value: number): string {
  return String(Number(value.toFixed(4)))
}
