import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { matches } from '../format/search';
import { everySiteQuery } from '../keys/queries';
import { Answer } from '../parts/answer';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './access.module.css';

interface SiteChoiceProps {
  /** Of the field to look for sites with, to which an error leads. */
  readonly id: string;
  readonly chosen: readonly string[];
  readonly error: string | undefined;
  readonly onChosen: (siteIds: readonly string[]) => void;
}

/** As many as one looks through; the rest is found by name. */
const MOST_SHOWN = 8;

/** Marks some of perhaps thousands of sites: those that are marked always stand first. */
export function SiteChoice({ id, chosen, error, onChosen }: SiteChoiceProps) {
  const { api } = useOperator();
  const question = useQuery(everySiteQuery(api));
  const [search, setSearch] = useState('');
  const text = words.people;
  const describedBy = error === undefined ? undefined : `${id}-error`;
  return (
    <fieldset className={styles.choices}>
      <legend>{text.boundTo}</legend>
      {error === undefined ? null : (
        <span id={`${id}-error`} className="field-error">
          {error}
        </span>
      )}
      <div className="field">
        <label htmlFor={id} className="visually-hidden">
          {text.findSite}
        </label>
        <input
          id={id} type="search" placeholder={text.findSite} value={search} autoComplete="off" aria-invalid={error !== undefined} aria-describedby={describedBy}
          onChange={(event) => setSearch(event.currentTarget.value)}
        />
      </div>
      <Answer question={question} lines={3}>
        {(sites) => {
          const marked = sites.filter((site) => chosen.includes(site.id));
          const others = sites.filter((site) => !chosen.includes(site.id) && matches(search, [site.code, site.name]));
          const left = others.length - MOST_SHOWN;
          return (
            <>
              {[...marked, ...others.slice(0, MOST_SHOWN)].map((site) => (
                <label key={site.id}>
                  <input
                    type="checkbox" checked={chosen.includes(site.id)}
                    onChange={(event) => onChosen(event.currentTarget.checked ? [...chosen, site.id] : chosen.filter((each) => each !== site.id))}
                  />
                  {site.name} <span className="code small">{site.code}</span>
                </label>
              ))}
              {left > 0 ? <p className="soft small">{text.moreSites(left)}</p> : null}
            </>
          );
        }}
      </Answer>
    </fieldset>
  );
}
