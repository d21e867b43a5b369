import { can, denial, visibleSites, visibleStates } from './can';
import { roles, scopes, type Actor, type Role } from './role';
import { actions, permissions, type Action, type Row } from './table';

const user = (role: Role, siteIds: readonly string[] = []): Actor => ({ kind: 'user', id: 'u', tenantId: 't', role, siteIds, personId: null });
const allowedRoles = (action: Action, subject = {}): Role[] => roles.filter((role) => can(user(role, ['s1']), action, subject));

// The rules of the trade that the table must keep, written down apart from it.
describe('who may', () => {
  test('only the owner lets people and tokens in, or changes the operator', () => {
    for (const action of ['operator.change', 'member.invite', 'member.change', 'member.remove', 'api-token.create', 'api-token.revoke', 'signing-key.change'] as const) {
      expect(allowedRoles(action)).toEqual(['owner']);
    }
  });

  test('the auditor reads and changes nothing', () => {
    const changes = actions.filter((action) => !/\.(read|preview)$/.test(action));
    expect(changes.filter((action) => can(user('auditor'), action))).toEqual([]);
  });

  test('whoever collects cash does not accept counts, settle, or change what the split is made from', () => {
    for (const action of actions.filter((name) => /^(settlement|close|agreement|tax-rule|journal)\./.test(name) || name === 'collection.accept')) {
      expect([action, can(user('collector'), action)]).toEqual([action, false]);
    }
  });

  test('a site manager reads their own sites, and neither drafts, nor open collections, nor anything else; they hand on access keys at their site, confirm, take a signature, attest, enter refund slips, and ask about what was settled', () => {
    const mine = { siteId: 's1' };
    const manager = user('site-manager', ['s1']);
    expect(can(manager, 'settlement.read', { ...mine, state: 'issued' })).toBe(true);
    for (const state of ['draft', 'reviewed', 'numbered']) expect(denial(manager, 'settlement.read', { ...mine, state })).toBe('unseen');
    expect(denial(manager, 'settlement.read', { siteId: 's2', state: 'issued' })).toBe('unseen');
    expect(denial(manager, 'machine.read', { siteId: null })).toBe('unseen');
    expect(can(manager, 'collection.read', { ...mine, state: 'accepted' })).toBe(true);
    for (const state of ['open', 'counted']) expect(denial(manager, 'collection.read', { ...mine, state })).toBe('unseen');
    const reach = actions.filter((action) => can(manager, action, mine));
    expect(reach.filter((action) => !action.endsWith('.read'))).toEqual(['custody-event.record', 'custody.acknowledge', 'custody.sign', 'key-inventory.attest', 'refund-claim.enter', 'refund-claim.withdraw', 'settlement.question']);
    for (const action of ['party.read', 'person.read', 'game.read', 'journal.read', 'evidence.read', 'settlement.preview', 'member.read', 'audit-trail.read'] as const) {
      expect(denial(manager, action)).toBe('role');
    }
  });

  test('a state that does not fit is said, where the thing may be seen', () => {
    expect(denial(user('bookkeeper'), 'settlement.review', { state: 'draft' })).toBeNull();
    expect(denial(user('bookkeeper'), 'settlement.review', { state: 'issued' })).toBe('state');
    expect(denial(user('collector'), 'settlement.review', { state: 'draft' })).toBe('role');
  });
});

describe('tokens', () => {
  test('do what both role and scope allow, and never what is closed to tokens', () => {
    for (const action of actions) {
      const row: Row = permissions[action];
      for (const role of roles) {
        for (const scope of scopes) {
          const token: Actor = { kind: 'token', id: 't', tenantId: 't', role, scopes: [scope] };
          expect([action, role, scope, can(token, action)]).toEqual([action, role, scope, role in row.grants && row.scope === scope]);
        }
      }
    }
  });
});

describe('lists', () => {
  test('show a site manager the own sites, staff every site, and others nothing', () => {
    expect(visibleSites(user('site-manager', ['s1', 's2']), 'site.read')).toEqual(['s1', 's2']);
    expect(visibleSites(user('bookkeeper'), 'site.read')).toBe('every');
    expect(visibleSites(user('site-manager', ['s1']), 'party.read')).toEqual([]);
    expect(visibleStates(user('site-manager', ['s1']), 'settlement.read')).toEqual(['issued']);
    expect(visibleStates(user('collector'), 'settlement.read')).toEqual([]);
    expect(visibleStates(user('owner'), 'settlement.read')).toBe('every');
  });

  test('are open to the program itself', () => {
    const system: Actor = { kind: 'system', id: 'close', tenantId: 't' };
    expect(visibleSites(system, 'settlement.issue')).toBe('every');
    expect(visibleStates(system, 'settlement.issue')).toBe('every');
    expect(can(system, 'settlement.issue', { state: 'reviewed' })).toBe(true);
  });
});
