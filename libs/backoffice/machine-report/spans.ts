/** A message of a machine; the code of its fault may be empty. */
export type MachineEvent = { readonly kind: 'door-opened' | 'door-closed' | 'fault' | 'fault-cleared'; readonly fault: string; readonly at: Date };

/** From the message that it began to the message that it was over; null where one of them was not sent in the time that is looked at. */
export type EventSpan = { readonly kind: 'door' | 'fault'; readonly fault: string; readonly startedAt: Date | null; readonly endedAt: Date | null };

/** Messages that follow each other in time, told as spans. One that begins again before it was over goes on. */
export function spansOf(events: readonly MachineEvent[]): EventSpan[] {
  const spans: { kind: 'door' | 'fault'; fault: string; startedAt: Date | null; endedAt: Date | null }[] = [];
  for (const { kind: said, fault, at } of events) {
    const kind = said === 'door-opened' || said === 'door-closed' ? 'door' : 'fault';
    const open = spans.findLast((span) => span.kind === kind && span.fault === fault && span.endedAt === null);
    if (said === 'door-opened' || said === 'fault') {
      if (open === undefined) spans.push({ kind, fault, startedAt: at, endedAt: null });
    } else if (open !== undefined) open.endedAt = at;
    else if (!spans.some((span) => span.kind === kind && span.fault === fault)) spans.push({ kind, fault, startedAt: null, endedAt: at });
  }
  return spans;
}
