import type { MomentQuery } from '#contracts/key-question';

/** The two clocks of a question: when it was so in the world, and as the books knew it then. */
export type Moment = {
  readonly at: Date;
  readonly knownAt: Date;
  /** `now`: both clocks are the present, so what is not over is the answer; `known-now`: the books as they are. */
  readonly asOf?: 'now' | 'known-now';
};

/** Both are the present where nothing else is asked. */
export function momentOf(query: MomentQuery, now: Date): Moment {
  const moment = { at: query.at === undefined ? now : new Date(query.at), knownAt: query.knownAt === undefined ? now : new Date(query.knownAt) };
  if (query.knownAt !== undefined) return moment;
  return { ...moment, asOf: query.at === undefined ? 'now' : 'known-now' };
}
