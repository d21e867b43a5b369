import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import type { CertificateAttention } from '../api/shapes';
import { dayOf, formatDay } from '../format/day';
import { locale } from '../format/locale';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { certificatesQuery } from './queries';

/** That the certificate under which statements are signed ends, or has ended, for whoever issues statements. Nothing is shown while none of it is so. */
export function CertificateNotice() {
  const { api, may, to } = useOperator();
  const { data } = useQuery({ ...certificatesQuery(api), enabled: may('settlement.issue') && may('signing-key.read') });
  if (data === undefined || data.attention === null) return null;
  return (
    <p className={data.attention.why === 'ends-soon' ? 'notice' : 'notice notice-alarm'}>
      {attentionInWords(data.attention)} <Link to={to('signature')}>{words.monthEnd.keyMissed.toCertificates}</Link>
    </p>
  );
}

export function attentionInWords({ why, validTo, nextInUseFrom }: CertificateAttention): string {
  const text = words.signature.attention;
  const day = (instant: string) => formatDay(dayOf(new Date(instant)), locale);
  return [text[why](day(validTo)), nextInUseFrom === null ? text.none : text.next(day(nextInUseFrom))].join(' ');
}
