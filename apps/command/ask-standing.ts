import { statementStandingSchema, type StatementStanding } from '#contracts/statement-standing';
import type { StandingAsked } from '#statement/verify/standing-question';

const LONGEST_ANSWER_MS = 10_000;

export type AnsweredStanding = { readonly ok: true; readonly standing: StatementStanding } | { readonly ok: false; readonly why: string };

/** Asks an operator's server what became of a statement; the only thing of all that is checked for which anything goes over a network. */
export async function askStanding(server: string, asked: StandingAsked): Promise<AnsweredStanding> {
  try {
    const answer = await fetch(`${server}/v1/statements/standing?${new URLSearchParams({ ...asked }).toString()}`, { signal: AbortSignal.timeout(LONGEST_ANSWER_MS) });
    if (!answer.ok) return { ok: false, why: `it answered ${answer.status}` };
    const standing = statementStandingSchema.safeParse(await answer.json());
    return standing.success ? { ok: true, standing: standing.data } : { ok: false, why: 'it answered something else' };
  } catch (error) {
    return { ok: false, why: error instanceof Error && error.name === 'TimeoutError' ? 'it did not answer in time' : 'it cannot be reached' };
  }
}
