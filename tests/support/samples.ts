import { randomUUID } from 'node:crypto';
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import type { TestOperator } from './api';

/** A request that succeeds: what stands for the braces of the path, the body, and the revision for If-Match. */
export type SampleRequest = {
  readonly params?: { readonly [name: string]: string };
  readonly body?: object;
  readonly query?: { readonly [name: string]: string };
  readonly revision?: number;
};

/**
 * How to make a request of a route that succeeds for an owner. The access tests ask it anew for every request that may
 * change something, at both operators.
 */
export type Sample = {
  /** States in which the route can meet its thing, as the permission table calls them; leave out for things without. */
  readonly states?: readonly string[];
  /**
   * Makes what the request needs, at the given site where the thing belongs to one (`operator.siteId` is the one that the
   * site manager is bound to), in the given state.
   */
  readonly prepare: (place: { operator: TestOperator; siteId: string; state: string | undefined }) => Promise<SampleRequest> | SampleRequest;
};

/** By method and path as the OpenAPI document has them: `'PATCH /v1/sites/{id}'`. */
export type Samples = { readonly [route: string]: Sample };

/** All samples of tests/api/samples: one file per noun, each exporting `samples`. */
export async function readSamples(): Promise<Samples> {
  const directory = join(__dirname, '..', 'api', 'samples');
  const files = readdirSync(directory).filter((name) => name.endsWith('.ts'));
  const all: { [route: string]: Sample } = {};
  for (const name of files) {
    // Loaded by name, so that a new file needs no list that everybody edits.
    const { samples } = (await import(join(directory, name))) as { samples?: Samples };
    if (samples === undefined) throw new Error(`${name} exports no samples`);
    for (const [route, sample] of Object.entries(samples)) {
      if (all[route] !== undefined) throw new Error(`two samples for ${route}`);
      all[route] = sample;
    }
  }
  return all;
}

/** The body with every UUID in it replaced: what the caller's operator knows nothing of. */
export function replaceIds(value: unknown, replacement: (path: string) => string, path = '#'): unknown {
  if (Array.isArray(value)) return value.map((item, index) => replaceIds(item, replacement, `${path}/${index}`));
  if (typeof value === 'object' && value !== null) {
    return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, replaceIds(item, replacement, `${path}/${key}`)]));
  }
  return typeof value === 'string' && isUuid(value) ? replacement(path) : value;
}

/** Every UUID in a body with the way to it. */
export function idsIn(value: unknown): Map<string, string> {
  const ids = new Map<string, string>();
  const look = (part: unknown, path: string): void => {
    if (Array.isArray(part)) part.forEach((item, index) => look(item, `${path}/${index}`));
    else if (typeof part === 'object' && part !== null) for (const [key, item] of Object.entries(part)) look(item, `${path}/${key}`);
    else if (typeof part === 'string' && isUuid(part)) ids.set(path, part);
  };
  look(value, '#');
  return ids;
}

export const unknownId = (): string => randomUUID();

function isUuid(text: string): boolean {
  return /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/.test(text);
}
