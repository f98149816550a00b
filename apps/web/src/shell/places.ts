import { aisleScreens } from '../aisle/screens.ts';
import { deskScreens } from '../desk/screens.ts';
import type { Place, Screen } from './screen.ts';

export const PLACES: readonly { place: Place; name: string; screens: readonly Screen[] }[] = [
  { place: 'aisle', name: 'Aisle', screens: aisleScreens },
  { place: 'desk', name: 'Desk', screens: deskScreens },
];

/** Which place an address belongs to, by the first path pattern's first segment that matches. */
export function placeOf(path: string): Place {
  const first = path.split('/')[1] ?? '';
  return deskScreens.some((screen) => screen.path.split('/')[1] === first) ? 'desk' : 'aisle';
}
