import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { renderReceipt, type ReceiptDocument } from './receipt';

const receipt = (locale: string): ReceiptDocument => ({
  paper: 'A4',
  locale,
  operator: { code: 'lakeside', name: 'Lakeside', lines: [] },
  eventId: '01890000-0000-7000-8000-000000000001',
  says: 'issued',
  happenedAt: '2026-03-31 07:00 (Europe/Berlin)',
  recordedAt: '2026-03-31 07:01 (Europe/Berlin)',
  dueBackAt: '2026-04-30 07:00 (Europe/Berlin)',
  reason: 'Neuer Standort',
  copies: [{ number: 'K-1', code: 'A-7', keyClass: 'access' }],
  sides: [{ role: 'receiver', name: 'Ada (P-1)', confirmed: null, signature: null }],
  correctedNumbers: ['K-1'],
  madeAt: new Date('2026-03-31T06:00:00Z'),
  evidence: { head: { size: 9, root: 'ab'.repeat(32) }, leaf: { index: 3, salt: '00'.repeat(16), entry: '{}', hash: 'cd'.repeat(32) }, proof: [] },
});

describeWithProgram('pdftotext', 'poppler-utils', () => {
  const folder = mkdtempSync(join(tmpdir(), 'receipt-'));
  afterAll(() => rmSync(folder, { recursive: true }));

  it.each([
    ['de-AT', ['Schlüsselquittung', 'Ausgegeben', 'Verliehen bis', 'K-1, Zugangsschlüssel, Schließung A-7', 'Erhalten von', 'Noch nicht bestätigt.', 'Berichtigt', 'ist Eintrag 4 im Protokoll', 'Seite 1 von 1']],
    ['es-MX', ['Recibo de llaves', 'Entrega', 'Prestada hasta', 'K-1, llave de acceso, código A-7', 'La recibió', 'Aún sin confirmar.', 'Corregido', 'es la entrada 4 del registro', 'Página 1 de 1']],
    ['el-GR', ['Receipt for keys', 'Issued', 'Lent until', 'K-1, access key, code A-7', 'Received by', 'Not confirmed yet.', 'Corrected', 'is entry 4 of', 'Page 1 of 1']],
  ])('is written for %s', async (locale, expected) => {
    const path = join(folder, `${locale}.pdf`);
    writeFileSync(path, await renderReceipt(receipt(locale)));
    const text = runProgram('pdftotext', ['-layout', path, '-']).stdout;
    for (const sentence of expected) expect(text).toContain(sentence);
  });
});
