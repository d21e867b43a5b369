import { changedFields } from './changed-fields';

test('of an image only what the erasing changes is shown', () => {
  const said = JSON.stringify({ id: '7', code: 'LEA', reason: 'Asked by Lea', body: { from: 'Lea', to: 2 }, gone: null });
  const remaining = JSON.stringify({ id: '7', code: 'LEA', reason: 'Asked by [erased]', body: { from: '[erased]', to: 2 }, gone: null });
  expect(changedFields({ said, remaining })).toEqual([
    { name: 'reason', said: 'Asked by Lea', remaining: 'Asked by [erased]' },
    { name: 'body', said: '{"from":"Lea","to":2}', remaining: '{"from":"[erased]","to":2}' },
  ]);
});

test('a field that goes leaves nothing', () => {
  expect(changedFields({ said: '{"name":"Lea","code":"L"}', remaining: '{"code":"L"}' })).toEqual([{ name: 'name', said: 'Lea', remaining: '' }]);
});

test('a sentence, a number and a list are no images', () => {
  for (const said of ['Asked by Lea', '17', '["Lea"]', 'null']) expect(changedFields({ said, remaining: said })).toBeNull();
});
