import { Link } from 'react-router';
import type { UntoldBox } from '../api/shapes';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.untold;

const listed = (parts: readonly string[]): string => new Intl.ListFormat(locale).format(parts);

/** Why the meters of a box cannot tell what they imply, and which readings are missing. */
export function whyUntold({ why, missing, siteCode }: Pick<UntoldBox, 'why' | 'missing' | 'siteCode'>): string {
  const readings = missing.map((each) => text.missing[each.occasion]({ meters: listed(each.meters), site: each.siteCode ?? siteCode, when: each.at === null ? formatDay(each.day, locale) : formatInstant(each.at, locale) }));
  return [...why.map((each) => text.why[each]), ...readings].join(' ');
}

/** Boxes for which a settlement waits, each with the way to the amount and to the reading. */
export function UntoldBoxes({ boxes }: { readonly boxes: readonly UntoldBox[] }) {
  const { to } = useOperator();
  return (
    <>
      <p>{text.lead}</p>
      <ul>
        {boxes.map((box) => (
          <li key={`${box.collectionId} ${box.machineId}`}>
            {text.box({ machine: box.machineTag, site: box.siteCode, day: formatDay(box.localDate, locale) })} {whyUntold(box)}{' '}
            <Link to={to(`collections/${box.collectionId}`)}>{text.sayIt(box.machineTag)}</Link>
            {box.why.includes('not-recorded') ? null : (
              <>
                {' · '}
                <Link to={to(`machines/${box.machineId}`)}>{text.enterReading(box.machineTag)}</Link>
              </>
            )}
          </li>
        ))}
      </ul>
    </>
  );
}
