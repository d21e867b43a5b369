import { createHash, createHmac } from 'node:crypto';
import { scramKeys, scramVerifier } from './scram';

// The exchange printed in RFC 7677 section 3: user "user", password "pencil".
const SALT = 'W22ZaJ0SNY7soEsUEjb6gQ==';
const NONCE = 'rOprNGfwEbeRWgbNEkqO%hvYDpWUa2RaTCAfuxFIlj)hNlF$k0';
const AUTH_MESSAGE = `n=user,r=rOprNGfwEbeRWgbNEkqO,r=${NONCE},s=${SALT},i=4096,c=biws,r=${NONCE}`;
const CLIENT_PROOF = 'dHzbZapWIk4jUhN+Ute9ytag9zjfMHgsqmmiz7AndVQ=';
const SERVER_SIGNATURE = '6rriTRBi23WpRR/wtup+mMhUZUn/dB5nLTJRsjl95G4=';

describe('scramKeys', () => {
  const keys = scramKeys({ password: 'pencil', salt: Buffer.from(SALT, 'base64') });

  it('lets a server accept the client proof that RFC 7677 prints', () => {
    const clientSignature = createHmac('sha256', keys.storedKey).update(AUTH_MESSAGE).digest();
    const clientKey = Buffer.from(CLIENT_PROOF, 'base64').map((byte, index) => byte ^ (clientSignature[index] ?? 0));
    expect(createHash('sha256').update(clientKey).digest()).toEqual(keys.storedKey);
  });

  it('gives the server signature that RFC 7677 prints', () => {
    expect(createHmac('sha256', keys.serverKey).update(AUTH_MESSAGE).digest('base64')).toBe(SERVER_SIGNATURE);
  });
});

describe('scramVerifier', () => {
  it('has the form of RFC 5803 with a new salt every time', () => {
    expect(scramVerifier('long-enough')).toMatch(/^SCRAM-SHA-256\$4096:[\w+/]{22}==\$[\w+/]{43}=:[\w+/]{43}=$/);
    expect(scramVerifier('long-enough')).not.toBe(scramVerifier('long-enough'));
  });

  it.each(['short', 'with space in it', 'umlaut-ä-in-it', ''])('refuses %p', (password) => {
    expect(() => scramVerifier(password)).toThrow(/printable ASCII/);
  });
});
