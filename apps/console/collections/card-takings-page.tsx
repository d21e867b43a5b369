import { useInfiniteQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { CashlessTaking } from '../api/shapes';
import { RecordedBy } from '../audit/recorded-by';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { words } from '../words/words';
import { SiteChoice, useSiteChoice } from './at-site';
import { CardTakingsFile, type CardFileRecorded } from './card-takings-file';
import { CorrectCardTaking, RecordCardTakings } from './card-takings-forms';
import { cardTakingsQuery } from './queries';

const text = words.besideCounts.cards;

/** `collections/cards`: what card readers reported, entered one by one or out of a file, and its corrections. */
export function CardTakingsPage() {
  const { may } = useOperator();
  const { siteId, choose } = useSiteChoice();
  const [wish, setWish] = useState<'enter' | 'file' | null>(null);
  const [recorded, setRecorded] = useState<CardFileRecorded | null>(null);
  if (!may('cashless.read')) return <Denied title={text.title} />;
  const actions = may('cashless.record') ? (
    <div className="row">
      <OpenButton main onClick={() => setWish('enter')}>{text.enter}</OpenButton>
      <button type="button" className="button" onClick={() => setWish('file')}>
        {text.fromFile}
      </button>
    </div>
  ) : undefined;
  return (
    <Page title={text.title} lead={text.lead} actions={actions}>
      <div role="status" className={recorded === null ? 'visually-hidden' : undefined}>{recorded === null ? null : <p className="notice">{text.fileRecorded(recorded)}</p>}</div>
      <SiteChoice siteId={siteId} onChoose={choose} />
      <Listed key={siteId} siteId={siteId} />
      {wish === 'enter' ? <RecordCardTakings onClose={() => setWish(null)} /> : null}
      {wish === 'file' ? (
        <CardTakingsFile
          onClose={() => setWish(null)}
          onRecorded={(answer) => {
            setRecorded(answer);
            setWish(null);
          }}
        />
      ) : null}
    </Page>
  );
}

function Listed({ siteId }: { readonly siteId: string | null }) {
  const { api, may, to } = useOperator();
  const [wrong, setWrong] = useState<CashlessTaking | null>(null);
  const question = useInfiniteQuery(cardTakingsQuery(api, siteId));
  const mayCorrect = may('cashless.correct');
  const found = question.data?.pages.flatMap((page) => page.items);
  return (
    <>
      <Answer question={{ ...question, data: found }} lines={6}>
        {(takings) => (
          <TitledTable
            id="card-takings" title={text.listed} none={text.none} columns={[text.day, words.machine, text.gross, text.refunded, text.recorded, ...(mayCorrect ? [words.commands] : [])]}
            rows={takings.map((each) => (
              <tr key={each.id}>
                <th scope="row">
                  {formatDay(each.localDate, locale)}
                  {each.collectionId === null ? null : (
                    <div className="small">
                      <Link to={to(`collections/${each.collectionId}`)}>{text.withCollection}</Link>
                    </div>
                  )}
                  {each.accountingDate === each.localDate ? null : <div className="soft small">{words.collections.bookedTo(formatDay(each.accountingDate, locale))}</div>}
                </th>
                <td>
                  {each.machineTag} <span className="code small">{each.siteCode}</span>
                </td>
                <td>
                  <Amount money={each.gross} alone />
                </td>
                <td>
                  <Amount money={each.refunded} alone />
                </td>
                <td>
                  <RecordedBy record={each} />
                </td>
                {mayCorrect ? <td>{each.replacedById === null ? <OpenButton about={`${each.machineTag}, ${formatDay(each.localDate, locale)}`} onClick={() => setWrong(each)}>{text.correct}</OpenButton> : null}</td> : null}
              </tr>
            ))}
          />
        )}
      </Answer>
      <More question={question} />
      {wrong === null ? null : <CorrectCardTaking taking={wrong} onClose={() => setWrong(null)} />}
    </>
  );
}
