import { createContext } from 'react';
import type { DataRouter } from 'react-router';

/** Where the router has got to by now: on a slow machine it is ahead of what is drawn, and so of `useLocation` and `useNavigation`. */
export const Whereabouts = createContext<() => Pick<DataRouter['state'], 'location' | 'navigation'>>(() => {
  throw new Error('The console is drawn without a router');
});
