import type { Visit } from '../generated';
import { fieldOfTally } from './box-draft';
import type { VisitPlace } from './draft';

/** Where what the api says of a visit was typed, and of what it is said. */
export interface TypedAt {
  /** Id of the control; null where the form has none for it. */
  readonly fieldId: string | null;
  readonly about: { readonly machineTag: string; readonly meterLabel?: string } | { readonly kind: 'refund' | 'handed'; readonly place: number } | null;
}

type Count = NonNullable<Visit['counts']>[number];

const nowhere: TypedAt = { fieldId: null, about: null };
const of = (fieldId: string): TypedAt => ({ fieldId, about: null });

/**
 * The field of the form that made `visit` for a place in it that the api names, `#/visit/counts/0/coin/amount`. What is said of a
 * list as a whole is shown at the first of it.
 */
export function fieldAt(pointer: string, { visit, machines }: { readonly visit: Visit; readonly machines: VisitPlace['machines'] }): TypedAt {
  const [list = '', index = '0', ...rest] = pointer.replace(/^#\/visit\//, '').split('/');
  const place = Number(index);
  const atMachine = (machineTag: string | undefined, field: string): TypedAt => {
    const machine = machines.find(({ tag }) => tag === machineTag);
    return machine === undefined ? nowhere : { fieldId: `${machine.machineId}-${field}`, about: { machineTag: machine.tag } };
  };
  const atMeter = (read: { readonly machineId: string; readonly meterId: string } | undefined, end: string): TypedAt => {
    const machine = machines.find(({ machineId }) => machineId === read?.machineId);
    if (machine === undefined || read === undefined) return nowhere;
    const meter = machine.meters.find(({ meterId }) => meterId === read.meterId);
    return { fieldId: `${machine.machineId}-${read.meterId}${end}`, about: { machineTag: machine.tag, ...(meter === undefined ? {} : { meterLabel: meter.label }) } };
  };
  switch (list) {
    case 'siteId':
      return of('paper-site');
    case 'happenedAt':
    case 'accountingDate':
      return of('at');
    case 'boxesExchanged':
      return of('exchanged');
    case 'scaleCheck':
      return of(index === 'referenceGrams' ? 'scale-reference' : index === 'shownGrams' ? 'scale-shown' : 'scale-name');
    case 'scaleCheckId':
      return of('scale-name');
    case 'counts': {
      const count = visit.counts?.[place];
      return count === undefined ? of('here') : atMachine(count.machineTag, fieldOfCount(count, rest));
    }
    case 'bags': {
      const bag = visit.bags?.[place];
      return atMachine(bag?.machineTag ?? undefined, fieldOfBag(rest[0]));
    }
    case 'readings':
      return atMeter(visit.readings?.[place], '');
    case 'unread':
      return atMeter(visit.unread?.[place], rest[0] === 'note' ? '-note' : '-why');
    case 'refunds':
      return fieldOfRefund(visit.refunds ?? [], place, rest[0]);
    case 'cashHanded': {
      const handed = visit.cashHanded?.[place];
      return handed?.id === undefined ? nowhere : { fieldId: `${handed.id}-${handedFields[rest[0] ?? ''] ?? 'amount'}`, about: { kind: 'handed', place: place + 1 } };
    }
    default:
      return nowhere;
  }
}

const countFields: Readonly<Record<string, string>> = { coin: 'coin', note: 'note', houseCoin: 'house', badCoin: 'bad', meteredAmount: 'metered', removal: 'leaves' };

function fieldOfCount(count: Count, [member = '', index = '0']: readonly string[]): string {
  const [line, token] = [count.tally?.[Number(index)], count.tokens?.[Number(index)]];
  if (member === 'tally' && line !== undefined) return fieldOfTally(line);
  if (member === 'tokens' && token !== undefined) return `token-${token.tokenId}`;
  return countFields[member] ?? (count.tally === undefined ? 'coin' : 'way');
}

function fieldOfBag(member: string | undefined): string {
  if (member === 'meteredAmount') return 'metered';
  if (member === 'removal') return 'leaves';
  // What is refused of bags as a whole is their seals.
  return member === undefined || member === 'seal' ? 'seal' : 'bag';
}

const refundFields: Readonly<Record<string, string>> = { machineTag: 'machine', refundedOn: 'day', paidBy: 'paid' };
const handedFields: Readonly<Record<string, string>> = { machineTag: 'box', coin: 'coin', acknowledgedBy: 'receiver' };

/** Slips that the site had entered are ticked, before those that are typed. */
function fieldOfRefund(refunds: NonNullable<Visit['refunds']>, index: number, member: string | undefined): TypedAt {
  const refund = refunds[index];
  if (refund?.claimId !== undefined) return of(`claim-${refund.claimId}`);
  if (refund?.id === undefined) return nowhere;
  return { fieldId: `${refund.id}-${refundFields[member ?? ''] ?? 'amount'}`, about: { kind: 'refund', place: refunds.slice(0, index).filter(({ claimId }) => claimId === undefined).length + 1 } };
}
