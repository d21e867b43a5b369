import { useState, type PointerEvent } from 'react';
import { words } from '../../words/words';
import { extend, pathOf, withStroke, type Stroke } from './strokes';
import styles from './record.module.css';

const text = words.custody.confirm;

interface SignaturePadProps {
  readonly strokes: readonly Stroke[];
  readonly onStrokes: (strokes: readonly Stroke[]) => void;
}

/** Takes a signature by finger, pen or mouse. Whoever cannot draw types it instead. */
export function SignaturePad({ strokes, onStrokes }: SignaturePadProps) {
  const [drawing, setDrawing] = useState<Stroke | null>(null);
  const end = () => {
    if (drawing !== null) onStrokes(withStroke(strokes, drawing));
    setDrawing(null);
  };
  const all = drawing === null ? strokes : [...strokes, drawing];
  return (
    <div className="field">
      <span className={styles.label}>{text.drawn}</span>
      <svg
        className={styles.pad} viewBox="0 0 1000 1000" preserveAspectRatio="none" role="img" aria-label={strokes.length === 0 ? text.padEmpty : text.padDrawn}
        onPointerDown={(event) => {
          event.currentTarget.setPointerCapture(event.pointerId);
          setDrawing(extend([], placeOf(event)));
        }}
        onPointerMove={(event) => (drawing === null ? undefined : setDrawing(extend(drawing, placeOf(event))))}
        onPointerUp={end} onPointerCancel={() => setDrawing(null)}
      >
        {all.map((stroke, index) => (
          <path key={index} d={pathOf(stroke)} />
        ))}
      </svg>
      {strokes.length === 0 ? null : (
        <div>
          <button type="button" className="button-plain small" onClick={() => onStrokes([])}>
            {text.clear}
          </button>
        </div>
      )}
    </div>
  );
}

function placeOf({ currentTarget, clientX, clientY }: PointerEvent<SVGSVGElement>) {
  const box = currentTarget.getBoundingClientRect();
  return { x: (clientX - box.left) / box.width, y: (clientY - box.top) / box.height };
}
