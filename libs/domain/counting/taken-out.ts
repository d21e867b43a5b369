/**
 * What was taken out of boxes before they were bagged, box by box. The counting room finds the rest, so that what a box held
 * is both together. A receipt may say out of whose box it came, and how much of it was coins; what it leaves open is put down
 * to the coins and notes of which the room found less than was counted at the machine: those counts say whose cash went, and
 * which. Without such counts it is shared by what was found. The sum is what the receipts say. No source: a convention.
 */
import { allocate } from '#domain/money/allocation';

export interface FoundInBags {
  readonly boxId: string;
  readonly coinMinor: bigint;
  readonly noteMinor: bigint;
}

/** A box as the room found it; `atMachine`: what was counted at the machine before anything was taken out, null where nobody did. */
export interface BaggedBox extends FoundInBags {
  readonly atMachine: { readonly coinMinor: bigint; readonly noteMinor: bigint } | null;
}

export interface TakenReceipt {
  /** The box that it came out of; null where the receipt does not say, or names one that was not counted. */
  readonly boxId: string | null;
  readonly amountMinor: bigint;
  /** How much of it was coins, the rest being notes; null where the receipt does not say. From 0 to the amount. */
  readonly coinMinor: bigint | null;
}

type Tender = 'coin' | 'note';

/** The coins or the notes of one box. */
interface Heap {
  readonly boxId: string;
  readonly tender: Tender;
  readonly foundMinor: bigint;
  readonly atMachineMinor: bigint | null;
}

/** An amount, and where it can have come from: `null` leaves that open. */
interface Taken {
  readonly boxId: string | null;
  readonly tender: Tender | null;
  readonly amountMinor: bigint;
}

/**
 * One entry per box, in the order of `boxes`, whose amounts sum to the receipts to the unit. What says most is put down first.
 * Left-over units go by largest remainder, a tie to the box listed first and to coins before notes; no boxes, nothing.
 */
export function takenOutOfBoxes({ boxes, receipts }: { readonly boxes: readonly BaggedBox[]; readonly receipts: readonly TakenReceipt[] }): FoundInBags[] {
  if (boxes.length === 0) return [];
  const heaps = boxes.flatMap(heapsOf);
  const taken = heaps.map(() => 0n);
  for (const amount of together(boxes, receipts)) {
    const places = heaps.flatMap((heap, place) => (isOf(heap, amount) ? [place] : []));
    const found = places.flatMap((place) => heaps[place] ?? []);
    const shares = shared(found, { amountMinor: amount.amountMinor, alreadyMinor: places.map((place) => taken[place] ?? 0n) });
    places.forEach((place, index) => (taken[place] = (taken[place] ?? 0n) + (shares[index] ?? 0n)));
  }
  return boxes.map(({ boxId }, place) => ({ boxId, coinMinor: taken[2 * place] ?? 0n, noteMinor: taken[2 * place + 1] ?? 0n }));
}

function heapsOf({ boxId, coinMinor, noteMinor, atMachine }: BaggedBox): [Heap, Heap] {
  return [
    { boxId, tender: 'coin', foundMinor: coinMinor, atMachineMinor: atMachine?.coinMinor ?? null },
    { boxId, tender: 'note', foundMinor: noteMinor, atMachineMinor: atMachine?.noteMinor ?? null },
  ];
}

/** What can have come from the same heaps is one amount: of one box and tender, of one box, of one tender, of any. */
function together(boxes: readonly BaggedBox[], receipts: readonly TakenReceipt[]): Taken[] {
  const known = new Set(boxes.map(({ boxId }) => boxId));
  const parts = receipts.flatMap(({ boxId: named, amountMinor, coinMinor }): Taken[] => {
    const boxId = named !== null && known.has(named) ? named : null;
    if (coinMinor === null) return [{ boxId, tender: null, amountMinor }];
    return [{ boxId, tender: 'coin', amountMinor: coinMinor }, { boxId, tender: 'note', amountMinor: amountMinor - coinMinor }];
  });
  const scopes = [...boxes.map(({ boxId }) => boxId), null].flatMap((boxId) => (['coin', 'note', null] as const).map((tender) => ({ boxId, tender })));
  return scopes
    .map((scope) => ({ ...scope, amountMinor: sumOf(parts.filter((part) => part.boxId === scope.boxId && part.tender === scope.tender).map(({ amountMinor }) => amountMinor)) }))
    .filter(({ amountMinor }) => amountMinor > 0n);
}

function isOf(heap: Heap, { boxId, tender }: Taken): boolean {
  return (boxId === null || boxId === heap.boxId) && (tender === null || tender === heap.tender);
}

/** First what is missing of the counts at the machines; more than that came out of boxes that nobody counted there, where there are any. */
function shared(heaps: readonly Heap[], { amountMinor, alreadyMinor }: { readonly amountMinor: bigint; readonly alreadyMinor: readonly bigint[] }): bigint[] {
  const missing = heaps.map(({ foundMinor, atMachineMinor }, place) => {
    const gapMinor = (atMachineMinor ?? 0n) - foundMinor - (alreadyMinor[place] ?? 0n);
    return gapMinor > 0n ? gapMinor : 0n;
  });
  const found = heaps.map(({ foundMinor }) => foundMinor);
  const uncounted = heaps.map(({ foundMinor, atMachineMinor }) => (atMachineMinor === null ? foundMinor : 0n));
  const missingMinor = sumOf(missing);
  const explainedMinor = amountMinor < missingMinor ? amountMinor : missingMinor;
  const explained = allocate({ amountMinor: explainedMinor, weights: missing });
  const weights = [uncounted, missing].find((each) => sumOf(each) > 0n) ?? found;
  const rest = allocate({ amountMinor: amountMinor - explainedMinor, weights });
  return heaps.map((_heap, place) => (explained[place] ?? 0n) + (rest[place] ?? 0n));
}

const sumOf = (amounts: readonly bigint[]): bigint => amounts.reduce((sum, each) => sum + each, 0n);
