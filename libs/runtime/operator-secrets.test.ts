import { operatorSecretsUnder } from './operator-secrets';
import { masterKeyFrom, newKeyBytes } from './secrets-at-rest';

const tenantId = '0193a000-0000-7000-8000-000000000001';
const purpose = 'statement signing key';
const plaintext = Buffer.from('a private key');

function dataKeyOf(box: ReturnType<typeof operatorSecretsUnder>, id: string, owner = tenantId) {
  return { id, wrappedKey: box.newDataKey(owner).wrappedKey };
}

it('opens what it sealed under any of the operator\'s data keys', () => {
  const box = operatorSecretsUnder([masterKeyFrom(newKeyBytes())]);
  const dataKeys = [dataKeyOf(box, 'newer'), dataKeyOf(box, 'older')] as const;
  const sealed = box.seal({ plaintext, tenantId, purpose, dataKey: dataKeys[1] });
  expect(box.open({ sealed, tenantId, purpose, dataKeys })).toEqual(plaintext);
});

it('opens under a master key that was replaced, as long as it is at hand', () => {
  const [before, after] = [masterKeyFrom(newKeyBytes()), masterKeyFrom(newKeyBytes())];
  const box = operatorSecretsUnder([before]);
  const dataKey = dataKeyOf(box, 'data-1');
  const sealed = box.seal({ plaintext, tenantId, purpose, dataKey });
  expect(operatorSecretsUnder([after, before]).open({ sealed, tenantId, purpose, dataKeys: [dataKey] })).toEqual(plaintext);
  expect(() => operatorSecretsUnder([after]).open({ sealed, tenantId, purpose, dataKeys: [dataKey] })).toThrow('unknown-key');
});

it('does not open another operator\'s secret, nor one for another purpose', () => {
  const box = operatorSecretsUnder([masterKeyFrom(newKeyBytes())]);
  const dataKey = dataKeyOf(box, 'data-1');
  const sealed = box.seal({ plaintext, tenantId, purpose, dataKey });
  expect(() => box.open({ sealed, tenantId: 'another', purpose, dataKeys: [dataKey] })).toThrow('damaged');
  expect(() => box.open({ sealed, tenantId, purpose: 'another', dataKeys: [dataKey] })).toThrow('damaged');
});
