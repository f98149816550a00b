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
  {
    path: '/forecast',
    title: 'What the stock will be',
    load: () => import('./forecast/stock-forecast-page.tsx'),
    menu: { label: 'Forecast', icon: 'chart', key: 't' },
  },
  {
    path: '/forecast/casks/:id',
    title: 'Forecast of a cask',
    load: () => import('./forecast/cask-forecast-page.tsx'),
  },
  {
    path: '/regauge',
    title: 'Regauge round',
    load: () => import('./regauge/regauge-page.tsx'),
    menu: { label: 'Regauge round', icon: 'gauge', key: 'r' },
  },
  {
    path: '/climate',
    title: 'Climate',
    load: () => import('./climate/climate-page.tsx'),
    menu: { label: 'Climate', icon: 'climate', key: 'a' },
  },
  {
    path: '/blend',
    title: 'Plan a blend',
    load: () => import('./blend/blend-page.tsx'),
    role: 'blend',
    menu: { label: 'Plan a blend', icon: 'blend', key: 'b' },
  },
  {
    path: '/plans',
    title: 'Blend plans',
    load: () => import('./plans/plans-page.tsx'),
    menu: { label: 'Blend plans', icon: 'book', key: 'p' },
  },
  { path: '/plans/:id', title: 'Blend plan', load: () => import('./plans/plan-page.tsx') },
  {
    path: '/blends',
    title: 'Blends made',
    load: () => import('./plans/blends-page.tsx'),
    menu: { label: 'Blends made', icon: 'vat', key: 'm' },
  },
  { path: '/blends/:id', title: 'Blend', load: () => import('./plans/blend-page.tsx') },
  {
    path: '/origins',
    title: 'Plots and spirit lots',
    load: () => import('./lineage/origins-page.tsx'),
    menu: { label: 'Plots and lots', icon: 'thread', key: 'w' },
  },
  { path: '/lineage/:kind/:id', title: 'Origins', load: () => import('./lineage/trace-page.tsx') },
  {
    path: '/recall/:kind/:id',
    title: 'Where it is now',
    load: () => import('./lineage/recall-page.tsx'),
  },
  {
    path: '/return',
    title: 'The return',
    load: () => import('./books/return-page.tsx'),
    menu: { label: 'The return', icon: 'book', key: 'u' },
  },
  {
    path: '/journal',
    title: 'Journal',
    load: () => import('./journal/journal-page.tsx'),
    menu: { label: 'Journal', icon: 'note', key: 'j' },
  },
  {
    path: '/checkpoints',
    title: 'Checkpoints',
    load: () => import('./checkpoints/checkpoints-page.tsx'),
    menu: { label: 'Checkpoints', icon: 'lock', key: 'g' },
  },
  {
    path: '/checkpoints/:id',
    title: 'Checkpoint',
    load: () => import('./checkpoints/sheet-page.tsx'),
  },
  {
    path: '/events',
    title: 'Events in and out',
    load: () => import('./epcis/events-page.tsx'),
    menu: { label: 'Events in and out', icon: 'send', key: 'x' },
  },
  {
    path: '/bench',
    title: 'Bench calculator',
    load: () => import('./bench/bench-page.tsx'),
    menu: { label: 'Bench calculator', icon: 'drop', key: 'd' },
  },
  {
    path: '/lists',
    title: 'Lists in and out',
    load: () => import('./imports/imports-page.tsx'),
    role: 'keep',
    menu: { label: 'Lists in and out', icon: 'download', key: 'i' },
  },
  {
    path: '/labels/templates',
    title: 'Label templates',
    load: () => import('./label-templates/label-templates-page.tsx'),
    role: 'warehouse',
    menu: { label: 'Label templates', icon: 'label' },
  },
  {
    path: '/people',
    title: 'People and devices',
    load: () => import('./people/people-page.tsx'),
    role: 'administer',
    menu: { label: 'People', icon: 'person', key: 'y' },
  },
];
