import { AUTHORITY_POLICY, startTimestampAuthority, type TimestampAuthority } from '#tests/support/timestamp-authority';
import { describeWithProgram } from '#tests/support/outside-program';
import { checkTimestamp, timestampRequest, tokenInResponse } from './timestamp';

const data = Buffer.from('{"root":"00","size":1}');
const nonce = Buffer.from('f1e2d3c4b5a69788', 'hex');

describeWithProgram('openssl', 'openssl', () => {
  let authority: TimestampAuthority;
  let token: Uint8Array;
  beforeAll(() => {
    authority = startTimestampAuthority();
    token = tokenFrom(authority);
  });
  afterAll(() => authority.close());

  function tokenFrom(from: TimestampAuthority, policy?: string): Uint8Array {
    const answered = tokenInResponse(from.answer(timestampRequest({ data, nonce, ...(policy === undefined ? {} : { policy }) })));
    if (!answered.ok) throw new Error(answered.problem);
    return answered.token;
  }
  const trust = () => ({ anchors: [authority.anchor] });

  test('a token is what was asked for, by an authority that is trusted, and openssl says so, too', async () => {
    const before = Date.now();
    const checked = await checkTimestamp({ token, data, nonce, trust: { ...trust(), policy: AUTHORITY_POLICY } });
    expect(checked).toMatchObject({ ok: true, timestamp: { policy: AUTHORITY_POLICY, authority: 'Clock of a test', trusted: true, serialNumber: expect.stringMatching(/^[0-9a-f]+$/) } });
    // Whole seconds, and made just now.
    if (checked.ok) expect(Math.abs(before - checked.timestamp.stampedAt.getTime())).toBeLessThan(60_000);
    expect(authority.verifies({ token, data })).toBe(true);
    expect(authority.verifies({ token, data: Buffer.from('other') })).toBe(false);
  });

  test('without anchors all is checked but whose it is', async () => {
    expect(await checkTimestamp({ token, data, trust: { anchors: [] } })).toMatchObject({ ok: true, timestamp: { trusted: false } });
  });

  test.each(['00ff', '7f', '80', '0000', 'ffffffffffffffff'])('the nonce %s comes back', async (digits) => {
    const own = Buffer.from(digits, 'hex');
    const answered = tokenInResponse(authority.answer(timestampRequest({ data, nonce: own })));
    expect(answered.ok && (await checkTimestamp({ token: answered.token, data, nonce: own, trust: trust() }))).toMatchObject({ ok: true });
  });

  test('a token on other bytes, another request, another policy or of a stranger is refused', async () => {
    const stranger = startTimestampAuthority({ name: 'Somebody else' });
    try {
      expect(await checkTimestamp({ token, data: Buffer.from('other'), trust: trust() })).toEqual({ ok: false, problem: 'other-data' });
      expect(await checkTimestamp({ token, data, nonce: Buffer.from('01', 'hex'), trust: trust() })).toEqual({ ok: false, problem: 'other-nonce' });
      expect(await checkTimestamp({ token, data, trust: { ...trust(), policy: '1.2.3' } })).toEqual({ ok: false, problem: 'other-policy' });
      expect(await checkTimestamp({ token: tokenFrom(stranger), data, nonce, trust: trust() })).toEqual({ ok: false, problem: 'chain-not-trusted' });
    } finally {
      stranger.close();
    }
  });

  test('an authority that does not work by the asked policy grants nothing', () => {
    expect(tokenInResponse(authority.answer(timestampRequest({ data, nonce, policy: '1.2.3.4' })))).toEqual({ ok: false, problem: 'not-granted' });
  });

  test('no byte of the token can be changed unnoticed where it matters', async () => {
    const genuine = await checkTimestamp({ token, data, nonce, trust: trust() });
    const unnoticed: number[] = [];
    for (let at = 0; at < token.length; at += 7) {
      const changed = Uint8Array.from(token, (byte, place) => (place === at ? byte ^ 0x01 : byte));
      const checked = await checkTimestamp({ token: changed, data, nonce, trust: trust() });
      // Bytes that nothing signs, such as a version, may vary; what the token says may not.
      if (checked.ok && JSON.stringify(checked) !== JSON.stringify(genuine)) unnoticed.push(at);
    }
    expect(unnoticed).toEqual([]);
  });

  test('what is no answer is none', async () => {
    expect(tokenInResponse(Buffer.from('<html>'))).toEqual({ ok: false, problem: 'unreadable' });
    expect(await checkTimestamp({ token: Buffer.from('3003020100', 'hex'), data, trust: trust() })).toEqual({ ok: false, problem: 'unreadable' });
  });
});
