/** Statements per second of one core, against the floor of statement-floor.ts. */
import { contentOf } from '#statement/page/content';
import { renderStatement, signStatement } from '#statement/statement';
import { drawFloor, floorFonts } from '#tests/bench/statement-floor';
import { sampleStatement } from '#tests/support/sample-statement';
import { operatorSigner } from '#tests/support/signed-pdf';
import { generateKeyPairSync } from 'node:crypto';

export interface StatementBench {
  readonly statementsPerSecond: number;
  readonly floorPerSecond: number;
  /** Statements over floor; above 1 would be faster than the floor. */
  readonly ratio: number;
  readonly statementBytes: number;
}

const DOCUMENTS_PER_ROUND = 60;
const ROUNDS = 9;

/**
 * Ten machines on a page, every document with other amounts. Both sides take turns in short rounds and the median round of
 * each counts, by processor time: on a busy machine the clock measures the neighbours.
 */
export async function benchStatement(): Promise<StatementBench> {
  const documents = Array.from({ length: DOCUMENTS_PER_ROUND }, (_, index) => sampleStatement({ scale: BigInt(index + 1) }));
  const contents = documents.map(contentOf);
  const signer = await operatorSigner();
  const fonts = floorFonts();
  const key = generateKeyPairSync('ec', { namedCurve: 'P-256' }).privateKey;
  let statementBytes = 0;

  const statements = async (): Promise<void> => {
    for (const document of documents) {
      const { unsignedPdf } = await renderStatement(document);
      const signed = await signStatement({ unsignedPdf, signer });
      if (!signed.ok) throw new Error(signed.problem);
      statementBytes = signed.signedPdf.length;
    }
  };
  const floor = async (): Promise<void> => {
    for (const content of contents) await drawFloor(content, fonts, key);
  };

  await statements();
  await floor();
  const rounds: { statementSeconds: number; floorSeconds: number }[] = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    rounds.push({ statementSeconds: await processorSeconds(statements), floorSeconds: await processorSeconds(floor) });
  }
  const statementsPerSecond = DOCUMENTS_PER_ROUND / median(rounds.map(({ statementSeconds }) => statementSeconds));
  const floorPerSecond = DOCUMENTS_PER_ROUND / median(rounds.map(({ floorSeconds }) => floorSeconds));
  return { statementsPerSecond, floorPerSecond, ratio: statementsPerSecond / floorPerSecond, statementBytes };
}

async function processorSeconds(work: () => Promise<void>): Promise<number> {
  const before = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1e6;
}

function median(values: readonly number[]): number {
  return values.toSorted((left, right) => left - right)[Math.floor(values.length / 2)] ?? NaN;
}
