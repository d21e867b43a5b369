import type { ReactNode } from 'react';

/** A table that may be wider than the window; whoever has no pointer scrolls it after moving the focus there. */
export function Wide({ title, children }: { readonly title: string; readonly children: ReactNode }) {
  return (
    <div className="scroll-across" role="group" aria-label={title} tabIndex={0}>
      {children}
    </div>
  );
}
