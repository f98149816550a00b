import { dipForContents, type CaskGeometry } from '@rundlet/gauging';
import './cask-drawing.css';

/** The head of a lying cask with the height its contents come to, from the cask's own geometry. */
export function CaskDrawing({
  geometry,
  litres,
}: {
  geometry: CaskGeometry;
  /** Contents; null draws an empty cask. */
  litres: number | null;
}) {
  const level = litres === null ? 0 : levelOf(geometry, litres);
  const y = 94 - level * 88;
  return (
    <svg
      className="cask-drawing"
      viewBox="0 0 100 100"
      role="img"
      aria-label={words(litres, level)}
    >
      <defs>
        <clipPath id="cask-inside">
          <circle cx="50" cy="50" r="44" />
        </clipPath>
      </defs>
      <g clipPath="url(#cask-inside)">
        <rect className="cask-drawing-level" x="0" y={y} width="100" height={100 - y} />
        <path className="cask-drawing-stave" d="M20 0v100M35 0v100M50 0v100M65 0v100M80 0v100" />
      </g>
      <circle className="cask-drawing-rim" cx="50" cy="50" r="45" />
      <circle className="cask-drawing-bung" cx="50" cy="5" r="3.2" />
    </svg>
  );
}

/** Height of the surface as a share of the bilge diameter. */
function levelOf(geometry: CaskGeometry, litres: number): number {
  try {
    return dipForContents(geometry, 'lying', litres).wetDipMm / geometry.bilgeDiameterMm;
  } catch {
    // The book holds more than the assumed geometry: brim-full is the nearest that can be drawn.
    return 1;
  }
}

const words = (litres: number | null, level: number): string =>
  litres === null
    ? 'An empty cask'
    : `A cask filled to ${String(Math.round(level * 100))} % of its height`;
