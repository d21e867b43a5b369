import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import '../styles/tokens.css';
import '../styles/base.css';
import '../styles/parts.css';
import './verifier.css';
import { Verifier } from './verifier';

const place = document.getElementById('verifier');
if (place === null) throw new Error('The page has no place for the verifier');

createRoot(place).render(
  <StrictMode>
    <Verifier />
  </StrictMode>,
);
