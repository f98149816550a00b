import type { Screen } from '../shell/screen.ts';

/** Work among the casks. */
export const aisleScreens: readonly Screen[] = [
  {
    path: '/scan',
    title: 'Scan',
    load: () => import('./scan/scan-page.tsx'),
    menu: { label: 'Scan', icon: 'scan', key: 's', bar: true },
  },
];
