import { spansOf, type MachineEvent } from './spans';

const at = (time: string): Date => new Date(`2026-03-10T${time}:00Z`);
const said = (kind: MachineEvent['kind'], time: string, fault = ''): MachineEvent => ({ kind, fault, at: at(time) });

test('an open door lasts until it was closed, and a fault until it was cleared', () => {
  expect(spansOf([said('door-opened', '02:13'), said('fault', '02:14', 'E7'), said('door-closed', '02:16'), said('fault-cleared', '05:00', 'E7')])).toEqual([
    { kind: 'door', fault: '', startedAt: at('02:13'), endedAt: at('02:16') },
    { kind: 'fault', fault: 'E7', startedAt: at('02:14'), endedAt: at('05:00') },
  ]);
});

test('faults of two codes are told apart, and a door is none of them', () => {
  expect(spansOf([said('fault', '01:00', 'E7'), said('fault', '02:00', 'E8'), said('fault-cleared', '03:00', 'E8'), said('door-closed', '04:00')])).toEqual([
    { kind: 'fault', fault: 'E7', startedAt: at('01:00'), endedAt: null },
    { kind: 'fault', fault: 'E8', startedAt: at('02:00'), endedAt: at('03:00') },
    { kind: 'door', fault: '', startedAt: null, endedAt: at('04:00') },
  ]);
});

test('what is said again while it goes on is one, and an end that is said again ends nothing', () => {
  expect(spansOf([said('door-opened', '01:00'), said('door-opened', '01:05'), said('door-closed', '01:10'), said('door-closed', '01:11'), said('door-opened', '02:00')])).toEqual([
    { kind: 'door', fault: '', startedAt: at('01:00'), endedAt: at('01:10') },
    { kind: 'door', fault: '', startedAt: at('02:00'), endedAt: null },
  ]);
});
