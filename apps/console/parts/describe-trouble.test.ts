import { problems, type Problem, type ProblemCode } from '#contracts/problem';
import { fetchFirstWords } from '../words/words';
import { describe as inWords } from './describe-trouble';

beforeAll(fetchFirstWords);

const codes = Object.keys(problems) as ProblemCode[];

function refused(code: ProblemCode, fields: Partial<Problem> = {}): Parameters<typeof inWords>[0] {
  return { kind: 'refused', problem: { type: `/problems#${code}`, code, ...problems[code], requestId: 'r-1', ...fields } };
}

it('says of every refusal what a person can do, and nothing that only a program has', () => {
  const ofPrograms = /`|header|ETag|If-Match|Idempotency|cursor|openapi|\/v1|request\b|scope|bearer|\bid\b|\bbody\b/i;
  const told = codes.map((code) => ({ code, ...inWords(refused(code)) }));
  expect(told.filter(({ title, text }) => ofPrograms.test([title, ...text].join(' ')))).toEqual([]);
  expect(told.filter(({ text }) => text.length === 0)).toEqual([]);
});

it('keeps the detail that is about the thing, and leaves out the one that is about the request', () => {
  expect(inWords(refused('period-not-over', { detail: 'It can be closed from 2026-11-01.' })).text[0]).toBe('It can be closed from 2026-11-01');
  expect(inWords(refused('not-allowed-in-state', { detail: 'It is draft; the action is settlement.reopen.' })).text.join(' ')).not.toContain('settlement.reopen');
});

it('names the request only where the fault is on our side', () => {
  expect(inWords(refused('unexpected')).requestId).toBe('r-1');
  expect(inWords(refused('not-found')).requestId).toBeNull();
});
