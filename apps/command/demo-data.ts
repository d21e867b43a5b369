import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Client } from 'pg';
import { onConnection } from './databases';

/** Somebody invented who can sign in to the demo. */
export type DemoSignIn = {
  readonly operator: string;
  readonly role: string;
  readonly email: string;
  readonly password: string;
};

/** Fills an empty database with invented operators, through the use cases, and makes up a password for each sign-in. */
export type SeedDemo = (place: {
  /** Role app. */
  readonly appUrl: string;
  readonly masterKeyFile: string;
  readonly publicUrl: string;
  readonly log: (message: string) => void;
}) => Promise<readonly DemoSignIn[]>;

/**
 * The sign-ins of the demo. They are kept to be shown at every start: the passwords are random, the server listens on
 * this machine only, and what they open is invented.
 */
export function readDemoSignIns(dataDirectory: string): readonly DemoSignIn[] {
  const path = signInFile(dataDirectory);
  return existsSync(path) ? (JSON.parse(readFileSync(path, 'utf8')) as DemoSignIn[]) : [];
}

/**
 * Seeds the demo if the database has no operator. A mark lies beside the database meanwhile: a seeding that was cut
 * short is found by {@link discardHalfSeeded} at the next start.
 */
export async function seedIfEmpty(
  seed: SeedDemo,
  place: { readonly dataDirectory: string; readonly superuserUrl: string } & Parameters<SeedDemo>[0],
): Promise<void> {
  if (await hasOperators(place.superuserUrl)) return;
  writeFileSync(markFile(place.dataDirectory), 'The demo is being written into the database. If nobody does, the next start begins anew.\n');
  const signIns = await seed({ ...place, appUrl: withoutWaitingForTheDisk(place.appUrl) });
  await onConnection(place.superuserUrl, untilOnDisk);
  writeFileSync(signInFile(place.dataDirectory), `${JSON.stringify(signIns, null, 2)}\n`, { mode: 0o600 });
  rmSync(markFile(place.dataDirectory));
}

/**
 * Everything committed has to be on the disk before the mark goes. The log of the server is enough, from which it would write its files
 * anew: a record that is waited for takes with it all that come before (16 ms), where a checkpoint waits for each of a thousand files (2.4 s).
 */
async function untilOnDisk(client: Client): Promise<void> {
  await client.query(`SELECT pg_logical_emit_message(false, 'latchledger', 'the demo is written', true)`);
}

/** Thousands of small transactions, each of which would wait for the disk; if one is lost, all of them are written anew. */
function withoutWaitingForTheDisk(url: string): string {
  const changed = new URL(url);
  changed.searchParams.set('options', '-c synchronous_commit=off');
  return changed.toString();
}

/**
 * Makes a database anew into which the demo was half written; the mark was only set when there was nothing else in it.
 * Says whether there was such a database.
 */
export async function discardHalfSeeded(place: { readonly dataDirectory: string; readonly recreate: () => Promise<void> }): Promise<boolean> {
  if (!existsSync(markFile(place.dataDirectory))) return false;
  await place.recreate();
  rmSync(markFile(place.dataDirectory));
  return true;
}

export async function hasOperators(superuserUrl: string): Promise<boolean> {
  const { rows } = await onConnection(superuserUrl, (client) => client.query<{ found: boolean }>('SELECT EXISTS (SELECT FROM operator) AS found'));
  return rows[0]?.found === true;
}

const signInFile = (dataDirectory: string): string => join(dataDirectory, 'demo-sign-ins.json');
const markFile = (dataDirectory: string): string => join(dataDirectory, 'demo-unfinished');
