import { QueryClientProvider } from '@tanstack/react-query';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { RouterProvider } from 'react-router/dom';
import { router } from './routes';
import { createQueryClient } from './session/operator';
import './styles/tokens.css';
import './styles/base.css';
import './styles/parts.css';

const place = document.getElementById('console');
if (place === null) throw new Error('The page has no place for the console');

createRoot(place).render(
  <StrictMode>
    <QueryClientProvider client={createQueryClient()}>
      <RouterProvider router={router} />
    </QueryClientProvider>
  </StrictMode>,
);
