import { useId, type ReactNode } from 'react';
import { matches } from '../format/search';
import { words } from '../words/words';
import { useAddressState } from './address-state';
import { Wide } from './wide';

interface FoundProps<Thing> {
  readonly all: readonly Thing[];
  readonly title: string;
  /** Says how many of how many are shown. */
  readonly shown: (shown: number, all: number) => string;
  readonly columns: readonly string[];
  /** What a thing is found by. */
  readonly textsOf: (thing: Thing) => readonly string[];
  /** One row. */
  readonly children: (thing: Thing) => ReactNode;
}

const inAddress = {
  read: (parameters: URLSearchParams) => parameters.get('find') ?? '',
  write: (search: string) => new URLSearchParams(search === '' ? {} : { find: search }),
};

/** A table of everything there is of a kind, narrowed by what is typed; the address keeps it. */
export function Found<Thing>({ all, title, shown, columns, textsOf, children }: FoundProps<Thing>) {
  const [search, setSearch] = useAddressState(inAddress);
  const searchId = useId();
  const found = all.filter((thing) => matches(search, textsOf(thing)));
  return (
    <>
      <div className="field" role="search">
        <label htmlFor={searchId}>{words.setUp.find}</label>
        <input id={searchId} type="search" value={search} autoComplete="off" onChange={(event) => setSearch(event.currentTarget.value)} />
      </div>
      <p role="status" className="soft small">
        {shown(found.length, all.length)}
      </p>
      <Wide title={title}>
        <table>
          <caption className="visually-hidden">{title}</caption>
          <thead>
            <tr>
              {columns.map((column) => (
                <th key={column} scope="col">
                  {column}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>{found.map(children)}</tbody>
        </table>
      </Wide>
    </>
  );
}
