import { momentOf } from './moment';

const now = new Date('2026-05-02T12:00:00Z');
const said = (text: string | undefined) => momentOf(text, { now, field: 'startedAt' });

it('takes what a fast clock puts minutes ahead for the present, and refuses what lies further ahead by the field that says it', () => {
  expect(said(undefined)).toEqual({ ok: true, value: now });
  expect(said('2026-05-02T11:59:59Z')).toEqual({ ok: true, value: new Date('2026-05-02T11:59:59Z') });
  expect(said('2026-05-02T12:00:40Z')).toEqual({ ok: true, value: now });
  expect(said('2026-05-02T12:05:00Z')).toEqual({ ok: true, value: now });
  expect(said('2026-05-02T12:05:00.001Z')).toMatchObject({ ok: false, failure: { code: 'invalid-command', errors: [{ pointer: '#/startedAt', code: 'in-future' }] } });
});
