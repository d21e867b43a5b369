/** What figures and their corrections say of each other. */
interface Corrected {
  readonly id: string;
  readonly replacesId: string | null;
  readonly replacedById: string | null;
}

/** A figure that stands, and those that stood in its place before, the latest first. */
export interface Standing<Figure> {
  readonly figure: Figure;
  readonly before: readonly Figure[];
}

/** Figures that stand, in the order in which they came, each with what it was corrected from. */
export function standingOf<Figure extends Corrected>(figures: readonly Figure[]): readonly Standing<Figure>[] {
  const byId = new Map(figures.map((figure) => [figure.id, figure]));
  return figures.filter(({ replacedById }) => replacedById === null).map((figure) => ({ figure, before: before(figure, byId) }));
}

function before<Figure extends Corrected>(figure: Figure, byId: ReadonlyMap<string, Figure>): readonly Figure[] {
  const replaced = figure.replacesId === null ? undefined : byId.get(figure.replacesId);
  return replaced === undefined ? [] : [replaced, ...before(replaced, byId)];
}
