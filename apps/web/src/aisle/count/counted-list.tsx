import { CodeText, format, Mark } from '../../kit/kit.ts';
import type { Counted } from './counted.ts';

const REMARK: Record<Counted['remark'], { words: string; tone: 'good' | 'caution' } | null> = {
  'in-place': { words: 'in place', tone: 'good' },
  elsewhere: { words: 'misplaced', tone: 'caution' },
  'put-right': { words: 'misplaced, booked here', tone: 'good' },
  'not-expected': { words: 'not expected', tone: 'caution' },
  unknown: { words: 'unknown', tone: 'caution' },
  plain: null,
};
const SHOWN = 30;

/** The last counts of this device, newest first. */
export function CountedList({ counted }: { counted: readonly Counted[] }) {
  if (counted.length === 0) return null;
  return (
    <div>
      <h3>Counted, newest first</h3>
      <ul className="bare-list stack-tight">
        {counted.slice(0, SHOWN).map((one) => {
          const remark = REMARK[one.remark];
          return (
            <li key={one.key} className="line-spread">
              <span>
                <CodeText code={one.code} />{' '}
                <span className="soft small">
                  {format.clock(one.at)}
                  {one.place && `, ${one.place}`}
                </span>
              </span>
              {remark && <Mark tone={remark.tone}>{remark.words}</Mark>}
            </li>
          );
        })}
      </ul>
      {counted.length > SHOWN && (
        <p className="soft small">and {format.number(counted.length - SHOWN)} before them</p>
      )}
    </div>
  );
}
