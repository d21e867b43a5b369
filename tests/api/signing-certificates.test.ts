import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { listCertificates } from '#backoffice/certificate/read';
import { operatorSigner } from '#backoffice/certificate/signer';
import { startTestApi, type TestApi } from '#tests/support/api';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { workDeps } from '#tests/support/work';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api?.close());

test('what is no PKCS#12 file is refused, naming the field', async () => {
  const answer = await api.operator.as('owner').post('/v1/signing-certificates', { pkcs12: Buffer.from('nonsense').toString('base64'), password: 'x' }).expect(422);
  expect(answer.body.errors).toEqual([expect.objectContaining({ pointer: '#/pkcs12', code: 'not-a-pkcs12-file' })]);
  await api.operator.as('owner').post('/v1/signing-certificates', { pkcs12: '***', password: 'x' }).expect(400);
  expect((await api.operator.as('auditor').get('/v1/signing-certificates').expect(200)).body).toEqual({ items: [] });
});

test('nothing is signed under a certificate that has expired: the last one that is still valid is used, or a new one made', async () => {
  const deps = workDeps(api.backoffice);
  const scope = { tenantId: api.operator.tenantId, kind: 'system', id: 'test' } as const;
  const first = await operatorSigner(deps, scope);
  expect(await operatorSigner(deps, scope)).toMatchObject({ certificateId: first.certificateId });
  // Made for ten years.
  const later = new Date('2036-04-01T12:00:00Z');
  const second = await operatorSigner({ ...deps, clock: { now: () => later } }, scope);
  expect(second.certificateId).not.toBe(first.certificateId);
  const caller = { kind: 'system', id: 'test', tenantId: api.operator.tenantId } as const;
  const inUse = async (now: Date) => {
    const listed = await listCertificates({ ...api.backoffice, clock: { now: () => now } }, caller);
    return listed.ok ? listed.value.items.filter((item) => item.inUse).map((item) => item.id) : [];
  };
  expect([await inUse(api.clock.now()), await inUse(later)]).toEqual([[first.certificateId], [second.certificateId]]);
});

describeWithProgram('openssl', 'openssl', () => {
  let folder: string;
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'own-certificate-'));
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  /** Valid from the year before the test's clock to the year after it, as far as the days say. */
  function pkcs12(days: { notBefore: string; notAfter: string }): string {
    const run = (...words: string[]): void => {
      const { exitCode, stderr } = runProgram('openssl', words, { cwd: folder });
      if (exitCode !== 0) throw new Error(stderr);
    };
    run('req', '-newkey', 'rsa:2048', '-nodes', '-keyout', 'own.key', '-out', 'own.csr', '-subj', '/CN=Lakeside Route Company');
    run('req', '-x509', '-newkey', 'rsa:2048', '-nodes', '-keyout', 'ca.key', '-out', 'ca.crt', '-days', '3650', '-subj', '/CN=Own Authority');
    // `openssl ca` is the one that takes both days.
    writeFileSync(join(folder, 'index.txt'), '');
    const database = ['[ca]', 'default_ca=d', '[d]', 'dir=.', 'database=index.txt', 'new_certs_dir=.', 'rand_serial=yes', 'default_md=sha256', 'policy=p', '[p]', 'commonName=supplied'];
    writeFileSync(join(folder, 'ca.cnf'), database.join('\n'));
    run('ca', '-batch', '-config', 'ca.cnf', '-cert', 'ca.crt', '-keyfile', 'ca.key', '-in', 'own.csr', '-out', 'own.crt', '-startdate', days.notBefore, '-enddate', days.notAfter, '-notext');
    run('pkcs12', '-export', '-inkey', 'own.key', '-in', 'own.crt', '-certfile', 'ca.crt', '-out', 'own.p12', '-passout', 'pass:right');
    return readFileSync(join(folder, 'own.p12')).toString('base64');
  }

  it('is taken when its password is right and it is valid now, once, by an owner', async () => {
    const good = pkcs12({ notBefore: '20250101000000Z', notAfter: '20300101000000Z' });
    const owner = api.operator.as('owner');
    const wrong = await owner.post('/v1/signing-certificates', { pkcs12: good, password: 'wrong' }).expect(422);
    expect(wrong.body.errors).toEqual([expect.objectContaining({ pointer: '#/password', code: 'wrong-password' })]);
    await api.operator.as('bookkeeper').post('/v1/signing-certificates', { pkcs12: good, password: 'right' }).expect(403);

    const made = await owner.post('/v1/signing-certificates', { pkcs12: good, password: 'right' }).expect(201);
    expect(made.body).toMatchObject({ source: 'own', subject: 'CN=Lakeside Route Company', inUse: true, validTo: '2030-01-01T00:00:00.000Z' });
    await owner.post('/v1/signing-certificates', { pkcs12: good, password: 'right' }).expect(409);
    expect((await api.other.as('owner').get('/v1/signing-certificates').expect(200)).body.items).toEqual([]);
    const { rows } = await api.operator.inBooks((tx) => tx.sql<{ key: Buffer }>('SELECT sealed_private_key AS key FROM signing_certificate'));
    expect(rows[0]?.key.toString('latin1')).not.toContain('PRIVATE');
  });

  it.each([
    ['expired', { notBefore: '20240101000000Z', notAfter: '20250101000000Z' }],
    ['not-valid-yet', { notBefore: '20270101000000Z', notAfter: '20300101000000Z' }],
  ])('is refused when it is %s', async (code, days) => {
    const answer = await api.operator.as('owner').post('/v1/signing-certificates', { pkcs12: pkcs12(days), password: 'right' }).expect(422);
    expect(answer.body.errors).toEqual([expect.objectContaining({ code })]);
  });
});
