import type { TenantTransaction } from '#database/tenant';
import type { Holder } from '#domain/keys/custody';
import type { FileError } from '../stage.sql';
import { selectNamed } from './keys.sql';
import type { CopyLine, KeyLine, LockLine } from './read-line';

/** What the codes of a file mean. A cut that is not in the books has no id yet. */
export type KeyDirectory = {
  readonly codes: ReadonlyMap<string, { readonly id: string; readonly class: string | null; readonly outsideCopies: boolean }>;
  readonly stores: ReadonlyMap<string, string>;
  readonly holders: ReadonlyMap<string, { readonly holder: Holder; readonly atSite: boolean }>;
  readonly machines: ReadonlyMap<string, string>;
  readonly copies: ReadonlySet<string>;
  /** Codes that a person and a place share. */
  readonly unclear: ReadonlySet<string>;
};

export async function readKeyDirectory(tx: TenantTransaction, lines: readonly KeyLine[]): Promise<KeyDirectory> {
  const copies = lines.filter((line) => line.about === 'copy');
  const rows = await selectNamed(tx, {
    keyCodes: lines.map(({ code }) => code),
    stores: copies.map(({ store }) => store),
    holders: copies.flatMap((line) => line.with ?? []),
    machines: lines.flatMap((line) => (line.about === 'lock' ? [line.machine] : [])),
    copies: copies.map(({ copy }) => copy),
  });
  const of = (kind: (typeof rows)[number]['kind']): typeof rows => rows.filter((row) => row.kind === kind);
  const people = new Set(of('person').map(({ code }) => code));
  return {
    codes: new Map(of('code').map((row) => [row.code, { id: row.id, class: row.class, outsideCopies: row.outside_copies }])),
    stores: new Map(of('store').map(({ code, id }) => [code, id])),
    holders: new Map([...of('person'), ...of('place')].map((row) => [row.code, { holder: { kind: row.kind === 'place' ? 'place' : 'person', id: row.id }, atSite: row.at_site }])),
    machines: new Map(of('machine').map(({ code, id }) => [code, id])),
    copies: new Set(of('copy').map(({ code }) => code)),
    unclear: new Set(of('place').flatMap(({ code }) => (people.has(code) ? [code] : []))),
  };
}

/** What is wrong with lines held against each other and against what is recorded; all of it, in the order of the file. */
export function wrongLines(lines: readonly KeyLine[], directory: KeyDirectory): FileError[] {
  const classes = new Map<string, string>([...directory.codes].flatMap(([code, known]) => (known.class === null ? [] : [[code, known.class]])));
  const outside = new Map<string, boolean>([...directory.codes].map(([code, known]) => [code, known.outsideCopies]));
  const numbers = new Set<string>();
  return lines.flatMap((line) => {
    const errors: FileError[] = [];
    const report: Report = (column, code, value) => errors.push({ lineNumber: line.lineNumber, column, code, value });
    const known = classes.get(line.code);
    if (known !== undefined && known !== line.class) report('class', 'class-differs', line.class);
    else classes.set(line.code, line.class);
    if (line.outsideCopies !== null) {
      if ((outside.get(line.code) ?? line.outsideCopies) !== line.outsideCopies) report('outside_copies', 'outside-differs', line.outsideCopies ? 'yes' : 'no');
      else outside.set(line.code, line.outsideCopies);
    }
    if (line.about === 'lock') judgeLock(line, directory, report);
    else judgeCopy(line, { directory, numbers, report });
    return errors;
  });
}

type Report = (column: string, code: string, value: string) => number;

function judgeLock({ machine }: LockLine, { machines }: KeyDirectory, report: Report): void {
  if (!machines.has(machine)) report('machine', 'unknown-machine', machine);
}

function judgeCopy(line: CopyLine, of: { directory: KeyDirectory; numbers: Set<string>; report: Report }): void {
  const { directory, numbers, report } = of;
  if (numbers.has(line.copy)) report('copy', 'copy-twice', line.copy);
  else if (directory.copies.has(line.copy)) report('copy', 'copy-known', line.copy);
  numbers.add(line.copy);
  if (!directory.stores.has(line.store)) report('store', 'unknown-store', line.store);
  const holder = line.with === null ? undefined : directory.holders.get(line.with);
  if (line.with !== null && holder === undefined) report('with', 'unknown-holder', line.with);
  if (line.with !== null && directory.unclear.has(line.with)) report('with', 'unclear-holder', line.with);
  if (line.found && (line.class !== 'cash-box' || holder?.atSite !== true)) report('found', 'found-elsewhere', 'yes');
}
