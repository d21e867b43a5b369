import { isTaken, keptAnswer } from './post';

it('keeps the first characters of an answer, without what would be a secret', () => {
  expect(keptAnswer('  wrong\u0000signature\r\n v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE= under whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw ')).toBe('wrong signature  ... under ...');
  expect([...keptAnswer('😀'.repeat(400))]).toHaveLength(300);
  expect(keptAnswer('\ud800a')).toBe('a');
});

it.each([[200, true], [204, true], [299, true], [199, false], [301, false], [410, false], [500, false]])('%s is taken: %s', (status, taken) => {
  expect(isTaken({ kind: 'answered', status, text: '', retryAfter: undefined })).toBe(taken);
});
