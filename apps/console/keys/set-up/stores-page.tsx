import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { KeyStore } from '../../api/shapes';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { Answer, Blank } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { OpenButton, SetUpViews } from './parts';
import { keyStoresQuery } from './queries';
import { Appoint, NewStore } from './store-forms';
import styles from './set-up.module.css';

const text = words.keySetUp.stores;

/** `keys/stores`: where keys lie that nobody was given, and who answers for them. */
export function KeyStoresPage() {
  const { api, may } = useOperator();
  const [isAdding, setAdding] = useState(false);
  const [appointing, setAppointing] = useState<KeyStore | null>(null);
  const allowed = may('key-store.read');
  const question = useQuery({ ...keyStoresQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const add = may('key-store.create') ? <OpenButton main onClick={() => setAdding(true)}>{text.add}</OpenButton> : null;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={5}>
        {(stores) =>
          stores.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
              {add}
            </Blank>
          ) : (
            <>
              <div>{add}</div>
              <Stores stores={stores} onAppoint={may('key-store.appoint') ? setAppointing : null} />
            </>
          )
        }
      </Answer>
      {isAdding ? <NewStore onClose={() => setAdding(false)} /> : null}
      {appointing === null ? null : <Appoint store={appointing} onClose={() => setAppointing(null)} />}
    </Page>
  );
}

function Stores({ stores, onAppoint }: { readonly stores: readonly KeyStore[]; readonly onAppoint: ((store: KeyStore) => void) | null }) {
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.store}</th>
            <th scope="col">{text.kind}</th>
            <th scope="col">{text.custodian}</th>
            {onAppoint === null ? null : (
              <th scope="col">
                <span className="visually-hidden">{words.commands}</span>
              </th>
            )}
          </tr>
        </thead>
        <tbody>
          {stores.map((store) => (
            <tr key={store.id}>
              <th scope="row">
                {store.name} <span className="code small">{store.code}</span>
              </th>
              <td>{text.kinds[store.kind]}</td>
              <td>{store.custodian === null ? <span className={styles.lack}>{text.nobody}</span> : <>{store.custodian.name} <span className="soft small">{text.since(formatInstant(store.custodian.since, locale))}</span></>}</td>
              {onAppoint === null ? null : (
                <td>
                  <OpenButton about={store.name} onClick={() => onAppoint(store)}>
                    {text.appoint}
                  </OpenButton>
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
