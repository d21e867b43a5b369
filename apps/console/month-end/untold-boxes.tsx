import { lazy, Suspense, type ComponentProps } from 'react';
import type { UntoldBoxes as Later } from '../collections/untold-box';
import { fetchPageWords } from '../words/words';

/** What stands in the way of few sites comes with its words when a list has such a site: the first screens stay light. */
const Boxes = lazy(async () => {
  await fetchPageWords();
  return { default: (await import('../collections/untold-box')).UntoldBoxes };
});

export function UntoldBoxes(props: ComponentProps<typeof Later>) {
  return (
    <Suspense fallback={null}>
      <Boxes {...props} />
    </Suspense>
  );
}
