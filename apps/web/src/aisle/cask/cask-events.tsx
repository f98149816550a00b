import type { CaskCard, FillingEvent } from '@rundlet/contracts';
import { Card, format } from '../../kit/kit.ts';

const KIND: Record<FillingEvent['kind'], string> = {
  filled: 'Filled',
  sample: 'Sample drawn',
  'top-up': 'Topped up',
  moved: 'Moved',
  're-racked': 'Re-racked',
  'leak-found': 'Leak found',
  repaired: 'Repaired',
  'part-drawn': 'Part drawn',
  emptied: 'Emptied',
};

/** What went in and out between gauges, and the samples taken. */
export function CaskEvents({ card: { events, samples } }: { card: CaskCard }) {
  if (events.length === 0 && samples.length === 0) return null;
  return (
    <Card title="Events of this filling">
      <ul className="stack-tight">
        {events.map((event) => (
          <li key={event.id}>
            {format.date(event.at)}: {KIND[event.kind]}
            {event.bulkLitresAt20C !== null && <>, {format.litres(event.bulkLitresAt20C, 2)}</>}
            {event.strengthPercentVol !== null && (
              <> at {format.strength(event.strengthPercentVol)}</>
            )}
          </li>
        ))}
      </ul>
      {samples.length > 0 && (
        <>
          <h3>Samples</h3>
          <ul className="stack-tight">
            {samples.map((sample) => (
              <li key={sample.id}>
                <span className="code">{sample.code}</span>:{' '}
                {format.litres(sample.bulkLitresAt20C, 2)} on {format.date(sample.takenAt)},{' '}
                {sample.purpose}
              </li>
            ))}
          </ul>
        </>
      )}
    </Card>
  );
}
