import { useId, useLayoutEffect, useRef, type ReactNode } from 'react';

interface DialogProps {
  readonly title: string;
  readonly onClose: () => void;
  /** False keeps Escape from closing it. */
  readonly canClose?: boolean;
  readonly children: ReactNode;
}

/** The platform's modal dialog. It is open for as long as it is rendered; the browser keeps and gives back the focus. */
export function Dialog({ title, onClose, canClose = true, children }: DialogProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  // A layout effect is undone while the element is still in the page: only then does the browser give the focus back.
  useLayoutEffect(() => {
    const element = dialog.current;
    element?.showModal();
    return () => element?.close();
  }, []);
  return (
    <dialog
      ref={dialog}
      aria-labelledby={titleId}
      onCancel={(event) => {
        // A file field within says the same word when somebody chooses no file.
        if (event.target !== event.currentTarget) return;
        event.preventDefault();
        if (canClose) onClose();
      }}
    >
      <div className="stack">
        <h2 id={titleId}>{title}</h2>
        {children}
      </div>
    </dialog>
  );
}
