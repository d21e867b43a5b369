import { useEffect, useState } from 'react';
import { forgetCounted } from '../phone/counted-elsewhere';
import type { BoxDraft } from '../phone/box-draft';
import { forgetCount, keepCount, keptCount, type KeptCount } from '../phone/store';
import type { ScaleDraft } from '../phone/scale-draft';
import { useOperator } from '../session/operator';

/** What this person typed of a count before the page was left: `loading` until that is known, null where there is nothing. */
export function useKeptCount(collectionId: string): KeptCount | null | 'loading' {
  const { membership, account } = useOperator();
  const [found, setFound] = useState<KeptCount | null | 'loading'>('loading');
  useEffect(() => {
    let isShown = true;
    const tell = (kept: KeptCount | null) => (isShown ? setFound(kept) : undefined);
    keptCount({ operatorId: membership.id, accountId: account.id }, collectionId).then(tell, () => tell(null));
    return () => {
      isShown = false;
    };
  }, [membership.id, account.id, collectionId]);
  return found;
}

interface Typed {
  readonly typed: Readonly<Record<string, BoxDraft>>;
  readonly scale: ScaleDraft | null;
}

/** Keeps what is typed from the first figure on, and says whether the browser could not; `forget` once it is handed in. */
export function useKeeping(collectionId: string, { typed, scale }: Typed) {
  const { membership, account } = useOperator();
  const [isLost, setLost] = useState(false);
  const [isOver, setOver] = useState(false);
  const isTouched = Object.keys(typed).length > 0 || scale !== null;
  useEffect(() => {
    if (!isTouched || isOver) return;
    keepCount({ operatorId: membership.id, accountId: account.id, collectionId, typed, scale, keptAt: new Date().toISOString() }).then(
      () => setLost(false),
      () => setLost(true),
    );
  }, [membership.id, account.id, collectionId, typed, scale, isTouched, isOver]);
  const forget = async () => {
    setOver(true);
    await forgetCount({ operatorId: membership.id, accountId: account.id }, collectionId).catch(() => undefined);
  };
  return { isLost, forget };
}

/** Wipes what was begun here of counts that others handed in since, each time a list of collections came. */
export function useForgettingCounted(listedAt: number): void {
  const { api, membership, account, may } = useOperator();
  const counts = may('collection.count', 'open');
  useEffect(() => {
    if (listedAt === 0 || !counts) return;
    const asking = new AbortController();
    forgetCounted({ operatorId: membership.id, accountId: account.id }, (id) => api.collection(id, asking.signal)).catch(() => undefined);
    return () => asking.abort();
  }, [listedAt, counts, api, membership.id, account.id]);
}
