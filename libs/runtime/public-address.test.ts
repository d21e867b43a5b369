import { isPublicAddress, networksOf, parseNetwork } from './public-address';

// One of each network of the IANA special-purpose address registries (RFC 6890), its first and its last where they are easily missed.
it.each([
  '0.0.0.0', '0.255.255.255', '10.0.0.1', '100.64.0.1', '100.127.255.255', '127.0.0.1', '127.255.255.254', '169.254.169.254', '172.16.0.1', '172.31.255.255', '192.0.0.8', '192.0.2.1',
  '192.168.1.1', '198.18.0.1', '198.19.255.255', '198.51.100.7', '203.0.113.9', '224.0.0.1', '239.255.255.255', '240.0.0.1', '255.255.255.255',
  '::', '::1', '::ffff:127.0.0.1', '::ffff:8.8.8.8', '::ffff:a00:1', '::127.0.0.1', '64:ff9b::a00:1', '64:ff9b:1::1', '100::1', '2001::1', '2001:db8::1', '2002:a00:1::1', '3fff::1', 'fc00::1', 'fd12:3456::1', 'fe80::1', 'fe80::1%eth0', 'fec0::1', 'ff02::1',
  '2606:4700::1111%eth0', 'localhost', '', '1.2.3', '0x7f.0.0.1',
])('%s is no public address', (address) => {
  expect(isPublicAddress(address)).toBe(false);
});

it.each(['1.1.1.1', '8.8.8.8', '100.63.255.255', '100.128.0.1', '172.15.255.255', '172.32.0.1', '192.0.1.1', '198.17.255.255', '198.20.0.1', '223.255.255.255', '2606:4700:4700::1111', '2a00:1450::1'])('%s is one', (address) => {
  expect(isPublicAddress(address)).toBe(true);
});

it('knows networks by their prefix, and what is none', () => {
  const networks = networksOf(['10.20.0.0/16', 'fd00::/8'].flatMap((text) => parseNetwork(text) ?? []));
  expect(['10.20.255.1', 'fd12::1'].map(networks.holds)).toEqual([true, true]);
  expect(['10.21.0.1', 'fe80::1', 'fd12::1%eth0', 'name'].map(networks.holds)).toEqual([false, false, false, false]);
  expect(networksOf([]).holds('127.0.0.1')).toBe(false);
  for (const text of ['10.0.0.0', '10.0.0.0/33', '10.0.0.0/8/8', 'fd00::/129', 'name/8', '10.0.0.0/-1', '10.0.0.0/', '']) expect(parseNetwork(text)).toBeUndefined();
});
