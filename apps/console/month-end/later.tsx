import { lazy, Suspense, type ComponentProps } from 'react';
import type { UntoldBoxes as Boxes } from './later-parts';
import { fetchPageWords } from '../words/words';

const parts = async () => {
  await fetchPageWords();
  return import('./later-parts');
};

/** What stands in the way of few sites comes with its words when a list has such a site: the first screens stay light. */
const LaterBoxes = lazy(async () => ({ default: (await parts()).UntoldBoxes }));

/** The month end stands without this notice, whatever became of it on its way. */
const LaterNotice = lazy(async () => ({ default: await parts().then(({ NoTolerance: Notice }) => Notice, () => () => null) }));

export function UntoldBoxes(props: ComponentProps<typeof Boxes>) {
  return (
    <Suspense fallback={null}>
      <LaterBoxes {...props} />
    </Suspense>
  );
}

/** That differences of count and meters are followed up in none of some currencies. */
export function NoTolerance() {
  return (
    <Suspense fallback={null}>
      <LaterNotice />
    </Suspense>
  );
}
