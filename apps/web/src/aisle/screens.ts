import type { Screen } from '../shell/screen.ts';

/** Work among the casks. */
export const aisleScreens: readonly Screen[] = [
  {
    path: '/scan',
    title: 'Scan',
    load: () => import('./scan/scan-page.tsx'),
    menu: { label: 'Scan', icon: 'scan', key: 's', bar: true },
  },
  {
    path: '/fill',
    title: 'Fill a run',
    load: () => import('./fill/fill-page.tsx'),
    role: 'warehouse',
    menu: { label: 'Fill', icon: 'fill', key: 'f', bar: true },
  },
  {
    path: '/counts',
    title: 'Stock-take',
    load: () => import('./count/counts-page.tsx'),
    menu: { label: 'Count', icon: 'count', key: 'c', bar: true },
  },
  {
    path: '/counts/new',
    title: 'Open a stock-take',
    load: () => import('./count/new-count-page.tsx'),
    role: 'keep',
  },
  {
    path: '/counts/accuracy',
    title: 'How right the book was',
    load: () => import('./count/accuracy-page.tsx'),
  },
  {
    path: '/counts/:id',
    title: 'Count',
    load: () => import('./count/count-page.tsx'),
    role: 'warehouse',
  },
  {
    path: '/counts/:id/sheet',
    title: 'Stock-take sheet',
    load: () => import('./count/sheet-page.tsx'),
  },
  {
    path: '/labels',
    title: 'Labels',
    load: () => import('./labels/labels-page.tsx'),
    role: 'warehouse',
    menu: { label: 'Labels', icon: 'label', key: 'l', bar: true },
  },
  {
    path: '/labels/printers',
    title: 'Printers',
    load: () => import('./labels/printers-page.tsx'),
    role: 'warehouse',
  },
  {
    path: '/vats',
    title: 'Vats',
    load: () => import('./vats/vats-page.tsx'),
    menu: { label: 'Vats', icon: 'vat', key: 'v' },
  },
  { path: '/vats/:id', title: 'Vat', load: () => import('./vats/vat-page.tsx') },
  {
    path: '/casks/new',
    title: 'Register casks',
    load: () => import('./register/register-page.tsx'),
    role: 'warehouse',
    menu: { label: 'Register casks', icon: 'cask', key: 'n' },
  },
  { path: '/casks/:id', title: 'Cask', load: () => import('./cask/cask-page.tsx') },
  ...caskActs(),
  {
    path: '/positions/:id',
    title: 'Rack position',
    load: () => import('./position/position-page.tsx'),
  },
  {
    path: '/map',
    title: 'Map of the store',
    load: () => import('./map/map-page.tsx'),
    menu: { label: 'Map', icon: 'store', key: 'm' },
  },
  {
    path: '/walk',
    title: 'Walking order',
    load: () => import('./walk/walk-page.tsx'),
    menu: { label: 'Walking order', icon: 'move' },
  },
  {
    path: '/store',
    title: 'Store on this device',
    load: () => import('./store/store-page.tsx'),
    menu: { label: 'Store on this device', icon: 'gear' },
  },
  {
    path: '/https',
    title: 'HTTPS on your own network',
    load: () => import('./https/https-page.tsx'),
  },
  {
    path: '/outbox',
    title: 'Outbox',
    load: () => import('./outbox/outbox-page.tsx'),
    menu: { label: 'Outbox', icon: 'send', key: 'e' },
  },
  {
    path: '/held',
    title: 'Held entries',
    load: () => import('./outbox/held-page.tsx'),
    role: 'keep',
    menu: { label: 'Held entries', icon: 'lock', key: 'h' },
  },
];

/** One page for each act on a cask. */
function caskActs(): readonly Screen[] {
  return [
    {
      path: '/casks/:id/gauge',
      title: 'Gauge',
      load: () => import('./gauging/gauge-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/move',
      title: 'Move',
      load: () => import('./acts/move-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/sample',
      title: 'Sample',
      load: () => import('./acts/sample-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/result',
      title: 'Result',
      load: () => import('./acts/result-page.tsx'),
      role: 'blend',
    },
    {
      path: '/casks/:id/top-up',
      title: 'Top up',
      load: () => import('./acts/top-up-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/re-rack',
      title: 'Re-rack',
      load: () => import('./acts/re-rack-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/empty',
      title: 'Disgorge',
      load: () => import('./acts/disgorge-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/inspect',
      title: 'Inspect',
      load: () => import('./acts/inspect-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/note',
      title: 'Note',
      load: () => import('./acts/note-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/measure',
      title: 'Measures',
      load: () => import('./register/measure-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/alias',
      title: 'Add a code',
      load: () => import('./acts/alias-page.tsx'),
      role: 'warehouse',
    },
    {
      path: '/casks/:id/hold',
      title: 'Hold',
      load: () => import('./acts/hold-page.tsx'),
      role: 'blend',
    },
    {
      path: '/casks/:id/owner',
      title: 'Owner',
      load: () => import('./acts/owner-page.tsx'),
      role: 'keep',
    },
    {
      path: '/casks/:id/duty',
      title: 'Release from duty suspension',
      load: () => import('./acts/release-duty-page.tsx'),
      role: 'keep',
    },
    {
      path: '/casks/:id/retire',
      title: 'Retire',
      load: () => import('./acts/retire-page.tsx'),
      role: 'keep',
    },
  ];
}
