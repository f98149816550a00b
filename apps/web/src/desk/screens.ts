import type { Screen } from '../shell/screen.ts';

/** Work at a table: what the stock is, what it will be, and the books. */
export const deskScreens: readonly Screen[] = [];
