import type { Overview } from '@rundlet/contracts';
import { format } from '../../kit/kit.ts';
import './age-bars.css';

/** Pure alcohol by full years in oak, as bars with their figures: readable without colour, and by a screen reader as a list. */
export function AgeBars({ bands }: { bands: Overview['byAgeYears'] }) {
  const most = Math.max(1, ...bands.map((b) => b.litresPureAlcohol));
  return (
    <ol className="age-bars">
      {bands.map((band) => (
        <li key={band.fromYears}>
          <span className="age-bars-age number">
            {band.fromYears === 0 ? 'under 1' : band.fromYears} y
          </span>
          <span
            className="age-bars-bar"
            style={{ width: `${String((100 * band.litresPureAlcohol) / most)}%` }}
          />
          <span className="number">
            {format.pureAlcohol(band.litresPureAlcohol, 0)}{' '}
            <small>in {format.count(band.casks, 'cask')}</small>
          </span>
        </li>
      ))}
    </ol>
  );
}
