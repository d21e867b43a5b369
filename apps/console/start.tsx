import { QueryClientProvider } from '@tanstack/react-query';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { RouterProvider } from 'react-router/dom';
import { Whereabouts } from './parts/whereabouts';
import { router } from './routes';
import { createQueryClient } from './session/operator';
import { fetchPageWords } from './words/words';

/** Draws the console into its place. The words of the first screens have to be there; see main.tsx. */
export function start(place: HTMLElement): void {
  createRoot(place).render(
    <StrictMode>
      <QueryClientProvider client={createQueryClient()}>
        <Whereabouts value={() => router.state}>
          <RouterProvider router={router} />
        </Whereabouts>
      </QueryClientProvider>
    </StrictMode>,
  );
  // Ahead of need; a screen that needs them waits for them, and says so if they do not come.
  void fetchPageWords().catch(() => undefined);
  // Looks after the focus; apart, so that the first screen does not wait for it.
  void import('./parts/keep-focus').then(({ keepFocus }) => keepFocus()).catch(() => undefined);
}
