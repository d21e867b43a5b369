import type { AgreementState, CollectionSummary, ImportFile } from '../api/shapes';
import { words } from '../words/words';

type Shape = 'none' | 'ring' | 'half' | 'most' | 'full' | 'alarm';

/** The way to an issued statement fills a disc; what needs somebody first is a triangle. The word says it, the shape helps. */
const shapes: Readonly<Record<AgreementState, Shape>> = {
  'no-collections': 'alarm',
  'open-collections': 'alarm',
  failed: 'alarm',
  ready: 'none',
  draft: 'ring',
  reviewed: 'half',
  numbered: 'most',
  issued: 'full',
};

const importShapes: Readonly<Record<ImportFile['state'], Shape>> = { staged: 'ring', refused: 'alarm', accepted: 'full', discarded: 'none' };

interface StateMarkProps {
  readonly state: AgreementState;
  /** Nothing is late yet: what will be missing one day needs nobody now. */
  readonly early?: boolean;
}

export function StateMark({ state, early = false }: StateMarkProps) {
  const shape = early && state === 'no-collections' ? 'none' : shapes[state];
  return <Mark shape={shape} text={words.agreementState[state]} />;
}

export function ImportStateMark({ state }: { readonly state: ImportFile['state'] }) {
  return <Mark shape={importShapes[state]} text={words.imports.state[state]} />;
}

const collectionShapes: Readonly<Record<CollectionSummary['state'], Shape>> = { open: 'none', counted: 'ring', accepted: 'full', discarded: 'none' };

export function CollectionStateMark({ state }: { readonly state: CollectionSummary['state'] }) {
  return <Mark shape={collectionShapes[state]} text={words.collectionState[state]} />;
}

function Mark({ shape, text }: { readonly shape: Shape; readonly text: string }) {
  return (
    <span className={shape === 'alarm' ? 'state state-alarm' : 'state'}>
      <svg viewBox="0 0 16 16" aria-hidden="true" focusable="false">
        <Drawing shape={shape} />
      </svg>
      {text}
    </span>
  );
}

function Drawing({ shape }: { readonly shape: Shape }) {
  const ring = <circle cx="8" cy="8" r="6.5" fill="none" stroke="currentColor" strokeWidth="2" />;
  switch (shape) {
    case 'none':
      return <circle cx="8" cy="8" r="6.5" fill="none" stroke="currentColor" strokeWidth="1.5" strokeDasharray="2 2.5" />;
    case 'ring':
      return ring;
    case 'half':
      return (
        <>
          {ring}
          <path d="M8 2a6 6 0 0 1 0 12z" fill="currentColor" />
        </>
      );
    case 'most':
      return (
        <>
          {ring}
          <path d="M8 8V2a6 6 0 1 1-6 6z" fill="currentColor" />
        </>
      );
    case 'full':
      return <circle cx="8" cy="8" r="7.5" fill="currentColor" />;
    case 'alarm':
      return <path d="M8 1 15.5 15H.5zM8 6v4.5M8 12v1.3" fill="none" stroke="currentColor" strokeWidth="1.75" strokeLinejoin="round" />;
  }
}
