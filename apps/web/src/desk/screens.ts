import type { Screen } from '../shell/screen.ts';

/** Work at a table: what the stock is, what it will be, and the books. */
export const deskScreens: readonly Screen[] = [
  {
    path: '/overview',
    title: 'The stock today',
    load: () => import('./overview/overview-page.tsx'),
    menu: { label: 'Stock today', icon: 'desk', key: 'o' },
  },
  {
    path: '/stock',
    title: 'Casks',
    load: () => import('./stock/stock-page.tsx'),
    menu: { label: 'Casks', icon: 'cask', key: 'k' },
  },
];
