import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import './kit/tokens.css';
import './kit/base.css';
import { App } from './shell/app.tsx';
import { registerServiceWorker } from './shell/service-worker.ts';

const root = document.getElementById('app');
if (!root) throw new RangeError('the page has no #app element to draw in');
createRoot(root).render(
  <StrictMode>
    <App />
  </StrictMode>,
);
registerServiceWorker();
