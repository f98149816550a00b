import type { Role } from '@rundlet/contracts';
import type { ComponentType } from 'react';
import type { IconName } from '../kit/icon.tsx';

/** One page of the app. Each place (aisle, desk) lists its own in `screens.ts`; the shell makes routes and menus of them. */
export interface Screen {
  /** Path pattern; parameters as `:id`, read with wouter's `useParams`. */
  path: string;
  /** For the browser's title and history. */
  title: string;
  /** Loads the page on first use: `() => import('./stock/stock-page.tsx')`, which exports it as `default`. */
  load: () => Promise<{ default: ComponentType }>;
  /** Least role; without it the page is neither listed nor shown. Default `read`. */
  role?: Role;
  /** Entry in the menu; pages reached from others have none. */
  menu?: {
    label: string;
    icon: IconName;
    /** Letter that opens it after `g`. One letter, once in the whole app. */
    key?: string;
    /** Shown in the phone's bottom bar (at most four in the app). */
    bar?: boolean;
  };
}
export type Place = 'aisle' | 'desk';
