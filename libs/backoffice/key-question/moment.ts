import type { MomentQuery } from '#contracts/key-question';

/** The two clocks of a question: when it was so in the world, and as the books knew it then. */
export type Moment = { readonly at: Date; readonly knownAt: Date };

/** Both are the present where nothing else is asked. */
export function momentOf(query: MomentQuery, now: Date): Moment {
  return { at: query.at === undefined ? now : new Date(query.at), knownAt: query.knownAt === undefined ? now : new Date(query.knownAt) };
}
