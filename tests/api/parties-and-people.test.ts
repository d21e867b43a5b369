import { randomBytes, randomUUID } from 'node:crypto';
import type { CustodyEvent, MadeKeyCopies } from '#contracts/custody';
import type { TextNamingPerson } from '#contracts/erasure';
import type { EvidenceLeaf } from '#contracts/evidence';
import { erasureEntry } from '#backoffice/erasure/leaf';
import type { ErasureRow } from '#backoffice/erasure/erasure.sql';
import { lockLog } from '#backoffice/evidence/append';
import { verifyHeld } from '#command/verify-log';
import { startTestApi, TEST_PASSWORD, type TestApi, type TestClient } from '#tests/support/api';
import { onConnection } from '#tests/support/connection';
import { asTenant } from '#tests/support/database';
import { bindToPerson, keyBooks } from '#tests/support/keys';
import { errorsOf, etag, makeParty, makePerson, makeSite, nextCode, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

describe('a party', () => {
  it('is recorded, found and changed', async () => {
    const party = await makeParty(office, { name: 'Ravenmoor Estates', address: ['4 Mill Row'] });
    expect((await office.get('/v1/parties?search=ravenmoor').expect(200)).body.items).toEqual([party]);
    const changed = await office.patch(`/v1/parties/${party.id}`, { address: [], locale: 'es-MX' }).set('If-Match', etag(party)).expect(200);
    expect(changed.body).toMatchObject({ address: [], locale: 'es-MX', revision: 2 });
    expect(party['email']).toBeNull();
    const mailed = await office.patch(`/v1/parties/${party.id}`, { email: 'desk@ravenmoor.example' }).set('If-Match', etag(changed.body as Made)).expect(200);
    expect(mailed.body).toMatchObject({ email: 'desk@ravenmoor.example', locale: 'es-MX' });
    await office.patch(`/v1/parties/${party.id}`, { name: 'Late' }).set('If-Match', etag(party)).expect(412);
  });

  it.each([
    [{ locale: 'english' }, 400, '#/locale not-valid'],
    [{ locale: 'EN-us' }, 400, '#/locale not-valid'],
    [{ email: 'desk at ravenmoor' }, 400, '#/email wrong-format'],
    [{ name: '居酒屋' }, 422, '#/name not-printable'],
    [{ address: ['x'.repeat(101)] }, 400, '#/address/0 too-large'],
  ])('is refused with %j', async (wrong, status, expected) => {
    const answer = await office.post('/v1/parties', { code: nextCode('P'), name: 'Ravenmoor', locale: 'en-US', ...wrong }).expect(status);
    expect(errorsOf(answer)).toEqual([expected]);
  });

  it('is nothing that a collector or a site manager sees', async () => {
    const party = await makeParty(office);
    for (const role of ['collector', 'custodian', 'site-manager'] as const) {
      await api.operator.as(role).get(`/v1/parties/${party.id}`).expect(403);
    }
    await api.other.as('owner').get(`/v1/parties/${party.id}`).expect(404);
  });
});

describe('a person', () => {
  it('works for the operator, or for one site', async () => {
    const site = await makeSite(office);
    const collector = await makePerson(office);
    expect(collector).toMatchObject({ employedBy: 'operator', siteId: null, leftOn: null });
    const barkeeper = await makePerson(office, { employedBy: 'site', siteId: site.id });
    expect((await office.get(`/v1/people?siteId=${site.id}`).expect(200)).body.items).toEqual([barkeeper]);

    const body = { code: nextCode('E'), name: 'Orla Venn', startedOn: '2025-01-01' };
    expect(errorsOf(await office.post('/v1/people', { ...body, employedBy: 'site' }).expect(400))).toEqual(['#/siteId does-not-fit-employer']);
    expect(errorsOf(await office.post('/v1/people', { ...body, employedBy: 'operator', siteId: site.id }).expect(400))).toEqual(['#/siteId does-not-fit-employer']);
    expect(errorsOf(await office.post('/v1/people', { ...body, employedBy: 'site', siteId: randomUUID() }).expect(422))).toEqual(['#/siteId unknown']);
  });

  it('leaves on a day, and is then no longer among those at work', async () => {
    const person = await makePerson(office, { name: 'Tam Orrin' });
    const early = await office.patch(`/v1/people/${person.id}`, { leftOn: '2024-12-31' }).set('If-Match', etag(person)).expect(422);
    expect(errorsOf(early)).toEqual(['#/leftOn before-start']);
    await office.patch(`/v1/people/${person.id}`, { leftOn: '2025-06-30' }).set('If-Match', etag(person)).expect(200);
    const working = async (day: string) => (await office.get(`/v1/people?search=Tam&workingOn=${day}`).expect(200)).body.items.length;
    expect([await working('2025-06-30'), await working('2025-07-01')]).toEqual([1, 0]);
  });

  it('leaves no name in the audit trail, which cannot forget', async () => {
    const person = await makePerson(office, { name: 'Nadia Quillfeather', email: 'nadia@example.org' });
    await office.patch(`/v1/people/${person.id}`, { name: 'Nadia Brook' }).set('If-Match', etag(person)).expect(200);
    const { rows } = await asTenant(api.db, api.operator.tenantId, (tx) => tx.sql('SELECT before, after FROM audit_entry WHERE row_id = $1', [person.id]));
    expect(rows.length).toBe(2);
    expect(JSON.stringify(rows)).not.toMatch(/Quillfeather|Brook|nadia@/);
  });
});

describe('erasing somebody’s name', () => {
  let owner: TestClient;
  let custodian: TestClient;
  let keys: ReturnType<typeof keyBooks>;
  let safe: string;
  let held: { size: number; root: string };
  beforeAll(async () => {
    [owner, custodian] = [api.operator.as('owner'), api.operator.as('custodian')];
    keys = keyBooks(api.operator);
    safe = await keys.store();
  });

  const dayOf = (instant: string): string => instant.slice(0, 10);
  const code = (answer: { body: unknown }): string => (answer.body as { code: string }).code;
  const leave = async (id: string): Promise<void> => {
    const { revision } = (await owner.get(`/v1/people/${id}`).expect(200)).body as Made;
    await owner.patch(`/v1/people/${id}`, { leftOn: '2026-03-30' }).set('If-Match', etag({ revision })).expect(200);
  };
  const textsNaming = async (id: string): Promise<TextNamingPerson[]> => ((await owner.get(`/v1/people/${id}/texts`).expect(200)).body as { items: TextNamingPerson[] }).items;
  const erase = (id: string, confirmed: readonly string[] = []) => owner.post(`/v1/people/${id}/erasure`, { confirmed });
  const inventory = async (reason: string): Promise<Made> =>
    (await owner.post('/v1/key-inventories', { cause: 'by-hand', storeId: await keys.store(), reason }).expect(201)).body as Made;
  const reasonOf = async ({ id }: Made): Promise<string> => ((await owner.get(`/v1/key-inventories/${id}`).expect(200)).body as { reason: string }).reason;
  const head = async () => (await owner.get('/v1/evidence/head').expect(200)).body as { size: number; root: string };
  const verify = (of = held) => verifyHeld(api.db.database, { operatorCode: api.operator.code, head: { size: of.size, root: Buffer.from(of.root, 'hex') } });
  const record = async (body: object): Promise<CustodyEvent> => {
    api.clock.advance({ milliseconds: 1000 });
    return (await custodian.post('/v1/custody-events', body).expect(201)).body as CustodyEvent;
  };
  const newCopy = async (keyClass: 'access' | 'cash-box'): Promise<string[]> => {
    const cut = await keys.cut({ class: keyClass });
    api.clock.advance({ milliseconds: 1000 });
    const made = (await owner.post('/v1/key-copies', { keyCodeId: cut.id, numbers: [nextCode('K')], storeId: safe, reason: 'New cut' }).expect(201)).body as MadeKeyCopies;
    return made.items.map(({ id }) => id);
  };
  const giveAndTakeBack = async (personId: string, reason: string): Promise<CustodyEvent> => {
    const [person, store] = [{ kind: 'person', id: personId }, { kind: 'store', id: safe }];
    const keyCopyIds = await newCopy('cash-box');
    const event = await record({ kind: 'issued', keyCopyIds, from: store, to: person, reason });
    await record({ kind: 'returned', keyCopyIds, from: person, to: store, reason: 'Given back' });
    return event;
  };

  it('goes out of what others wrote where they took part or it is confirmed, and each text is an entry of the log', async () => {
    const gone = await makePerson(owner, { name: "Quilla Marsh-O'Neil", email: 'quilla@example.com', startedOn: '2026-01-01' });
    const store = { kind: 'store', id: safe } as const;
    const cut = await keys.cut({ class: 'cash-box' });
    const made = (await owner.post('/v1/key-copies', { keyCodeId: cut.id, numbers: [nextCode('K'), nextCode('K')], storeId: safe, reason: "Cut for Marsh-O'Neil, Quilla" }).expect(201)).body as MadeKeyCopies;
    const [lost = '', kept = ''] = made.items.map(({ id }) => id);
    await record({ kind: 'issued', keyCopyIds: [lost, kept], from: store, to: { kind: 'person', id: gone.id }, reason: 'Quilla takes over the route in May' });
    await record({ kind: 'returned', keyCopyIds: [kept], from: { kind: 'person', id: gone.id }, to: store, reason: 'Given back' });
    const report = await record({ kind: 'reported-missing', keyCopyIds: [lost], reason: "QUILLA  MARSH-O'NEIL left it in a bar" });
    const [found] = ((await owner.get(`/v1/key-cases?keyCodeId=${cut.id}`).expect(200)).body as { items: { id: string; reason: string }[] }).items;
    const next = await keys.cut({ class: 'cash-box' });
    await custodian.post(`/v1/key-cases/${found?.id}/steps`, { kind: 'new-code', keyCodeId: next.id, note: 'Agreed with Quilla by phone' }).expect(200);
    await custodian.post(`/v1/key-cases/${found?.id}/close`, { reason: 'No lock takes it; quilla@example.com knows' }).expect(200);
    const because = await inventory("Because Quilla Marsh-O'Neil left");
    await leave(gone.id);
    held = await head();
    expect(await verify()).toMatchObject({ fits: true });

    const naming = await textsNaming(gone.id);
    const others = naming.filter(({ tookPart }) => !tookPart);
    expect(others.map(({ table, column, text, remaining }) => [table, column, text, remaining]).filter(([table]) => table !== 'audit_entry')).toEqual([
      ['custody_event', 'reason', "Cut for Marsh-O'Neil, Quilla", 'Cut for [erased]'],
      ['key_inventory', 'reason', "Because Quilla Marsh-O'Neil left", 'Because [erased] left'],
    ]);
    // Each with its day and the codes of what it is about, so that a namesake can be told from them.
    expect(naming.filter(({ table, writtenAt }) => writtenAt === null || (table !== 'audit_entry' && dayOf(writtenAt) !== dayOf(api.clock.now().toISOString())))).toEqual([]);
    expect(naming.find(({ text }) => text.startsWith('Quilla takes over'))?.about).toEqual(made.items.map(({ number }) => number).sort());
    expect(naming.find(({ table, text }) => table === 'key_case' && text.startsWith('No lock'))?.about).toEqual([cut.code]);
    expect(naming.filter(({ about }) => about.length === 0)).toEqual([]);
    // What the trail shows of a confirmed text goes with it.
    const confirmed = others.filter(({ table }) => table !== 'audit_entry').map(({ reference }) => reference);
    const answer = (await erase(gone.id, confirmed).expect(201)).body as { textsErased: number };
    expect(answer).toEqual({ id: gone.id, textsErased: naming.length, signaturesErased: 0, invitationsWithdrawn: 0 });

    const everything = await onConnection(api.db.urls.superuser, async (client) => {
      const tables = await client.query<{ name: string }>(`SELECT c.table_schema || '.' || c.table_name AS name FROM information_schema.columns c WHERE c.column_name = 'tenant_id' AND c.table_schema IN ('public', 'identity')`);
      const texts: { text: string }[] = [];
      for (const { name } of tables.rows) texts.push(...(await client.query<{ text: string }>(`SELECT t::text AS text FROM ${name} t WHERE tenant_id = $1`, [api.operator.tenantId])).rows);
      const leaves = await client.query<{ text: string }>(`SELECT convert_from(entry, 'UTF8') AS text FROM evidence_leaf`);
      return [...texts, ...leaves.rows].map(({ text }) => text).join('\n');
    });
    expect(everything.split('\n').filter((line) => /Marsh|O'Neil|quilla/i.test(line))).toEqual([]);
    // The rest of each text stays.
    expect(everything).toContain('[erased] takes over the route in May');
    expect((await owner.get(`/v1/key-cases/${found?.id}`).expect(200)).body).toMatchObject({ reason: '[erased] left it in a bar', closed: { reason: 'No lock takes it; [erased] knows' }, steps: [{ note: 'Agreed with [erased] by phone' }] });
    expect(await reasonOf(because)).toBe('Because [erased] left');

    const [first, last] = [held.size, (await head()).size];
    expect(last - first).toBe(answer.textsErased);
    const leaf = (await owner.get(`/v1/evidence/leaves/${first}`).expect(200)).body as EvidenceLeaf;
    expect(JSON.parse(leaf.entry)).toMatchObject({ kind: 'text-erased', personId: gone.id, erasedBy: `user:${owner.id}` });
    const { fits, lines } = await verify();
    // Newer than the head that is held: each is named, for whoever holds it to ask.
    expect(lines[3]).toMatch(`Of these, ${answer.textsErased} came after the head from outside.`);
    expect(lines.slice(4)).toHaveLength(answer.textsErased);
    expect(lines[4]).toMatch(`  Entry ${first + 1}: `);
    expect([fits, lines[2]]).toEqual([true, `Names and signatures that were erased: ${answer.textsErased}, of one person. An entry says of each when and by whom, and nothing else of those texts was changed since.`]);

    // Once is enough: the second time the name would be a word of ours.
    expect(code(await erase(gone.id).expect(409))).toBe('wrong-state');
    expect(code(await owner.get(`/v1/people/${gone.id}/texts`).expect(409))).toBe('wrong-state');

    // Nobody but that one function may touch a text, and nothing of an erased event is free to change.
    const refusedTo = async (url: string, text: string): Promise<void> => expect(onConnection(url, (client) => client.query(text))).rejects.toThrow(/refused|permission denied/);
    for (const url of [api.db.urls.app, api.db.urls.owner]) await refusedTo(url, `UPDATE custody_event SET reason = 'x' WHERE id = '${report.id}'`);
    await refusedTo(api.db.urls.app, `SET app.erasing = 'on'; UPDATE custody_event SET reason = 'x' WHERE id = '${report.id}'`);
    await refusedTo(api.db.urls.owner, `SELECT set_config('app.erasing', 'on', false), set_config('app.tenant', '${api.operator.tenantId}', false); UPDATE custody_event SET happened_at = happened_at - interval '1 minute', reason = 'x' WHERE id = '${report.id}'`);
    for (const text of ['INSERT INTO text_erasure SELECT * FROM text_erasure', 'DELETE FROM text_erasure', 'UPDATE custody_signature SET signature = NULL']) await refusedTo(api.db.urls.app, text);
  });

  it('of one word goes out of what its holder took part in, and stays a word elsewhere unless it is confirmed', async () => {
    const gone = await makePerson(owner, { name: 'Driver', startedOn: '2026-01-01' });
    const [stranger, meant] = [await inventory('Asked for by the driver of the insurer'), await inventory('Asked for by Driver')];
    await leave(gone.id);
    const naming = await textsNaming(gone.id);
    expect(naming.filter(({ table }) => table === 'key_inventory').map(({ text, tookPart }) => [text, tookPart])).toEqual([
      ['Asked for by the driver of the insurer', false],
      ['Asked for by Driver', false],
    ]);
    await erase(gone.id, naming.filter(({ text }) => text === 'Asked for by Driver').map(({ reference }) => reference)).expect(201);
    expect([await reasonOf(stranger), await reasonOf(meant)]).toEqual(['Asked for by the driver of the insurer', 'Asked for by [erased]']);
    expect((await owner.get(`/v1/people/${gone.id}`).expect(200)).body).toMatchObject({ name: 'Erased' });
  });

  it('stays while an account is theirs, and nothing is written about them afterwards', async () => {
    const gone = await makePerson(owner, { name: 'Tamsin Orrell' });
    const member = await api.operator.newMember('collector');
    await bindToPerson(owner, { accountId: member.id, role: 'collector', personId: gone.id });
    await leave(gone.id);
    expect((await erase(gone.id).expect(409)).body).toMatchObject({ code: 'wrong-state', detail: expect.stringContaining('end their account first') });
    const { revision } = (await owner.get(`/v1/members/${member.id}`).expect(200)).body as Made;
    await owner.delete(`/v1/members/${member.id}`).set('If-Match', etag({ revision })).expect(204);
    await erase(gone.id).expect(201);
    const another = await api.operator.newMember('collector');
    expect(errorsOf(await owner.put(`/v1/members/${another.id}`, { role: 'collector', personId: gone.id, siteIds: [] }).set('If-Match', '"1"').expect(422))).toEqual(['#/personId unknown']);
    const after = (await owner.get(`/v1/people/${gone.id}`).expect(200)).body as Made;
    expect((await owner.patch(`/v1/people/${gone.id}`, { name: 'Tamsin Orrell' }).set('If-Match', etag(after)).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  });

  it('takes open invitations with it: no account is made of who is erased', async () => {
    const gone = await makePerson(owner, { name: 'Ilse Varga', email: 'ilse@example.com', startedOn: '2026-01-01' });
    const link = (await owner.post('/v1/invitations', { email: 'route-seven@example.org', role: 'collector', personId: gone.id, siteIds: [] }).expect(201)).body as { address: string; expiresAt: string };
    await leave(gone.id);
    const { openInvitations } = (await owner.get(`/v1/people/${gone.id}/texts`).expect(200)).body as { openInvitations: unknown };
    expect(openInvitations).toEqual([{ email: 'route-seven@example.org', expiresAt: link.expiresAt }]);
    expect((await erase(gone.id).expect(201)).body).toMatchObject({ invitationsWithdrawn: 1, textsErased: 1 });
    expect(((await owner.get('/v1/open-links').expect(200)).body as { items: { email: string }[] }).items.filter(({ email }) => /route-seven|erased/.test(email))).toEqual([]);
    // The name does not stand in that address: it is gone as a whole, out of the answer that is kept for the same request as well.
    const kept = await onConnection(api.db.urls.superuser, (client) =>
      client.query(`SELECT email AS text FROM identity.one_use_link WHERE email ~ 'route-seven' UNION ALL SELECT body FROM idempotency_record WHERE body ~ 'route-seven'`));
    expect(kept.rows).toEqual([]);
    expect(code(await api.anonymous.post('/v1/links/accept-invitation').send({ secret: link.address.split('#')[1], name: 'Ilse', password: TEST_PASSWORD }).expect(422))).toBe('link-unusable');
  });

  it('keeps whoever is erased at the same moment from being invited', async () => {
    const gone = await makePerson(owner, { name: 'Oda Prell', startedOn: '2026-01-01' });
    const { answer } = await asTenant(api.db, api.operator.tenantId, async (tx) => {
      await tx.sql('UPDATE person SET erased_at = now() WHERE id = $1', [gone.id]);
      let isAnswered = false;
      const invited = owner.post('/v1/invitations', { email: 'oda@example.org', role: 'collector', personId: gone.id, siteIds: [] }).then((said) => {
        isAnswered = true;
        return said;
      });
      const isWaiting = async () => (await tx.sql(`SELECT FROM pg_locks WHERE NOT granted AND locktype = 'transactionid' LIMIT 1`)).rowCount > 0;
      while (!isAnswered && !(await isWaiting()));
      return { answer: invited };
    });
    expect(errorsOf(await answer)).toEqual(['#/personId unknown']);
  });

  it('of a namesake stays, and what is confirmed must be a text that was listed, as it reads now', async () => {
    const [gone, namesake] = [await makePerson(owner, { name: 'Cash Shortage', startedOn: '2026-01-01' }), await makePerson(owner, { name: 'Cash Shortage' })];
    const event = await giveAndTakeBack(namesake.id, 'Cash Shortage starts on Monday');
    await leave(gone.id);
    const listed = await textsNaming(gone.id);
    expect(listed).toMatchObject([{ table: 'custody_event', row: event.id, text: 'Cash Shortage starts on Monday', tookPart: false }]);
    expect(errorsOf(await erase(gone.id, [listed[0]?.reference ?? '', 'f'.repeat(64)]).expect(422))).toEqual(['#/confirmed/1 unknown']);
    expect(errorsOf(await erase(gone.id, ['every one']).expect(400))).toEqual(['#/confirmed/0 wrong-format']);
    expect((await erase(gone.id).expect(201)).body).toMatchObject({ textsErased: 0 });
    expect((await owner.get(`/v1/custody-events/${event.id}`).expect(200)).body).toMatchObject({ reason: 'Cash Shortage starts on Monday' });
  });

  it('two names out of one text: what stood there in between is as little to be guessed at as what stood first', async () => {
    const [one, two] = [await makePerson(owner, { name: 'Ansel Brede', startedOn: '2026-01-01' }), await makePerson(owner, { name: 'Tove Hallin', startedOn: '2026-01-01' })];
    const event = await giveAndTakeBack(one.id, 'Ansel Brede instead of Tove Hallin');
    await leave(one.id);
    await leave(two.id);
    await erase(one.id).expect(201);
    await erase(two.id, (await textsNaming(two.id)).map(({ reference }) => reference)).expect(201);
    expect((await owner.get(`/v1/custody-events/${event.id}`).expect(200)).body).toMatchObject({ reason: '[erased] instead of [erased]' });
    const { rows } = await asTenant(api.db, api.operator.tenantId, (tx) =>
      tx.sql<{ kept: boolean; follows: boolean | null }>(
        `SELECT after_salt IS NOT NULL AS kept, before_digest = lag(after_digest) OVER (ORDER BY id) AS follows FROM text_erasure WHERE row_id = $1 ORDER BY id`, [event.id]),
    );
    expect(rows).toEqual([{ kept: false, follows: null }, { kept: true, follows: true }]);
    held = await head();
    expect((await verify()).lines).toHaveLength(3);
  });

  it('goes out of what a phone sent, wherever it stands in it', async () => {
    const gone = await makePerson(owner, { name: 'Wim Daleth', startedOn: '2026-01-01' });
    const [device, visit] = [randomUUID(), randomUUID()];
    const body = { note: 'Door open,\nWim Daleth knows', boxes: [{ machine: 'M-1', remark: 'asked wim  daleth', coin: '12.50' }] };
    await asTenant(api.db, api.operator.tenantId, async (tx) => {
      await tx.sql(`INSERT INTO collector_device (tenant_id, id, name, account_id, person_id, secret_hash, registered_at) VALUES ($1, $2, 'Phone of Wim Daleth', $3, $4, sha256('x'), now())`, [tx.tenantId, device, randomUUID(), gone.id]);
      await tx.sql(
        `INSERT INTO phone_visit (tenant_id, id, device_id, sequence, body, body_hash, outcome, problem, received_at, received_from) VALUES ($1, $2, $3, 1, $4, sha256('x'), 'quarantined', '{}', now(), '127.0.0.1')`,
        [tx.tenantId, visit, device, JSON.stringify(body)],
      );
    });
    await leave(gone.id);
    await erase(gone.id).expect(201);
    const { rows } = await asTenant(api.db, api.operator.tenantId, (tx) => tx.sql('SELECT v.body, d.name FROM phone_visit v JOIN collector_device d ON d.id = v.device_id WHERE v.id = $1', [visit]));
    expect(rows).toEqual([{ name: 'Phone of [erased]', body: { note: 'Door open,\n[erased] knows', boxes: [{ machine: 'M-1', remark: 'asked [erased]', coin: '12.50' }] } }]);
    expect(await verify()).toMatchObject({ fits: true });
  });

  it.each([
    ['an erased reason that was written anew', `UPDATE custody_event SET reason = 'He never had it' WHERE id = $1`, 'custody_event.reason of $1 is not what its erasing left'],
    ['one written anew under a salt of its own', `UPDATE custody_event SET reason = 'He never had it', reason_salt = uuid_send(gen_random_uuid()) WHERE id = $1`, 'custody_event.reason of $1 is not what its erasing left'],
    ['anything else of its event', `UPDATE custody_event SET happened_at = happened_at - interval '1 minute' WHERE id = $1`, 'is not what the books say of it now'],
    ['its record', `UPDATE text_erasure SET erased_by = 'system:test' WHERE row_id = $1`, 'is not what is recorded of its erasing now'],
    ['its record, gone', `DELETE FROM text_erasure WHERE row_id = $1`, 'is not what is recorded of its erasing now'],
    ['its salt, so that nobody can tell', `UPDATE text_erasure SET after_salt = NULL WHERE row_id = $1`, 'custody_event.reason of $1 is not what its erasing left'],
    ['another reason, made to look erased', `UPDATE custody_event SET reason = '[erased] had it', reason_salt = NULL, reason_erased_at = now() WHERE id = $2`, 'counts as erased, but no entry says who erased it'],
    ['and recorded as erased, past the log', `INSERT INTO text_erasure (tenant_id, person_id, table_name, column_name, row_id, took_part, before_digest, after_digest, after_salt, erased_at, erased_by)
       SELECT tenant_id, person_id, table_name, column_name, $2::uuid::text, took_part, before_digest, after_digest, after_salt, erased_at, erased_by FROM text_erasure WHERE row_id = $1 LIMIT 1`, 'the log does not hold it'],
    ['an erased note of a case', `UPDATE key_case_step SET note = 'x' WHERE id = (SELECT row_id::uuid FROM text_erasure WHERE table_name = 'key_case_step' LIMIT 1)`, 'key_case_step.note of'],
    ['a signature', `UPDATE custody_signature SET signed_name = 'Somebody'`, 'is not as it was given'],
    ['a signature, erased by nobody', `UPDATE custody_signature SET signed_name = NULL, signature = NULL, salt = NULL, erased_at = now(), erased_by = 'system:test'`, 'no entry says that it was erased'],
  ])('%s is found, though the log is left alone', async (_, change, expected) => {
    const [erased, plain] = await erasedAndPlain();
    await onConnection(api.db.urls.superuser, async (client) => {
      const tables = ['custody_event', 'text_erasure', 'key_case_step', 'custody_signature'];
      for (const table of tables) await client.query(`CREATE TABLE kept_${table} AS TABLE ${table}; ALTER TABLE ${table} DISABLE TRIGGER ALL`);
      try {
        const { rowCount } = await client.query(change.replaceAll('$1', `'${erased}'`).replaceAll('$2', `'${plain}'`));
        expect(rowCount).toBeGreaterThan(0);
        const { fits, lines } = await verify();
        expect([fits, lines[1]]).toEqual([false, expect.stringContaining(expected.replace('$1', erased))]);
      } finally {
        for (const table of tables.toReversed()) await client.query(`DELETE FROM ${table}`);
        for (const table of tables) await client.query(`INSERT INTO ${table} TABLE kept_${table}; DROP TABLE kept_${table}; ALTER TABLE ${table} ENABLE TRIGGER ALL`);
      }
    });
    expect(await verify()).toMatchObject({ fits: true });
  });

  it('a reason that whoever owns the server erased, with a record and an entry that fit, is named as newer than the head that is held', async () => {
    const [, plain] = await erasedAndPlain();
    held = await head();
    await onConnection(api.db.urls.superuser, async (client) => {
      await client.query('ALTER TABLE custody_event DISABLE TRIGGER ALL');
      const { rows } = await client.query<ErasureRow>(
        `WITH new AS (UPDATE custody_event SET reason = '[erased]', reason_salt = NULL, reason_erased_at = now() WHERE id = $1 RETURNING *)
         INSERT INTO text_erasure (tenant_id, person_id, table_name, column_name, row_id, took_part, before_digest, after_digest, after_salt, erased_at, erased_by)
         SELECT old.tenant_id, $2, 'custody_event', 'reason', old.id::text, true, sha256(old.reason_salt || convert_to(old.reason, 'UTF8')), sha256(decode($3, 'hex') || '[erased]'::bytea), decode($3, 'hex'), date_trunc('milliseconds', now()), 'user:nobody'
           FROM custody_event old, new WHERE old.id = new.id RETURNING *`,
        [plain, await anybody(), randomBytes(16).toString('hex')],
      );
      await client.query('ALTER TABLE custody_event ENABLE TRIGGER ALL');
      await asTenant(api.db, api.operator.tenantId, async (tx) => {
        const log = await lockLog(tx, { now: () => api.clock.now(), randomBytes });
        await log.append(rows.map((row) => ({ subjectId: row.id, entry: erasureEntry(row) })));
      });
    });
    const { fits, lines } = await verify();
    expect([fits, lines.slice(3)]).toEqual([true, [expect.stringContaining('Of these, 1 came after the head from outside.'), expect.stringMatching(`^  Entry ${held.size + 1}: custody_event.reason of ${plain}, on .* by user:nobody`)]]);
  });

  const anybody = async (): Promise<string> => (await makePerson(owner)).id;
  let made: [string, string] | undefined;
  /** An event out of whose reason a name went, and one of whose nothing did; somebody signed for that one. */
  async function erasedAndPlain(): Promise<[string, string]> {
    if (made !== undefined) return made;
    const gone = await makePerson(owner, { name: 'Piet Lund', startedOn: '2026-01-01' });
    const barkeeper = await makePerson(owner, { employedBy: 'site', siteId: (await makeSite(owner)).id });
    const erased = await giveAndTakeBack(gone.id, 'Piet takes over');
    const plain = await record({ kind: 'issued', keyCopyIds: await newCopy('access'), from: { kind: 'store', id: safe }, to: { kind: 'person', id: barkeeper.id }, reason: 'For the bar' });
    await custodian.post(`/v1/custody-events/${plain.id}/signatures`, { side: 'receiver', name: 'B. Keeper', signature: { kind: 'typed', text: 'B. Keeper' } }).expect(201);
    await leave(gone.id);
    await erase(gone.id).expect(201);
    return (made = [erased.id, plain.id]);
  }
});
