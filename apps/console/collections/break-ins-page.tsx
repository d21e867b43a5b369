import { useInfiniteQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { BreakIn } from '../api/shapes';
import { RecordedBy } from '../audit/recorded-by';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { isZero } from '../format/money';
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
import { CorrectBreakIn, RecordBreakIn } from './break-in-forms';
import { breakInsQuery } from './queries';

const text = words.besideCounts.breakIns;

/** `collections/break-ins`: cash that was stolen out of boxes, and its corrections. */
export function BreakInsPage() {
  const { may } = useOperator();
  const { siteId, choose } = useSiteChoice();
  const [isRecording, setRecording] = useState(false);
  if (!may('break-in.read')) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead} actions={may('break-in.record') ? <OpenButton main onClick={() => setRecording(true)}>{text.record}</OpenButton> : undefined}>
      <SiteChoice siteId={siteId} onChoose={choose} />
      <Listed key={siteId} siteId={siteId} />
      {isRecording ? <RecordBreakIn onClose={() => setRecording(false)} /> : null}
    </Page>
  );
}

function Listed({ siteId }: { readonly siteId: string | null }) {
  const { api, may } = useOperator();
  const [wrong, setWrong] = useState<BreakIn | null>(null);
  const question = useInfiniteQuery(breakInsQuery(api, siteId));
  const mayCorrect = may('break-in.correct');
  const found = question.data?.pages.flatMap((page) => page.items);
  return (
    <>
      <Answer question={{ ...question, data: found }} lines={5}>
        {(breakIns) => (
          <TitledTable
            id="break-ins" title={text.listed} none={text.none} columns={[text.day, words.machine, text.amount, text.what, ...(mayCorrect ? [words.commands] : [])]}
            rows={breakIns.map((each) => (
              <tr key={each.id}>
                <th scope="row">
                  {formatDay(each.happenedOn, locale)}
                  {each.accountingDate === each.happenedOn ? null : <div className="soft small">{words.collections.bookedTo(formatDay(each.accountingDate, locale))}</div>}
                </th>
                <td>
                  {each.machineTag} <span className="code small">{each.siteCode}</span>
                </td>
                <td>{isZero(each.amount) ? text.tookNothing : <Amount money={each.amount} alone />}</td>
                <td>
                  {each.note}
                  {each.accountingReason === null ? null : <div className="soft small">{each.accountingReason}</div>}
                  <RecordedBy record={each} />
                </td>
                {mayCorrect ? <td>{each.replacedById === null ? <OpenButton about={`${each.machineTag}, ${formatDay(each.happenedOn, locale)}`} onClick={() => setWrong(each)}>{text.correct}</OpenButton> : null}</td> : null}
              </tr>
            ))}
          />
        )}
      </Answer>
      <More question={question} />
      {wrong === null ? null : <CorrectBreakIn breakIn={wrong} onClose={() => setWrong(null)} />}
    </>
  );
}
