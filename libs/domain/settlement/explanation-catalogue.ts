/** The words of one language for the figures of a settlement. */
import type { Formula, LineKind } from '#domain/settlement/lines';

export interface ExplanationCatalogue {
  /** What a figure is called. `{title}` is the charge's or tax component's own name. */
  readonly lines: Readonly<Record<LineKind, string>>;
  /** How a figure came about, in a sentence. */
  readonly formulas: Readonly<Record<Formula, string>>;
  /** A line of a difference says this before how the present figure came about: `{issued}`, `{now}`. */
  readonly changed: string;
}
