import { BlockList, isIP } from 'node:net';

/**
 * Addresses that are no host of the public internet, by the IANA registries of special-purpose addresses (RFC 6890 and those after it): this
 * host, private networks, carriers' own (RFC 6598), loopback, link-local, where clouds keep the credentials of their machines,
 * documentation, benchmarks, multicast, reserved.
 */
const SPECIAL_V4 = [
  '0.0.0.0/8',
  '10.0.0.0/8',
  '100.64.0.0/10',
  '127.0.0.0/8',
  '169.254.0.0/16',
  '172.16.0.0/12',
  '192.0.0.0/24',
  '192.0.2.0/24',
  '192.88.99.0/24',
  '192.168.0.0/16',
  '198.18.0.0/15',
  '198.51.100.0/24',
  '203.0.113.0/24',
  '224.0.0.0/4',
  '240.0.0.0/4',
];
/** All that IPv6 has given out to hosts (RFC 4291 section 2.4). What maps or carries an address of IPv4 lies outside, or is named below. */
const GLOBAL_V6 = ['2000::/3'];
const SPECIAL_V6 = ['2001::/23', '2001:db8::/32', '2002::/16', '3fff::/20'];

/** A network by its first address and the length of its prefix: `10.20.0.0/16`. */
export type Network = { readonly address: string; readonly prefix: number };

/** `undefined`: no such network. */
export function parseNetwork(text: string): Network | undefined {
  const [address = '', bits = '', more] = text.trim().split('/');
  const longest = { 4: 32, 6: 128 }[isIP(address)];
  const prefix = Number(bits);
  return longest === undefined || more !== undefined || !/^\d{1,3}$/.test(bits) || prefix > longest || address.includes('%') ? undefined : { address, prefix };
}

export type Networks = { readonly holds: (address: string) => boolean };

export function networksOf(networks: readonly Network[]): Networks {
  const list = new BlockList();
  for (const { address, prefix } of networks) list.addSubnet(address, prefix, familyOf(address));
  return { holds: (address) => isPlain(address) && list.check(address, familyOf(address)) };
}

const of = (networks: readonly string[]): Networks => networksOf(networks.flatMap((text) => parseNetwork(text) ?? []));
const [specialV4, globalV6, specialV6] = [of(SPECIAL_V4), of(GLOBAL_V6), of(SPECIAL_V6)];

/** Whether an address is that of a host of the public internet. Text that is no address is none. */
export function isPublicAddress(address: string): boolean {
  if (!isPlain(address)) return false;
  return familyOf(address) === 'ipv4' ? !specialV4.holds(address) : globalV6.holds(address) && !specialV6.holds(address);
}

/** With a zone it is an address of this machine's own links. */
function isPlain(address: string): boolean {
  return isIP(address) !== 0 && !address.includes('%');
}

function familyOf(address: string): 'ipv4' | 'ipv6' {
  return isIP(address) === 6 ? 'ipv6' : 'ipv4';
}
