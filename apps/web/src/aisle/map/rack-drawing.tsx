import type { Stow } from '@rundlet/contracts';
import { useEffect, useRef } from 'react';
import { Link } from 'wouter';
import { positionWords } from '../../data/aisle-index.ts';
import { format } from '../../kit/kit.ts';
import { bandOf } from './loss-rates.ts';
import { cellKey, type RackRow, type Slot } from './racks.ts';
import './rack.css';

/** What a stock-take, or a way to a cask, has to say about one slot. */
export interface SlotSign {
  readonly look: 'seen' | 'to-find' | 'difference' | 'in-the-way';
  readonly words: string;
  /** When its turn comes, of what is in the way. */
  readonly turn?: number;
}

/** One row as a table: bays across, levels down, a square for each slot. */
export function RackDrawing({
  row,
  litId = null,
  marks,
  stow = null,
  rates,
}: {
  row: RackRow;
  litId?: string | null;
  marks?: ReadonlyMap<string, SlotSign> | undefined;
  /** How the zone is stowed; then the ends that one gets at the row from are shown. */
  stow?: Stow | null;
  /** Yearly loss by cask, when the map shows it. */
  rates?: ReadonlyMap<string, number> | null;
}) {
  return (
    <div className="table-frame rack" tabIndex={0} role="region" aria-label={`Row ${row.name}`}>
      <table>
        <caption>Row {row.name}</caption>
        <thead>
          <tr>
            <th scope="col">level</th>
            {row.bays.map((bay, i) => (
              <th key={bay} scope="col">
                {bay}
                {isMouth(stow, i, row.bays.length) && <span className="rack-mouth">mouth</span>}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {row.levels.map((level) => (
            <tr key={level}>
              <th scope="row">{level}</th>
              {row.bays.map((bay) => (
                <td key={bay}>
                  <span className="slots">
                    {(row.at.get(cellKey(bay, level)) ?? []).map((slot) => (
                      <SlotMark
                        key={slot.position.id}
                        slot={slot}
                        lit={slot.position.id === litId}
                        sign={marks?.get(slot.position.id)}
                        rates={rates ?? null}
                      />
                    ))}
                  </span>
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** Whether the row is entered at this bay; where every bay is, nothing need be marked. */
function isMouth(stow: Stow | null, bay: number, bays: number): boolean {
  if (!stow || stow.kind === 'racked') return false;
  const first = stow.mouth === 'lowest-bay' || stow.mouth === 'both-ends';
  const last = stow.mouth === 'highest-bay' || stow.mouth === 'both-ends';
  return (first && bay === 0) || (last && bay === bays - 1);
}

function SlotMark({
  slot: { position, casks },
  lit,
  sign,
  rates,
}: {
  slot: Slot;
  lit: boolean;
  sign: SlotSign | undefined;
  rates: ReadonlyMap<string, number> | null;
}) {
  const ref = useRef<HTMLAnchorElement>(null);
  useEffect(() => {
    if (lit) ref.current?.scrollIntoView({ block: 'center', inline: 'center' });
  }, [lit]);
  const ill = casks.some(({ condition }) => condition !== 'sound');
  const filled = casks.some(({ status }) => status === 'filled');
  const known = casks.flatMap(({ id }) => rates?.get(id) ?? []);
  // Several casks in one place are shown by the thirstiest.
  const rate = known.length > 0 ? Math.max(...known) : null;
  const name = [
    'slot',
    casks.length > 0 ? (filled ? 'slot-taken' : 'slot-empty') : '',
    ill && !rates ? 'slot-ill' : '',
    rates && filled ? (bandOf(rate ?? NaN)?.className ?? 'slot-loss-none') : '',
    lit ? 'slot-lit' : '',
    sign ? `slot-${sign.look}` : '',
  ]
    .filter(Boolean)
    .join(' ');
  const holds =
    casks.length === 0
      ? 'free'
      : casks
          .map(({ code, condition }) => (condition === 'sound' ? code : `${code} (${condition})`))
          .join(', ') + (rate === null ? '' : `, loses ${format.number(rate, 1)} % a year`);
  const said = sign ? `${holds}; ${sign.words}` : holds;
  return (
    <Link
      ref={ref}
      href={`/positions/${position.id}`}
      className={name}
      aria-label={`${positionWords(position)}: ${said}`}
      title={said}
      data-turn={sign?.turn}
    />
  );
}
