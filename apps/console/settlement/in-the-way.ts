import { troubleOf } from '../api/problem';
import { sayFieldError, type Said } from '../parts/field-words';

/** What a refused review named: the differences and the boxes, in words, and by the ids by which an owner lets them pass. */
export interface InTheWay {
  readonly said: readonly Said[];
  readonly flagIds: readonly string[];
  readonly placementIds: readonly string[];
  /** Whose boxes nobody counted as they left. */
  readonly machines: readonly { readonly id: string; readonly tag: string }[];
}

/** Boxes whose meters cannot tell what they imply, for which a settlement waits. */
export function untoldBoxes(error: unknown): readonly { readonly collectionId: string; /** Where readings of it are entered. */ readonly machineId: string | undefined; readonly tag: string }[] {
  const trouble = troubleOf(error);
  if (trouble?.kind !== 'refused') return [];
  return (trouble.problem.errors ?? []).flatMap(({ code, values: { collectionId, machineId, machine } = {} }) => (code !== 'box-untold' || collectionId === undefined || machine === undefined ? [] : [{ collectionId, machineId, tag: machine }]));
}

/** Null where something else was the matter, which nobody may let pass. */
export function inTheWay(error: unknown): InTheWay | null {
  const trouble = troubleOf(error);
  if (trouble?.kind !== 'refused' || (trouble.problem.code !== 'flags-open' && trouble.problem.code !== 'boxes-not-counted')) return null;
  const { errors = [] } = trouble.problem;
  const each = errors.map(({ values = {} }) => values);
  const machines = new Map(each.flatMap(({ machineId, machine }) => (machineId === undefined || machine === undefined ? [] : [[machineId, machine] as const])));
  return {
    // Two of a machine and day read alike.
    said: [...new Map(errors.map(sayFieldError).map((said) => [said.message, said])).values()],
    flagIds: each.flatMap(({ flagId }) => flagId ?? []),
    placementIds: each.flatMap(({ placementId }) => placementId ?? []),
    machines: [...machines].map(([id, tag]) => ({ id, tag })),
  };
}
