import { hashPassword, isWeakPassword, verifyPassword } from './password';

test('a password matches its own hash and nothing else does, whatever way its accents were typed', async () => {
  const hash = await hashPassword('caf\u00e9 am Fluss 12');
  expect(hash).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/);
  await expect(verifyPassword(hash, 'cafe\u0301 am Fluss 12')).resolves.toBe(true);
  await expect(verifyPassword(hash, 'cafe am Fluss 12')).resolves.toBe(false);
  await expect(hashPassword('the same')).resolves.not.toBe(await hashPassword('the same'));
});

test('no account takes as long as a wrong password', async () => {
  const hash = await hashPassword('some long password 1');
  const timed = async (stored: string | null): Promise<number> => {
    // Computing, not time: what else the machine does takes none of it.
    const start = process.cpuUsage();
    for (let count = 0; count < 8; count += 1) await expect(verifyPassword(stored, 'a wrong guess')).resolves.toBe(false);
    const { user, system } = process.cpuUsage(start);
    return user + system;
  };
  await timed(null);
  const [unknown, wrong] = [await timed(null), await timed(hash)];
  expect(unknown / wrong).toBeGreaterThan(0.4);
  expect(unknown / wrong).toBeLessThan(2.5);
});

test.each(['short', 'elevenchars', 'aaaaaaaaaaaaaaa', 'abababababababab', '123456789012345', 'abcdefghijklmno', 'password12345678', 'Passwort!Passwort!', 'qwertyqwerty1234', 'maria.lopez2026!', 'Latchledger1234'])(
  '%s is weak for Maria Lopez',
  (password) => {
    expect(isWeakPassword(password, ['maria.lopez@bar.example', 'Maria Lopez'])).toBe(true);
  },
);

test.each(['seven blue lanterns 41', 'Zx9!mQ2#vL7$', '長い合言葉は覚えやすい鍵です', 'correct horse battery'])('%s is taken', (password) => {
  expect(isWeakPassword(password, ['maria.lopez@bar.example', 'Maria Lopez'])).toBe(false);
});
